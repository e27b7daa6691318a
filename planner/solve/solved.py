"""What solving gives back: the plan, and what is proven of it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.document import Plan


@dataclass(frozen=True)
class Solved:
    """A plan and what is proven: bounds of both aims (missed sets; priced minutes), seconds, and if stopped.

    `dose_best` is the best dose price found, `dose_bound` what no plan can beat; `rest_bound` holds among plans
    whose dose is within the tolerance of the best.
    """

    plan: Plan
    dose_best: float
    dose_bound: float
    rest_bound: float
    dose_seconds: float
    rest_seconds: float
    stopped: bool
