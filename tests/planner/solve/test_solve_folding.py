"""The week written over its totals: rows of the days added up, terms on the side that is asked."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from planner.solve.fast import solve_fast
from planner.solve.folding import OF_USE, Folding
from planner.solve.integer import can_be_broken
from small_weeks import week_over_or_in_turns
from tiny_week import tiny
from week_cases import random_problem

from planner.model.aims import build
from planner.model.program import INFINITE, Row


@pytest.mark.parametrize("pick", [min, max])
@pytest.mark.parametrize("seed", [1, 2, 6])
def test_terms_over_form_lie_on_the_side_that_is_asked(seed: int, pick: Callable[..., float]) -> None:
    """Held against a real plan: folded terms at its form, beside the terms themselves."""
    problem = week_over_or_in_turns(seed)
    program = build(problem)
    form = Folding(program)
    solved = solve_fast(problem)
    assert solved is not None
    point = {program.blocks[pair][count]: 1.0 for pair, count in solved.plan.items()}
    point |= {program.used[key]: 1.0 for key, _ in solved.plan}
    summed: dict[int, float] = {}
    for (key, _), count in solved.plan.items():
        one = form.exercises[key]
        summed[one.sets] = summed.get(one.sets, 0.0) + count
        summed[one.blocks] = summed.get(one.blocks, 0.0) + 1.0
    checked = 0
    for row in program.rows:
        terms = {column: value for column, value in row.terms.items() if column not in form.alike}
        here = sum(value * point.get(column, 0.0) for column, value in terms.items())
        there = sum(value * summed.get(column, 0.0) for column, value in form.fold(terms, pick).items())
        assert (there <= here + 1e-6) if pick is min else (there >= here - 1e-6)
        checked += bool(terms)
    assert checked > 20


def test_rows_that_differ_in_the_day_are_added_up_and_a_line_lies_on_the_right_side() -> None:
    program = build(tiny())
    form = Folding(program)
    monday, tuesday = (program.blocks["raise", day] for day in ("Mon", "Tue"))
    rows = [
        Row("some:Mon", {monday[2]: 2.0, monday[3]: 4.0}, 0.0, 5.0, "sets"),
        Row("some:Tue", {tuesday[2]: 2.0, tuesday[3]: 5.0}, 0.0, 6.0, "sets"),
    ]
    sets, blocks = form.exercises["raise"].sets, form.exercises["raise"].blocks
    at_least, at_most = form.folded(rows)
    assert (at_least.low, at_least.high) == (0.0, INFINITE)
    assert (at_most.name, at_most.high) == ("some:*", 11.0)
    assert at_most.terms == {sets: pytest.approx(2.0), blocks: pytest.approx(-2.0)}
    assert form.fold(rows[1].terms, max) == {sets: pytest.approx(3.0), blocks: pytest.approx(-4.0)}


@pytest.mark.parametrize("seed", range(6))
def test_the_rows_that_are_left_out_could_not_be_broken(seed: int) -> None:
    program = build(random_problem(seed) if seed % 2 else week_over_or_in_turns(seed))
    form = Folding(program)
    left_out = form.folded([row for row in program.rows if row.name.startswith(OF_USE)])
    assert left_out and not any(can_be_broken(row.terms, row.low, row.high) for row in left_out)
