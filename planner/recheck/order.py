"""The order inside a session: numbers, pairs, and stations that the client walks to once."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from planner.recheck.finding import Check, Finding

if TYPE_CHECKING:
    from planner.recheck.case import Case
    from planner.week.document import PlannedExercise

PAIR = 2


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


def _needs(case: Case, planned: PlannedExercise) -> frozenset[str]:
    return frozenset(case.library.exercises[planned.exercise].needs)


def stations_once(case: Case) -> Iterator[Finding]:
    """No i < j < k with needs[i] = needs[k] ≠ ∅ and needs[j] ∩ needs[i] = ∅, unless done in turns."""
    for session in case.document.sessions:
        for first, between, last in combinations(session.exercises, 3):
            station = _needs(case, first)
            in_turns = between.block in (first.block, last.block)
            away = _needs(case, between) and not station & _needs(case, between)
            if station and station == _needs(case, last) and away and not in_turns:
                what = f"{session.id}: {last.exercise} goes back to the station of {first.exercise}"
                yield Finding("breaks", what, "2 visits", "1 visit")


CHECKS: tuple[Check, ...] = (order_numbers, pairs_asked, stations_once)
