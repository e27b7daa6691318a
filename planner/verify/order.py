"""The order inside a session: numbers, pairs, and stations that the client walks to once."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from planner.verify.asked import ALSO_THERE, wanted
from planner.verify.clock import PAIR, blocks
from planner.verify.finding import Check, Finding
from planner.verify.worth import credit, is_direct

if TYPE_CHECKING:
    from planner.document import PlannedExercise, PlannedSession
    from planner.verify.case import Case


def order_numbers(case: Case) -> Iterator[Finding]:
    """Order = 1, 2, …, n down the page."""
    for session in case.document.sessions:
        found = [planned.order for planned in session.exercises]
        if found != list(range(1, len(found) + 1)):
            stated = ", ".join(map(str, found))
            yield Finding("misstates", f"{session.id}: order", f"1 to {len(found)}", stated)


def pairs_asked(case: Case) -> Iterator[Finding]:
    """A block letter is shared by neighbours only: by 2 where the brief asks for pairs, else by nobody."""
    most = PAIR if case.brief.preferences.paired else 1
    for session in case.document.sessions:
        letters = [planned.block for planned in session.exercises]
        for letter in dict.fromkeys(letters):
            places = [place for place, other in enumerate(letters) if other == letter]
            if len(places) > most or places[-1] - places[0] != len(places) - 1:
                what = f"{session.id}: exercises in block {letter}"
                yield Finding("breaks", what, len(places), most, "neighbours")


def pairs_sound(case: Case) -> Iterator[Finding]:
    """Two in turns have as many sets, no head and no equipment in common, and neither is a heavy lift."""
    for session, one, other in _pairs(case):
        reasons = [f"{one.sets} and {other.sets} sets"] if one.sets != other.sets else []
        reasons += [f"both for {head}" for head in case.trained if _both_work(case, one, other, head)]
        reasons += [f"both at {key}" for key in sorted(_occupied(case, one) & _occupied(case, other))]
        reasons += [f"{lift.exercise} is a heavy lift" for lift in (one, other) if _heavy(case, lift)]
        if reasons:
            what = f"{session.id}: {one.exercise} in turns with {other.exercise}"
            yield Finding("breaks", what, ", ".join(reasons), "what can be done in turns")


def first_lift_alone(case: Case) -> Iterator[Finding]:
    """A session does not begin with a pair that holds a multi-joint lift."""
    for session, *pair in _pairs(case):
        lifts = [p.exercise for p in pair if case.library.exercises[p.exercise].multi_joint]
        if lifts and session.exercises[0] in pair:
            what = f"{session.id}: first exercises"
            yield Finding("breaks", what, f"{lifts[0]} in turns", "a multi-joint lift by itself")


def _pairs(case: Case) -> Iterator[tuple[PlannedSession, PlannedExercise, PlannedExercise]]:
    for session in case.document.sessions:
        for block in blocks(session):
            if len(block) == PAIR:
                yield session, block[0], block[1]


def _both_work(case: Case, one: PlannedExercise, other: PlannedExercise, head: str) -> bool:
    """Whether a head gets direct sets, or the most of the set, from both."""
    return all(_works(case, planned.exercise, head) for planned in (one, other))


def _works(case: Case, exercise: str, head: str) -> bool:
    worths = {each: credit(case, exercise, each) for each in wanted(case)}
    if not worths.get(head):
        return False
    # a tie that rounding makes or breaks is left to the planner
    others = [worth for each, worth in worths.items() if each != head]
    return is_direct(case, exercise, head) or worths[head] > max(others, default=0) + case.tolerance.credit


def _occupied(case: Case, planned: PlannedExercise) -> frozenset[str]:
    needs = _needs(case, planned)
    return needs | {also for key in needs for also in ALSO_THERE.get(key, ())}


def _heavy(case: Case, planned: PlannedExercise) -> bool:
    multi_joint = case.library.exercises[planned.exercise].multi_joint
    return multi_joint and planned.warmup_sets >= case.number("pair_heavy_warmup_sets")


def _needs(case: Case, planned: PlannedExercise) -> frozenset[str]:
    return frozenset(case.library.exercises[planned.exercise].needs)


def stations_once(case: Case) -> Iterator[Finding]:
    """No i < j < k with needs[i] = needs[k] ≠ ∅ and needs[j] ∩ needs[i] = ∅, i and k alone in their blocks.

    A pair stands at two stations at once, so that some walks cannot be spared.
    """
    for session in case.document.sessions:
        together = {planned.exercise: block for block in blocks(session) for planned in block}
        for first, between, last in combinations(session.exercises, 3):
            station = _needs(case, first)
            there = frozenset().union(*(_needs(case, one) for one in together[between.exercise]))
            alone = len(together[first.exercise]) == len(together[last.exercise]) == 1
            if station and station == _needs(case, last) and there and not station & there and alone:
                what = f"{session.id}: {last.exercise} goes back to the station of {first.exercise}"
                yield Finding("breaks", what, "2 visits", "1 visit")


CHECKS: tuple[Check, ...] = (order_numbers, pairs_asked, pairs_sound, first_lift_alone, stations_once)
