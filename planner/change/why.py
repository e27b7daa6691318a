"""What holds one week back: the document of `planner why`, from the athlete's folder to the gains, and its text. What
a coach may ease stands first, goals that would have to be dropped stand apart and last; what gives nothing is told by
its kind, `--json` lists each."""

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from library.errors import NoWeekPossible
from library.read import Library
from planner.athlete.folder import in_force
from planner.change.easings import all_easings
from planner.change.gains import Eased, Tick, dose_gains, rest_gains
from planner.change.swap import open_week
from planner.document import LimitUse, MissedGoal, Piece, WeekDocument
from planner.method import TOLD
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.plain import UNSAID, UNSHOWN, day_name, number, rule_said
from planner.solve.solve import best_dose, solve_week
from planner.week.edits import BRIEF
from planner.week.gather import Asked, gather
from planner.week.keeping import as_solved
from planner.week.plan import document_of, refused_pins

FREE_GOALS = ("booked", "twins", "next_day")


class InTheWay(Piece):
    """Something that stands in the way, in words, with file and key."""

    words: str
    file: str
    where: str


class Why(Piece):
    """What `planner why --json` prints. `aim` says which aim the gains are of: "dose" where a target is missed
    (missed sets), else "rest" (priced minutes); "clash" where no week can be: then `clash` names the group and
    `nearest` the nearest week."""

    athlete: str
    week: str
    aim: Literal["dose", "rest", "clash"]
    value: float
    within: float
    binding: tuple[InTheWay, ...] = ()
    missed: tuple[InTheWay, ...] = ()
    eased: tuple[Eased, ...] = ()
    pain: tuple[str, ...] = ()  # what the log says of it, and how a movement comes back
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
    inputs, library, problem = asked.inputs, asked.inputs.library, build_problem(asked.inputs)
    if refused := refused_pins(inputs, problem):
        raise NoWeekPossible("\n".join(refused))
    base = best_dose(problem)
    if base is None:
        return clashing(asked)
    short = base.value > problem.settings.dose_gap_sets
    solved = None if short and document else solve_week(problem)
    shown = document or document_of(asked, problem, solved or as_solved(problem, base.plan, base))
    easings = all_easings(inputs, asked.changes, [use.limit for use in shown.limits if use.binds])
    aim: Literal["dose", "rest"] = "dose" if short or solved is None else "rest"
    if solved is None or short:
        value, (gains, within) = base.value, dose_gains(inputs, problem, base, easings, tick)
    else:
        value = rest_value(problem, solved.plan)
        gains, within = rest_gains(inputs, problem, solved, easings, tick)
    return Why(
        athlete=shown.athlete, week=shown.week, aim=aim, value=round(value, 3), within=round(within, 3),
        binding=tuple(limit_said(use, library) for use in shown.limits if use.binds),
        missed=tuple(goal_said(goal, library) for goal in shown.missed if goal.by >= UNSHOWN),
        eased=tuple(gains), pain=tuple(pain_said(shown, asked.filed.folder)), free=tuple(free_of_dose(shown, library)),
        stopped=any(gain.stopped for gain in gains),
    )  # fmt: skip


def pain_said(shown: WeekDocument, folder: Path) -> Iterator[str]:
    """Say what pain changes in a week, and how the coach brings back what waits for clearance."""
    yield from shown.pain
    for line in shown.exercise_warnings:
        if line.kind == "out":
            yield f"Once it has been seen and may come back: planner log {folder} --cleared {line.exercise}"


def free_of_dose(shown: WeekDocument, library: Library) -> Iterator[str]:
    """Say what would make a week better at no cost of dose: unused minutes, and what its days could do better."""
    for session in shown.sessions:
        unused = session.minutes.allowed - session.minutes.used
        if session.state == "planned" and unused >= TOLD.unused_minutes and not shown.pain:
            booked = f"{number(unused)} of {number(session.minutes.allowed)} booked minutes are unused"
            yield f"{day_name(session.day)}: {booked}: higher targets would fill them"
    for goal in shown.missed:
        if goal.goal.split(":")[0] in FREE_GOALS and goal.by >= UNSHOWN and not goal.goal.startswith(UNSAID):
            yield goal_said(goal, library).words


def clashing(asked: Asked) -> Why:
    """Say that no week can be, and why."""
    from planner.week.clash import clash_of, nearest_text

    clash, name = clash_of(asked.inputs), asked.inputs.brief.athlete.name
    group = tuple(InTheWay(words="", file=member.file, where=member.where) for member in clash.members)
    nearest = nearest_text(clash.nearest) if clash.nearest else ""
    week = Why(athlete=name, week=asked.week, aim="clash", value=0.0, within=0.0)
    return week.model_copy(update={"clash": group, "nearest": nearest, "stopped": clash.stopped})


def limit_said(use: LimitUse, library: Library) -> InTheWay:
    """Say a limit that binds."""
    words, where = rule_said(library, "limit", use.limit, used=number(use.used), allowed=number(use.allowed))
    where = "method.exercises_per_week" if use.limit == "exercises:week" else where
    file, where = ("log.csv", "pain") if where == "the log" else (BRIEF, where)
    return InTheWay(words=words, file=file, where=where)


def goal_said(goal: MissedGoal, library: Library) -> InTheWay:
    """Say a goal that is missed."""
    words, where = rule_said(library, "goal", goal.goal, by=number(goal.by))
    return InTheWay(words=words, file=BRIEF, where=where)


def why_text(found: Why) -> str:
    """Write the whole answer."""
    from planner.sheets.page import fill
    from planner.week import clash

    return fill("why.txt", found=found, clash=clash, unshown=UNSHOWN).rstrip()
