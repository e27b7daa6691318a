"""From brief, gym and library to the problem: what may be planned, what it is worth, what is left to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from planner.week.filed import library_ratios

from library.method import CreditSettings
from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import weekly_targets
from planner.method import AthleteSettings, WeekSettings
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.week.pins import refused_pins

Make = Callable[..., Inputs]
CLUB = Gym(equipment=("dumbbells", "adjustable_bench", "dual_cable_station", "rear_fly_machine"))
HOME = Gym(equipment=("bands",))


@pytest.fixture
def make(library: Library) -> Make:
    """Inputs of a brief for a novice with two sessions, changed as asked."""

    def inputs(
        week: dict[str, Any] | None = None, credit: dict[str, Any] | None = None, **brief: Any
    ) -> Inputs:
        facts: dict[str, Any] = {
            "athlete": {"name": "Somebody"},
            "session": [
                {"day": "Fri", "minutes": 30, "gym": "home"},
                {"day": "Mon", "minutes": 40, "gym": "club"},
            ],
        }
        asked = Brief.model_validate(facts | brief)
        targets, _ = weekly_targets(asked, library, AthleteSettings())
        return Inputs(
            library=library,
            brief=asked,
            gyms={"club": CLUB, "home": HOME},
            targets=targets,
            ratios=library_ratios(library),
            week=replace(WeekSettings(), **(week or {})),
            credit=replace(CreditSettings(), **(credit or {})),
        )

    return inputs


def test_sessions_in_the_order_of_the_week_without_their_warm_up(make: Make) -> None:
    monday, friday = build_problem(make()).sessions
    assert (monday.id, monday.gym, monday.seconds) == ("Mon", "club", 35 * 60)
    assert (friday.id, friday.gym, friday.seconds) == ("Fri", "home", 25 * 60)
    assert build_problem(make(week={"general_warmup_minutes": 50})).sessions[0].seconds == 0


def test_a_room_holds_what_it_has_the_equipment_for(make: Make, library: Library) -> None:
    problem = build_problem(make())
    monday, friday = problem.sessions
    assert "cable_face_pull" in monday.allowed  # two adjustable pulleys are also one
    assert "band_lateral_raise" in friday.allowed and "band_lateral_raise" not in monday.allowed
    assert "push_up" in monday.allowed & friday.allowed  # needs nothing
    assert all(not set(library.exercises[key].needs) - {"bands"} for key in friday.allowed)


def test_what_is_worth_nothing_is_no_candidate_unless_named(make: Make, library: Library) -> None:
    keys = {one.key for one in build_problem(make()).candidates}
    assert "dumbbell_shrug" not in keys  # no deltoid head above the credit floor
    assert not keys & {key for key, one in library.exercises.items() if one.compare_only}
    named = make(preferences={"prefer": ["dumbbell_shrug"], "exclude": ["push_up"]})
    keys = {one.key for one in build_problem(named).candidates}
    assert "dumbbell_shrug" in keys and "push_up" not in keys


def test_candidates_stand_in_library_order(make: Make, library: Library) -> None:
    problem, order = build_problem(make()), list(library.exercises)
    places = [order.index(one.key) for one in problem.candidates]
    assert places == sorted(places) == [one.place for one in problem.candidates]


def test_seconds_sides_and_warm_up_sets(make: Make, library: Library) -> None:
    one_armed = library.exercises["one_arm_standing_dumbbell_press"]
    candidate = build_problem(make()).candidate(one_armed.key)
    assert candidate.set_seconds == 2 * one_armed.work_seconds + one_armed.rest_seconds
    warm_up = one_armed.warmup_sets * 2 * 65
    assert candidate.block_seconds == one_armed.setup_seconds + warm_up - one_armed.rest_seconds


def test_credits_above_the_floor_and_at_most_one(make: Make) -> None:
    raised = build_problem(make()).candidate("seated_dumbbell_lateral_raise")
    assert raised.credits["side"] == 1.0  # its ratio is above 1
    assert "side" in raised.direct
    press = build_problem(make()).candidate("seated_dumbbell_overhead_press")
    assert press.credits["front"] == 1.0 and "rear" not in press.credits  # 0.19 of the anchor


def test_lowering_weighs_more_where_the_coach_says_so(make: Make, library: Library) -> None:
    key = "seated_dumbbell_lateral_raise"
    share = library.exercises[key].eccentric_share.value
    weighed = build_problem(make(credit={"eccentric_weight": 1.25})).candidate(key).credits["side"]
    assert weighed == pytest.approx(((1 - share) + 1.25 * share) / 1.125, abs=1e-4)


def test_a_head_with_target_0_has_neither_goal_nor_credit(make: Make) -> None:
    problem = build_problem(make(target={"rear": 0}))
    assert [goal.head for goal in problem.heads] == ["front", "side"]
    assert all("rear" not in one.credits for one in problem.candidates)


def test_elsewhere_covers_at_most_half_unless_the_coach_says_so(make: Make) -> None:
    press = {"seated_dumbbell_overhead_press": {"sets": 6}}
    front = build_problem(make(elsewhere=press)).heads[0]
    assert (front.target, front.elsewhere, front.elsewhere_direct) == (8.0, 4.0, 4.0)
    press["seated_dumbbell_overhead_press"]["whole"] = True
    front = build_problem(make(elsewhere=press)).heads[0]
    assert (front.elsewhere, front.elsewhere_direct) == (6.0, 6.0)
    bench = build_problem(make(elsewhere={"barbell_bench_press": 4})).heads[0]
    assert 2.4 < bench.elsewhere < 2.8 and bench.elsewhere_direct == 0.0  # 0.66 a set: not a direct one


def test_joint_stress_elsewhere_counts_where_it_has_a_day(make: Make) -> None:
    def used(**done: Any) -> float:
        problem = build_problem(make(elsewhere={"barbell_bench_press": done}))
        return next(one.elsewhere for one in problem.joints if one.region == "acromioclavicular")

    assert used(sets=4, day="Tue") == 8.0  # grade 2
    assert used(sets=4) == 0.0


def test_budgets_follow_the_stricter_of_brief_and_flags(make: Make) -> None:
    problem = build_problem(
        make(joints={"elbow": "careful", "wrist": "avoid"}, history={"flags": ["dislocation"]})
    )
    allowed = {one.region: one.allowed for one in problem.joints}
    assert (allowed["elbow"], allowed["wrist"], allowed["anterior_capsule"]) == (30.0, 10.0, 10.0)
    assert allowed["neck"] == 60.0


def test_wishes_of_the_brief_reach_the_problem(make: Make) -> None:
    problem = build_problem(
        make(
            variety={"implements": 3, "families": ["rear_fly"], "share": 0.4, "must": True},
            preferences={"pin": {"push_up": {"day": "Mon", "sets": 5}}, "trapezius": True},
            target={"side": {"target": 9, "priority": 2, "sessions": 1, "must": True}},
        )
    )
    assert (problem.implements_wanted, problem.families_wanted, problem.variety_must) == (
        3,
        ("rear_fly",),
        True,
    )
    assert problem.settings.share_of_target == 0.4
    assert problem.pins == {("push_up", "Mon"): 5} and problem.quiet_trapezius
    side = next(goal for goal in problem.heads if goal.head == "side")
    assert (side.target, side.priority, side.sessions, side.must) == (9.0, 2.0, 1, True)
    assert build_problem(make()).implements_wanted == WeekSettings().variety_implements


def test_the_digest_knows_what_the_plan_rests_on(make: Make) -> None:
    same, changed = make(), make(target={"rear": 9})
    assert make().digest() == same.digest() != changed.digest()
    assert replace(same, last_week=frozenset({"push_up"})).digest() != same.digest()
    assert replace(same, gyms={"club": CLUB, "home": CLUB}).digest() != same.digest()


def pin(key: str, sets: int = 3, day: str = "Mon") -> dict[str, Any]:
    return {"preferences": {"pin": {key: {"day": day, "sets": sets}}}}


@pytest.mark.parametrize(
    ("brief", "words"),
    [
        (pin("push_up"), ""),
        (pin("band_row"), "gym club lacks bands, band_anchor"),
        (pin("parallel_bar_dip"), "joint stress 3 in anterior_capsule (clear: at most 2)"),
        (pin("push_up") | {"joints": {"wrist": "avoid"}}, "joint stress 2 in wrist (avoid: at most 1)"),
        (pin("push_up", sets=2), ""),
        (pin("push_up", sets=4), ""),
        (pin("push_up", sets=1), "push_up: 1 set on Mon: an exercise has 2 to 4 sets in a session"),
        (pin("push_up", sets=5), "an exercise has 2 to 4 sets in a session. Pin so many, share them"),
    ],
)
def test_pins_are_refused_with_their_reason(brief: dict[str, Any], words: str, make: Make) -> None:
    inputs = make(**brief)
    refused = refused_pins(inputs, build_problem(inputs))
    assert [words in text for text in refused] == ([True] if words else [])


def test_pins_that_overrun_a_session_are_refused(make: Make) -> None:
    pins = {key: {"day": "Fri", "sets": 8} for key in ("push_up", "pike_push_up", "band_lateral_raise")}
    inputs = make(preferences={"pin": pins}, week={"largest_block_sets": 8})
    (refused,) = refused_pins(inputs, build_problem(inputs))
    assert "push_up" in refused and "of the 25 min after the warm-up" in refused
    inputs = make(preferences={"pin": pins}, week={"exercises_per_session": 2, "largest_block_sets": 8})
    assert any("at most 2 fit on a sheet" in text for text in refused_pins(inputs, build_problem(inputs)))
