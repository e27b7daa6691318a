"""A week without any press says so once, with the line that asks for one; nothing is planned by it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.week.hints import ASK, hints
from tiny_week import FLY, PRESS, RAISE, tiny

from planner.document import Plan
from planner.model.problem import Held, Problem

RAISES: Plan = {("raise", "Mon"): 3}


def test_a_week_of_raises_is_told_with_the_line_to_write() -> None:
    [told] = hints(tiny(), RAISES)
    assert "No press" in told and told.endswith(ASK) and "overhead_press" in ASK


@pytest.mark.parametrize("family", ["overhead_press", "horizontal_press", "push_up"])
def test_any_press_will_do(family: str) -> None:
    problem = tiny(candidates=(replace(RAISE, family=family), PRESS, FLY))
    assert not list(hints(problem, RAISES))


@pytest.mark.parametrize(
    ("problem", "plan"),
    [
        (tiny(), {}),
        (tiny(families_wanted=("lateral_raise",)), RAISES),
        (tiny(held=Held(RAISES)), RAISES),
        (tiny(candidates=(RAISE, FLY)), RAISES),
    ],
    ids=["nothing planned", "families asked", "inside a block", "no press possible"],
)
def test_nothing_is_said_where_it_would_not_help(problem: Problem, plan: Plan) -> None:
    assert not list(hints(problem, plan))
