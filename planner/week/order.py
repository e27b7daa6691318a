"""Order inside a session: priority head and multi-joint lifts first, no station visited twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.week.problem import Candidate, Problem

Rank = tuple[float, int, int, int]


def in_order(problem: Problem, keys: Sequence[str]) -> list[str]:
    """Put the exercises of one session in the order in which they are trained.

    Stations are taken one after the other, the one with the most urgent exercise first (large and multi-joint
    lifts first: ACSM 2009; the head of highest priority first: our choice).
    """
    candidates = [problem.candidate(key) for key in keys]
    priority = {goal.head: goal.priority for goal in problem.heads}
    station_rank: dict[tuple[str, ...], Rank] = {}
    for candidate in candidates:
        rank = urgency(candidate, priority)
        station_rank[candidate.station] = min(rank, station_rank.get(candidate.station, rank))
    ordered = sorted(
        candidates, key=lambda one: (station_rank[one.station], one.station, urgency(one, priority))
    )
    return [candidate.key for candidate in ordered]


def urgency(candidate: Candidate, priority: Mapping[str, float]) -> Rank:
    """Give a sort key: highest priority among its direct heads, multi-joint before single-joint, longest first."""
    wanted = max((priority[head] for head in candidate.direct if head in priority), default=0.0)
    return (-wanted, 0 if candidate.multi_joint else 1, -candidate.set_seconds, candidate.place)
