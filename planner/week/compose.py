"""From a solved problem to the week's document: everything printed is recomputed from the plan itself."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from library.schema import Exercise
from planner import __version__
from planner.athlete.gym import Gym
from planner.athlete.reading import method_of
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
    WeekDocument,
)
from planner.log.blank import WITHOUT_NUMBER
from planner.method import OVERRIDABLE, TrainSettings
from planner.model.aims import dose_value, misses, rest_value
from planner.model.build import careful_regions
from planner.model.inputs import Inputs
from planner.model.limits import LIMITS, seconds_used
from planner.model.order import in_blocks
from planner.model.pairs import pairs_of, seconds_of
from planner.model.problem import HeadGoal, Problem, SessionKind, helping_of, own_of, sets_a_week
from planner.plain import ROUNDING
from planner.solve.solve import Solved
from planner.train.loads import NextLoad, available_loads, heaviest_within, warmup_loads
from planner.train.progression import BEGIN_WITH
from planner.week.instead import Instead
from planner.week.interval import Sureness

BLOCK_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
HELD_ANYWHERE = ("dumbbell", "kettlebell")  # weigh the same in any room
DIGITS = 3  # of what is summed in the document
ONLY_LOAD = "The only load here: stop with {:g} in reserve, however many repetitions that is."


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
        sessions=tuple(map(Page(inputs, problem, plan, week).session, problem.sessions)),
        dose=tuple(dose_line(inputs, problem, plan, goal, sure[goal.head]) for goal in problem.heads),
        limits=tuple(rounded(use) for limit in LIMITS for use in limit.use(problem, plan)),
        missed=tuple(
            MissedGoal(goal=miss.goal, by=round(miss.by, DIGITS), unit=miss.unit)
            for miss in misses(problem, plan)
            if round(miss.by, DIGITS)
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


@dataclass(frozen=True)
class Page:
    """Writes the sessions of one plan."""

    inputs: Inputs
    problem: Problem
    plan: Plan
    week: Week

    @cached_property
    def instead(self) -> Instead:
        """Finds what to do if a station is taken."""
        return Instead(self.problem, self.plan, careful_regions(self.inputs))

    def session(self, session: SessionKind) -> PlannedSession:
        """Write one session: its exercises in the order in which they are trained, each with the letter of its block."""
        pairs = pairs_of(self.problem, self.plan, session.id)
        blocks = in_blocks(self.problem, [key for key, day in self.plan if day == session.id], pairs)
        lines = [(key, letter) for block, letter in zip(blocks, BLOCK_LETTERS, strict=False) for key in block]
        warmup = 60 * self.problem.settings.general_warmup_minutes
        used = seconds_used(self.problem, self.plan, session.id)
        return PlannedSession(
            id=session.id,
            day=session.day,
            gym=session.gym,
            minutes=Minutes(
                allowed=(session.seconds + warmup) / 60, used=round((used + warmup) / 60, 1) if used else 0.0
            ),
            exercises=tuple(
                self.line(session, key, order, letter) for order, (key, letter) in enumerate(lines, start=1)
            ),
            state=session.state,
        )

    def line(self, session: SessionKind, key: str, order: int, block: str) -> PlannedExercise:
        """Write one exercise of a session at its place."""
        exercise, candidate = self.inputs.library.exercises[key], self.problem.by_key[key]
        return PlannedExercise(
            order=order,
            block=block,
            exercise=key,
            name=exercise.name,
            sets=self.plan[key, session.id],
            reps=exercise.reps,
            tempo=exercise.tempo,
            rir=self.reserve(key),
            rest_s=exercise.rest_seconds,
            work_s=exercise.work_seconds,
            setup_s=exercise.setup_seconds,
            warmup_sets=exercise.warmup_sets,
            sides=exercise.sides,
            minutes=round(seconds_of(self.problem, self.plan, key, session.id) / 60, 1),
            credits=dict(candidate.credits),
            trains=candidate.trains,
            load_is=exercise.load_is,
            instead=tuple(self.replacements(session, key)),
            **self.load(exercise, session),
        )

    def reserve(self, key: str) -> int:
        """Repetitions in reserve: the week's, or more of what hurt and has no lighter load, or comes back."""
        hurt = any(of.exercise == key and of.kind in ("fewer", "back") for of in self.week.exercise_warnings)
        least = method_of(self.inputs.brief, TrainSettings).pain_reserve_least if hurt else 0
        return max(self.inputs.week.reps_in_reserve, least)

    def load(self, exercise: Exercise, session: SessionKind) -> dict[str, Any]:
        """Write what to lift, as far as it is known."""
        gym = self.inputs.gyms[session.gym]
        load = self.week.loads.get((exercise.key, session.gym))
        load = load or only_load(exercise, gym, self.inputs.week.reps_in_reserve)
        unit = None if exercise.load_is in WITHOUT_NUMBER else gym.unit
        if load is None:
            ahead = "last_hard_week" if self.week.ahead else ""
            return {
                "load": None,
                "load_unit": unit,
                "load_from": ahead,
                "load_note": self.elsewhere(exercise, gym),
            }
        steps = available_loads(gym, exercise)
        return {
            "load": load.load,
            "load_unit": unit,
            "warmup_loads": warmup_loads(load.load, exercise.warmup_sets, steps) if load.load else (),
            "load_reason": load.reason,
            "load_note": load.sheet_note,
            "reps_now": load.reps if load.reps != exercise.reps else None,
        }

    def elsewhere(self, exercise: Exercise, gym: Gym) -> str:
        """Say where to begin with what weighs the same everywhere; empty where nothing is known or a station decides."""
        loads = self.week.loads
        there = [of for (key, _), of in loads.items() if key == exercise.key and of.unit == gym.unit]
        known = (
            next((of.load for of in there if of.load), None) if exercise.implement in HELD_ANYWHERE else None
        )
        load = heaviest_within(available_loads(gym, exercise) or (known,), known) if known else None
        asked = (*exercise.reps, self.inputs.week.reps_in_reserve)
        return BEGIN_WITH.format(load, gym.unit, *asked) if load else ""

    def replacements(self, session: SessionKind, key: str) -> Iterator[Replacement]:
        """Write up to two replacements for a taken station; nobody can take the floor."""
        if self.problem.by_key[key].station:
            for exchange in self.instead.for_the_sheet(key, session):
                reps = self.inputs.library.exercises[exchange.key].reps
                yield Replacement(
                    exercise=exchange.key, sets=exchange.sets, reps=reps, differs=dict(exchange.said)
                )


def only_load(exercise: Exercise, gym: Gym, asked_rir: float) -> NextLoad | None:
    """The load of an exercise that was never done, where the gym has one alone."""
    listed = available_loads(gym, exercise) or ()
    said = ONLY_LOAD.format(asked_rir)
    return NextLoad(*listed, gym.unit, said, exercise.reps, True, note=said) if len(listed) == 1 else None


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
    """Name the tool, the library, the inputs, every default used and what the rooms had."""
    # what a block asks of this week is no default: its place in the block stands in the document
    values = [vars(method_of(inputs.brief, record)) for record in OVERRIDABLE]
    return MadeWith(
        tool=__version__,
        library=inputs.library.digest,
        inputs=inputs.digest(),
        counting=inputs.week.counting,
        method={name: value for record in values for name, value in record.items()},
        rooms={name: gym.equipment for name, gym in inputs.gyms.items()},
    )


def sources(inputs: Inputs, plan: Plan) -> tuple[str, ...]:
    """List the evidence rows that the planned exercises' numbers rest on, each once, in library order."""
    profiles = (inputs.library.profiles.get(head, {}) for head in inputs.targets)
    rows = {row for of in profiles for key in sets_a_week(plan) if key in of for row in of[key].rows}
    return tuple(row.id for row in inputs.library.evidence if row.id in rows)
