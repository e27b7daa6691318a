"""The hard limits, recomputed from the printed plan (DESIGN §3.3): each must hold, whatever it says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.verify.asked import barred, missing_equipment, over_grade
from planner.verify.blocks import pinned, smallest_block
from planner.verify.clock import session_minutes
from planner.verify.finding import Check, Finding
from planner.verify.limit_rows import (
    grade_sets_over,
    joint_budget,
    joint_grade_sets,
    trapezius_excess,
    trapezius_use,
)
from planner.verify.worth import session_dose

if TYPE_CHECKING:
    from planner.verify.case import Case


def time(case: Case) -> Iterator[Finding]:
    """Warm-up + Σe (t·x + u) / 60 ≤ M[d], M[d] from the brief where it has the day. What is over kept its time."""
    asked_minutes: dict[str, float] = {session.day: session.minutes for session in case.brief.session}
    for session in case.open_sessions:
        used, allowed = (
            session_minutes(case, session),
            asked_minutes.get(session.day, session.minutes.allowed),
        )
        if used > allowed + case.tolerance.full:
            yield Finding("breaks", f"{session.id}: minutes", used, allowed, "min")


def blocks(case: Case) -> Iterator[Finding]:
    """2 (lighter week 1) ≤ x[e,d] ≤ 4 sets of every planned exercise; a pinned one has the pin's sets instead."""
    smallest, largest = smallest_block(case), case.number("largest_block_sets")
    for session, planned in case.still_planned():
        pin = case.brief.preferences.pin.get(planned.exercise)
        if pin and pin.day == session.day:
            continue
        if not smallest <= planned.sets <= largest:
            bound = smallest if planned.sets < smallest else largest
            yield Finding("breaks", f"{session.id}: sets of {planned.exercise}", planned.sets, bound, "sets")


def once_a_session(case: Case) -> Iterator[Finding]:
    """An exercise stands at most once in a session: its sets are one block."""
    for session in case.document.sessions:
        for key, times in Counter(planned.exercise for planned in session.exercises).items():
            if times > 1:
                yield Finding("breaks", f"{session.id}: blocks of {key}", times, 1, "blocks")


def exercises_per_session(case: Case) -> Iterator[Finding]:
    """Σe y[e,d] ≤ 6."""
    for session in case.open_sessions:
        if len(session.exercises) > case.number("exercises_per_session"):
            allowed = case.number("exercises_per_session")
            yield Finding("breaks", f"{session.id}: exercises", len(session.exercises), allowed, "exercises")


def exercises_per_week(case: Case) -> Iterator[Finding]:
    """Σe z[e] ≤ 9 different exercises, or those that were done already."""
    used = len(case.sets_in_week())
    allowed = max(case.number("exercises_per_week"), len(case.sets_done()))
    if used > allowed:
        yield Finding("breaks", "different exercises in the week", used, allowed, "exercises")


def pins(case: Case) -> Iterator[Finding]:
    """x[e,d] = the sets that the coach pinned to that day (lighter week: half), if it is still to come."""
    for key, pin in case.brief.preferences.pin.items():
        if any(session.day == pin.day and session.state != "planned" for session in case.document.sessions):
            continue
        found = sum(p.sets for s, p in case.planned() if p.exercise == key and s.day == pin.day)
        asked = pinned(case, pin.sets)
        if found != asked:
            yield Finding("breaks", f"{pin.day}: pinned sets of {key}", found, asked, "sets")


def room(case: Case) -> Iterator[Finding]:
    """needs[e] ⊆ equipment of the session's gym."""
    for session, planned in case.still_planned():
        lacking = missing_equipment(case, case.library.exercises[planned.exercise], session.gym)
        if lacking:
            what = f"{session.id}: {planned.exercise} needs"
            yield Finding("breaks", what, ", ".join(lacking), f"what gym {session.gym} has")


def joints(case: Case) -> Iterator[Finding]:
    """g[e,r] ≤ allowed grade: clear 2 (3 if preferred), careful 1 (2 with a change), avoid 1."""
    for session, planned in case.still_planned():
        for region, grade, allowed in over_grade(case, case.library.exercises[planned.exercise]):
            yield Finding("breaks", f"{session.id}: {planned.exercise} on {region}", grade, allowed, "grade")


def weekly_joint_budget(case: Case) -> Iterator[Finding]:
    """Σ g[e,r]·x ≤ G[r] for every region with a stated budget, sets elsewhere on a named day included.

    Where what is over is above G already, nothing is added to it.
    """
    for region in case.library.regions:
        used, allowed = joint_grade_sets(case, region), joint_budget(case, region)
        if allowed is not None and used > max(allowed, grade_sets_over(case, region)) + case.tolerance.full:
            yield Finding("breaks", f"joint stress on {region}", used, allowed, "grade-sets")


def never_planned(case: Case) -> Iterator[Finding]:
    """y[e,d] = 0 for excluded and compare-only exercises."""
    for session, planned in case.still_planned():
        reason = barred(case, case.library.exercises[planned.exercise])
        if reason:
            yield Finding("breaks", f"{session.id}: {planned.exercise}", reason, "nothing of the kind")


def trapezius(case: Case) -> Iterator[Finding]:
    """Σ (v[e] − V)·x ≤ 0, so Σ v·x / Σ x ≤ V, for every watched head, only where the brief asks.

    Where what was done is above that already, nothing is added to it.
    """
    if not case.brief.preferences.trapezius:
        return
    used, allowed = trapezius_use(case, case.sets_in_week()), case.number("trapezius_level")
    added = trapezius_excess(case, case.sets_in_week()) > trapezius_excess(case, case.sets_done())
    if used > allowed + case.tolerance.full and added:
        yield Finding("breaks", "mean profile of a set for a watched head", used, allowed)


def session_hard_cap(case: Case) -> Iterator[Finding]:
    """Σe c[e,h]·x[e,d] ≤ 24 a head and session."""
    allowed = case.number("session_hard_cap_sets")
    for session in case.open_sessions:
        for head in case.trained:
            used = session_dose(case, session, head)
            if used > allowed + case.tolerance.full:
                yield Finding("breaks", f"{session.id}: dose of {head}", used, allowed, "sets")


def replacements(case: Case) -> Iterator[Finding]:
    """What is offered when a station is taken obeys room, joints, wishes and the size of a block."""
    for session, planned in case.still_planned():
        for other in planned.instead:
            exercise = case.library.exercises[other.exercise]
            most = max(case.number("largest_block_sets"), planned.sets)
            reasons = [f"lacks {key}" for key in missing_equipment(case, exercise, session.gym)]
            reasons += [f"{region} grade {grade}" for region, grade, _ in over_grade(case, exercise)]
            reasons += [barred(case, exercise)] if barred(case, exercise) else []
            reasons += [] if 1 <= other.sets <= most else [f"{other.sets} sets"]
            if reasons:
                what = f"{session.id}: {other.exercise} instead of {planned.exercise}"
                yield Finding("breaks", what, ", ".join(reasons), "what the athlete may do in this gym")


def missed_are_empty(case: Case) -> Iterator[Finding]:
    """x[e,d] = 0 in a session that was missed."""
    for session in case.document.sessions:
        if session.state == "missed" and session.exercises:
            yield Finding("breaks", f"{session.id}: exercises in a missed session", len(session.exercises), 0)


CHECKS: tuple[Check, ...] = (
    time,
    blocks,
    once_a_session,
    exercises_per_session,
    exercises_per_week,
    pins,
    room,
    joints,
    weekly_joint_budget,
    never_planned,
    trapezius,
    session_hard_cap,
    replacements,
    missed_are_empty,
)
