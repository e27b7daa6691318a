"""Estimated one-repetition maxima: published formulas, a load chart, and how far they may be trusted.

A formula is a multiplier of the load: maximum = load × multiplier(repetitions), repetitions to failure. Its
inverse says how many repetitions a load allows, so that both directions agree whichever formula is chosen.
Nobody has validated putting repetitions + those in reserve into one, so every result is an estimate, shown
± 10 %. All of them come from large lifts: raises are steered by repetitions instead
(planner/train/progression.py).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from library.errors import PlannerError, nearest
from planner.method import TRAIN, TrainSettings

# The argument is a float or a numpy array of repetitions; plain arithmetic serves both.
Multiplier = Callable[[Any], Any]


@dataclass(frozen=True)
class Formula:
    """A formula both ways: multiplier of the load by repetitions, repetitions (a float) by multiplier (above 0)."""

    multiplier: Multiplier
    repetitions: Callable[[float], float]


def _line(doubles_at: float) -> Formula:
    """1 + r/n: the maximum is twice the load at n repetitions."""
    return Formula(lambda r: 1 + r / doubles_at, lambda m: doubles_at * (m - 1))


def _falling_line(top: float, at_none: float, each: float) -> Formula:
    """t / (a − b·r): the part of the maximum that is lifted falls by the same with each repetition."""
    return Formula(lambda r: top / (at_none - each * r), lambda m: (at_none - top / m) / each)


def _power(exponent: float) -> Formula:
    """r to a power."""
    return Formula(lambda r: r**exponent, lambda m: float(m ** (1 / exponent)))


def _falling_curve(least: float, more: float, rate: float) -> Formula:
    """100 / (a + b·e^(−k·r)): % of the maximum falls towards a, where repetitions have no end."""

    def repetitions(multiplier: float) -> float:
        above = (100 / multiplier - least) / more
        return math.inf if above <= 0 else -math.log(above) / rate

    return Formula(lambda r: 100 / (least + more * math.e ** (-rate * r)), repetitions)


FORMULAS: dict[str, Formula] = {
    "epley": _line(30),  # Epley B, 1985 (from memory), form read on a calculator page
    "brzycki": _falling_line(36, 37, 1),  # Brzycki M, 1993, JOPERD 64(1):88-90; breaks at r = 37
    "lombardi": _power(0.10),  # Lombardi VP, 1989
    "lander": _falling_line(100, 101.3, 2.67123),  # Lander J, 1985, NSCA J 6(6):60-61; breaks at r = 37.92
    "mayhew": _falling_curve(52.2, 41.9, 0.055),  # Mayhew JL et al., 1992
    "oconner": _line(40),  # O'Conner B et al., 1989: 0.025 a repetition
    "wathan": _falling_curve(48.8, 53.8, 0.075),  # Wathen D, 1994
}

# Handbook chart, % of maximum by repetitions to failure. 1-10 read in the NSCA load chart; 11, 12 and 15
# are the textbook rows, from memory (the chart prints 12 = 70); 13 and 14 are a straight line between them,
# not published.
PERCENT_OF_MAXIMUM: tuple[float, ...] = (100, 95, 93, 90, 87, 85, 83, 80, 77, 75, 70, 67, 66.3, 65.7, 65)


class UnknownFormula(PlannerError):
    """A formula name that nobody knows (exit 2)."""

    exit_code = 2


class TooManyRepetitions(PlannerError):
    """Repetitions (with those in reserve) beyond what a formula or the chart may be trusted with (exit 2)."""

    exit_code = 2


@dataclass(frozen=True)
class EstimatedMaximum:
    """An estimated one-repetition maximum in the unit of the load, with its ± share as low and high."""

    value: float
    low: float
    high: float
    formula: str


def formula_of(formula: str) -> Formula:
    """Return the named formula; an unknown name is refused with the nearest one."""
    if formula not in FORMULAS:
        raise UnknownFormula(
            f'unknown formula "{formula}"{nearest(formula, FORMULAS)} Known: {", ".join(FORMULAS)}.'
        )
    return FORMULAS[formula]


def multiplier(formula: str) -> Multiplier:
    """Return the multiplier of the named formula."""
    return formula_of(formula).multiplier


def one_repetition_maximum(load: float, repetitions: float, formula: str, most: float) -> float:
    """Estimate the maximum (unit of `load`) from `repetitions` to failure; one repetition is the load itself.

    Raises TooManyRepetitions above `most` and ValueError below one.
    """
    if repetitions < 1:
        raise ValueError(f"{repetitions:g} repetitions: at least one is needed")
    if repetitions > most:
        raise TooManyRepetitions(
            f"{repetitions:g} repetitions with those in reserve: no maximum is estimated above {most:g}."
        )
    return float(load) if repetitions == 1 else float(load * multiplier(formula)(repetitions))


def estimate_maximum(
    load: float, reps: float, rir: float, settings: TrainSettings = TRAIN
) -> EstimatedMaximum:
    """Estimate from a set of `reps` that left `rir` in reserve; raises like `one_repetition_maximum`."""
    value = one_repetition_maximum(load, reps + rir, settings.formula, settings.formula_reps_most)
    spread = settings.maximum_error_share
    return EstimatedMaximum(value, value * (1 - spread), value * (1 + spread), settings.formula)


def percent_of_maximum(repetitions: float) -> float:
    """Read the handbook chart: % of maximum at which so many repetitions (1-15) reach failure.

    Half repetitions count as the next whole one. Raises TooManyRepetitions past the chart.
    """
    row = math.ceil(repetitions)
    if row > len(PERCENT_OF_MAXIMUM):
        raise TooManyRepetitions(f"{repetitions:g} repetitions: the chart ends at {len(PERCENT_OF_MAXIMUM)}.")
    return PERCENT_OF_MAXIMUM[max(row, 1) - 1]


def load_for(maximum: float, reps: float, rir: float) -> float:
    """Return the load (unit of `maximum`) for `reps` that leave `rir` in reserve, by the handbook chart."""
    return maximum * percent_of_maximum(reps + rir) / 100


def repetitions_at(load: float, maximum: float, formula: str) -> float:
    """Return the repetitions to failure that the formula expects at `load`; below one: too heavy for any.

    The formula that estimated the maximum: any other would not give back the repetitions it was estimated from.
    """
    return formula_of(formula).repetitions(maximum / load)
