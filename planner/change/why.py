"""What holds one week back: the document of `planner why`, from the athlete's folder to the gains in order."""

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal

from library.read import Library
from planner.athlete.folder import in_force
from planner.change.easings import all_easings
from planner.change.gains import Gain, Tick, dose_gains, rest_gains
from planner.change.swap import open_week
from planner.change.why_text import InTheWay, goal_said, limit_said
from planner.document import Piece, WeekDocument
from planner.errors import NoWeekPossible
from planner.method import TOLD
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.plain import UNSAID, UNSHOWN, day_name, number
from planner.solve.solve import best_dose, solve_week
from planner.week.clash import Clash, clash_of, nearest_text
from planner.week.gather import Asked, gather
from planner.week.keeping import as_solved
from planner.week.plan import document_of, refused_pins

FREE_GOALS = ("booked", "twins", "next_day")


class Eased(Piece):
    """What easing one thing gives. `gain`: "exact" (solved again), "at most" (a bound), "none" (within `within`).

    `heads` are direct sets a week nearer to each target, `missed_sets` the same with the prices of the first
    aim, `priced_minutes` the second aim's gain, `minutes` what the week gets shorter by;
    `within` says how far an exact gain may be off, in missed sets or minutes' worth.
    """

    name: str
    words: str
    file: str
    where: str
    gain: Literal["exact", "at most", "none"]
    missed_sets: float
    heads: dict[str, float]
    priced_minutes: float
    minutes: float
    within: float
    stopped: bool
    medical: bool


class Why(Piece):
    """What `planner why --json` prints.

    `aim` says which aim the gains are of: "dose" where a target is missed (missed sets), else "rest" (priced
    minutes); "clash" where no week can be: then `clash` names the group and `nearest` the nearest week.
    """

    athlete: str
    week: str
    aim: Literal["dose", "rest", "clash"]
    value: float
    within: float
    binding: tuple[InTheWay, ...] = ()
    missed: tuple[InTheWay, ...] = ()
    eased: tuple[Eased, ...] = ()
    free: tuple[str, ...] = ()  # what would make the week better at no cost of dose
    clash: tuple[InTheWay, ...] = ()
    nearest: str = ""
    stopped: bool = False


def asked_for(folder: Path, today: datetime.date, week: str | None) -> tuple[Asked, WeekDocument | None]:
    """Give the week in force (or the named one, if it is planned) and its plan; else the week to plan, and none."""
    newest = in_force(folder, today)
    if newest is not None and week in (None, newest.week):
        standing = open_week(folder, today, newest.week)
        return standing.asked, standing.in_force
    return gather(folder, week, today), None


def why(asked: Asked, document: WeekDocument | None, tick: Tick) -> Why:
    """Find what holds a week back and what easing each thing gives. Raises NoWeekPossible for pins that cannot be."""
    inputs, problem = asked.inputs, build_problem(asked.inputs)
    refused = refused_pins(inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    base = best_dose(problem)
    if base is None:
        return clashing(asked, clash_of(inputs))
    settings = problem.settings
    short = base.value > settings.dose_gap_sets
    solved = None if short and document else solve_week(problem)
    shown = document or document_of(asked, problem, solved or as_solved(problem, base.plan, base))
    full = [use.limit for use in shown.limits if use.binds]
    easings = all_easings(inputs, asked.changes, full)
    if short or solved is None:
        gains, within = dose_gains(inputs, problem, base, easings, tick)
        return told(shown, inputs.library, "dose", base.value, within, gains)
    gains, within = rest_gains(inputs, problem, solved, easings, tick)
    return told(shown, inputs.library, "rest", rest_value(problem, solved.plan), within, gains)


def told(
    shown: WeekDocument,
    library: Library,
    aim: Literal["dose", "rest"],
    value: float,
    within: float,
    gains: Sequence[Gain],
) -> Why:
    """Put all of it into the document."""
    return Why(
        athlete=shown.athlete,
        week=shown.week,
        aim=aim,
        value=round(value, 3),
        within=round(within, 3),
        binding=tuple(limit_said(use, library) for use in shown.limits if use.binds),
        missed=tuple(goal_said(goal, library) for goal in shown.missed if goal.by >= UNSHOWN),
        eased=tuple(eased(gain) for gain in gains),
        free=tuple(free_of_dose(shown, library)),
        stopped=any(gain.stopped for gain in gains),
    )


def free_of_dose(shown: WeekDocument, library: Library) -> Iterator[str]:
    """Say what would make a week better at no cost of dose: unused minutes, and what its days could do better."""
    for session in shown.sessions:
        unused = session.minutes.allowed - session.minutes.used
        if session.state == "planned" and unused >= TOLD.unused_minutes:
            yield (
                f"{day_name(session.day)}: {number(unused)} of {number(session.minutes.allowed)} booked minutes are "
                "unused: higher targets would fill them"
            )
    for goal in shown.missed:
        if goal.goal.split(":")[0] in FREE_GOALS and goal.by >= UNSHOWN and not goal.goal.startswith(UNSAID):
            yield goal_said(goal, library).words


def clashing(asked: Asked, clash: Clash) -> Why:
    """Say that no week can be, and why."""
    return Why(
        athlete=asked.inputs.brief.athlete.name,
        week=asked.week,
        aim="clash",
        value=0.0,
        within=0.0,
        clash=tuple(InTheWay(words="", file=member.file, where=member.where) for member in clash.members),
        nearest=nearest_text(clash.nearest) if clash.nearest else "",
        stopped=clash.stopped,
    )


def eased(gain: Gain) -> Eased:
    """Put a gain into the document."""
    easing = gain.easing
    return Eased(
        name=easing.name,
        words=easing.words,
        file=easing.file,
        where=easing.where,
        gain=gain.kind,
        missed_sets=round(gain.missed_sets, 3),
        heads={head: round(sets, 3) for head, sets in gain.heads.items()},
        priced_minutes=round(gain.priced_minutes, 1),
        minutes=round(gain.minutes, 1),
        within=round(gain.within, 3),
        stopped=gain.stopped,
        medical=easing.medical,
    )
