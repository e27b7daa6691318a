"""Pins: what the coach has decided stands, unless it breaks a hard limit; then it is refused with the reason."""

from __future__ import annotations

from collections.abc import Iterator

from library.equipment import with_included
from planner.week.build import Inputs, reason_out
from planner.week.limits.admission import lacks
from planner.week.problem import Problem


def refused_pins(inputs: Inputs, problem: Problem) -> list[str]:
    """Say of each pin that breaks a hard limit which one, and of pins that together overrun a session's time."""
    refused = [
        f"brief.toml: preferences.pin.{key}: {pin.sets} sets on {pin.day}: {reason}"
        for key, pin in inputs.brief.preferences.pin.items()
        if pin.day not in inputs.states and (reason := pin_reason(inputs, key, pin.day))
    ]
    return refused or list(overrun(problem))


def pin_reason(inputs: Inputs, key: str, day: str) -> str:
    """Say why one pin cannot stand; an empty text if it can."""
    exercise = inputs.library.exercises[key]
    reason = reason_out(inputs, exercise)
    if reason:
        return f"{reason}. Unpin it, or change the limit that it breaks"
    gym = next(session.gym for session in inputs.brief.session if session.day == day)
    missing = lacks(exercise, with_included(inputs.gyms[gym].equipment))
    if missing:
        return f"gym {gym} lacks {', '.join(missing)}. Pin it on a day in another gym, or add it to gym.toml"
    return ""


def overrun(problem: Problem) -> Iterator[str]:
    """Name each session whose pins alone need more time, or more exercises, than it has."""
    for session in problem.sessions:
        if session.frozen:
            continue
        pinned = {key: sets for (key, day), sets in problem.pins.items() if day == session.id}
        seconds = sum(problem.candidate(key).seconds(sets) for key, sets in pinned.items())
        names = ", ".join(pinned)
        if seconds > session.seconds:
            yield (
                f"brief.toml: preferences.pin: {names} on {session.id} take {seconds / 60:.1f} min of the "
                f"{session.seconds / 60:.0f} min after the warm-up. Pin fewer sets or give the session more minutes"
            )
        most = problem.settings.exercises_per_session
        if len(pinned) > most:
            yield (
                f"brief.toml: preferences.pin: {len(pinned)} exercises on {session.id} ({names}), at most {most} "
                "fit on a sheet. Pin fewer"
            )
