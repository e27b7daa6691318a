"""Session patterns: the knapsack against listing all contents, and the linear bound under every whole plan."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import by_scipy
import pytest
from small_weeks import any_week
from tiny_week import MONDAY, TUESDAY, tiny

from planner.model.aims import build, dose_program
from planner.model.program import Program
from planner.solve.patterns import UNMET, Decomposition
from planner.solve.sessions import NONE, Knapsack, Pattern, Room, room_of


def contents(room: Room) -> list[Pattern]:
    """All that a session can hold: at most one count an exercise, what is forced always, time and places kept."""
    options = []
    for choice in room.choices:
        blocks = list(zip(choice.columns, choice.seconds, strict=True))
        options.append(blocks if choice.forced else [None, *blocks])
    chosen = [[block for block in each if block] for each in product(*options)]
    return [
        tuple(column for column, _ in each)
        for each in chosen
        if len(each) <= room.places and sum(seconds for _, seconds in each) <= room.seconds
    ]


def small_room(seed: int) -> tuple[Room, dict[int, float]]:
    """A session of a few exercises, some forced, and values that are often alike or below 0."""
    dice = random.Random(seed)
    problem = replace(any_week(seed, exercises=(3, 6)), paired=False)
    program = Program(problem)
    room = room_of(program, problem.sessions[seed % 2])
    values = {at: float(dice.choice((-2, -1, 0, 1, 1, 2, 3.5))) for at in sorted(program.columns)}
    return replace(room, places=dice.randint(1, 4)), values


@pytest.mark.parametrize("seed", range(40))
def test_the_knapsack_is_exact(seed: int) -> None:
    room, values = small_room(seed)
    knapsack, listed = Knapsack(room, values), contents(room)
    worth = {frozenset(each): sum(values[column] for column in each) for each in listed}
    best, taken = knapsack.best()
    if not worth:
        assert best == NONE
        return
    assert best == pytest.approx(max(worth.values()))
    assert worth[frozenset(taken)] == pytest.approx(best)
    near = {each for each, value in worth.items() if value >= best - 1.5 - 1e-9}
    patterns = knapsack.patterns(1.5, len(near))
    assert patterns is not None and {frozenset(each) for each in patterns} == near
    assert len(near) < 2 or knapsack.patterns(1.5, len(near) - 1) is None
    assert knapsack.spread() >= best - min(worth.values()) - 1e-9
    for column, cost in knapsack.forcing_costs().items():
        with_it = [value for each, value in worth.items() if column in each]
        assert cost <= best - max(with_it, default=NONE) + 1e-9  # never more than it costs


@pytest.mark.parametrize("seed", range(20))
def test_the_bound_is_under_every_whole_plan(seed: int) -> None:
    problem = replace(any_week(seed), paired=False)
    program, doses = build(problem), dose_program(problem)
    least = by_scipy.minimize(doses, doses.dose_price).value
    bound = Decomposition(doses).bound(doses.dose_price)
    if least is None:
        return
    assert bound.unmet <= UNMET and bound.value <= least + 1e-5
    held = by_scipy.hold(program.dose_price, least + 0.1)
    rest = by_scipy.minimize(program, program.rest_price, [held]).value
    linear = Decomposition(program).bound(program.rest_price, held)
    assert rest is not None and linear.unmet <= UNMET and linear.value <= rest + 1e-3


def test_rows_that_cannot_be_met_are_called_so() -> None:
    pins = {("press", "Mon"): 3, ("raise", "Mon"): 3, ("fly", "Mon"): 3}  # 1,150 s
    program = dose_program(tiny(sessions=(replace(MONDAY, seconds=1149), TUESDAY), pins=pins))
    assert Decomposition(program).bound(program.dose_price).unmet > UNMET
