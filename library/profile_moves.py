"""What moved between two states of the profiles, and whether a head's whole scale moved with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from library.profiles import Profile, Profiles

SAME = 1e-6  # profiles.csv keeps six decimals


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
        if self.before is None or self.after is None:
            return None
        return self.after.ratio / self.before.ratio - 1


def moves(before: Profiles, after: Profiles) -> list[Move]:
    """List every number that differs in ratio, standard error or rows, in the order of `after`."""
    return [move for move in _pairs(before, after) if not _same(move.before, move.after)]


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


def _same(before: Profile | None, after: Profile | None) -> bool:
    return (
        before is not None
        and after is not None
        and abs(before.ratio - after.ratio) <= SAME
        and abs(before.standard_error - after.standard_error) <= SAME
        and before.rows == after.rows
    )
