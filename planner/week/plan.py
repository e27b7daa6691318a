"""Planning one week from what is asked: solve, judge, compose."""

from __future__ import annotations

from collections.abc import Mapping

from planner.document import ExerciseWarning, Plan, WeekDocument, plan_of
from planner.errors import NoWeekPossible
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem, sets_a_week
from planner.solve.solve import Solved, solve_week
from planner.week.compose import Week, compose
from planner.week.gather import Asked
from planner.week.held import solve_held
from planner.week.interval import Sureness, how_sure
from planner.week.notes import notes
from planner.week.pins import refused_pins

NOTHING_LEFT = "Nothing is left to train this week: what is done elsewhere covers every target."


def plan_week(asked: Asked) -> WeekDocument:
    """Plan the week that is asked for.

    Raises NoWeekPossible if what must hold cannot hold together, SolverFault if the solver fails.
    """
    return document_of(asked, *solve_asked(asked.inputs))


def solve_asked(inputs: Inputs) -> tuple[Problem, Solved]:
    """Solve a week, inside a block with what stays held; the problem is the one that the plan is judged by.

    Raises NoWeekPossible, SolverFault.
    """
    problem = build_problem(inputs)
    refused = refused_pins(inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    if inputs.hard is not None and plan_of(inputs.hard):
        held = solve_held(inputs, problem)
    else:
        solved = solve_week(problem)
        held = (problem, solved) if solved else None
    if held is None:
        from planner.week.clash import no_week

        raise no_week(inputs)
    return held


def sureness(asked: Asked, problem: Problem, plan: Plan) -> dict[str, Sureness]:
    """Judge how sure the dose of a plan is, head by head."""
    return how_sure(asked.inputs, problem, sets_a_week(plan))


def document_of(
    asked: Asked, problem: Problem, solved: Solved, sure: Mapping[str, Sureness] | None = None
) -> WeekDocument:
    """Compose the document of a solved week, with how sure it is and what the first page must say."""
    nothing = () if problem.anything_needed else (NOTHING_LEFT,)
    pain = asked.carried.pain
    week = Week(
        asked.week,
        asked.start.isoformat(),
        pain=pain.sheet_lines,
        warnings=(*nothing, *asked.warnings),
        exercise_warnings=tuple(ExerciseWarning(**vars(line)) for line in pain.lines if line.exercise),
        notes=(*asked.carried.lines, *notes(asked.inputs, problem, solved.plan, asked.before)),
        loads=asked.carried.loads,
        changes=asked.changes,
        ahead=asked.ahead,
    )
    return compose(asked.inputs, problem, solved, sure or sureness(asked, problem, solved.plan), week)
