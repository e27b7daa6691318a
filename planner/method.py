"""The records of the program's defaults: one a table of library/method.toml, which has names, values, units, sources.
The library has its own in library/method.py."""

from library.method import CreditSettings, Settings, of_table

RISE_WEEKS = 2  # a rise is from one week to the next
DRAWS_LEAST = 100  # fewer say nothing of a 90 % range
# what a week is divided by, or what leaves none
NEVER_NOTHING = (
    "exercises_per_session", "exercises_per_week", "booked_minutes_each", "spread_sets", "block_worth",
    "short_block_sets", "short_block_sets_novice",
)  # fmt: skip


class AthleteSettings(Settings, table="athlete"):
    """Defaults of targets by training status, of the step up from today's sets, and of screening."""

    def doses(self, status: str) -> tuple[float, float, float]:
        """Floor, target and ceiling of a training status, in direct sets a week."""
        doses = (getattr(self, f"{status}_{name}") for name in ("floor", "target", "ceiling"))
        floor, target, ceiling = map(float, doses)
        return floor, target, ceiling


class WeekSettings(Settings, table="week"):
    """Defaults of the week."""

    def __post_init__(self) -> None:
        """Refuse what leaves nothing to plan or to judge by, and prices that make a worse miss the cheaper one."""
        if not 1 <= self.smallest_block_sets <= self.largest_block_sets:
            raise ValueError("Write `smallest_block_sets` from 1 up to `largest_block_sets`")
        for name in NEVER_NOTHING:
            if not getattr(self, name):
                raise ValueError(f"Write `{name}` above 0")
        if self.draws < DRAWS_LEAST:
            raise ValueError(f"Write `draws` as {DRAWS_LEAST} or more: fewer say nothing of a 90 % range")
        if not self.dose_price_near <= self.dose_price_low <= self.dose_price_below:
            raise ValueError("Let `dose_price_near`, `dose_price_low`, `dose_price_below` never fall")


class CautiousSettings(Settings, table="cautious"):
    """How a cautious week is planned; it is judged on the draws that judge how sure any week is."""


class TrainSettings(Settings, table="train"):
    """Every number of loads, progression, pain and blocks."""

    def __post_init__(self) -> None:
        """Refuse what could tell no rise."""
        if self.pain_rising_weeks < RISE_WEEKS:
            raise ValueError(f"Write `pain_rising_weeks` as {RISE_WEEKS} or more: one week alone is no rise")


class SheetSettings(Settings, table="sheets"):
    """Defaults of the paper."""


class MeasureSettings(Settings, table="measure"):
    """How a recording becomes figures. Corners in Hz, windows in seconds, parts as fractions of one."""


class QualitySettings(Settings, table="quality"):
    """Limits of the quality checks: above the first a channel is warned about, above the second it fails."""


TRAIN = TrainSettings()
TOLD, SEARCH, ROOM, RECORDING_PLAN = map(of_table, ("printed", "search", "room", "recording_plan"))
# of the recheck: grades that may be added, how far numbers may lie apart, what to spare does not bind
GRADES, TOLERANCES, SLACK = (of_table(f"verify_{name}") for name in ("grades", "tolerances", "slack"))

# what [method] of a brief may set; names are unique among them
OVERRIDABLE: tuple[type[Settings], ...] = (WeekSettings, CreditSettings, AthleteSettings, TrainSettings)
