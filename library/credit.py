"""Profiles (profiles.csv, DESIGN §3.1), what moved in them, and what one hard set is worth to a head (DESIGN §3.2)."""

import csv
import io
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from statistics import median
from typing import Annotated, NamedTuple, TypeAlias

from pydantic import Field

from library.errors import Fault
from library.method import OWN, CreditSettings
from library.schema import IN_A_CELL, Exercise, Key, Record
from library.tables import read_rows

PROFILES = "profiles.csv"
DECIMALS = 6  # written: half a unit of the last one is far below any standard error
SAME = 10.0**-DECIMALS
DEFAULTS = CreditSettings()
Profiles: TypeAlias = "Mapping[str, Mapping[str, Profile]]"  # head, then exercise


class Profile(NamedTuple):
    """Activation of one exercise in one head as a ratio to the head's anchor exercise (1, error 0)."""

    ratio: float
    standard_error: float  # of the logarithm of the ratio
    rows: tuple[str, ...]  # ids of the evidence rows it rests on


class ProfileLine(Record):
    """One line of profiles.csv."""

    exercise: Key
    head: Key
    ratio: Annotated[float, Field(gt=0)]
    standard_error: Annotated[float, Field(ge=0)]
    rows: Annotated[tuple[str, ...], IN_A_CELL] = ()  # none for an anchor


def read_profiles(folder: Path, faults: list[Fault]) -> list[tuple[str, ProfileLine]]:
    """Read profiles.csv of a library folder; returns ("line 3", line) pairs."""
    what = "the pooled numbers (`planner pool` builds them)"
    return read_rows(folder / PROFILES, ProfileLine, what, faults)


def by_head(lines: Iterable[tuple[str, ProfileLine]]) -> dict[str, dict[str, Profile]]:
    """Sort the lines of profiles.csv by head, then exercise, in file order."""
    profiles: dict[str, dict[str, Profile]] = {}
    for _, line in lines:
        profile = Profile(line.ratio, line.standard_error, line.rows)
        profiles.setdefault(line.head, {})[line.exercise] = profile
    return profiles


def profiles_text(profiles: Profiles) -> str:
    """Return the text of profiles.csv, in the order of `profiles`."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(ProfileLine.model_fields)
    for head, of_head in profiles.items():
        for exercise, (*numbers, rows) in of_head.items():
            writer.writerow([exercise, head, *(f"{n:.{DECIMALS}f}" for n in numbers), " ".join(rows)])
    return stream.getvalue()


class Move(NamedTuple):
    """One number of profiles.csv before and after; None: it was or is not there."""

    head: str
    exercise: str
    before: Profile | None
    after: Profile | None

    @property
    def change(self) -> float | None:
        """Return the relative change of the ratio, or None for a number that is new or gone."""
        return self.after.ratio / self.before.ratio - 1 if self.before and self.after else None


def _pairs(before: Profiles, after: Profiles) -> list[Move]:
    return [
        Move(head, exercise, before.get(head, {}).get(exercise), after.get(head, {}).get(exercise))
        for head in dict.fromkeys([*after, *before])
        for exercise in dict.fromkeys([*after.get(head, {}), *before.get(head, {})])
    ]


def moves(before: Profiles, after: Profiles) -> list[Move]:
    """List every number that differs in ratio, standard error or rows, in the order of `after`."""

    def same(one: Profile | None, other: Profile | None) -> bool:
        if one is None or other is None or one.rows != other.rows:
            return False
        return max(abs(one.ratio - other.ratio), abs(one.standard_error - other.standard_error)) <= SAME

    return [move for move in _pairs(before, after) if not same(move.before, move.after)]


def scale_changes(before: Profiles, after: Profiles) -> dict[str, float]:
    """Return per head the median relative change of its ratios, without sign: when the middle one moves, the anchor has."""
    changes: dict[str, list[float]] = {}
    for move in _pairs(before, after):
        if move.change is not None and move.after != Profile(1.0, 0.0, ()):  # an anchor cannot move
            changes.setdefault(move.head, []).append(abs(move.change))
    return {head: median(sizes) for head, sizes in changes.items()}


def expected_credit(mean: float, spread: float, share: float, settings: CreditSettings = DEFAULTS) -> float:
    """Return what one set is worth on average over what is not known of its ratio R, in direct sets.

        w · E[R·1(floor ≤ R < 1) + 1(R ≥ 1)],  ln R ~ N(mean, spread²)
        w = ((1 − q) + k·q) / ((1 − neutral) + k·neutral)     q eccentric share, k eccentric weight

    The limited expected value of a log-normal, cut off at the floor (Klugman, Panjer & Willmot, Loss Models,
    appendix A). Spread 0, as an anchor has, gives the plain rule; a credit below `least_credit` is 0.
    """
    log_floor, k, neutral = math.log(settings.credit_floor), settings.eccentric_weight, settings.neutral_share
    if spread == 0:
        credit = math.exp(min(0.0, mean)) if mean >= log_floor else 0.0
    else:
        between = _normal(-mean / spread - spread) - _normal((log_floor - mean) / spread - spread)
        credit = _normal(mean / spread) + (math.exp(mean + spread**2 / 2) * between if between > 0 else 0.0)
    credit *= (1 - share + k * share) / (1 - neutral + k * neutral)
    return credit if credit >= settings.least_credit else 0.0


def _normal(value: float) -> float:
    return math.erfc(-value / math.sqrt(2)) / 2


def movers_credit(profile: float, settings: CreditSettings = DEFAULTS) -> float:
    """Return what one set counts by movers: a whole set, a part of one, or nothing (sets)."""
    if profile >= settings.movers_direct:
        return 1.0
    return settings.movers_part if profile >= settings.movers_indirect else 0.0


def credit_of(exercise: Exercise, profile: Profile, settings: CreditSettings) -> float:
    """Return what one set is worth on average to an athlete who was never recorded, in direct sets."""
    between = OWN.person_spread if profile.standard_error else 0.0  # an anchor is the unit
    error = math.hypot(profile.standard_error, between)
    return expected_credit(math.log(profile.ratio), error, exercise.eccentric_share.value, settings)
