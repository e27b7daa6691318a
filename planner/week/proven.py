"""What is proven of a solved week: value, bound and gap of both aims, and whether they are near enough."""

from __future__ import annotations

from planner.document import Proof
from planner.model.aims import dose_value, rest_value
from planner.model.problem import Problem
from planner.plain import ROUNDING
from planner.solve.solved import Solved


def is_proven(problem: Problem, solved: Solved) -> bool:
    """Whether no stop cut the search short and both gaps are within what is called proven."""
    settings = problem.settings
    dose_gap = solved.dose_best - solved.dose_bound
    rest_gap = rest_value(problem, solved.plan) - solved.rest_bound
    return (
        not solved.stopped
        and dose_gap <= settings.dose_gap_sets + ROUNDING
        and rest_gap <= settings.rest_gap_minutes + ROUNDING
    )


def proofs(problem: Problem, solved: Solved) -> tuple[Proof, Proof]:
    """State value, bound and gap of both aims, of the plan as printed."""
    dose, rest = dose_value(problem, solved.plan), rest_value(problem, solved.plan)
    return (
        proof("dose", dose, solved.dose_bound, "missed sets", solved.dose_seconds),
        proof("rest", rest, solved.rest_bound, "priced minutes", solved.rest_seconds),
    )


def proof(aim: str, value: float, bound: float, unit: str, seconds: float) -> Proof:
    """State one aim; a bound is never above the value it bounds."""
    value, bound = round(value, 3), round(min(bound, value), 3)
    gap = round(value - bound, 3)
    return Proof(aim=aim, value=value, bound=bound, gap=gap, unit=unit, seconds=round(seconds, 3))  # type: ignore[arg-type]
