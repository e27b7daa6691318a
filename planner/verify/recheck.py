"""Recheck a week: every limit, goal, dose and number, by sums of its own (DESIGN §3.2, §3.3)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from planner.athlete.brief import DAYS
from planner.errors import BrokenPlan
from planner.verify import caution, goals, limits, printed
from planner.verify.case import Case, Check, Finding, OwnProfiles

if TYPE_CHECKING:
    from library.pooled_head import PooledHead
    from library.read import Library
    from planner.athlete.brief import Brief
    from planner.athlete.gym import Gym
    from planner.document import WeekDocument

CHECKS: tuple[Check, ...] = (*limits.CHECKS, *goals.CHECKS, *printed.CHECKS, *caution.CHECKS)


def names_known(case: Case) -> Iterator[Finding]:
    """Exercises, replacements and heads ∈ library, gyms ∈ gyms, days ∈ Mon … Sun."""
    exercises, heads = case.library.exercises, {line.head for line in case.document.dose}
    for session, planned in case.planned():
        heads |= set(planned.credits)
        for key in (planned.exercise, *(other.exercise for other in planned.instead)):
            if key not in exercises:
                yield Finding("misstates", f"{session.id}: exercise", "no such exercise in the library", key)
    for head in sorted(heads - set(case.library.heads)):
        yield Finding("misstates", "head", "no such head in the library", head)
    for session in case.document.sessions:
        if session.gym not in case.gyms:
            yield Finding("misstates", f"{session.id}: gym", "no such gym", session.gym)
        if session.day not in DAYS:
            yield Finding("misstates", f"{session.id}: day", "no such day", session.day)


KNOWN: tuple[Check, ...] = (names_known, *caution.KNOWN)


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
    unknown = [finding for check in KNOWN for finding in check(case)]
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
        lines = "\n".join(f"- {finding}" for finding in findings)
        raise BrokenPlan(f"The week of {document.athlete} fails its recheck and is not printed:\n{lines}")
