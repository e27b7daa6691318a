"""From a solved problem to the week's document: everything printed is recomputed from the plan itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from planner.change.instead import Instead
from planner.document import (
    ExerciseWarning,
    HeadDose,
    LimitUse,
    MadeChange,
    Minutes,
    MissedGoal,
    Plan,
    PlannedExercise,
    PlannedSession,
    Replacement,
    TempoSeconds,
    WeekDocument,
)
from planner.log.blank import WITHOUT_NUMBER
from planner.model.aims import misses
from planner.model.build import careful_regions, credits_of
from planner.model.inputs import Inputs
from planner.model.limits import LIMITS, time
from planner.model.order import in_blocks
from planner.model.pairs import pairs_of, seconds_of
from planner.model.problem import Problem, SessionKind, dose_of
from planner.solve.solved import Solved
from planner.train.progression import NextLoad
from planner.week.made_from import made_with, sources
from planner.week.proven import is_proven, proofs
from planner.week.sure import Sureness

BLOCK_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Week:
    """The week that is composed: ISO week, its Monday, warnings, notes for the coach.

    `exercise_warnings` are those of the warnings that are about an exercise; `loads` the next ones by exercise and gym.
    """

    name: str
    start: str
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
    proof = proofs(problem, solved)
    return WeekDocument(
        athlete=inputs.brief.athlete.name,
        week=week.name,
        week_start=week.start,
        units=inputs.brief.athlete.unit,
        status="proven" if is_proven(problem, solved) else "stopped",
        made_with=made_with(inputs),
        sessions=tuple(session_page(inputs, problem, plan, session, week) for session in problem.sessions),
        dose=tuple(dose_lines(inputs, problem, plan, sure)),
        limits=tuple(clean(use) for limit in LIMITS for use in limit.use(problem, plan)),
        missed=tuple(
            MissedGoal(goal=miss.goal, by=round(miss.by, 3), unit=miss.unit) for miss in misses(problem, plan)
        ),
        proof=proof,
        sources=sources(inputs, plan),
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
    used = time.seconds_used(problem, plan, session.id)
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
    sets = plan[key, session.id]
    load = week.loads.get((key, session.gym))
    return PlannedExercise(
        order=order,
        block=letter,
        exercise=key,
        name=exercise.name,
        sets=sets,
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
        load=load.load if load else None,
        load_unit=None if exercise.load_is in WITHOUT_NUMBER else inputs.gyms[session.gym].unit,
        load_is=exercise.load_is,
        load_reason=load.reason if load else "",
        load_note=load.sheet_note if load else "",
        load_from="last_hard_week" if week.ahead and not load else "",
        instead=tuple(replacement_lines(inputs, problem, plan, session, key)),
    )


def replacement_lines(
    inputs: Inputs, problem: Problem, plan: Plan, session: SessionKind, key: str
) -> Iterator[Replacement]:
    """Write up to two replacements for a taken station; nobody can take the floor."""
    if not problem.candidate(key).station:
        return
    for exchange in Instead(problem, plan, careful_regions(inputs)).for_the_sheet(key, session):
        yield Replacement(
            exercise=exchange.key,
            sets=exchange.sets,
            reps=inputs.library.exercises[exchange.key].reps,
            differs=dict(exchange.said),
        )


def dose_lines(
    inputs: Inputs, problem: Problem, plan: Plan, sure: Mapping[str, Sureness]
) -> Iterator[HeadDose]:
    """Write each head's dose with both counts and how sure it is."""
    for goal in problem.heads:
        judged, planned = sure[goal.head], dose_of(problem, plan, goal.head)
        movers = sum(
            credits_of(inputs, inputs.library.exercises[key], "movers").get(goal.head, 0.0) * count
            for (key, _), count in plan.items()
        )
        yield HeadDose(
            head=goal.head,
            elsewhere=round(goal.elsewhere, 3),
            planned=round(planned, 3),
            floor=goal.floor,
            target=goal.target,
            ceiling=goal.ceiling,
            by_movers=round(movers, 3),
            # credits end at 1 and start at 0.30, so the draws may all lie on one side of the plan's own dose
            low90=round(min(judged.low90, goal.elsewhere + planned), 3),
            high90=round(max(judged.high90, goal.elsewhere + planned), 3),
            chance_floor=round(judged.chance_floor, 4),
            chance_target90=round(judged.chance_target90, 4),
        )


def clean(use: LimitUse) -> LimitUse:
    """Round what is printed of a limit."""
    return use.model_copy(update={"used": round(use.used, 3), "allowed": round(use.allowed, 3)})
