"""Profiles (profiles.csv, DESIGN §3.1), what moved in them, and what one hard set is worth to a head (DESIGN §3.2)."""

import csv
import io
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from statistics import median
from typing import Annotated

from pydantic import Field

from library.errors import Fault
from library.files import read_csv
from library.method import CreditSettings, OwnRowSettings
from library.schema import Exercise, Key, Record

PROFILES = "profiles.csv"
DECIMALS = 6  # written: half a unit of the last one is far below any standard error
SAME = 10.0**-DECIMALS
DEFAULTS = CreditSettings()


@dataclass(frozen=True)
class Profile:
    """Activation of one exercise in one head as a ratio to the head's anchor exercise (1, error 0)."""

    ratio: float
    standard_error: float  # of the logarithm of the ratio
    rows: tuple[str, ...]  # ids of the evidence rows it rests on


Profiles = Mapping[str, Mapping[str, Profile]]  # head, then exercise


class ProfileLine(Record):
    """One line of profiles.csv."""

    exercise: Key
    head: Key
    ratio: Annotated[float, Field(gt=0)]
    standard_error: Annotated[float, Field(ge=0)]
    rows: str = ""  # ids with a blank between them; none for an anchor


def read_profiles(folder: Traversable, faults: list[Fault]) -> list[tuple[str, ProfileLine]]:
    """Read profiles.csv of a library folder; returns ("row 3", line) pairs."""
    file = folder / PROFILES
    if not file.is_file():
        faults.append(Fault(str(file), "", "there is no such file", "Run `planner pool` to build it"))
        return []
    return list(read_csv(file, ProfileLine, faults))


def by_head(lines: Iterable[tuple[str, ProfileLine]]) -> dict[str, dict[str, Profile]]:
    """Sort the lines of profiles.csv by head, then exercise, in file order."""
    profiles: dict[str, dict[str, Profile]] = {}
    for _, line in lines:
        profile = Profile(line.ratio, line.standard_error, tuple(line.rows.split()))
        profiles.setdefault(line.head, {})[line.exercise] = profile
    return profiles


def profiles_text(profiles: Profiles) -> str:
    """Return the text of profiles.csv, in the order of `profiles`."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(ProfileLine.model_fields)
    for head, of_head in profiles.items():
        for exercise, profile in of_head.items():
            numbers = [f"{number:.{DECIMALS}f}" for number in (profile.ratio, profile.standard_error)]
            writer.writerow([exercise, head, *numbers, " ".join(profile.rows)])
    return stream.getvalue()


@dataclass(frozen=True)
class Move:
    """One number of profiles.csv before and after; None: it was or is not there."""

    head: str
    exercise: str
    before: Profile | None
    after: Profile | None

    @property
    def change(self) -> float | None:
        """Return the relative change of the ratio, or None for a number that is new or gone."""
        return self.after.ratio / self.before.ratio - 1 if self.before and self.after else None


def moves(before: Profiles, after: Profiles) -> list[Move]:
    """List every number that differs in ratio, standard error or rows, in the order of `after`."""
    return [
        move
        for move in _pairs(before, after)
        if not (move.before and move.after) or _differ(move.before, move.after)
    ]


def scale_changes(before: Profiles, after: Profiles) -> dict[str, float]:
    """Return per head the median relative change of its ratios, without sign, over exercises in both.

    One exercise that moves is news of that exercise; when the middle one moves, the anchor has.
    """
    changes: dict[str, list[float]] = {}
    for move in _pairs(before, after):
        if move.change is not None and move.after != Profile(1.0, 0.0, ()):  # an anchor cannot move
            changes.setdefault(move.head, []).append(abs(move.change))
    return {head: median(sizes) for head, sizes in changes.items()}


def _pairs(before: Profiles, after: Profiles) -> Iterator[Move]:
    for head in dict.fromkeys([*after, *before]):
        old, new = before.get(head, {}), after.get(head, {})
        for exercise in dict.fromkeys([*new, *old]):
            yield Move(head, exercise, old.get(exercise), new.get(exercise))


def _differ(one: Profile, other: Profile) -> bool:
    moved = max(abs(one.ratio - other.ratio), abs(one.standard_error - other.standard_error))
    return moved > SAME or one.rows != other.rows


def expected_credit(
    log_ratio: float, log_error: float, eccentric_share: float, settings: CreditSettings = DEFAULTS
) -> float:
    """Return what one set is worth on average over what is not known of its ratio R, in direct sets.

        w · E[R·1(floor ≤ R < 1) + 1(R ≥ 1)],  ln R ~ N(log_ratio, log_error²)
        w = ((1 − q) + k·q) / ((1 − neutral) + k·neutral)     q eccentric share, k eccentric weight

    The limited expected value of a log-normal, cut off at the floor (Klugman, Panjer & Willmot, Loss Models,
    appendix A). Error 0, as an anchor has, gives the plain rule; a credit below `least_credit` is 0.
    """
    credit = _limited_mean(log_ratio, log_error, math.log(settings.credit_floor))
    credit *= _lowering(eccentric_share, settings) / _lowering(settings.neutral_share, settings)
    return credit if credit >= settings.least_credit else 0.0


def _limited_mean(mean: float, spread: float, log_floor: float) -> float:
    """Return E[min(1, R)·1(R ≥ floor)] of ln R ~ N(mean, spread²)."""
    if spread == 0:
        return math.exp(min(0.0, mean)) if mean >= log_floor else 0.0
    whole = _normal(mean / spread)
    between = _normal(-mean / spread - spread) - _normal((log_floor - mean) / spread - spread)
    return whole + (math.exp(mean + spread**2 / 2) * between if between > 0 else 0.0)


def _normal(value: float) -> float:
    return math.erfc(-value / math.sqrt(2)) / 2


def _lowering(share: float, settings: CreditSettings) -> float:
    return (1 - share) + settings.eccentric_weight * share


def movers_credit(profile: float, settings: CreditSettings = DEFAULTS) -> float:
    """Return what one set counts by movers: a whole set, a part of one, or nothing (sets)."""
    if profile >= settings.movers_direct:
        return 1.0
    return settings.movers_part if profile >= settings.movers_indirect else 0.0


def credit_of(exercise: Exercise, profile: Profile, settings: CreditSettings) -> float:
    """Return what one set is worth on average to an athlete who was never recorded, in direct sets."""
    between = OwnRowSettings().person_spread if profile.standard_error else 0.0  # an anchor is the unit
    error = math.hypot(profile.standard_error, between)
    return expected_credit(math.log(profile.ratio), error, exercise.eccentric_share.value, settings)
