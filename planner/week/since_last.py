"""What is different from last week, in words for the coach: kept, new, and dropped with the reason."""

from __future__ import annotations

from collections.abc import Iterator

from planner.week.build import Inputs, reason_out
from planner.week.document import WeekDocument
from planner.week.problem import Plan, Problem


def since_last_week(
    inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument | None
) -> Iterator[str]:
    """Say what was kept, what is new and what was dropped against the week `before`; nothing in a first week."""
    if before is None:
        return
    names = {key: exercise.name for key, exercise in inputs.library.exercises.items()}
    then = dict.fromkeys(line.exercise for session in before.sessions for line in session.exercises)
    now = dict.fromkeys(key for key, _ in plan)
    kept = [names[key] for key in now if key in then]
    yield f"Against week {before.week}: kept {', '.join(kept) or 'nothing'}."
    for key in now:
        if key not in then:
            yield f"New: {names[key]}."
    for key in then:
        if key not in now:
            yield f"Not planned again: {names.get(key, key)} ({why_dropped(inputs, problem, key)})."


def why_dropped(inputs: Inputs, problem: Problem, key: str) -> str:
    """Say why an exercise of last week is not planned again."""
    exercise = inputs.library.exercises.get(key)
    if exercise is None:
        return "the library no longer has it"
    reason = reason_out(inputs, exercise)
    if reason:
        return reason
    if key not in problem.rooms:
        return "no session's gym has what it needs"
    return "the week is better without it: see the goals missed"
