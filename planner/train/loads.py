"""The loads that a gym can make for an exercise, and what the number on the sheet means."""

from __future__ import annotations

import math
from collections.abc import Sequence

from library.equipment import with_included
from library.schema import Exercise
from planner.athlete.gym import Gym, LoadRange

MEANING = {
    "each_hand": "in each hand",
    "total": "in all, with the bar",
    "stack": "on the stack",
    "body": "the body alone",
    "band": "the band",
}

# loads are decimal numbers as people write them; sums of steps must not show binary dust
DECIMALS = 6
DUST = 1e-6


def available_loads(gym: Gym, exercise: Exercise) -> tuple[float, ...] | None:
    """Return the loads that `gym` can make for `exercise`, rising, in its unit; None: it lists none."""
    listed = _listed(gym, exercise.load_from)
    if listed is None:
        return None
    return _steps(listed) if isinstance(listed, LoadRange) else tuple(sorted(set(listed)))


def _listed(gym: Gym, equipment: str | None) -> LoadRange | tuple[float, ...] | None:
    """Find the list under the equipment itself, or under a piece that does its work (dual pulleys)."""
    names = [name for name in gym.loads if equipment in with_included([name])]
    names.sort(key=lambda name: name != equipment)
    return gym.loads[names[0]] if names else None


def _steps(listed: LoadRange) -> tuple[float, ...]:
    count = math.floor((listed.to - listed.from_) / listed.step + DUST) + 1
    return tuple(round(listed.from_ + step * listed.step, DECIMALS) for step in range(count))


def heaviest_within(loads: Sequence[float], most: float) -> float | None:
    """Return the heaviest of `loads` that does not exceed `most`; None if all do."""
    within = [load for load in loads if load <= most + DUST]
    return max(within) if within else None


def lightest_from(loads: Sequence[float], least: float) -> float | None:
    """Return the lightest of `loads` that is at least `least`; None if none is."""
    enough = [load for load in loads if load >= least - DUST]
    return min(enough) if enough else None
