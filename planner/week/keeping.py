"""Whether a given plan keeps every hard limit and every goal that must hold, and what of an earlier plan can stay."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from planner.document import Plan
from planner.model.aims import dose_room, dose_value, misses, rest_value
from planner.model.limits import LIMITS, seconds_used
from planner.model.problem import Problem, exercises_in
from planner.model.program import Program, Row
from planner.plain import LAST_DIGITS, ROUNDING
from planner.solve.solve import BestDose, Solved

BY_THE_CLOCK = frozenset(
    {"time", "pairs"}
)  # kept by counting seconds: what pairs save hangs on the whole session
MUST_VARIETY = ("implements", "family")


class Keeping:
    """The hard rows of a problem, made once and held against any number of plans."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.program = Program(problem)
        for limit in LIMITS:
            limit.rows(self.program)
        limits = {limit.name for limit in LIMITS} - BY_THE_CLOCK
        self.hard = [row for row in self.program.rows if row.rule in limits]

    def broken(self, plan: Plan) -> list[str]:
        """Name what a plan breaks: blocks that cannot be, pins left out, limits overrun, goals that must hold."""
        impossible = [
            f"block:{key}:{day}"
            for (key, day), sets in plan.items()
            if sets not in self.program.blocks.get((key, day), ())
        ]
        if impossible:
            return impossible
        problem = self.problem
        unpinned = [f"pin:{key}:{day}" for (key, day), n in problem.pins.items() if plan.get((key, day)) != n]
        chosen = Counter(self.program.blocks[pair][sets] for pair, sets in plan.items())
        chosen.update({self.program.used[key] for key in exercises_in(plan)})
        rows = [row.name for row in self.hard if not within(row, chosen)]
        late = [
            f"time:{one.id}"
            for one in problem.open_sessions
            if seconds_used(problem, plan, one.id) > one.seconds
        ]
        return [*unpinned, *rows, *late, *self._musts(plan)]

    def _musts(self, plan: Plan) -> list[str]:
        must = [goal for goal in self.problem.heads if goal.must]
        allowed = {f"dose:{goal.head}": 0.0 for goal in must}
        allowed |= {f"ceiling:{goal.head}": max(0.0, goal.elsewhere - goal.ceiling) for goal in must}
        variety = MUST_VARIETY if self.problem.variety_must else ()
        return [
            miss.goal
            for miss in misses(self.problem, plan)
            if miss.by > allowed.get(miss.goal, miss.by) + ROUNDING or miss.goal.split(":")[0] in variety
        ]


def within(row: Row, chosen: Mapping[int, int]) -> bool:
    """Whether a row holds where the chosen columns have their counts and all others are 0."""
    total = sum(value * chosen[column] for column, value in row.terms.items() if column in chosen)
    return row.low - ROUNDING <= total <= row.high + ROUNDING


def still_possible(problem: Problem, plan: Plan) -> Plan:
    """Give the part of a plan that can still be trained: on days that are left, with what is there."""
    sessions = {session.id: session for session in problem.sessions}
    return {
        (key, day): sets
        for (key, day), sets in plan.items()
        if key in problem.by_key and day in sessions and sets in problem.choices(key, sessions[day])
    }


def can_stay(keeping: Keeping, plan: Plan, best: BestDose, room: float | None = None) -> bool:
    """Whether a plan breaks nothing and misses at most `room` priced sets more than the best; None: the tolerance."""
    most = best.value + (dose_room(keeping.problem) if room is None else room)
    return dose_value(keeping.problem, plan) <= most + LAST_DIGITS and not keeping.broken(plan)


def as_solved(problem: Problem, plan: Plan, best: BestDose) -> Solved:
    """Give a plan that stays as a solved problem: no other plan changes as little, so its rest is its own bound."""
    return Solved(
        plan=plan,
        dose_best=best.value,
        dose_bound=best.bound,
        rest_bound=rest_value(problem, plan),
        stopped=best.stopped,
        among="plans that change no more",
    )
