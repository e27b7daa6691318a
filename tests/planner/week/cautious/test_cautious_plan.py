"""A cautious week from an athlete's folder: its document beside the plain week, and what comes after it."""

from __future__ import annotations

import datetime
import json
import shutil
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from planner.change.swap.swap import swap_week
from planner.change.swap.told import Options
from planner.change.why.report import asked_for, why
from planner.week.cautious.draws import JUDGED_ON, draw
from planner.week.cautious.judge import Judge, gives_of
from planner.week.cautious.plan import plan_cautious
from small_athlete import BRIEF, TODAY, WEEK, keep, make_folder, sets

from library.errors import FaultyInput
from planner.document import BlockMark, Caution, WeekDocument, plan_of
from planner.method import CautiousSettings
from planner.model.build import build_problem
from planner.verify.recheck import recheck
from planner.week.plan import Asked, gather, plan_week

LEVEL = 0.8
ON_SUNDAY = datetime.date(2026, 12, 6)  # of the week: every session may have been trained


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_folder(Path(tmp_path_factory.mktemp("cautious") / "kim"))


@pytest.fixture(scope="module")
def asked(folder: Path) -> Asked:
    return gather(folder, WEEK, TODAY)


@pytest.fixture(scope="module")
def document(asked: Asked) -> WeekDocument:
    return plan_cautious(asked, LEVEL)


@pytest.fixture(scope="module")
def caution(document: WeekDocument) -> Caution:
    assert document.cautious is not None
    return document.cautious


def broken(asked: Asked, document: WeekDocument) -> list[str]:
    inputs = asked.inputs
    found = recheck(document, asked.library, inputs.brief, inputs.gyms, asked.before, inputs.profiles)
    return [str(finding) for finding in found]


def test_it_passes_the_recheck_and_fits_the_schema(asked: Asked, document: WeekDocument) -> None:
    assert broken(asked, document) == []
    schema = json.loads(files("planner").joinpath("week.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(json.loads(document.model_dump_json()), schema)


def test_it_says_the_aim_that_it_was_solved_for(document: WeekDocument, caution: Caution) -> None:
    assert [(row.aim, row.unit) for row in document.proof] == [
        ("shortfall", "missed sets"),
        ("rest", "priced minutes"),
    ]
    assert document.proof[0].value == caution.cautious.own_shortfall
    assert document.proof[1].value == pytest.approx(caution.cautious.priced_minutes, abs=0.05)
    far = document.proof[0].gap > CautiousSettings().cautious_gap_sets
    assert not far or document.status == "stopped"


def test_it_is_better_in_the_bad_cases_of_draws_that_it_never_saw(caution: Caution) -> None:
    assert caution.cautious.own_shortfall < caution.plain.own_shortfall
    assert caution.cautious.judged_shortfall < caution.plain.judged_shortfall
    for head in caution.heads:
        assert head.cautious.bad > head.plain.bad
        assert head.plain.bad < head.plain.mean
        assert head.cautious.bad < head.cautious.mean


def test_the_plain_plan_beside_it_is_the_plain_week(asked: Asked, caution: Caution) -> None:
    plain = plan_week(asked)
    assert plain.cautious is None
    told = {(block.exercise, block.session): block.sets for block in caution.plain_blocks}
    assert told == sets(plain)
    figures = caution.plain
    assert figures.minutes == pytest.approx(sum(one.minutes.used for one in plain.sessions), abs=0.2)
    assert figures.priced_minutes == pytest.approx(plain.proof[1].value, abs=0.05)
    assert (figures.sets, figures.exercises) == (sum(told.values()), len({key for key, _ in told}))
    for head, dose in zip(caution.heads, plain.dose, strict=True):
        assert head.plain.dose == pytest.approx(dose.planned + dose.elsewhere, abs=1e-3)
        assert (head.plain.chance_floor, head.plain.chance_target90) == (
            dose.chance_floor,
            dose.chance_target90,
        )


def test_the_bets_are_those_of_the_plan(asked: Asked, document: WeekDocument, caution: Caution) -> None:
    problem = build_problem(asked.inputs)
    for head in caution.heads:
        gives = gives_of(problem, plan_of(document), head.head)
        assert head.cautious.exercises == len(gives)
        assert gives[head.cautious.largest] == max(gives.values())
        share = max(gives.values()) / sum(gives.values())
        assert head.cautious.largest_share == pytest.approx(share, abs=1e-4)


def test_an_empty_plan_has_no_bets(asked: Asked) -> None:
    assert gives_of(build_problem(asked.inputs), {}, "front") == {}


def test_it_says_its_draws(asked: Asked, caution: Caution) -> None:
    settings, week = CautiousSettings(), asked.inputs.week
    assert (caution.draws, caution.seed) == (settings.cautious_draws, settings.cautious_seed)
    assert (caution.judged_draws, caution.judged_seed) == (week.draws, week.seed)


def test_it_is_judged_on_all_heads_together(asked: Asked, document: WeekDocument, caution: Caution) -> None:
    problem, week = build_problem(asked.inputs), asked.inputs.week
    others = draw(asked.inputs, asked.pooled, problem, week.draws, week.seed, JUDGED_ON)
    judged = Judge(asked, problem, others, 0.0).figures(plan_of(document), 0.0).judged_shortfall
    total = np.zeros(week.draws)
    totals: dict[str, float] = {}
    for (key, _), count in plan_of(document).items():
        totals[key] = totals.get(key, 0.0) + count
    for goal in problem.heads:
        missed = np.maximum(0.0, goal.target - others[goal.head].doses(totals))
        half = (goal.target - goal.floor) / 2
        total += missed + np.maximum(0, missed - half) + 2 * np.maximum(0, missed - 2 * half)
    assert judged == pytest.approx(float(total.mean()), abs=1e-3)  # at level 0 it is the mean
    assert judged < caution.cautious.judged_shortfall


def test_its_settings_are_used(asked: Asked) -> None:
    few = CautiousSettings(cautious_draws=10, cautious_seed=5, cautious_bound_rounds=1)
    found = plan_cautious(asked, 0.5, few).cautious
    assert found is not None
    assert (found.level, found.draws, found.seed) == (0.5, 10, 5)


def test_a_week_with_nothing_left_is_the_plain_one(folder: Path, tmp_path: Path) -> None:
    brief = BRIEF.replace("front = 6\nside = 8\nrear = 6", "front = 0\nside = 0\nrear = 0")
    nothing = gather(make_folder(tmp_path, brief), WEEK, TODAY)
    document = plan_cautious(nothing, LEVEL)
    assert document == plan_week(nothing)
    assert document.cautious is None


def test_a_week_of_a_block_is_refused(asked: Asked) -> None:
    inside = replace(asked, inputs=replace(asked.inputs, block=BlockMark(first=WEEK, number=1, of=4)))
    with pytest.raises(FaultyInput, match="week 1 of the block"):
        plan_cautious(inside, LEVEL)


# --- what comes after it


@pytest.fixture
def in_force(folder: Path, document: WeekDocument, tmp_path: Path) -> Path:
    own = tmp_path / "kim"
    shutil.copytree(folder, own)
    keep(own, document)
    return own


def test_a_swap_that_changes_nothing_leaves_it_as_it_is(in_force: Path, document: WeekDocument) -> None:
    swapped = swap_week(in_force, Options(), TODAY)
    assert not swapped.news
    assert swapped.report.notes == ()
    assert swapped.report.week == document


def test_a_day_that_was_trained_as_planned_takes_no_figure_away(
    in_force: Path, document: WeekDocument
) -> None:
    swapped = swap_week(in_force, Options(done=("Mon",)), ON_SUNDAY)
    assert swapped.news and swapped.report.notes == ()
    assert swapped.report.sets_in == swapped.report.sets_out == 0
    week = swapped.report.week
    assert week.sessions[0].state == "done"
    assert (week.cautious, week.proof, week.status) == (document.cautious, document.proof, document.status)
    assert broken(swapped.asked, week) == []


def test_files_that_changed_since_take_the_figures_away(in_force: Path) -> None:
    brief = in_force / "brief.toml"
    more = brief.read_text(encoding="utf-8").replace("side = 8", "side = { target = 8, priority = 2 }")
    brief.write_text(more, encoding="utf-8")
    swapped = swap_week(in_force, Options(done=("Mon",)), ON_SUNDAY)
    assert swapped.news and swapped.report.week.cautious is None
    assert any("was planned cautiously" in note for note in swapped.report.notes)


def test_a_plan_that_comes_back_brings_its_figures(in_force: Path, document: WeekDocument) -> None:
    used = document.sessions[0].exercises[0].exercise
    keep(in_force, swap_week(in_force, Options(drop=(used,)), TODAY).document)
    back = swap_week(in_force, Options(with_=(used,)), TODAY)
    assert back.report.back_to == "v1"
    assert back.report.week.cautious == document.cautious
    assert back.report.notes == ()
    assert broken(back.asked, back.document) == []


def test_a_swap_that_moves_something_plans_it_plainly_and_says_so(
    in_force: Path, document: WeekDocument
) -> None:
    used = document.sessions[0].exercises[0].exercise
    swapped = swap_week(in_force, Options(drop=(used,)), TODAY)
    assert swapped.news
    assert swapped.report.week.cautious is None
    assert [row.aim for row in swapped.report.week.proof] == ["dose", "rest"]
    assert any("was planned cautiously" in note and "--cautious 0.8" in note for note in swapped.report.notes)


def test_why_looks_at_it_like_at_any_week(in_force: Path) -> None:
    asked, shown = asked_for(in_force, TODAY, WEEK)
    assert shown is not None and shown.cautious is not None
    assert why(asked, shown, lambda *_: None).week == WEEK
