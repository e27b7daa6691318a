"""Seconds and minutes, computed anew from what the sheet prints."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.recheck.case import Case
    from planner.week.document import PlannedExercise, PlannedSession

SECONDS_PER_MINUTE = 60


def set_seconds(planned: PlannedExercise) -> int:
    """t = work·sides + rest."""
    return planned.work_s * planned.sides + planned.rest_s


def exercise_seconds(case: Case, planned: PlannedExercise) -> float:
    """t·sets + set-up + warm-up sets·65·sides − rest: no rest follows the last set."""
    warm_up = planned.warmup_sets * case.number("warmup_set_seconds") * planned.sides
    return planned.sets * set_seconds(planned) + planned.setup_s + warm_up - planned.rest_s


def has_pairs(session: PlannedSession) -> bool:
    """Whether two exercises of the session are done in turns (they share a block letter)."""
    return any(count > 1 for count in Counter(planned.block for planned in session.exercises).values())


def paired_minutes(case: Case, session: PlannedSession) -> float:
    """General warm-up + Σ printed minutes: how a pair's time is split between its two is the planner's."""
    return case.number("general_warmup_minutes") + sum(planned.minutes for planned in session.exercises)


def session_minutes(case: Case, session: PlannedSession) -> float:
    """General warm-up + Σe (t·x + u) / 60; an empty session takes no time at all."""
    if not session.exercises:
        return 0.0
    if has_pairs(session):
        return paired_minutes(case, session)
    seconds = sum(exercise_seconds(case, planned) for planned in session.exercises)
    return case.number("general_warmup_minutes") + seconds / SECONDS_PER_MINUTE


def rounding(case: Case, session: PlannedSession) -> float:
    """Minutes that recomputed time may be off: none, but a printed tenth an exercise for pairs."""
    return case.tolerance.minutes * len(session.exercises) if has_pairs(session) else case.tolerance.full
