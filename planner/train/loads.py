"""Loads: what a gym can make, loads of warm-up sets, and estimated one-repetition maxima.

A formula is a multiplier of the load: maximum = load × multiplier(repetitions), repetitions to failure. Nobody has
validated putting repetitions + those in reserve into one, so every result is an estimate, shown ± 10 %. All of them
come from large lifts: raises are steered by repetitions instead (planner/train/progression.py).
"""

import math
from collections.abc import Callable, Sequence
from typing import Any

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.method import TRAIN, TrainSettings
from planner.plain import ROUNDING

# of a float or a numpy array of repetitions; plain arithmetic serves both
FORMULAS: dict[str, Callable[[Any], Any]] = {
    "epley": lambda r: 1 + r / 30,  # Epley B, 1985 (from memory), form read on a calculator page
    "brzycki": lambda r: 36 / (37 - r),  # Brzycki M, 1993, JOPERD 64(1):88-90; breaks at r = 37
    "lombardi": lambda r: r**0.10,  # Lombardi VP, 1989
    "lander": lambda r: 100 / (101.3 - 2.67123 * r),  # Lander J, 1985, NSCA J 6(6):60-61; breaks at 37.92
    "mayhew": lambda r: 100 / (52.2 + 41.9 * math.e ** (-0.055 * r)),  # Mayhew JL et al., 1992
    "oconner": lambda r: 1 + 0.025 * r,  # O'Conner B et al., 1989
    "wathan": lambda r: 100 / (48.8 + 53.8 * math.e ** (-0.075 * r)),  # Wathen D, 1994
}


def available_loads(gym: Gym, exercise: Exercise) -> tuple[float, ...] | None:
    """Return the loads that `gym` can make for `exercise`, rising, in its unit; None: it lists none."""
    return (gym.loads_of(exercise.load_from) if exercise.load_from else ()) or None


def warmup_loads(
    load: float, warmup_sets: int, loads: Sequence[float] | None, settings: TrainSettings = TRAIN
) -> tuple[float, ...]:
    """Return a load for each warm-up set before sets with `load`, from what the gym can make (`loads`).

    Shares of the work load in even steps, at most what they ask; empty where the gym lists none or none is lighter.
    """
    first, last = settings.warmup_share_first, settings.warmup_share_last
    lighter = [here for here in loads or () if here < load - ROUNDING]
    if not lighter or not warmup_sets:
        return ()
    if warmup_sets == 1:
        first = last = (first + last) / 2
    step = (last - first) / max(1, warmup_sets - 1)
    asked = [load * (first + step * place) for place in range(warmup_sets)]
    return tuple(heaviest_within(lighter, most) or min(lighter) for most in asked)


def percent(share: float) -> str:
    """Write a share as whole per cent: "20 %"."""
    return f"{100 * share:.0f} %"


def heaviest_within(loads: Sequence[float], most: float) -> float | None:
    """Return the heaviest of `loads` that does not exceed `most`; None if all do."""
    # loads are decimal numbers as people write them: 10 % of 20 is 2, not 2.0000000000000018
    return max((load for load in loads if load <= most + ROUNDING), default=None)


def lightest_from(loads: Sequence[float], least: float) -> float | None:
    """Return the lightest of `loads` that is at least `least`; None if none is."""
    return min((load for load in loads if load >= least - ROUNDING), default=None)


def one_repetition_maximum(load: float, repetitions: float, formula: str, most: float) -> float:
    """Estimate the maximum (unit of `load`) from `repetitions` to failure; one repetition is the load itself.

    Raises ValueError below one and above `most`: no formula is trusted there.
    """
    if not 1 <= repetitions <= most:
        raise ValueError(f"{repetitions:g} repetitions: a maximum is estimated from 1 to {most:g}")
    return float(load) if repetitions == 1 else float(load * FORMULAS[formula](repetitions))


def repetitions_at(load: float, maximum: float, formula: str, most: int) -> int:
    """Return the whole repetitions to failure, at most `most`, that the formula expects at `load`; 0: too heavy.

    The formula that estimated the maximum: any other would not give back the repetitions it was estimated from.
    """
    return sum(load * FORMULAS[formula](reps) <= maximum + ROUNDING for reps in range(1, most + 1))
