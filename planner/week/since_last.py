"""What is different from last week, in words for the coach: kept, new, moved, and dropped with the reason."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan, WeekDocument, plan_of
from planner.model.aims import dose_value, rest_value
from planner.model.build import reason_out
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.plain import UNSHOWN_OF_TWO, WORTH, counted, day_name
from planner.week.holding import Holding


def since_last_week(
    inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument | None
) -> Iterator[str]:
    """Say what was kept, what is new and what was dropped against the week `before`; nothing in a first week."""
    if before is None:
        return
    names = names_in(inputs, before)
    then, now = (dict.fromkeys(key for key, _ in sets) for sets in (plan_of(before), plan))
    kept = [names[key] for key in now if key in then]
    yield f"Against week {before.week}: kept {', '.join(kept) or 'nothing'}."
    for key in now:
        if key not in then:
            yield f"New: {names[key]}."
    for key in then:
        if key not in now:
            yield f"Not planned again: {names[key]} ({why_dropped(inputs, problem, key)})."


def moved_since(inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument | None) -> Iterator[str]:
    """Say which exercises that stayed have other sets or other days than in the week `before`, and why."""
    if before is None:
        return
    names = names_in(inputs, before)
    moved = [f"{names[key]}, {places}" for key, places in moves(plan_of(before), plan)]
    if moved:
        yield f"Other sets or days: {'; '.join(moved)}."
        yield why_moved(problem, plan, before)


def names_in(inputs: Inputs, before: WeekDocument) -> dict[str, str]:
    """Give printed names, of exercises that left the library too."""
    names = {line.exercise: line.name for session in before.sessions for line in session.exercises}
    return names | {key: exercise.name for key, exercise in inputs.library.exercises.items()}


def moves(before: Plan, plan: Plan) -> Iterator[tuple[str, str]]:
    """Give each exercise that stayed with other sets or on other days: "4 sets on Monday (3 before)"."""
    for key in dict.fromkeys(key for key, _ in plan):
        days = dict.fromkeys(day for name, day in (*before, *plan) if name == key)
        changed = [day for day in days if before.get((key, day), 0) != plan.get((key, day), 0)]
        if changed and any(name == key for name, _ in before):
            yield (
                key,
                ", ".join(_place(before.get((key, day), 0), plan.get((key, day), 0), day) for day in changed),
            )


def _place(was: int, now: int, day: str) -> str:
    return f"{counted(now, 'set') if now else 'none'} on {day_name(day)} ({was or 'none'} before)"


def why_moved(problem: Problem, plan: Plan, before: WeekDocument) -> str:
    """Say why last week did not stay as it was: what it would break now, or what it would come to beside this one."""
    broken = Holding(problem).broken(plan_of(before))
    if broken:
        return f"Week {before.week} cannot stay as it was: what must hold this week rules it out."
    doses, rests = (
        [value(problem, sets) for sets in (plan_of(before), plan)] for value in (dose_value, rest_value)
    )
    if doses[0] - doses[1] >= UNSHOWN_OF_TWO:
        return (
            f"Why: as it was, week {before.week} would come to {doses[0]:.2f} missed sets now, this one comes "
            f"to {doses[1]:.2f}."
        )
    if rests[0] - rests[1] < UNSHOWN_OF_TWO:
        return f"Week {before.week} as it was would be as good: the two lie within the gap of the proof."
    return (
        f"Why: the dose is as good, and as it was week {before.week} would come to {rests[0]:.2f} {WORTH}, "
        f"this one comes to {rests[1]:.2f}."
    )


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
