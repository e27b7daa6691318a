"""Counting sets, a session's minutes and a step up, against the published examples. Pelland et al. 2026: a set counts
1 for a prime mover and 0.5 for a synergist (their exploratory fits give about 0.32). Set-up, warm-up, work and rest:
the worked example of the training facts, §14 (our arithmetic on stated seconds). Scarpelli et al. 2022: sets rise by
at most 20 % of what the athlete does today (one set more is always allowed: ours)."""

import pytest
from cautious_week import sure_heads

from library.method import CreditSettings
from library.schema import Tempo
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import weekly_targets
from planner.method import AthleteSettings, WeekSettings
from planner.model.build import build_problem, make_candidate
from planner.model.inputs import Inputs
from planner.model.problem import dose_of

PRESS, RAISE, FLY = "seated_dumbbell_overhead_press", "seated_dumbbell_lateral_raise", "machine_reverse_fly"
# press: front mover, middle synergist; lateral raise: middle mover; reverse fly: rear mover; all else bystanders
RATIOS = {"front": {PRESS: 1.0, RAISE: 0.39}, "side": {PRESS: 0.5, RAISE: 1.3, FLY: 0.1}}
RATIOS["rear"] = {PRESS: 0.2, FLY: 0.95}
SETS = {(PRESS, "Mon"): 6, (RAISE, "Mon"): 6, (FLY, "Mon"): 4}


def brief(**more):
    session = [{"day": "Mon", "minutes": 60, "gym": "club"}]
    return Brief.model_validate({"athlete": {"name": "Somebody"}, "session": session, **more})


def inputs(library, **credit):
    asked = brief()
    targets, _ = weekly_targets(asked, library, AthleteSettings())
    club = Gym(equipment=("dumbbells", "adjustable_bench", "rear_fly_machine"))
    week, rule = WeekSettings().but(counting="movers"), CreditSettings().but(**credit)
    about = {"targets": targets, "profiles": sure_heads(RATIOS), "week": week, "credit": rule}
    return Inputs(library=library, brief=asked, gyms={"club": club}, **about)


def test_one_set_counts_one_a_half_or_nothing_beside_any_plan(library):
    counted = {key: inputs(library).credits_of(library.exercises[key]) for key in (PRESS, RAISE, FLY)}
    assert counted == {PRESS: {"front": 1.0, "side": 0.5}, RAISE: {"side": 1.0}, FLY: {"rear": 1.0}}
    by_activation = inputs(library).credits_of(library.exercises[PRESS], "activation")
    assert by_activation == {"front": 1.0, "side": 0.5}  # 0.2 for the rear could be a neighbour's signal
    assert inputs(library).credits_of(library.exercises[RAISE], "activation") == {"front": 0.39, "side": 1.0}


@pytest.mark.parametrize(("part", "middle"), [(0.5, 9.0), (0.32, 7.92)])
def test_fractional_sets_of_the_published_week(part, middle, library):
    # press 6, lateral raise 6, reverse fly 4: front 6, middle 9, rear 4
    problem = build_problem(inputs(library, movers_part=part))
    doses = {head: dose_of(problem, SETS, head) for head in ("front", "side", "rear")}
    assert doses == pytest.approx({"front": 6.0, "side": middle, "rear": 4.0})


def test_minutes_of_the_worked_example(library):
    # set-up 60 s, one warm-up set of 65 s, 4 sets of 10 repetitions of 4 s, 120 s of rest: 645 s = 10.75 min
    tempo = Tempo(lift=1, lower=3)
    times = {"setup_seconds": 60, "warmup_sets": 1, "reps": (8, 12), "tempo": tempo, "rest_seconds": 120}
    example = library.exercises[PRESS].model_copy(update=times)
    assert make_candidate(inputs(library), example, 0).seconds(4) / 60 == 10.75


@pytest.mark.parametrize(("now", "then"), [(10, 12), (4, 5), (15, 18), (16, 19.2)])
def test_a_target_rises_by_a_fifth_at_most(now, then, library):
    asked = brief(target={"side": {"target": 40, "ceiling": 45, "now": now}})
    targets, warnings = weekly_targets(asked, library, AthleteSettings())
    assert targets["side"].target == then
    assert sum(line.startswith("side") for line in warnings) == 1
