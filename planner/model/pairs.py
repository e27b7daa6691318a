"""Paired sets: two exercises of different heads alternate, so that one head rests while the other works.

n sets each, straight: n·(t₁ + rest₁) + n·(t₂ + rest₂); in turns: n·(t₁ + swap + t₂ + rest), with the longer of
both rests (training facts §10). Heavy first lifts are left alone: a trial lost load on them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from library.schema import with_included
from planner.document import Plan
from planner.method import WeekSettings
from planner.model.problem import Candidate, Problem

Pair = tuple[str, str]  # keys of two exercises done in turns


def straight_seconds(sets: int, work: int, rest: int) -> int:
    """Seconds of one exercise by itself: n·(t + rest)."""
    return sets * (work + rest)


def pair_seconds(sets: int, first: int, second: int, swap: int, rest: int) -> int:
    """Seconds of two exercises in turns: n·(t₁ + swap + t₂ + rest)."""
    return sets * (first + swap + second + rest)


def saved_seconds(settings: WeekSettings, one: Candidate, other: Candidate, sets: int) -> int:
    """Seconds that n sets each in turns take less than straight; as always, no rest follows the last set."""
    rest = max(one.rest_seconds, other.rest_seconds)
    straight = sum(
        straight_seconds(sets, e.work_seconds, e.rest_seconds) - e.rest_seconds for e in (one, other)
    )
    turns = pair_seconds(sets, one.work_seconds, other.work_seconds, settings.pair_swap_seconds, rest) - rest
    return straight - turns


def may_pair(settings: WeekSettings, one: Candidate, other: Candidate) -> bool:
    """Whether two exercises may alternate: no head in common, no equipment in common, neither a heavy lift."""
    if is_heavy(settings, one) or is_heavy(settings, other):
        return False
    if not worked(one) or not worked(other) or worked(one) & worked(other):
        return False
    return with_included(one.station).isdisjoint(with_included(other.station))


def worked(candidate: Candidate) -> frozenset[str]:
    """Heads that an exercise works: those with direct sets, and the one that gets most of it."""
    most = max(candidate.credits.values(), default=0.0)
    return candidate.direct | {head for head, credit in candidate.credits.items() if credit == most}


def is_heavy(settings: WeekSettings, candidate: Candidate) -> bool:
    """Whether a lift is heavy by its warm-up: multi-joint, with two lighter sets before the first hard one."""
    return candidate.multi_joint and candidate.warmup_sets >= settings.pair_heavy_warmup_sets


def pairs_of(problem: Problem, plan: Plan, day: str) -> tuple[Pair, ...]:
    """Pairs of a session that save most time together; none unless the brief asks for pairs.

    A multi-joint lift is in a pair only where another stands alone and can come first.
    """
    if not problem.paired:
        return ()
    sets = {key: count for (key, where), count in plan.items() if where == day}
    lifts = sorted((problem.candidate(key) for key in sets), key=lambda one: one.place)
    possible = {
        (one.key, other.key): saved
        for one, other in combinations(lifts, 2)
        if sets[one.key] == sets[other.key]
        and may_pair(problem.settings, one, other)
        and (saved := saved_seconds(problem.settings, one, other, sets[one.key])) > 0
    }
    best: tuple[Pair, ...] = ()
    for pairs in matchings(tuple(possible)):
        if sum(possible[pair] for pair in pairs) > sum(possible[pair] for pair in best):
            best = pairs if leaves_a_first_lift(lifts, pairs) else best
    return best


def matchings(possible: Sequence[Pair]) -> Iterator[tuple[Pair, ...]]:
    """All sets of pairs without a common exercise, in a fixed order."""
    if not possible:
        yield ()
        return
    (one, other), *rest = possible
    for pairs in matchings([pair for pair in rest if one not in pair and other not in pair]):
        yield ((one, other), *pairs)
    yield from matchings(rest)


def leaves_a_first_lift(lifts: Sequence[Candidate], pairs: Sequence[Pair]) -> bool:
    """Whether some multi-joint lift stands alone, if any is in a pair."""
    in_pairs = {key for pair in pairs for key in pair}
    multi_joint = {lift.key for lift in lifts if lift.multi_joint}
    return not multi_joint & in_pairs or bool(multi_joint - in_pairs)


def seconds_saved(problem: Problem, plan: Plan, day: str) -> int:
    """Seconds that the pairs of a session save."""
    return sum(
        saved_seconds(problem.settings, problem.candidate(one), problem.candidate(other), plan[one, day])
        for one, other in pairs_of(problem, plan, day)
    )


def seconds_of(problem: Problem, plan: Plan, key: str, day: str) -> float:
    """Seconds of one exercise in a session; of a pair, each has half of what they save."""
    straight = problem.candidate(key).seconds(plan[key, day])
    pair = next((pair for pair in pairs_of(problem, plan, day) if key in pair), None)
    if pair is None:
        return straight
    one, other = (problem.candidate(name) for name in pair)
    return straight - saved_seconds(problem.settings, one, other, plan[key, day]) / 2
