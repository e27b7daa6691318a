"""Time: a session's exercises fit into its minutes."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model import pairings
from planner.model.pairs import seconds_saved
from planner.model.problem import Problem
from planner.model.program import Program, Terms


def rows(program: Program) -> None:
    """Σe (t[e]·x[e,d] + u[e]·y[e,d]) − Σ saved·p[d] ≤ M[d] − warm-up, seconds a session.

    t = work · sides + rest, u = set-up + warm-up sets − rest (training facts §14), p pairs done in turns, only
    where the brief asks. Nothing to hold in a session that is over.
    """
    pairings.rows(program)
    for session in program.problem.sessions:
        terms: Terms = {}
        for candidate, day in program.pairs():
            if day.id == session.id:
                for sets, column in program.blocks[candidate.key, day.id].items():
                    terms[column] = candidate.seconds(sets)
        for column, pairing in program.turns.of.items():
            if pairing.day == session.id:
                terms[column] = -pairing.saved
        if not session.frozen:
            program.row(f"time:{session.id}", terms, high=session.seconds, unit="s")


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Minutes used and allowed of each session still to come, general warm-up included."""
    warmup_seconds = 60 * problem.settings.general_warmup_minutes
    shortest = min((c.seconds(problem.settings.smallest_block_sets) for c in problem.candidates), default=0)
    one_more_set = min((c.set_seconds for c in problem.candidates), default=0)
    for session in problem.sessions:
        if session.frozen:
            continue
        seconds = seconds_used(problem, plan, session.id)
        left = session.seconds - seconds
        yield LimitUse(
            limit=f"time:{session.id}",
            used=round((warmup_seconds + seconds) / 60, 1) if seconds else 0.0,
            allowed=round((warmup_seconds + session.seconds) / 60, 1),
            unit="min",
            binds=left < min(shortest, one_more_set),
        )


def seconds_used(problem: Problem, plan: Plan, day: str) -> int:
    """Seconds that a plan's exercises take in one session, general warm-up not included, pairs in turns."""
    straight = sum(
        problem.candidate(key).seconds(sets) for (key, session), sets in plan.items() if session == day
    )
    return straight - seconds_saved(problem, plan, day)
