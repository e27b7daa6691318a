"""What a coach may want to ask for, said once and planned by nobody: a week without any press, where none was asked."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.problem import Problem

PRESSES = ("overhead_press", "horizontal_press", "push_up")  # any of these families is a press to a coach
ASK = '[variety] families = ["overhead_press", "lateral_raise"]'


def hints(problem: Problem, plan: Plan) -> Iterator[str]:
    """Say that no press is planned though the rooms and joints would allow one, and the line that asks for it."""
    planned = {problem.candidate(key).family for key, _ in plan}
    possible = {problem.candidate(key).family for key in problem.rooms}
    asked = problem.families_wanted or problem.held is not None
    if plan and not asked and planned.isdisjoint(PRESSES) and PRESSES[0] in possible:
        yield f"No press is in this week: the targets are met by other movements. To ask for one: {ASK}"
