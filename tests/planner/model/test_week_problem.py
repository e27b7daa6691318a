"""The problem as plain data: choices of sets, doses, what is needed at all."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tiny_week import MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.model.problem import dose_of


def test_choices_of_sets() -> None:
    problem = tiny(pins={("raise", "Tue"): 5})
    assert problem.choices("press", MONDAY) == (2, 3)
    assert problem.choices("fly", TUESDAY) == ()
    assert problem.choices("raise", TUESDAY) == (5,)
    assert problem.can_hold("raise", "Tue") and not problem.can_hold("fly", "Tue")
    assert not problem.can_hold("press", "Wed") and not problem.can_hold("unheard_of", "Mon")


def test_rooms_are_what_some_session_can_still_hold() -> None:
    assert tiny().rooms == {"press", "raise", "fly"}
    over = (replace(MONDAY, state="done"), TUESDAY)
    assert tiny(sessions=over).rooms == {"press", "raise"}
    assert tiny(sessions=over, pins={("fly", "Mon"): 3}).rooms == {"press", "raise", "fly"}


def test_dose_of_a_week_and_of_a_session() -> None:
    plan = {("press", "Mon"): 3, ("raise", "Mon"): 2, ("raise", "Tue"): 2}
    assert dose_of(tiny(), plan, "side") == pytest.approx(1.5 + 2 + 2)
    assert dose_of(tiny(), plan, "side", "Tue") == pytest.approx(2)
    assert dose_of(tiny(), plan, "rear") == 0


def test_what_is_needed_at_all() -> None:
    enough = (goal("front", elsewhere=6.0), goal("side", target=0.0))
    assert tiny().anything_needed
    assert not tiny(heads=enough).anything_needed
    assert tiny(heads=enough, pins={("press", "Mon"): 2}).anything_needed


def test_seconds_of_a_block() -> None:
    assert (PRESS.seconds(3), RAISE.seconds(3)) == (540, 330)
