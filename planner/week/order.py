"""Order inside a session: priority head and multi-joint lifts first, no station visited twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import count

from planner.week.instead import FURNITURE
from planner.week.problem import Candidate, Problem

Rank = tuple[float, int, int, int]
Stations = frozenset[str]


def in_order(problem: Problem, keys: Sequence[str]) -> list[str]:
    """Put the exercises of one session in the order in which they are trained.

    Among the orders that go back to as few stations as can be, the one with the most urgent exercises first
    (large and multi-joint lifts first: ACSM 2009; the head of highest priority first: our choice).
    """
    priority = {goal.head: goal.priority for goal in problem.heads}
    ranked = sorted((problem.candidate(key) for key in keys), key=lambda one: urgency(one, priority))
    orders = (first_order(ranked, frozenset(), frozenset(), returns) for returns in count())
    return next([candidate.key for candidate in order] for order in orders if order is not None)


def first_order(
    left: Sequence[Candidate], at: Stations, behind: Stations, returns: int
) -> list[Candidate] | None:
    """Find the first order of `left`, which is most urgent first, that goes back to at most `returns` stations.

    `at` are the stations where the client stands now, `behind` those that were left.
    """
    if not left:
        return []
    for candidate in left:
        here = station(candidate)
        rest = [other for other in left if other is not candidate]
        gone = (behind | at) - here
        back = len(here & behind)
        needed_again = gone & frozenset().union(*map(station, rest))
        if back + len(needed_again) <= returns:
            order = first_order(rest, here, gone, returns - back)
            if order is not None:
                return [candidate, *order]
    return None


def station(candidate: Candidate) -> Stations:
    """Equipment that makes the client walk: all that is occupied but a bench, which is pulled along."""
    return frozenset(candidate.station) - FURNITURE or frozenset(candidate.station)


def urgency(candidate: Candidate, priority: Mapping[str, float]) -> Rank:
    """Give a sort key: highest priority among its direct heads, multi-joint before single-joint, longest first."""
    wanted = max((priority[head] for head in candidate.direct if head in priority), default=0.0)
    return (-wanted, 0 if candidate.multi_joint else 1, -candidate.set_seconds, candidate.place)
