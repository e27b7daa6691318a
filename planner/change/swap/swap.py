"""One swap from end to end: read the plan in force, apply what was told, re-plan, compare."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from planner.athlete.folder import replaced
from planner.change.swap.apply import joined
from planner.change.swap.replan import Replanned, replan
from planner.change.swap.report import SwapReport, report, says_more
from planner.change.swap.standing import open_week
from planner.change.swap.still_cautious import no_longer_cautious, with_figures
from planner.change.swap.told import Known, Options, read_options
from planner.document import MadeChange, State, WeekDocument, states_of
from planner.model.inputs import Inputs
from planner.plain import counted, day_name
from planner.week.plan import Asked


@dataclass(frozen=True)
class Swapped:
    """What came of a swap: the report with the week that holds now, and what it was asked with.

    `document` is the week as re-planned; with `news` it says more than the one in force, and is to be written.
    """

    report: SwapReport
    document: WeekDocument
    asked: Asked
    news: bool


def swap_week(
    folder: Path,
    options: Options,
    today: datetime.date,
    week: str | None = None,
) -> Swapped:
    """Re-plan the newest week of an athlete's folder, or the one that is named; writes nothing.

    Raises FaultyInput (a file or option is wrong, no plan in force, plan and library out of step), NotCleared,
    NoWeekPossible.
    """
    standing = open_week(folder, today, week)
    in_force, inputs = standing.in_force, standing.filed.inputs
    known = Known(
        library=inputs.library,
        brief=inputs.brief,
        gyms=tuple(inputs.gyms),
        over=states_of(in_force),
        start=datetime.date.fromisoformat(in_force.week_start),
        today=today,
        before=in_force.changes,
    )
    told = read_options(options, known)
    changes = joined(in_force.changes, told.changes, inputs.brief, inputs.gyms, inputs.library)
    notes = list(without_effect(inputs, in_force.changes, told.changes))
    notes += [*taken_back(in_force, told.states or {}), *unpinned(inputs, told.states or {})]
    asked = standing.under(changes, told.states or {})
    earlier = replaced(folder, in_force.week)
    replanned = replan(asked, in_force, earlier)
    document = with_figures(replanned, standing, dict(earlier))
    news = says_more(in_force, document)
    if in_force.cautious and news and document.cautious is None:
        notes.append(no_longer_cautious(in_force.week, in_force.cautious))
    holds = document if news else in_force
    made = report(in_force, holds, replanned.back_to, emptied(replanned, in_force), tuple(notes))
    return Swapped(made, document, asked, news)


def taken_back(in_force: WeekDocument, states: Mapping[str, State]) -> Iterator[str]:
    """Say of each session that was called done, and now is missed, that its sets no longer count."""
    for session in in_force.sessions:
        if session.state == "done" and states.get(session.day) == "missed":
            sets = counted(sum(line.sets for line in session.exercises), "set")
            yield f"{day_name(session.day)} was called done before: its {sets} count no longer."


def unpinned(inputs: Inputs, states: Mapping[str, State]) -> Iterator[str]:
    """Say of each pin on a session that was missed that it holds no longer."""
    for key, pin in inputs.brief.preferences.pin.items():
        if states.get(pin.day) == "missed":
            name = inputs.library.exercises[key].name
            yield f"{name}: pinned on {day_name(pin.day)}, which was missed; its sets go where the week wants them."


def emptied(replanned: Replanned, in_force: WeekDocument) -> dict[str, str]:
    """Say of each session that had exercises why nothing can be trained there any more."""
    held = {session.id for session in in_force.sessions if session.exercises}
    return {
        session.id: f"Nothing can be trained in {session.gym} on {day_name(session.day)} now: the session is empty."
        for session in replanned.problem.sessions
        if session.id in held and not session.frozen and not possible(replanned, session.id)
    }


def possible(replanned: Replanned, session_id: str) -> bool:
    """Whether any block fits into a session."""
    problem = replanned.problem
    session = next(one for one in problem.sessions if one.id == session_id)
    return any(
        candidate.seconds(sets) <= session.seconds
        for candidate in problem.candidates
        for sets in problem.choices(candidate.key, session)
    )


def without_effect(
    inputs: Inputs, before: tuple[MadeChange, ...], told: tuple[MadeChange, ...]
) -> Iterator[str]:
    """Say of each change that it changes nothing: what is to go is not there, what is to come is there already."""
    library = inputs.library
    stands = joined(before, (), inputs.brief, inputs.gyms, library)
    for change in told:
        if joined(before, (change,), inputs.brief, inputs.gyms, library) == stands:
            option = (
                f"--minutes {change.name}={change.minutes}"
                if change.minutes
                else f"--{change.kind} {change.name}"
            )
            yield f"{option}: this is so already, nothing changes by it."
