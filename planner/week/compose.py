"""From a solved problem to the week's document: everything printed is recomputed from the plan itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from planner import __version__
from planner.athlete.method import method_of
from planner.document import (
    ExerciseWarning,
    HeadDose,
    LimitUse,
    MadeChange,
    MadeWith,
    Minutes,
    MissedGoal,
    Plan,
    PlannedExercise,
    PlannedSession,
    Proof,
    Replacement,
    TempoSeconds,
    WeekDocument,
)
from planner.log.blank import WITHOUT_NUMBER
from planner.method import OVERRIDABLE
from planner.model.aims import dose_value, misses, rest_value
from planner.model.build import careful_regions
from planner.model.inputs import Inputs
from planner.model.limits import LIMITS, seconds_used
from planner.model.order import in_blocks
from planner.model.pairs import pairs_of, seconds_of
from planner.model.problem import HeadGoal, Problem, SessionKind, helping_of, own_of, sets_a_week
from planner.plain import ROUNDING
from planner.solve.solve import Solved
from planner.train.loads import available_loads, warmup_loads
from planner.train.progression import NextLoad
from planner.week.instead import Instead
from planner.week.interval import Sureness

BLOCK_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = 3  # of what is summed in the document


@dataclass(frozen=True)
class Week:
    """The week that is composed: ISO week, its Monday, pain, warnings, notes for the coach.

    `exercise_warnings` are those of the warnings that are about an exercise; `loads` the next ones by exercise and gym.
    """

    name: str
    start: str
    pain: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    exercise_warnings: tuple[ExerciseWarning, ...] = ()
    notes: tuple[str, ...] = ()
    loads: Mapping[tuple[str, str], NextLoad] = field(default_factory=dict)
    changes: tuple[MadeChange, ...] = ()  # what `planner swap` was told of this week
    ahead: bool = False  # planned before the week before it was trained


def compose(
    inputs: Inputs, problem: Problem, solved: Solved, sure: Mapping[str, Sureness], week: Week
) -> WeekDocument:
    """Write the document of a solved week."""
    plan = solved.plan
    return WeekDocument(
        athlete=inputs.brief.athlete.name,
        week=week.name,
        week_start=week.start,
        units=inputs.brief.athlete.unit,
        status="proven" if is_proven(problem, solved) else "stopped",
        made_with=made_with(inputs),
        sessions=tuple(session_page(inputs, problem, plan, session, week) for session in problem.sessions),
        dose=tuple(dose_line(inputs, problem, plan, goal, sure[goal.head]) for goal in problem.heads),
        limits=tuple(rounded(use) for limit in LIMITS for use in limit.use(problem, plan)),
        missed=tuple(
            MissedGoal(goal=miss.goal, by=round(miss.by, DIGITS), unit=miss.unit)
            for miss in misses(problem, plan)
        ),
        proof=proofs(problem, solved),
        sources=sources(inputs, plan),
        pain=week.pain,
        warnings=week.warnings,
        exercise_warnings=week.exercise_warnings,
        notes=week.notes,
        changes=week.changes,
        block=inputs.block,
    )


def session_page(
    inputs: Inputs, problem: Problem, plan: Plan, session: SessionKind, week: Week
) -> PlannedSession:
    """Write one session: its exercises in the order in which they are trained."""
    pairs = pairs_of(problem, plan, session.id)
    blocks = in_blocks(problem, [key for key, day in plan if day == session.id], pairs)
    letters = [(key, letter) for block, letter in zip(blocks, BLOCK_LETTERS, strict=False) for key in block]
    warmup = 60 * problem.settings.general_warmup_minutes
    used = seconds_used(problem, plan, session.id)
    return PlannedSession(
        id=session.id,
        day=session.day,
        gym=session.gym,
        minutes=Minutes(
            allowed=(session.seconds + warmup) / 60, used=round((used + warmup) / 60, 1) if used else 0.0
        ),
        exercises=tuple(
            exercise_line(inputs, problem, plan, session, (key, order, letter), week)
            for order, (key, letter) in enumerate(letters, start=1)
        ),
        state=session.state,
    )


def exercise_line(
    inputs: Inputs,
    problem: Problem,
    plan: Plan,
    session: SessionKind,
    place: tuple[str, int, str],
    week: Week,
) -> PlannedExercise:
    """Write one line of a session at its place: exercise, order, letter of its block."""
    key, order, letter = place
    exercise, candidate = inputs.library.exercises[key], problem.candidate(key)
    load, gym = week.loads.get((key, session.gym)), inputs.gyms[session.gym]
    to_lift = load.load if load else None
    return PlannedExercise(
        order=order,
        block=letter,
        exercise=key,
        name=exercise.name,
        sets=plan[key, session.id],
        reps=exercise.reps,
        tempo=TempoSeconds(**exercise.tempo.model_dump()),
        rir=inputs.week.reps_in_reserve,
        rest_s=exercise.rest_seconds,
        work_s=exercise.work_seconds,
        setup_s=exercise.setup_seconds,
        warmup_sets=exercise.warmup_sets,
        sides=exercise.sides,
        minutes=round(seconds_of(problem, plan, key, session.id) / 60, 1),
        credits=dict(candidate.credits),
        trains=candidate.trains,
        load=to_lift,
        load_unit=None if exercise.load_is in WITHOUT_NUMBER else gym.unit,
        load_is=exercise.load_is,
        warmup_loads=warmup_loads(to_lift, exercise.warmup_sets, available_loads(gym, exercise))
        if to_lift
        else (),
        load_reason=load.reason if load else "",
        load_note=load.sheet_note if load else "",
        load_from="last_hard_week" if week.ahead and not load else "",
        instead=tuple(replacement_lines(inputs, problem, plan, session, key)),
    )


def replacement_lines(
    inputs: Inputs, problem: Problem, plan: Plan, session: SessionKind, key: str
) -> Iterator[Replacement]:
    """Write up to two replacements for a taken station; nobody can take the floor."""
    if problem.candidate(key).station:
        for exchange in Instead(problem, plan, careful_regions(inputs)).for_the_sheet(key, session):
            reps = inputs.library.exercises[exchange.key].reps
            yield Replacement(
                exercise=exchange.key, sets=exchange.sets, reps=reps, differs=dict(exchange.said)
            )


def dose_line(inputs: Inputs, problem: Problem, plan: Plan, goal: HeadGoal, judged: Sureness) -> HeadDose:
    """Write a head's dose: own, helping and beyond, both counts and how sure it is."""
    own, helping = own_of(problem, plan, goal.head), helping_of(problem, plan, goal.head)
    counted, helps = goal.counted(own, helping), helping + goal.elsewhere_helping
    movers = sum(
        inputs.credit_of(inputs.library.exercises[key], goal.head, "movers") * count
        for key, count in sets_a_week(plan).items()
    )
    return HeadDose(
        head=goal.head,
        elsewhere=round(goal.elsewhere, DIGITS),
        planned=round(counted - goal.elsewhere, DIGITS),
        floor=goal.floor,
        target=goal.target,
        ceiling=goal.ceiling,
        own=round(own + goal.elsewhere_own, DIGITS),
        helping=round(min(goal.aside_most, helps), DIGITS),
        beyond=round(max(0.0, helps - goal.aside_most), DIGITS),
        by_movers=round(movers, DIGITS),
        low90=round(judged.low90, DIGITS),
        high90=round(judged.high90, DIGITS),
        chance_floor=round(judged.chance_floor, 4),
        chance_target90=round(judged.chance_target90, 4),
    )


def rounded(use: LimitUse) -> LimitUse:
    """Round what is printed of a limit."""
    return use.model_copy(update={"used": round(use.used, DIGITS), "allowed": round(use.allowed, DIGITS)})


def is_proven(problem: Problem, solved: Solved) -> bool:
    """Whether both gaps are within what is called proven: a search that stopped may have proven all the same."""
    settings = problem.settings
    dose_gap = solved.dose_best - solved.dose_bound
    rest_gap = rest_value(problem, solved.plan) - solved.rest_bound
    proven = (
        dose_gap <= settings.dose_gap_sets + ROUNDING and rest_gap <= settings.rest_gap_minutes + ROUNDING
    )
    return proven and not solved.stopped


def proofs(problem: Problem, solved: Solved) -> tuple[Proof, Proof]:
    """State value, bound and gap of both aims, of the plan as printed."""
    dose, rest = dose_value(problem, solved.plan), rest_value(problem, solved.plan)
    return (
        proof("dose", dose, solved.dose_bound, "missed sets", solved.dose_seconds, solved.dose_among),
        proof("rest", rest, solved.rest_bound, "priced minutes", solved.rest_seconds, solved.among),
    )


def proof(aim: str, value: float, bound: float, unit: str, seconds: float, among: str = "") -> Proof:
    """State one aim; a bound is never above the value it bounds."""
    value, bound = round(value, DIGITS), round(min(bound, value), DIGITS)
    return Proof.model_validate(
        {
            "aim": aim,
            "value": value,
            "bound": bound,
            "gap": round(value - bound, DIGITS),
            "unit": unit,
            "seconds": round(seconds, DIGITS),
            "among": among,
        }
    )


def made_with(inputs: Inputs) -> MadeWith:
    """Name the tool, the library, the inputs and every default used."""
    # what a block asks of this week is no default: its place in the block stands in the document
    values = [vars(method_of(inputs.brief, record)) for record in OVERRIDABLE]
    return MadeWith(
        tool=__version__,
        library=inputs.library.digest,
        inputs=inputs.digest(),
        counting=inputs.week.counting,
        method={name: value for record in values for name, value in record.items()},
    )


def sources(inputs: Inputs, plan: Plan) -> tuple[str, ...]:
    """List the evidence rows that the planned exercises' numbers rest on, each once, in library order."""
    profiles = (inputs.library.profiles.get(head, {}) for head in inputs.targets)
    rows = {row for of in profiles for key in sets_a_week(plan) if key in of for row in of[key].rows}
    return tuple(row.id for row in inputs.library.evidence if row.id in rows)
