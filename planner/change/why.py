"""What holds one week back: the document of `planner why`, from the athlete's folder to the gains, and its text. What
a coach may ease stands first, goals that would have to be dropped stand apart and last; what gives nothing is told by
its kind, `--json` lists each."""

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal

from library.errors import NoWeekPossible
from library.read import Library
from planner import plain
from planner.athlete.folder import in_force
from planner.change.easings import all_easings
from planner.change.gains import Eased, Tick, dose_gains, rest_gains
from planner.change.swap import open_week
from planner.document import LimitUse, MissedGoal, Piece, WeekDocument
from planner.method import TOLD
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.plain import UNSAID, UNSHOWN, WORTH, columns, day_name, number, rule_said, signed
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


# --- as text

MEDICAL = "* Not the coach's to decide alone: ask the doctor or physiotherapist first."
STOPPED = "A search was stopped early: a gain may be larger than is said here."
WITHIN = (
    "to within: how far a gain may be off, as neither week is proven to be the very best; "
    "smaller differences mean nothing."
)
MEANING = f"{WORTH}: minutes of training, and all else at what it costs in minutes (`planner check`)."
PRICED = "missed sets, priced"
PRICED_MEANING = (
    f"{PRICED}: a set below the floor counts for more than one near the target, and so does one of a head with "
    "priority (`planner check`)."
)
Parts = list[list[str]]


def why_text(found: Why) -> str:
    """Write the whole answer."""
    parts = [[f"{found.athlete}, week {found.week}"]]
    if found.aim == "clash":
        from planner.week.clash import CANNOT_ALL_HOLD, MAY_BE_SMALLER

        parts.append([CANNOT_ALL_HOLD, *(f"  {one.file}: {one.where}" for one in found.clash)])
        parts += [[MAY_BE_SMALLER] if found.stopped else [], [found.nearest]]
    else:
        parts += [["Pain, before all else:", *(f"  {line}" for line in found.pain)]] if found.pain else []
        parts += [listed("Full, and in the way:", found.binding), listed("Missed:", found.missed)]
        parts += gain_parts(found)
        parts += [["At no cost of dose:", *(f"  {line}" for line in found.free)]] if found.free else []
        parts += [[STOPPED]] if found.stopped else []
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def listed(title: str, held: Sequence[InTheWay]) -> list[str]:
    """Write sentences with their places."""
    rows = [(one.words, f"{one.file}: {one.where}" if one.where else "") for one in held]
    return [title, *columns(rows)] if rows else []


def gain_parts(found: Why) -> Parts:
    """Write what easing gives, what gives nothing, and last what dropping a goal would."""
    dose, table = found.aim == "dose", dose_rows if found.aim == "dose" else rest_rows
    solved = [one for one in found.eased if one.gain == "exact"]
    some = [one for one in solved if dose or one.priced_minutes > one.within]  # less is no gain to speak of
    dropped = [one for one in some if one.name.startswith("goal:")]
    eased = [one for one in some if one not in dropped]
    title = f"What would make the week cheaper, in {WORTH}:"
    parts = [] if dose else [["Every target is met."]]
    title = "What would bring the targets nearer, in sets a week:" if dose else title
    given_up = "If a goal were given up, which is no gain of the same kind:"
    nothing = ["Nothing that could be eased gives more than the plan has."] if not found.pain else []
    parts += [[title, *table(eased)] if eased else nothing, unsaid_lines(found)]
    parts += [[given_up, *table(dropped)]] if dropped else []
    parts += [[MEDICAL]] if any(one.medical for one in some) else []
    if not dose:
        return parts + ([[MEANING]] if found.eased else []) + ([[WITHIN]] if solved else [])
    off = max((one.within for one in solved), default=0.0)
    may_be_off = f"A gain may be off by {plain.decimals(off)} {PRICED}: smaller differences mean nothing."
    return parts + ([[PRICED_MEANING]] if some else []) + ([[may_be_off]] if off >= UNSHOWN else [])


def unsaid_lines(found: Why) -> list[str]:
    """Say how many changes give nothing, and how many were not worked out, each with what none of them exceeds."""
    unit, lines = "missed sets" if found.aim == "dose" else WORTH, []
    if none := sum(one.gain == "none" for one in found.eased):
        beyond = f"no gain beyond {plain.decimals(found.within)} {unit}; --json names each."
        lines.append(f"{plain.counted(none, 'other change')}: {beyond}")
    if unsolved := [one.priced_minutes for one in found.eased if one.gain == "at most"]:
        told = f"{plain.counted(len(unsolved), 'more change')} not worked out in the time"
        lines.append(f"{told}: no gain beyond {number(max(unsolved))} {WORTH} each.")
    return lines


def dose_rows(gains: Sequence[Eased]) -> list[str]:
    """Write gains in direct sets a head, each nearer to its target by so much."""
    heads = list(dict.fromkeys(head for one in gains for head in one.heads))
    rows = []
    for one in gains:
        sets = (signed(one.heads.get(head, 0.0)) for head in heads)
        words = one.words + ("*" if one.medical else "")
        rows.append((words, *sets, f"{one.missed_sets:.1f}", f"{one.file}: {one.where}"))
    return columns([("", *heads, PRICED, ""), *rows])


def rest_rows(gains: Sequence[Eased]) -> list[str]:
    """Write gains in minutes' worth, how far they may be off, and by how much the week gets shorter."""
    rows = []
    for one in gains:
        figures = (number(one.priced_minutes), number(one.within), signed(-one.minutes))
        rows.append((one.words + ("*" if one.medical else ""), *figures, f"{one.file}: {one.where}"))
    return columns([("", WORTH, "to within", "minutes", ""), *rows])
