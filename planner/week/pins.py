"""Pins: what the coach has decided stands, unless it breaks a hard limit; then it is refused with the reason."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.admission import Admission, lacks, room_of
from planner.model.inputs import Inputs
from planner.model.limits import grade_sets, loud_sets, seconds_used
from planner.model.problem import Problem, SessionKind, dose_of
from planner.plain import ROUNDING, counted

PINS = "brief.toml: preferences.pin"


def refused_pins(inputs: Inputs, problem: Problem) -> list[str]:
    """Say of each pin that breaks a hard limit which one; if none does alone, of pins that do together."""
    admission = Admission(inputs)
    refused = [
        f"{PINS}.{key}: {counted(pin.sets, 'set')} on {pin.day}: {reason}"
        for key, pin in inputs.brief.preferences.pin.items()
        if pin.day not in inputs.states and (reason := pin_reason(admission, key, pin.day, pin.sets))
    ]
    return refused or list(overrun(problem))


def pin_reason(admission: Admission, key: str, day: str, sets: int) -> str:
    """Say why one pin cannot stand; an empty text if it can."""
    inputs = admission.inputs
    fewest, most = inputs.week.smallest_block_sets, inputs.week.largest_block_sets
    if not fewest <= sets <= most:
        return (
            f"an exercise has {fewest} to {most} sets in a session. Pin so many, share them between two days, or "
            "set largest_block_sets or smallest_block_sets in [method]"
        )
    exercise = inputs.library.exercises[key]
    reason = admission.reason(exercise)
    if reason:
        return f"{reason}. Unpin it, or change the limit that it breaks"
    gym = next(session.gym for session in inputs.brief.session if session.day == day)
    missing = lacks(exercise, room_of(inputs, gym))
    if missing:
        return f"gym {gym} lacks {', '.join(missing)}. Pin it on a day in another gym, or add it to gym.toml"
    return ""


def overrun(problem: Problem) -> Iterator[str]:
    """Say of pins that break a limit together which one, and by how much: of their session, then of the week."""
    for session in problem.sessions:
        if not session.frozen:
            yield from session_overrun(problem, session)
    yield from week_overrun(problem)


def session_overrun(problem: Problem, session: SessionKind) -> Iterator[str]:
    """Say where the pins of one session need more time, more exercises or more dose than it may hold."""
    pinned = {pair: sets for pair, sets in problem.pins.items() if pair[1] == session.id}
    names, settings = ", ".join(key for key, _ in pinned), problem.settings
    seconds = seconds_used(problem, pinned, session.id)
    if seconds > session.seconds:
        yield (
            f"{PINS}: {names} on {session.id} take {seconds / 60:.1f} min of the "
            f"{session.seconds / 60:.0f} min after the warm-up. Pin fewer sets or give the session more minutes"
        )
    most = settings.exercises_per_session
    if len(pinned) > most:
        yield f"{PINS}: {len(pinned)} exercises on {session.id} ({names}), at most {most} fit on a sheet. Pin fewer"
    for goal in problem.heads:
        dose, cap = dose_of(problem, pinned, goal.head), settings.session_hard_cap_sets
        if dose > cap + ROUNDING:
            yield (
                f"{PINS}: {names} on {session.id} give {goal.head} {dose:.1f} sets, never more than {cap:g} in a "
                "session. Pin fewer sets, or on more days"
            )


def week_overrun(problem: Problem) -> Iterator[str]:
    """Say where the pins of the week are too many exercises, too much for a joint, or too loud for the trapezius."""
    different = dict.fromkeys(key for key, _ in problem.pins)
    most = max(problem.settings.exercises_per_week, len({key for key, _ in problem.trained}))
    if len(different) > most:
        yield f"{PINS}: {len(different)} different exercises ({', '.join(different)}), at most {most} a week. Pin fewer"
    for budget in problem.joints:
        used = grade_sets(problem, problem.pins, budget.region)
        done = grade_sets(problem, problem.trained, budget.region)
        if used > max(budget.room, done) + ROUNDING:
            loading = [key for key in different if problem.candidate(key).grades.get(budget.region, 0)]
            yield (
                f"{PINS}: {', '.join(loading)} put {used:g} grade-sets on {budget.region}, "
                f"{budget.room:g} are left of {budget.allowed:g} a week. Pin fewer sets, or raise "
                "that budget in [method]"
            )
    if (
        problem.quiet_trapezius
        and quietest(problem) > max(0.0, loud_sets(problem, problem.trained)) + ROUNDING
    ):
        level = sum(problem.candidate(key).trapezius * sets for (key, _), sets in problem.pins.items())
        yield (
            f"{PINS}: {', '.join(different)} have a mean trapezius level of {level / sum(problem.pins.values()):.2f}, "
            f"at most {problem.settings.trapezius_level:g} is allowed, and nothing beside them brings it down. "
            "Pin other exercises, or take preferences.trapezius back"
        )


def quietest(problem: Problem) -> float:
    """Trapezius level above the one allowed, times sets, of the pins with the quietest exercises beside them.

    Never more than that of any week with these pins: time and the other limits are left out.
    """
    level = loud_sets(problem, problem.pins)
    for session in problem.sessions:
        free = problem.settings.exercises_per_session - sum(day == session.id for _, day in problem.pins)
        offers = sorted(
            min(
                (one.trapezius - problem.settings.trapezius_level) * sets
                for sets in problem.choices(one.key, session)
            )
            for one in problem.candidates
            if (one.key, session.id) not in problem.pins and problem.choices(one.key, session)
        )
        level += sum(min(0.0, offer) for offer in offers[: max(0, free)])
    return level
