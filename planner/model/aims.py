"""The two aims and what they cost: dose first, then the rest (DESIGN §3.3).

`build` makes the program that the solver minimizes; `dose_value` and `rest_value` price a plan from the plan
alone, so that what is printed is the value of the plan as printed.
"""

from __future__ import annotations

from planner.document import Plan
from planner.model.change import change_price, price_change
from planner.model.goals import GOALS, dose
from planner.model.goals.missing import Miss
from planner.model.limits import LIMITS, joints, time
from planner.model.pairs import seconds_saved
from planner.model.problem import Problem
from planner.model.program import Program, add


def build(problem: Problem) -> Program:
    """Make the whole program of a problem: limits, goals, and both objectives."""
    program = Program(problem)
    for limit in LIMITS:
        limit.rows(program)
    for goal in GOALS:
        goal.rows(program)
    price_change(program)
    price_effort(program)
    return program


def price_effort(program: Program) -> None:
    """Price minutes, exercises on the sheets and library order: the part of the second aim that has no goal."""
    settings = program.problem.settings
    for candidate, session in program.pairs():
        for sets, column in program.blocks[candidate.key, session.id].items():
            minutes = candidate.seconds(sets) / 60
            add(
                program.rest_price,
                {column: settings.price_minute * minutes + block_price(program.problem, candidate.key)},
            )
    for column, pairing in program.turns.of.items():
        add(program.rest_price, {column: -settings.price_minute * pairing.saved / 60})
    problem = program.problem
    if saved := sum(seconds_saved(problem, problem.trained, one.id) for one in problem.sessions):
        trained = program.variable("trained_in_turns", 1, 1)
        add(program.rest_price, {trained: -settings.price_minute * saved / 60})


def block_price(problem: Problem, key: str) -> float:
    """Price of one line on a session's sheet: the exercise itself and its place in the library (breaks ties)."""
    return problem.settings.price_exercise + problem.settings.tie_break * problem.candidate(key).place


def dose_value(problem: Problem, plan: Plan) -> float:
    """Value of the first aim, in priced missed sets a week."""
    return dose.price(problem, plan)


def rest_value(problem: Problem, plan: Plan) -> float:
    """Value of the second aim, in priced minutes a week."""
    minutes = sum(time.seconds_used(problem, plan, session.id) for session in problem.sessions) / 60
    return (
        sum(miss.price_minutes for miss in misses(problem, plan))
        + problem.settings.price_joint * joints.over_easy(problem, plan)
        + problem.settings.price_minute * minutes
        + sum(block_price(problem, key) for key, _ in plan)
        + change_price(problem, plan)
    )


def misses(problem: Problem, plan: Plan) -> list[Miss]:
    """Name every goal that a plan misses, in the order of the goals."""
    return [miss for goal in GOALS for miss in goal.missed(problem, plan)]


def dose_room(problem: Problem) -> float:
    """Missed sets by which the second aim may leave the best dose: 0.25 a trained head."""
    return problem.settings.dose_tolerance_sets * len(problem.heads)
