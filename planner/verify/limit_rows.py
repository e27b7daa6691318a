"""The printed table of limits: what is used, what is allowed, whether it binds, computed anew row by row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.method import Slack
from planner.verify.asked import allowance, grade
from planner.verify.clock import session_minutes
from planner.verify.finding import Check, Finding
from planner.verify.worth import profile, session_dose

if TYPE_CHECKING:
    from planner.verify.case import Case


@dataclass(frozen=True)
class Row:
    """One limit as the recheck sees it; `must_stand`: the table may not leave it out."""

    used: float
    allowed: float
    slack: float  # with more than this to spare it does not bind
    tolerance: float
    must_stand: bool = False


def joint_grade_sets(case: Case, region: str) -> float:
    """Σ g·x of the week in one region, and of sets elsewhere that have a day."""
    here = sum(grade(case, key, region) * sets for key, sets in case.sets_in_week().items())
    elsewhere = case.brief.elsewhere.items()
    return here + sum(grade(case, key, region) * done.sets for key, done in elsewhere if done.day)


def grade_sets_over(case: Case, region: str) -> float:
    """Σ g·x of what was done in this week's sessions and elsewhere: it cannot be taken back."""
    here = sum(grade(case, key, region) * sets for key, sets in case.sets_done().items())
    elsewhere = case.brief.elsewhere.items()
    return here + sum(grade(case, key, region) * done.sets for key, done in elsewhere if done.day)


def joint_budget(case: Case, region: str) -> float | None:
    """G[r]: the method's for the region or for its allowance, else as the table of limits states it."""
    method = case.document.made_with.method
    for name in (f"joint_budget_{region}", f"joint_budget_{allowance(case, region)}"):
        if isinstance(method.get(name), int | float):
            return float(method[name])
    stated = [row.allowed for row in case.document.limits if row.limit == f"joints:{region}"]
    return stated[0] if stated else None


def trapezius_use(case: Case, sets: Mapping[str, int]) -> float:
    """Σ v[e]·x / Σ x: mean profile of the sets for the watched head that has most of it; 0 without sets."""
    whole = sum(sets.values())
    sums = (sum(profile(case, key, head) * count for key, count in sets.items()) for head in case.watched)
    return max(sums, default=0.0) / whole if whole else 0.0


def trapezius_excess(case: Case, sets: Mapping[str, int]) -> float:
    """Σ (v[e] − V)·x of the sets, for the watched head that has most of it."""
    return (trapezius_use(case, sets) - case.number("trapezius_level")) * sum(sets.values())


def _session_rows(case: Case) -> Iterator[tuple[str, Row]]:
    slack, tolerance = Slack(), case.tolerance
    most, cap = case.number("exercises_per_session"), case.number("session_hard_cap_sets")
    for session in case.open_sessions:
        minutes = session_minutes(case, session)
        yield (
            f"time:{session.id}",
            Row(minutes, session.minutes.allowed, slack.minutes, tolerance.minutes, True),
        )
        yield f"exercises:{session.id}", Row(len(session.exercises), most, slack.exercises, 0, True)
        for head in case.trained:
            dose = session_dose(case, session, head)
            yield f"session_hard_cap:{head}:{session.id}", Row(dose, cap, slack.sets, tolerance.dose)


def rows(case: Case) -> dict[str, Row]:
    """Every limit that a table may name, by name, used and allowed in the limit's unit."""
    slack, tolerance = Slack(), case.tolerance
    table = dict(_session_rows(case))
    used = len(case.sets_in_week())
    table["exercises:week"] = Row(used, case.number("exercises_per_week"), slack.exercises, 0, True)
    for region in case.library.regions:
        budget = joint_budget(case, region)
        if budget is not None:
            grade_sets = joint_grade_sets(case, region)
            table[f"joints:{region}"] = Row(grade_sets, budget, slack.grade_sets, tolerance.full)
    if case.brief.preferences.trapezius:
        sets = case.sets_in_week()
        level = case.number("trapezius_level")
        use = trapezius_use(case, sets)
        # a week without sets has no mean to print
        table["trapezius"] = Row(use, level, slack.ratio, tolerance.dose, must_stand=bool(sets))
    return table


def limits_named(case: Case) -> Iterator[Finding]:
    """Every limit in the table exists and stands there once; none that must stand there is left out."""
    known, stated = rows(case), Counter(row.limit for row in case.document.limits)
    for name, times in stated.items():
        if name not in known:
            yield Finding("misstates", "limit", "no such limit", name)
        elif times > 1:
            yield Finding("misstates", f"limit {name}", f"stated {times} times", "once")
    for name, row in known.items():
        if row.must_stand and name not in stated:
            yield Finding("misstates", f"limit {name}", row.used, "nothing")


def limits_used(case: Case) -> Iterator[Finding]:
    """Printed use = Σ recomputed."""
    known = rows(case)
    for stated in case.document.limits:
        row = known.get(stated.limit)
        if row and abs(row.used - stated.used) > row.tolerance:
            yield Finding("misstates", f"limit {stated.limit}, used", row.used, stated.used, stated.unit)


def limits_allowed(case: Case) -> Iterator[Finding]:
    """Printed allowance = the brief's or the method's."""
    known = rows(case)
    for stated in case.document.limits:
        row = known.get(stated.limit)
        if row and abs(row.allowed - stated.allowed) > case.tolerance.full:
            yield Finding(
                "misstates", f"limit {stated.limit}, allowed", row.allowed, stated.allowed, stated.unit
            )


def limits_bind(case: Case) -> Iterator[Finding]:
    """A full limit binds; one with room for another block does not; in between either word will do."""
    known = rows(case)
    for stated in case.document.limits:
        row = known.get(stated.limit)
        if row is None:
            continue
        left = row.allowed - row.used
        full = left <= case.tolerance.full and bool(case.sets_in_week())  # an empty week is held by nothing
        if (full and not stated.binds) or (left > row.slack and stated.binds):
            word = "binds" if stated.binds else "does not bind"
            yield Finding("misstates", f"limit {stated.limit}", f"{left:.4g} {stated.unit} to spare", word)


CHECKS: tuple[Check, ...] = (limits_named, limits_used, limits_allowed, limits_bind)
