"""Held: inside a block z[e] ≥ 1 for every exercise held, or y[e,d] ≥ 1 for every block held."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, tiny

from planner.model.limits import held
from planner.model.problem import Held

PLAN = {("press", "Mon"): 3, ("raise", "Tue"): 2, ("press", "Tue"): 2}


def test_outside_a_block_nothing_is_held() -> None:
    assert added(held.rows, tiny()) == written("")


def test_every_exercise_stays_and_none_joins() -> None:
    problem = tiny(held=Held(PLAN))
    assert added(held.rows, problem) == written("""
        held:press: 1 <= 1 used:press exercises
        held:raise: 1 <= 1 used:raise exercises
    """)
    assert not problem.can_hold("fly", "Mon")
    assert problem.choices("raise", MONDAY) == (2, 3)  # on another day, with other sets


def test_where_one_is_gone_another_may_join_and_the_rest_stays() -> None:
    gone = tiny(sessions=tuple(replace(one, allowed=one.allowed - {"raise"}) for one in (MONDAY, TUESDAY)))
    problem = replace(gone, held=Held(PLAN, closed=False))
    assert added(held.rows, problem) == written("held:press: 1 <= 1 used:press exercises")
    assert problem.can_hold("fly", "Mon")


def test_in_a_lighter_week_every_block_stays_in_place_and_none_grows() -> None:
    problem = tiny(held=Held(PLAN, blocks=True, sets="at_most"), settings={"smallest_block_sets": 1})
    assert added(held.rows, problem) == written("""
        held:press:Mon: 1 <= 1|1|1 press:Mon exercises
        held:raise:Tue: 1 <= 1|1 raise:Tue exercises
        held:press:Tue: 1 <= 1|1 press:Tue exercises
    """)
    assert problem.choices("press", MONDAY) == (1, 2, 3)
    assert problem.choices("press", TUESDAY) == (1, 2)
    assert problem.choices("raise", MONDAY) == ()


def test_where_targets_rise_no_block_shrinks_and_others_of_the_same_exercises_may_come() -> None:
    problem = tiny(held=Held(PLAN, blocks=True, sets="at_least"))
    assert problem.choices("press", MONDAY) == (3,)
    assert problem.choices("press", TUESDAY) == (2, 3)
    assert problem.choices("raise", MONDAY) == (2, 3)
    assert problem.choices("fly", MONDAY) == ()


def test_what_the_coach_pins_may_always_stand() -> None:
    problem = tiny(held=Held(PLAN, blocks=True, sets="at_most"), pins={("fly", "Mon"): 3})
    assert problem.choices("fly", MONDAY) == (3,)


def test_it_uses_up_nothing() -> None:
    assert list(held.use(tiny(held=Held(PLAN)), PLAN)) == []
