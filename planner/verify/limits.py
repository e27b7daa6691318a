"""The hard limits, recomputed from the printed plan, and the printed table of them (DESIGN §3.3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from planner.method import Slack
from planner.verify.asked import allowance, faults, grade, pinned, smallest_block
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.sums import profile, session_dose, session_minutes


def time(case: Case) -> Iterator[Finding]:
    """Warm-up + Σe (t·x + u) / 60 ≤ M[d], M[d] from the brief where it has the day. What is over kept its time."""
    written: dict[str, float] = {session.day: session.minutes for session in case.brief.session}
    for session in case.open_sessions:
        allowed = written.get(session.day, session.minutes.allowed)
        used = session_minutes(case, session)
        yield from exceeds(f"{session.id}: minutes", used, allowed, case.tolerance.full, "min")


def blocks(case: Case) -> Iterator[Finding]:
    """2 (lighter week 1) ≤ x[e,d] ≤ 4 sets, a pin's sets instead; an exercise is one block of a session."""
    smallest, largest = smallest_block(case), case.number("largest_block_sets")
    for session, planned in case.planned("planned"):
        pin = case.brief.preferences.pin.get(planned.exercise)
        if not smallest <= planned.sets <= largest and not (pin and pin.day == session.day):
            bound = smallest if planned.sets < smallest else largest
            yield Finding("breaks", f"{session.id}: sets of {planned.exercise}", planned.sets, bound, "sets")
    for session in case.document.sessions:
        for key, times in Counter(planned.exercise for planned in session.exercises).items():
            yield from exceeds(f"{session.id}: blocks of {key}", times, 1, unit="blocks")


def exercises(case: Case) -> Iterator[Finding]:
    """Σe y[e,d] ≤ 6 a session; Σe z[e] ≤ 9 a week, or what was done already; none in a missed session."""
    for session in case.document.sessions:
        allowed = {"planned": case.number("exercises_per_session"), "missed": 0}.get(session.state)
        if allowed is not None:
            yield from exceeds(f"{session.id}: exercises", len(session.exercises), allowed)
    allowed = max(case.number("exercises_per_week"), len(case.sets("done")))
    yield from exceeds("different exercises in the week", len(case.sets()), allowed, unit="exercises")


def pins(case: Case) -> Iterator[Finding]:
    """x[e,d] = the sets that the coach pinned to that day (lighter week: half), if it is still to come."""
    over = {session.day for session in case.document.sessions if session.state != "planned"}
    for key, pin in case.brief.preferences.pin.items():
        sets = sum(p.sets for s, p in case.planned() if p.exercise == key and s.day == pin.day)
        if pin.day not in over and sets != pinned(case, pin.sets):
            asked = pinned(case, pin.sets)
            yield Finding("breaks", f"{pin.day}: pinned sets of {key}", sets, asked, "sets")


def admitted(case: Case) -> Iterator[Finding]:
    """y[e,d] = 0 where pain, wishes, skill, the height of the arm, the room or a joint forbid it."""
    for session, planned in case.planned("planned"):
        if reasons := faults(case, planned.exercise, session.gym):
            what = f"{session.id}: {planned.exercise}"
            yield Finding("breaks", what, ", ".join(reasons), f"what the athlete may do in gym {session.gym}")


def grade_sets(case: Case, region: str, state: str = "") -> float:
    """Σ g·x of the week (of sessions in one state) in one region, and of sets elsewhere that have a day."""
    here = sum(grade(case, key, region) * sets for key, sets in case.sets(state).items())
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


def weekly_joint_budget(case: Case) -> Iterator[Finding]:
    """Σ g[e,r]·x ≤ G[r] for every region with a stated budget, sets elsewhere on a named day included.

    Where what is over is above G already, nothing is added to it.
    """
    for region in case.library.regions:
        allowed = joint_budget(case, region)
        if allowed is not None:
            allowed = max(allowed, grade_sets(case, region, "done"))
            used = grade_sets(case, region)
            yield from exceeds(f"joint stress on {region}", used, allowed, case.tolerance.full, "grade-sets")


def trapezius_use(case: Case, sets: Mapping[str, int]) -> float:
    """Σ v[e]·x / Σ x: mean profile of the sets for the watched head that has most of it; 0 without sets."""
    whole, watched = sum(sets.values()), case.heads("watched")
    sums = (sum(profile(case, key, head) * count for key, count in sets.items()) for head in watched)
    return max(sums, default=0.0) / whole if whole else 0.0


def trapezius(case: Case) -> Iterator[Finding]:
    """Σ (v[e] − V)·x ≤ 0, so Σ v·x / Σ x ≤ V, for every watched head, only where the brief asks.

    Where what was done is above that already, nothing is added to it.
    """
    allowed, week, done = case.number("trapezius_level"), case.sets(), case.sets("done")
    used = trapezius_use(case, week)
    more, before = ((trapezius_use(case, sets) - allowed) * sum(sets.values()) for sets in (week, done))
    if case.brief.preferences.trapezius and more > before:
        yield from exceeds("mean profile of a set for a watched head", used, allowed, case.tolerance.full)


def session_hard_cap(case: Case) -> Iterator[Finding]:
    """Σe c[e,h]·x[e,d] ≤ 24 a head and session."""
    allowed, slack = case.number("session_hard_cap_sets"), case.tolerance.full
    for session in case.open_sessions:
        for head in case.trained:
            used = session_dose(case, session, head)
            yield from exceeds(f"{session.id}: dose of {head}", used, allowed, slack, "sets")


def pain(case: Case) -> Iterator[Finding]:
    """Σd x[e,d] ≤ cap[e], or what is done and pinned: nothing kin to a painful movement gains sets."""
    pins, done = case.brief.preferences.pin, case.sets("done")
    for key, sets in case.sets().items():
        if key in case.capped:
            stands = done.get(key, 0) + (pinned(case, pins[key].sets) if key in pins else 0)
            yield from exceeds(f"sets of {key} after pain", sets, max(case.capped[key], stands), unit="sets")


@dataclass(frozen=True)
class Row:
    """One limit as the recheck sees it; `must_stand`: the table may not leave it out."""

    used: float
    allowed: float
    slack: float  # with more than this to spare it does not bind
    tolerance: float
    must_stand: bool = False


def _session_rows(case: Case) -> Iterator[tuple[str, Row]]:
    slack, tolerance = Slack(), case.tolerance
    most, cap = case.number("exercises_per_session"), case.number("session_hard_cap_sets")
    for session in case.open_sessions:
        used, allowed = session_minutes(case, session), session.minutes.allowed
        yield f"time:{session.id}", Row(used, allowed, slack.minutes, tolerance.minutes, True)
        yield f"exercises:{session.id}", Row(len(session.exercises), most, slack.exercises, 0, True)
        for head in case.trained:
            dose = session_dose(case, session, head)
            yield f"session_hard_cap:{head}:{session.id}", Row(dose, cap, slack.sets, tolerance.dose)


def rows(case: Case) -> dict[str, Row]:
    """Every limit that a table may name, by name, used and allowed in the limit's unit."""
    slack, tolerance, sets = Slack(), case.tolerance, case.sets()
    table = dict(_session_rows(case))
    most = case.number("exercises_per_week")
    table["exercises:week"] = Row(len(sets), most, slack.exercises, 0, True)
    for region in case.library.regions:
        budget = joint_budget(case, region)
        if budget is not None:
            used = grade_sets(case, region)
            table[f"joints:{region}"] = Row(used, budget, slack.grade_sets, tolerance.full)
    for key, cap in case.capped.items():
        table[f"pain:{key}"] = Row(sets.get(key, 0), cap, slack.sets, 0)
    if case.brief.preferences.trapezius:
        level, use = case.number("trapezius_level"), trapezius_use(case, sets)
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


def limits_stated(case: Case) -> Iterator[Finding]:
    """Printed use = Σ recomputed, printed allowance = the brief's or the method's.

    A full limit binds; one with room for another block does not; in between either word will do.
    """
    known = rows(case)
    for stated in case.document.limits:
        row = known.get(stated.limit)
        if row is None:
            continue
        what, unit = f"limit {stated.limit}", stated.unit
        yield from differs(f"{what}, used", row.used, stated.used, row.tolerance, unit)
        yield from differs(f"{what}, allowed", row.allowed, stated.allowed, case.tolerance.full, unit)
        left = row.allowed - row.used
        full = left <= case.tolerance.full and bool(case.sets())  # an empty week is held by nothing
        if (full and not stated.binds) or (left > row.slack and stated.binds):
            word = "binds" if stated.binds else "does not bind"
            yield Finding("misstates", what, f"{left:.4g} {unit} to spare", word)


HARD: tuple[Check, ...] = (
    time,
    blocks,
    exercises,
    pins,
    admitted,
    weekly_joint_budget,
    trapezius,
    session_hard_cap,
    pain,
)
CHECKS: tuple[Check, ...] = (*HARD, limits_named, limits_stated)
