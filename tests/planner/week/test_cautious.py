"""Cautious weeks: the expected shortfall against its definition and by counting; never worse than the plain week."""

import datetime
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from every_plan import every_plan
from hypothesis import given, settings
from hypothesis import strategies as st
from small_athlete import BRIEF, TODAY, WEEK, keep, make_folder, planned, sets
from tiny_week import goal, tiny

from library.errors import FaultyInput
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.change.why import asked_for, why
from planner.document import BlockMark, plan_of
from planner.method import CautiousSettings
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.build import build_problem
from planner.model.problem import counted_of, dose_of
from planner.publish import check_sound
from planner.solve.solve import solve_week
from planner.week import cautious
from planner.week.cautious import cautious_week, level_of, plan_cautious, require_alone, shortfall_of
from planner.week.gather import gather
from planner.week.interval import HeadDraws, draw, draw_doses, draw_ratios, expected_shortfall, how_sure
from planner.week.plan import plan_week

LEVEL = 0.8
ON_SUNDAY = datetime.date(2026, 12, 6)  # of the week: every session may have been trained
FINE = CautiousSettings().but(cautious_gap_sets=1e-6)


def scattered(problem, count=20, seed=1, spread=0.4):
    """Credits times a log-normal factor, at most 1; elsewhere as it is."""
    dice, keys, drawn = np.random.default_rng(seed), tuple(problem.by_key), {}
    for of in problem.heads:
        centre = np.array([problem.by_key[key].credits.get(of.head, 0.0) for key in keys])
        credits = np.minimum(1.0, centre * np.exp(spread * dice.standard_normal((count, len(keys)))))
        own, helping = (np.full(count, dose) for dose in (of.elsewhere_own, of.elsewhere_helping))
        drawn[of.head] = HeadDraws(keys, credits.round(6), own, helping)
    return drawn


# --- the measure
@given(st.lists(st.floats(0, 50), min_size=1, max_size=30), st.floats(0, 0.95))
def test_it_is_the_least_of_rockafellar_and_uryasevs_formula(values, level):
    """min over eta of eta + mean(max(0, v − eta)) / (1 − level) (Rockafellar and Uryasev 2000), met at some value."""
    drawn = np.array(values)
    least = min(eta + np.maximum(0, drawn - eta).mean() / (1 - level) for eta in values)
    assert expected_shortfall(drawn, level) == pytest.approx(least, abs=1e-6)


def test_equal_draws_give_the_plain_price_and_without_a_budget_it_is_the_plain_week():
    problem = tiny(heads=(goal("front", priority=2.0), goal("side", elsewhere_helping=1.0), goal("rear")))
    sure = scattered(problem, spread=0.0)
    for plan in list(every_plan(problem))[::7]:
        assert shortfall_of(problem, sure, plan, LEVEL) == pytest.approx(dose_value(problem, plan))
    problem = tiny()
    draws, plain = scattered(problem), solve_week(problem)
    none = replace(problem, settings=problem.settings.but(emergency_seconds=0.0))
    made = cautious_week(none, draws, LEVEL, plain.plan, FINE.but(cautious_node_budget=0))
    assert made.value <= shortfall_of(problem, draws, plain.plan, LEVEL) + 1e-6
    assert made.stopped and made.bound <= made.value


# --- the plan, against counting
def under_ceilings(problem, plain, plan):
    return all(
        dose_of(problem, plan, of.head)
        <= max(of.ceiling - of.elsewhere, dose_of(problem, plain, of.head)) + 1e-6
        for of in problem.heads
    )


@settings(max_examples=12)
@given(seed=st.integers(0, 999), level=st.sampled_from([0.0, 0.5, 0.8]), helped=st.booleans())
def test_it_is_the_best_week_by_counting(seed, level, helped):
    elsewhere = {"elsewhere_helping": 2.0} if helped else {}
    problem = tiny(heads=(goal("front"), goal("side", priority=2.0, **elsewhere), goal("rear", target=4.0)))
    problem = replace(problem, settings=problem.settings.but(rest_gap_minutes=0.01))
    draws, plain = scattered(problem, seed=seed), solve_week(problem)
    made = cautious_week(problem, draws, level, plain.plan, FINE)
    plans = [one for one in every_plan(problem) if under_ceilings(problem, plain.plan, one)]
    best = min(shortfall_of(problem, draws, one, level) for one in plans)
    plain_value = shortfall_of(problem, draws, plain.plan, level)
    assert not made.stopped and made.bound <= best + 1e-4
    assert best - 1e-4 <= made.value <= (best + min(plain_value, best + dose_room(problem))) / 2 + 1e-3
    most = (best + min(plain_value, best + dose_room(problem))) / 2
    near = [one for one in plans if shortfall_of(problem, draws, one, level) <= most + 1e-9]
    cheapest = min(rest_value(problem, one) for one in near)
    assert rest_value(problem, made.plan) <= cheapest + 0.02
    assert made.rest_bound <= rest_value(problem, made.plan) + 1e-9


# --- an athlete's week
@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    brief = BRIEF.replace("front = 6\nside = 8\nrear = 6", "front = 5\nside = 12\nrear = 5")
    return make_folder(Path(tmp_path_factory.mktemp("cautious") / "kim"), brief)


@pytest.fixture(scope="module")
def asked(folder):
    return gather(folder, WEEK, TODAY)


@pytest.fixture(scope="module")
def document(asked):
    return plan_cautious(asked, LEVEL, CautiousSettings().but(cautious_draws=40))


@pytest.fixture(scope="module")
def caution(document):
    return document.cautious


def test_it_is_sound_and_no_worse_than_the_plain_week_on_its_draws(asked, document, caution):
    check_sound(document, asked)
    assert [row.aim for row in document.proof] == ["shortfall", "rest"]
    assert document.proof[0].value == caution.cautious.own_shortfall
    assert document.proof[1].value == pytest.approx(caution.cautious.priced_minutes, abs=0.05)
    assert (caution.level, caution.draws) == (LEVEL, 40)
    assert (caution.judged_draws, caution.judged_seed) == (asked.inputs.week.draws, asked.inputs.week.seed)
    assert caution.cautious.own_shortfall <= caution.plain.own_shortfall
    assert caution.cautious.judged_shortfall < caution.plain.judged_shortfall
    plain = plan_week(asked)
    assert {(block.exercise, block.session): block.sets for block in caution.plain_blocks} == sets(plain)
    for head, dose in zip(caution.heads, plain.dose, strict=True):
        assert head.plain.dose == pytest.approx(dose.planned + dose.elsewhere, abs=2e-3)
        assert head.plain.mean == pytest.approx(head.plain.dose, rel=0.02)
        assert head.plain.chance_floor == dose.chance_floor
        assert head.plain.bad < head.plain.mean and head.cautious.bad < head.cautious.mean


def test_the_figures_are_those_of_the_plan_and_draws_never_meet(asked, document, caution):
    problem, plan = build_problem(asked.inputs), plan_of(document)
    others = draw(asked.inputs, problem, asked.inputs.week.draws, asked.inputs.week.seed, cautious.JUDGED_ON)
    judged = caution.cautious.judged_shortfall
    assert shortfall_of(problem, others, plan, LEVEL) == pytest.approx(judged, abs=1e-3)
    for of, head in zip(problem.heads, caution.heads, strict=True):
        assert head.cautious.dose == pytest.approx(counted_of(problem, plan, of), abs=2e-3)
        gives = {key: problem.by_key[key].credits.get(of.head, 0.0) for key, _ in plan}
        assert head.cautious.exercises == sum(credit > 0 for credit in gives.values())
        assert gives[head.cautious.largest] > 0
    problem = build_problem(asked.inputs)
    first, again, other = (draw(asked.inputs, problem, 10, 5, stream)["rear"].credits for stream in (0, 0, 1))
    assert (first == again).all() and (first != other).any()
    assert first.min() >= 0 and first.max() <= 1


def test_a_week_with_nothing_left_is_the_plain_one_and_a_block_is_refused(asked, tmp_path):
    brief = BRIEF.replace("front = 6\nside = 8\nrear = 6", "front = 0\nside = 0\nrear = 0")
    nothing = plan_cautious(gather(make_folder(tmp_path, brief), WEEK, TODAY), LEVEL)
    assert nothing.cautious is None and not sets(nothing)
    inside = replace(asked, inputs=replace(asked.inputs, block=BlockMark(first=WEEK, number=1, of=4)))
    with pytest.raises(FaultyInput, match="week 1 of the block"):
        plan_cautious(inside, LEVEL)


def test_levels_are_read_as_shares_or_percent_and_choices_are_refused():
    assert level_of("0.8") == level_of(" 80 %") == 0.8
    for wrong in ("1", "0", "-0.1", "nan", "often", "100%"):
        with pytest.raises(FaultyInput):
            level_of(wrong)
    require_alone(1, None)
    with pytest.raises(FaultyInput, match=r"--choices 3 and --take B"):
        require_alone(3, "B")


@pytest.fixture
def in_force(folder, document, tmp_path):
    shutil.copytree(folder, tmp_path / "kim")
    keep(tmp_path / "kim", document)
    return tmp_path / "kim"


def test_a_swap_that_moves_nothing_keeps_its_figures_and_why_looks_at_it_like_at_any_week(
    in_force, document, monkeypatch
):
    assert swap_week(in_force, Options(), TODAY).report.week == document
    done = swap_week(in_force, Options(done=("Mon",)), ON_SUNDAY)
    assert done.news and done.report.sets_in == done.report.sets_out == 0
    week = done.report.week
    assert (week.cautious, week.proof, week.status) == (document.cautious, document.proof, document.status)
    check_sound(week, done.asked)
    monkeypatch.setattr("planner.change.why.all_easings", lambda *_: [])
    asked, shown = asked_for(in_force, TODAY, WEEK)
    assert shown.cautious is not None
    assert why(asked, shown, lambda *_: None).week == WEEK


def test_a_swap_that_moves_something_or_files_that_changed_take_them_away(in_force):
    document = swap_week(in_force, Options(), TODAY).report.week
    used = document.sessions[0].exercises[0].exercise
    swapped = swap_week(in_force, Options(drop=(used,)), TODAY)
    assert swapped.news and swapped.report.week.cautious is None
    assert any("--cautious 0.8" in note for note in swapped.report.notes)
    keep(in_force, swapped.document)
    back = swap_week(in_force, Options(with_=(used,)), TODAY)
    assert back.report.back_to == "v1" and back.report.week.cautious == document.cautious
    keep(in_force, back.document)
    brief = (in_force / "brief.toml").read_text(encoding="utf-8")
    (in_force / "brief.toml").write_text(brief.replace("side = 12", "side = { target = 12, priority = 2 }"))
    assert swap_week(in_force, Options(done=("Mon",)), ON_SUNDAY).report.week.cautious is None


# --- How sure the dose is: seeded draws of this athlete's ratios through the same set credit, the plan held fixed
ANCHOR, FACE_PULL, FLY = "standing_dumbbell_lateral_raise", "cable_face_pull", "machine_reverse_fly"
ELSEWHERE = '\n[elsewhere]\ncable_face_pull = 20\nbarbell_bench_press = { sets = 6, day = "Tue" }\n'


@pytest.fixture(scope="module")
def week(tmp_path_factory):
    return planned(make_folder(tmp_path_factory.mktemp("sure") / "kim", BRIEF + ELSEWHERE))


@pytest.fixture(scope="module")
def inputs(week):
    return week[0].inputs


def doses_of(inputs, head, sets):
    goal = next(one for one in build_problem(inputs).heads if one.head == head)
    return draw_doses(inputs, goal, sets)


def without_elsewhere(inputs):
    return replace(inputs, brief=inputs.brief.model_copy(update={"elsewhere": {}}))


@pytest.mark.parametrize("head", ["front", "side", "rear"])
def test_the_printed_dose_is_the_mean_of_its_draws(week, head):
    asked, document = week
    sets = {}
    for session in document.sessions:
        for line in session.exercises:
            sets[line.exercise] = sets.get(line.exercise, 0) + line.sets
    doses, (dose,) = doses_of(asked.inputs, head, sets), (one for one in document.dose if one.head == head)
    mean, error = float(doses.mean()), float(doses.std()) / len(doses) ** 0.5
    assert len(doses) == 10_000
    assert dose.planned + dose.elsewhere == pytest.approx(mean, rel=0.02)
    assert abs(dose.planned + dose.elsewhere - mean) <= 4 * error + 0.005
    assert dose.low90 == pytest.approx(float(np.quantile(doses, 0.05)), abs=1e-3)
    assert dose.high90 == pytest.approx(float(np.quantile(doses, 0.95)), abs=1e-3)
    assert dose.chance_floor == pytest.approx(float((doses >= dose.floor - 1e-6).mean()), abs=1e-4)


def test_draws_are_sure_of_the_anchor_have_mean_and_kinship_and_movers_draw_halves(inputs):
    alone = without_elsewhere(inputs)
    problem = build_problem(alone)
    side = how_sure(alone, problem, {ANCHOR: 8})["side"]
    assert (side.low90, side.high90, side.chance_floor) == pytest.approx((8.0, 8.0, 1.0))
    none = how_sure(alone, problem, {})
    assert {(one.low90, one.high90, one.chance_floor) for one in none.values()} == {(0.0, 0.0, 0.0)}
    alone = without_elsewhere(inputs)
    doses = doses_of(alone, "rear", {FACE_PULL: 4})
    assert doses.min() >= 0.0 and doses.max() == pytest.approx(4.0)
    assert not ((doses > 0) & (doses < 4 * 0.30)).any()
    side, keys = inputs.profiles["side"], [FLY, "seated_bent_over_rear_raise"]
    at = [list(side.exercises).index(key) for key in keys]
    logs = np.log(draw_ratios(side, keys, 40_000, seed=1))
    assert np.cov(logs.T) == pytest.approx(side.covariance[np.ix_(at, at)], abs=0.004)
    assert logs.mean(axis=0) == pytest.approx(side.theta[at], abs=0.01)
    alone = without_elsewhere(inputs)
    movers = replace(alone, week=alone.week.but(counting="movers"))
    assert set(doses_of(movers, "rear", {FACE_PULL: 2}).round(6).tolist()) <= {0.0, 1.0, 2.0}


def test_helping_counts_up_to_its_share_and_own_sets_elsewhere_cover_half_unless_whole(inputs, tmp_path):
    """Face pulls help the side: 20 sets elsewhere count for 0.4 of its 8 sets and no more."""
    doses = doses_of(inputs, "side", {})
    assert float(doses.mean()) == pytest.approx(0.4 * 8, rel=0.02)
    assert float(doses_of(inputs, "rear", {}).mean()) == pytest.approx(3.0, rel=0.02)  # half of 6
    whole = ELSEWHERE.replace("= 20", "= { sets = 20, whole = true }")
    free = gather(make_folder(tmp_path / "kim", BRIEF + whole), WEEK, TODAY).inputs
    credit = free.credit_of(free.library.exercises[FACE_PULL], "rear")
    assert float(doses_of(free, "rear", {}).mean()) == pytest.approx(20 * credit, rel=0.02)


def test_an_exercise_of_which_nothing_is_known_changes_nothing_of_the_others(inputs):
    """A huge error of one ratio widens what it gives itself; a week without it stays as sure as it was."""
    rear = inputs.profiles["rear"]
    at, wide = list(rear.exercises).index(FLY), rear.covariance.copy()
    wide[at, :], wide[:, at] = 0.0, 0.0
    wide[at, at] = 9.0
    vague = replace(inputs, profiles={**inputs.profiles, "rear": replace(rear, covariance=wide)})
    sets = {FACE_PULL: 4}
    before, after = (how_sure(of, build_problem(of), sets)["rear"] for of in (inputs, vague))
    assert (before.low90, before.high90) == pytest.approx((after.low90, after.high90))
    with_fly = how_sure(vague, build_problem(vague), {**sets, FLY: 4})["rear"]
    assert with_fly.low90 >= before.low90 - 0.05  # it may give nothing, and takes nothing away
    assert with_fly.high90 - with_fly.low90 > before.high90 - before.low90
