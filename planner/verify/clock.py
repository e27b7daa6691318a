"""Seconds and minutes, computed anew from what the sheet prints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.document import PlannedExercise, PlannedSession
    from planner.verify.case import Case

SECONDS_PER_MINUTE = 60
PAIR = 2


def set_seconds(planned: PlannedExercise) -> int:
    """t = work·sides + rest."""
    return planned.work_s * planned.sides + planned.rest_s


def exercise_seconds(case: Case, planned: PlannedExercise) -> float:
    """t·sets + set-up + warm-up sets·65·sides − rest: no rest follows the last set."""
    warm_up = planned.warmup_sets * case.number("warmup_set_seconds") * planned.sides
    return planned.sets * set_seconds(planned) + planned.setup_s + warm_up - planned.rest_s


def blocks(session: PlannedSession) -> list[list[PlannedExercise]]:
    """Exercises of a session by their block letter: one alone, or two that are done in turns."""
    by_letter: dict[str, list[PlannedExercise]] = {}
    for planned in session.exercises:
        by_letter.setdefault(planned.block, []).append(planned)
    return list(by_letter.values())


def block_seconds(case: Case, block: Sequence[PlannedExercise]) -> float:
    """One alone: t·sets + u. Two in turns: both set-ups and warm-ups, then every round t₁ + swap + t₂ + rest.

    The rest of a round is the longer of the two; none follows the last round. Sets that one has more than the
    other are done by themselves.
    """
    if len(block) != PAIR:
        return sum(exercise_seconds(case, planned) for planned in block)
    rounds, rest = min(planned.sets for planned in block), max(planned.rest_s for planned in block)
    before = sum(exercise_seconds(case, planned) - planned.sets * set_seconds(planned) for planned in block)
    ready = before + sum(planned.rest_s for planned in block)
    working = sum(planned.work_s * planned.sides for planned in block)
    left_over = sum((planned.sets - rounds) * set_seconds(planned) for planned in block)
    return ready + rounds * (working + case.number("pair_swap_seconds") + rest) + left_over - rest


def session_minutes(case: Case, session: PlannedSession) -> float:
    """General warm-up + Σ blocks / 60; an empty session takes no time at all."""
    if not session.exercises:
        return 0.0
    seconds = sum(block_seconds(case, block) for block in blocks(session))
    return case.number("general_warmup_minutes") + seconds / SECONDS_PER_MINUTE
