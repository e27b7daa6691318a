"""The loads that a gym can make for an exercise, and what the number on the sheet means."""

from __future__ import annotations

from collections.abc import Sequence

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.plain import ROUNDING

MEANING = {
    "each_hand": "in each hand",
    "total": "in all, with the bar",
    "stack": "on the stack",
    "body": "the body alone",
    "band": "the band",
}


def available_loads(gym: Gym, exercise: Exercise) -> tuple[float, ...] | None:
    """Return the loads that `gym` can make for `exercise`, rising, in its unit; None: it lists none."""
    return (gym.loads_of(exercise.load_from) if exercise.load_from else ()) or None


def percent(share: float) -> str:
    """Write a share as whole per cent: "20 %"."""
    return f"{100 * share:.0f} %"


def heaviest_within(loads: Sequence[float], most: float) -> float | None:
    """Return the heaviest of `loads` that does not exceed `most`; None if all do."""
    # loads are decimal numbers as people write them: 10 % of 20 is 2, not 2.0000000000000018
    within = [load for load in loads if load <= most + ROUNDING]
    return max(within) if within else None


def lightest_from(loads: Sequence[float], least: float) -> float | None:
    """Return the lightest of `loads` that is at least `least`; None if none is."""
    enough = [load for load in loads if load >= least - ROUNDING]
    return min(enough) if enough else None
