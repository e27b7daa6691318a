"""The hard limits, recomputed from the printed plan, and the printed table of them."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from planner.method import SLACK
from planner.verify.asked import allowance, faults, grade, pinned, smallest_block
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.sums import profile, session_dose, session_minutes


def blocks(case: Case) -> Iterator[Finding]:
    """2 (lighter week 1) ≤ x[e,d] ≤ 4 sets, or a pin's sets; an exercise is one block; none in a missed session."""
    smallest, largest = smallest_block(case), case.number("largest_block_sets")
    for session, planned in case.planned("planned"):
        pins = {(key, pin.day) for key, pin in case.brief.preferences.pins}
        if not smallest <= planned.sets <= largest and (planned.exercise, session.day) not in pins:
            bound = smallest if planned.sets < smallest else largest
            yield Finding("breaks", f"{session.id}: sets of {planned.exercise}", planned.sets, bound, "sets")
    for session in case.document.sessions:
        for key, times in Counter(planned.exercise for planned in session.exercises).items():
            most = 0 if session.state == "missed" else 1
            yield from exceeds(f"{session.id}: blocks of {key}", times, most, unit="blocks")


def pins(case: Case) -> Iterator[Finding]:
    """x[e,d] = the sets that the coach pinned to that day (lighter week: half), if it is still to come."""
    over = {session.day for session in case.document.sessions if session.state != "planned"}
    for key, pin in case.brief.preferences.pins:
        sets = sum(p.sets for s, p in case.planned() if p.exercise == key and s.day == pin.day)
        if pin.day not in over and sets != pinned(case, pin.sets):
            asked = pinned(case, pin.sets)
            yield Finding("breaks", f"{pin.day}: pinned sets of {key}", sets, asked, "sets")


def admitted(case: Case) -> Iterator[Finding]:
    """y[e,d] = 0 where pain, wishes, the day, skill, the height of the arm, the room or a joint forbid it."""
    for session, planned in case.planned("planned"):
        reasons = faults(case, planned.exercise, session.gym)
        if session.day in case.brief.preferences.not_on.get(planned.exercise, ()):
            reasons = (*reasons, f"not on {session.day}")
        if reasons:
            what = f"{session.id}: {planned.exercise}"
            yield Finding("breaks", what, ", ".join(reasons), f"what the athlete may do in gym {session.gym}")


class Row(NamedTuple):
    """One limit: what is used, what the table states as allowed, what can be held against the plan: `most`. `most` is
    more than allowed where sets that were done are above it already: then nothing is added to them."""

    used: float
    allowed: float
    most: float
    slack: float  # with more than this to spare it does not bind
    tolerance: float = 0.0
    must_stand: bool = False  # the table may not leave it out


def _session_rows(case: Case) -> Iterator[tuple[str, Row]]:
    """Warm-up + Σe (t·x + u) / 60 ≤ M[d] of the brief; Σe y ≤ 6; Σe c[e,h]·x ≤ 24 a head, of a session to come."""
    slack, tolerance = SLACK, case.tolerance
    count, cap = case.number("exercises_per_session"), case.number("session_hard_cap_sets")
    written: dict[str, float] = {session.day: session.minutes for session in case.brief.session}
    for session in case.open_sessions:
        used, allowed = session_minutes(case, session), session.minutes.allowed
        most = written.get(session.day, allowed)
        yield f"time:{session.id}", Row(used, allowed, most, slack.minutes, tolerance.minutes, True)
        yield f"exercises:{session.id}", Row(len(session.exercises), count, count, slack.exercises, 0, True)
        for head in case.trained:
            dose = session_dose(case, session, head)
            yield f"session_hard_cap:{head}:{session.id}", Row(dose, cap, cap, slack.sets, tolerance.dose)


def rows(case: Case) -> dict[str, Row]:
    """Every limit that a table may name, by name; Σe z ≤ 9; Σ g·x ≤ G[r]; after pain Σ x ≤ cap; Σ v·x / Σ x ≤ V."""
    slack, sets, done = SLACK, case.sets(), case.sets("done")
    table, count = dict(_session_rows(case)), case.number("exercises_per_week")
    table["exercises:week"] = Row(len(sets), count, max(count, len(done)), slack.exercises, 0, True)
    for region in case.library.regions:
        budget = joint_budget(case, region)
        if budget is not None:
            used, most = grade_sets(case, region, sets), max(budget, grade_sets(case, region, done))
            table[f"joints:{region}"] = Row(used, budget, most, slack.grade_sets, case.tolerance.full)
    for key, cap in case.capped.items():
        asked = sum(pinned(case, pin.sets) for of, pin in case.brief.preferences.pins if of == key)
        stands = done.get(key, 0) + asked
        table[f"pain:{key}"] = Row(sets.get(key, 0), cap, max(cap, stands), slack.sets)
    if case.brief.preferences.trapezius:
        level, use = case.number("trapezius_level"), trapezius_use(case, sets)
        louder = (use - level) * sum(sets.values()) > (trapezius_use(case, done) - level) * sum(done.values())
        most = level if louder else max(level, use)
        # a week without sets has no mean to print
        table["trapezius"] = Row(use, level, most, slack.ratio, case.tolerance.dose, bool(sets))
    return table


def grade_sets(case: Case, region: str, sets: Mapping[str, int]) -> float:
    """Σ g·x in one region, and of sets elsewhere that have a day."""
    elsewhere = sum(grade(case, key, region) * d.sets for key, d in case.brief.elsewhere.items() if d.day)
    return elsewhere + sum(grade(case, key, region) * count for key, count in sets.items())


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
    whole, watched = sum(sets.values()), case.library.heads.keys() - set(case.trained)
    sums = (sum(profile(case, key, head) * count for key, count in sets.items()) for head in watched)
    return max(sums, default=0.0) / whole if whole else 0.0


def within(case: Case) -> Iterator[Finding]:
    """Used ≤ most, limit by limit."""
    for name, row in rows(case).items():
        yield from exceeds(f"use of {name}", row.used, row.most, case.tolerance.full)


def limits_stated(case: Case) -> Iterator[Finding]:
    """Every limit of the table exists and stands once, with its use and allowance; none that must stand is left out.
    A full limit binds; one with room for another block does not; in between either word will do."""
    known, times = rows(case), Counter(row.limit for row in case.document.limits)
    for name in known.keys() | times.keys():
        if name not in known or times[name] > 1 or (known[name].must_stand and not times[name]):
            once = "once" if name in known else "no such limit"
            yield Finding("misstates", f"limit {name}", once, f"{times[name]} times")
    for stated in case.document.limits:
        if (row := known.get(stated.limit)) is None:
            continue
        what, unit, left = f"limit {stated.limit}", stated.unit, row.allowed - row.used
        yield from differs(f"{what}, used", row.used, stated.used, row.tolerance, unit)
        yield from differs(f"{what}, allowed", row.allowed, stated.allowed, case.tolerance.full, unit)
        full = left <= case.tolerance.full and bool(case.sets())  # an empty week is held by nothing
        if (full and not stated.binds) or (left > row.slack and stated.binds):
            word = "binds" if stated.binds else "does not bind"
            yield Finding("misstates", what, f"{left:.4g} {unit} to spare", word)


HARD: tuple[Check, ...] = (blocks, pins, admitted, within)
CHECKS: tuple[Check, ...] = (*HARD, limits_stated)
