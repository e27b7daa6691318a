"""Re-plan a week under changed conditions: the plan stays if it can, else it changes as little as possible.

Three ways, tried in this order: an earlier plan of this week that was made under the very same conditions
comes back; the plan in force is kept; a new plan is made with change priced before everything but dose.

A plan that was planned whole stays within the tolerance it was planned with. One that has lost something, or is
new, misses no head by more than the tolerance of one: change is dearer than dose, so that it would use it all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from planner.change.swap.least import least_change
from planner.change.swap.mended import mended, whole_dose
from planner.change.swap.single_moves import Moves
from planner.document import Plan, PlannedExercise, PlannedSession, WeekDocument, plan_of
from planner.errors import NoWeekPossible
from planner.model.aims import dose_room
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.week.best_dose import best_dose
from planner.week.held import for_one_head
from planner.week.holding import Holding
from planner.week.pins import refused_pins
from planner.week.plan import Asked, document_of, no_week
from planner.week.staying import as_solved, can_stay, still_possible

Earlier = list[tuple[str, WeekDocument]]


@dataclass(frozen=True)
class Replanned:
    """The week after a swap, and the version whose plan came back ("v1"), if one did."""

    document: WeekDocument
    problem: Problem
    back_to: str = ""


def replan(asked: Asked, in_force: WeekDocument, earlier: Earlier) -> Replanned:
    """Re-plan the week that `asked` (changes applied) is about; `earlier` are its replaced plans, newest first.

    Raises NoWeekPossible if what must hold cannot hold together.
    """
    problem = build_problem(asked.inputs)
    refused = refused_pins(asked.inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    holding, left = Holding(problem), still_possible(problem, plan_of(in_force))
    moves = Moves(holding, left)
    best = whole_dose(moves) or best_dose(problem)
    if best is None:
        raise no_week(asked.inputs)
    strict = replace(problem, settings=for_one_head(problem))
    for name, plan in plans_to_keep(asked.inputs, left, in_force, earlier):
        is_whole = bool(name) or plan == plan_of(in_force)
        if can_stay(holding, plan, best, None if is_whole else dose_room(strict)):
            staying = replace(problem, in_force=plan)
            document = document_of(asked, staying, as_solved(staying, plan, best))
            return Replanned(with_loads(document, in_force), staying, name)
    problem, strict = replace(problem, in_force=left), replace(strict, in_force=left)
    known = mended(moves, best.value + dose_room(strict))
    document = document_of(asked, problem, least_change(strict, best, known))
    return Replanned(with_loads(document, in_force), problem)


def plans_to_keep(
    inputs: Inputs, left: Plan, in_force: WeekDocument, earlier: Earlier
) -> Iterator[tuple[str, Plan]]:
    """Give the plans that may stay: one that was made under these very conditions, then what is left in force."""
    if not made_alike(in_force, inputs):
        for name, old in earlier:
            if made_alike(old, inputs):
                yield name, plan_of(old)
    yield "", left


def made_alike(document: WeekDocument, inputs: Inputs) -> bool:
    """Whether a document was made under the very same conditions."""
    made = document.made_with
    return made.inputs == inputs.digest() and made.library == inputs.library.digest


LOAD_FIELDS = ("load", "load_unit", "load_reason", "load_note")


def with_loads(document: WeekDocument, in_force: WeekDocument) -> WeekDocument:
    """Carry loads over from the plan in force: all of a session that is done, else where no new one is known."""
    known = {
        (line.exercise, session.gym): line for session in in_force.sessions for line in session.exercises
    }
    return document.model_copy(
        update={"sessions": tuple(_with_loads(session, known) for session in document.sessions)}
    )


def _with_loads(session: PlannedSession, known: Mapping[tuple[str, str], PlannedExercise]) -> PlannedSession:
    lines = []
    for line in session.exercises:
        old = known.get((line.exercise, session.gym))
        if old is not None and (session.state == "done" or line.load is None):
            line = line.model_copy(update={name: getattr(old, name) for name in LOAD_FIELDS})
        lines.append(line)
    return session.model_copy(update={"exercises": tuple(lines)})
