"""Recheck a week: every limit, goal, dose and number, by sums of its own (DESIGN §3.2, §3.3)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from planner.errors import BrokenPlan
from planner.verify import blocks, caution, doses, goals, known, limit_rows, limits, numbers, order, proof
from planner.verify.case import Case, OwnProfiles
from planner.verify.finding import Check, Finding

if TYPE_CHECKING:
    from library.pooled_head import PooledHead
    from library.read import Library
    from planner.athlete.brief import Brief
    from planner.athlete.gym import Gym
    from planner.document import WeekDocument

CHECKS: tuple[Check, ...] = (
    *limits.CHECKS,
    *limit_rows.CHECKS,
    *doses.CHECKS,
    *blocks.CHECKS,
    *goals.CHECKS,
    *order.CHECKS,
    *numbers.CHECKS,
    *proof.CHECKS,
    *caution.CHECKS,
)


def recheck(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    gyms: Mapping[str, Gym],
    last_week: WeekDocument | None = None,
    own: OwnProfiles | None = None,
    pooled: Mapping[str, PooledHead] | None = None,
) -> list[Finding]:
    """Return every disagreement between a week and the sums done again; an empty list is a pass.

    `own`: the athlete's own profiles (head, then exercise: ratio to the anchor), which replace the library's.
    `pooled`: the ratios with their covariance; with it what is printed of a cautious week is drawn anew.
    A plan that names what nobody knows is not computed any further.
    """
    case = Case(document, library, brief, gyms, last_week, own, pooled)
    unknown = [finding for check in (*known.CHECKS, *caution.KNOWN) for finding in check(case)]
    return unknown or [finding for check in CHECKS for finding in check(case)]


def assert_sound(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    gyms: Mapping[str, Gym],
    last_week: WeekDocument | None = None,
    own: OwnProfiles | None = None,
    pooled: Mapping[str, PooledHead] | None = None,
) -> None:
    """Raise BrokenPlan with every finding in words unless the week passes `recheck`."""
    findings = recheck(document, library, brief, gyms, last_week, own, pooled)
    if findings:
        told = "\n".join(f"- {finding}" for finding in findings)
        raise BrokenPlan(f"The week of {document.athlete} fails its recheck and is not printed:\n{told}")
