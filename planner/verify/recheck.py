"""Recheck a week: every limit, goal, dose and number, by sums of its own."""

from collections.abc import Iterator, Mapping
from typing import Any

from library.pooled_head import PooledHead
from library.read import Library
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.document import WeekDocument
from planner.errors import BrokenPlan
from planner.verify import caution, goals, limits, printed
from planner.verify.case import Case, Check, Finding
from planner.verify.sums import replaced

NOTHING: Mapping[str, Any] = {}


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


def replacements(case: Case) -> Iterator[Finding]:
    """What is offered when a station is taken, each by itself: breaks no limit and no must that held before it."""
    rules = [rule for rule in limits.HARD if rule is not limits.blocks and rule is not limits.pins]
    before = {finding.what for rule in (*rules, goals.musts_hold) for finding in rule(case)}
    for session, planned in case.planned("planned"):
        for other in planned.instead:
            most = max(case.number("largest_block_sets"), planned.sets)
            reasons = [] if 1 <= other.sets <= most else [f"{other.sets} sets"]
            if any(line.exercise == other.exercise for line in session.exercises):
                reasons.append("in this session already")
            line = replaced(case, other.exercise, other.sets).model_copy(update={"block": planned.block})
            lines = [line if each is planned else each for each in session.exercises]
            instead = case.with_sessions({session.id: lines})
            after = (finding for rule in (*rules, goals.musts_hold) for finding in rule(instead))
            reasons += [f"{each.what} {each.found}" for each in after if each.what not in before]
            if reasons:
                what = f"{session.id}: {other.exercise} instead of {planned.exercise}"
                yield Finding("breaks", what, ", ".join(reasons), "what keeps every limit and must by itself")


CHECKS: tuple[Check, ...] = (*limits.CHECKS, *goals.CHECKS, replacements, *printed.CHECKS, *caution.CHECKS)
KNOWN: tuple[Check, ...] = (names_known, *caution.KNOWN)


def recheck(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    gyms: Mapping[str, Gym],
    last_week: WeekDocument | None = None,
    pooled: Mapping[str, PooledHead] | None = None,
    barred: Mapping[str, str] = NOTHING,
    capped: Mapping[str, int] = NOTHING,
) -> list[Finding]:
    """Return every disagreement between a week and the sums done again; an empty list is a pass.

    `pooled`: the athlete's log ratios by head, own recordings and the spread between persons in them; None: the
    library's. `barred` (exercise: reason) and `capped` (exercise: most sets) say what pain does this week.
    A plan that names what nobody knows is not computed any further.
    """
    case = Case(document, library, brief, gyms, last_week, pooled, barred, capped)
    unknown = [finding for check in KNOWN for finding in check(case)]
    return unknown or [finding for check in CHECKS for finding in check(case)]


def assert_sound(document: WeekDocument, *made_from: Any) -> None:
    """Raise BrokenPlan with every finding in words unless the week passes `recheck` of the same."""
    findings = recheck(document, *made_from)
    if findings:
        lines = "\n".join(f"- {finding}" for finding in findings)
        raise BrokenPlan(f"The week of {document.athlete} fails its recheck and is not printed:\n{lines}")
