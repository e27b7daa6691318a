"""Loads: what a gym can make, loads of warm-up sets, and estimated one-repetition maxima.

A formula is a multiplier of the load: maximum = load × multiplier(repetitions), repetitions to failure. Its inverse
says how many repetitions a load allows, so that both directions agree whichever formula is chosen. Nobody has
validated putting repetitions + those in reserve into one, so every result is an estimate, shown ± 10 %. All of them
come from large lifts: raises are steered by repetitions instead (planner/train/progression.py).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.method import TRAIN, TrainSettings
from planner.plain import ROUNDING

MEANING = {
    "each_hand": "in each hand",
    "total": "in all, with the bar",
    "stack": "on the stack",
    "body": "the body alone",
    "band": "the band",
}

Multiplier = Callable[[Any], Any]  # of a float or a numpy array of repetitions; plain arithmetic serves both
Formula = tuple[Multiplier, Callable[[float], float]]  # multiplier by repetitions, repetitions by multiplier


def _line(doubles_at: float) -> Formula:
    """1 + r/n: the maximum is twice the load at n repetitions."""
    return lambda r: 1 + r / doubles_at, lambda m: doubles_at * (m - 1)


def _falling_line(top: float, at_none: float, each: float) -> Formula:
    """t / (a − b·r): the part of the maximum that is lifted falls by the same with each repetition."""
    return lambda r: top / (at_none - each * r), lambda m: (at_none - top / m) / each


def _falling_curve(least: float, more: float, rate: float) -> Formula:
    """100 / (a + b·e^(−k·r)): % of the maximum falls towards a, where repetitions have no end."""

    def repetitions(multiplier: float) -> float:
        above = (100 / multiplier - least) / more
        return math.inf if above <= 0 else -math.log(above) / rate

    return lambda r: 100 / (least + more * math.e ** (-rate * r)), repetitions


FORMULAS: dict[str, Formula] = {
    "epley": _line(30),  # Epley B, 1985 (from memory), form read on a calculator page
    "brzycki": _falling_line(36, 37, 1),  # Brzycki M, 1993, JOPERD 64(1):88-90; breaks at r = 37
    "lombardi": (lambda r: r**0.10, lambda m: float(m**10)),  # Lombardi VP, 1989
    "lander": _falling_line(100, 101.3, 2.67123),  # Lander J, 1985, NSCA J 6(6):60-61; breaks at r = 37.92
    "mayhew": _falling_curve(52.2, 41.9, 0.055),  # Mayhew JL et al., 1992
    "oconner": _line(40),  # O'Conner B et al., 1989: 0.025 a repetition
    "wathan": _falling_curve(48.8, 53.8, 0.075),  # Wathen D, 1994
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
    return float(load) if repetitions == 1 else float(load * FORMULAS[formula][0](repetitions))


def repetitions_at(load: float, maximum: float, formula: str) -> float:
    """Return the repetitions to failure that the formula expects at `load`; below one: too heavy for any.

    The formula that estimated the maximum: any other would not give back the repetitions it was estimated from.
    """
    return FORMULAS[formula][1](maximum / load)
