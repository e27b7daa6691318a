"""The week that changes least: a week comes out whatever stops the search for it."""

from dataclasses import replace

import pytest
from small_weeks import any_week

from planner.model.aims import dose_room, dose_value
from planner.solve.solve import best_dose
from planner.week.keeping import Keeping, least_change

IN_FORCE = [problem for problem in map(any_week, range(40)) if problem.in_force]


@pytest.mark.parametrize("problem", IN_FORCE)
@pytest.mark.parametrize("seconds", [0.0, 60.0])
def test_a_sound_week_comes_out_even_where_no_time_is_left(problem, seconds):
    best = best_dose(problem)
    assert best is not None
    solved = least_change(replace(problem, settings=problem.settings.but(emergency_seconds=seconds)), best)
    assert not Keeping(problem).broken(solved.plan)
    assert dose_value(problem, solved.plan) <= best.value + dose_room(problem) + 1e-6
    assert solved.stopped or seconds
