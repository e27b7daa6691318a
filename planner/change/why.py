"""What holds one week back: the document of `planner why`, from the athlete's folder to the gains, and its text. What
a coach may ease stands first, goals that would have to be dropped stand apart and last.

What easing each thing gives is found by solving again: exact where it was solved, a bound where it was not. Where some
target is missed the first aim alone is solved for every easing. Where all are met the whole week is, for the easings
whose linear bound promises most; what the others could give at most is told by their bounds. What cannot give as much
as is worth telling is not solved: the linear relaxation of the eased week proves that at once."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Field, PlainSerializer

from library.errors import NoWeekPossible
from library.read import Library
from planner.athlete.folder import in_force
from planner.change.easings import all_easings
from planner.change.swap import open_week
from planner.document import LimitUse, MissedGoal, Piece, Plan, WeekDocument
from planner.method import TOLD
from planner.model.aims import build, dose_program, dose_room, misses, rest_value
from planner.model.build import build_problem
from planner.model.doses import head_price, shortfall
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import Problem
from planner.plain import UNSAID, UNSHOWN, below_target, day_name, number, rule_said
from planner.solve.search import Aim, Clock, hold, linear_bound
from planner.solve.solve import BestDose, Solved, best_dose, solve_week
from planner.week.edits import BRIEF, Edit
from planner.week.gather import Asked, gather
from planner.week.keeping import as_solved
from planner.week.plan import document_of, refused_pins

FREE_GOALS = ("booked", "twins", "next_day")
Gains: TypeAlias = "tuple[list[Eased], float]"  # in order, and the gain that none of those not told exceeds
Tick = Callable[[str, int], None]  # what is being tried, and how much there is to try in all
Tenths = Annotated[float, PlainSerializer(lambda value: round(value, 1))]
Thousandths = Annotated[float, PlainSerializer(lambda value: round(value, 3))]


class Eased(Piece):
    """What easing one thing gives. `gain`: "exact" (solved again), "at most" (a bound), "none" (not worth telling,
    proven). `heads` are direct sets a week nearer to each target, `missed_sets` the same with the prices of the first
    aim, `priced_minutes` the second aim's gain, `minutes` what the week gets shorter by; `within` says how far an
    exact gain may be off, in the unit of its aim: the larger gap of the two weeks' proofs."""

    name: str
    words: str
    file: str
    where: str
    gain: Literal["exact", "at most", "none"]
    missed_sets: Thousandths = 0.0
    heads: dict[str, Thousandths] = Field(default={})
    priced_minutes: Tenths = 0.0
    minutes: Tenths = 0.0
    within: Thousandths = 0.0
    stopped: bool = False
    medical: bool = False


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
    waits = (line.exercise for line in shown.exercise_warnings if line.kind == "out")
    clear = f"Once it has been seen and may come back: planner log {asked.filed.folder} --cleared"
    back = [f"{clear} {exercise}" for exercise in waits]
    return Why(
        athlete=shown.athlete, week=shown.week, aim=aim, value=round(value, 3), within=round(within, 3),
        binding=tuple(limit_said(use, library) for use in shown.limits if use.binds),
        missed=tuple(goal_said(goal, library) for goal in shown.missed if goal.by >= UNSHOWN),
        eased=tuple(gains), pain=(*shown.pain, *back), free=tuple(free_of_dose(shown, library)),
        stopped=any(gain.stopped for gain in gains),
    )  # fmt: skip


def free_of_dose(shown: WeekDocument, library: Library) -> Iterator[str]:
    """Say what would make a week better at no cost of dose: unused minutes, and what its days could do better."""
    for session in shown.sessions:
        unused = session.minutes.allowed - session.minutes.used
        if session.state == "planned" and unused >= TOLD.unused_minutes and not shown.pain:
            booked = f"{number(unused)} of {number(session.minutes.allowed)} booked minutes are unused"
            why = "a limit above holds the dose" if below_target(shown) else "higher targets would fill them"
            yield f"{day_name(session.day)}: {booked}: {why}"
    for goal in shown.missed:
        if goal.goal.split(":")[0] in FREE_GOALS and goal.by >= UNSHOWN and not goal.goal.startswith(UNSAID):
            yield goal_said(goal, library).words


def clashing(asked: Asked) -> Why:
    """Say that no week can be, and why."""
    from planner.week.clash import clash_of, nearest_text

    clash, name = clash_of(asked.inputs), asked.inputs.brief.athlete.name
    group = tuple(InTheWay(words="", file=member.file, where=member.where) for member in clash.members)
    nearest = nearest_text(clash.nearest) if clash.nearest else ""
    about: dict[str, Any] = {"clash": group, "nearest": nearest, "stopped": clash.stopped}
    return Why(athlete=name, week=asked.week, aim="clash", value=0.0, within=0.0, **about)


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


# --- what easing gives
def eased_by(easing: Edit, gain: Literal["exact", "at most", "none"], **figures: Any) -> Eased:
    """Say what one easing gives."""
    of = {key: getattr(easing, key) for key in ("name", "words", "file", "where", "medical")}
    return Eased(**of, gain=gain, **figures)


@dataclass(frozen=True)
class Promise:
    """An eased week before it is solved: the value to beat, and the most that can be gained on it."""

    easing: Edit
    eased: Problem
    value: float
    most: float


def dose_gains(inputs: Inputs, problem: Problem, base: BestDose, easings: list[Edit], tick: Tick) -> Gains:
    """Give the gain of every easing in the first aim."""
    gains: dict[str, Eased] = {}
    for easing in easings:
        tick(easing.words, len(easings))
        more = gains.get(easing.less_than)  # allows all of this one, and more
        hopeless = not easing.loosens_dose or (more and more.gain == "none" and not more.stopped)
        gains[easing.name] = eased_by(easing, "none")
        if not hopeless:
            gains[easing.name] = dose_gain(inputs, problem, base, easing)
    return in_order(gains.values()), problem.settings.why_least_sets


def dose_gain(inputs: Inputs, problem: Problem, base: BestDose, easing: Edit) -> Eased:
    """Solve the first aim of one eased week, unless a bound says that too little is to be had."""
    eased, least = build_problem(easing.apply(inputs)), problem.settings.why_least_sets
    before = {goal.head: goal for goal in problem.heads if not easing.forgotten(f"dose:{goal.head}")}
    value = sum(head_price(problem, base.plan, goal) for goal in before.values())
    program = dose_program(eased)
    if value - linear_bound(Aim(program, program.dose_price, least)) <= least:
        return eased_by(easing, "none")
    best = best_dose(eased, base.plan)
    if best is None or value - best.bound <= least:
        return eased_by(easing, "none", stopped=best is None)
    if best.stopped and value - best.value <= least:
        return eased_by(easing, "none", stopped=True)
    after = {goal.head: goal for goal in eased.heads}
    heads = {
        head: shortfall(problem, base.plan, goal) - shortfall(eased, best.plan, after[head])
        for head, goal in before.items()
        if head in after
    }
    within, missed = max(base.value - base.bound, best.value - best.bound), value - best.value
    return eased_by(easing, "exact", missed_sets=missed, heads=heads, within=within, stopped=best.stopped)


def rest_gains(inputs: Inputs, problem: Problem, base: Solved, easings: Sequence[Edit], tick: Tick) -> Gains:
    """Give the gain of every easing in the second aim, every target being met. What is told is above how well the
    plan itself is proven: a gain below that could be the plan's own."""
    settings = problem.settings
    floor = max(rest_gap(problem, base), settings.why_least_minutes)
    promises = []
    for easing in easings:
        tick(easing.words, len(easings) + settings.why_solves)
        promises.append(promise(inputs, problem, base, easing))
    ranked = sorted(promises, key=lambda one: -one.most)
    open_ones = [one for one in ranked if one.most > floor]
    gains = [eased_by(one.easing, "none") for one in ranked if one.most <= floor]
    clock, tried = Clock(settings.why_seconds), len(open_ones[: settings.why_solves])
    for place, one in enumerate(open_ones):
        if place < tried and clock.left:
            tick(one.easing.words, len(easings) + tried)
            gains.append(rest_gain(problem, base, one, floor))
        else:
            gains.append(eased_by(one.easing, "at most", priced_minutes=one.most))
    return in_order(gains), floor


def promise(inputs: Inputs, problem: Problem, base: Solved, easing: Edit) -> Promise:
    """Bound what an easing can give: no plan within the tolerance of a dose that can be had is below the linear bound."""
    eased = build_problem(easing.apply(inputs))
    forgotten = (miss.price for miss in misses(problem, base.plan) if easing.forgotten(miss.goal))
    program, value = build(eased), rest_value(problem, base.plan) - sum(forgotten)
    held = hold(program.dose_price, base.dose_best + dose_room(eased))
    return Promise(easing, eased, value, value - linear_bound(Aim(program, program.rest_price, 0.0, (held,))))


def rest_gain(problem: Problem, base: Solved, promised: Promise, floor: float) -> Eased:
    """Solve one eased week whole. Where that takes away what the dose needs, a cheaper week is no gain."""
    easing, eased, value, settings = promised.easing, promised.eased, promised.value, problem.settings
    solved = solve_week(eased)
    if solved is None:
        return eased_by(easing, "none", stopped=True)
    gained, off = value - rest_value(eased, solved.plan), rest_gap(eased, solved)
    too_little = gained + off <= floor or (solved.stopped and gained <= floor)
    if too_little or solved.dose_best > base.dose_best + settings.dose_gap_sets:
        return eased_by(easing, "none", stopped=solved.stopped and gained + off > floor)
    shorter = minutes_of(problem, base.plan) - minutes_of(eased, solved.plan)
    figures = {"minutes": shorter, "within": max(rest_gap(problem, base), off), "stopped": solved.stopped}
    return eased_by(easing, "exact", priced_minutes=gained, **figures)


def rest_gap(problem: Problem, solved: Solved) -> float:
    """Minutes' worth by which some week could be better than a plan in the second aim, as far as it is proven."""
    return max(0.0, rest_value(problem, solved.plan) - solved.rest_bound)


def minutes_of(problem: Problem, plan: Plan) -> float:
    """Minutes of training a week, general warm-ups left out."""
    return sum(seconds_used(problem, plan, session.id) for session in problem.sessions) / 60


def in_order(gains: Iterable[Eased]) -> list[Eased]:
    """Sort by gain: dose first, then priced minutes; what was solved before what is only bounded."""
    rank = {"exact": 0, "at most": 1, "none": 2}
    return sorted(gains, key=lambda one: (rank[one.gain], -one.missed_sets, -one.priced_minutes))
