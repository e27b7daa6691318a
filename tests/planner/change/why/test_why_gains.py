"""Gains are what solving again gives; what is called nothing gives nothing; the order is by gain."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import pytest
from eased_week import SHORT, SPARSE_GYM, easings_of, inputs_of
from planner.change.swap.swap import swap_week
from planner.change.swap.told import Options
from planner.change.why.gain import Gain, Promise, dose_gains, gives_nothing, in_order, rest_gain, rest_gains
from planner.change.why.report import Held, Why, asked_for, why
from planner.change.why.text import why_text
from planner.week.best_dose import best_dose
from small_athlete import BRIEF, TODAY, WEEK, keep, make_folder, planned

from planner.errors import NoWeekPossible
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.week.plan import solve_problem

Ticks = list[tuple[str, int]]


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> tuple[Inputs, list[Gain], Ticks]:
    """A week whose targets are out of reach, and its gains."""
    inputs, ticks = inputs_of(tmp_path_factory.mktemp("short"), SHORT, SPARSE_GYM), []
    problem = build_problem(inputs)
    base = best_dose(problem)
    assert base is not None and base.value > 1
    return inputs, dose_gains(problem, base, easings_of(inputs), lambda *tick: ticks.append(tick)), ticks


def test_gains_in_dose_are_what_solving_again_gives(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    inputs, gains, _ = short
    base = best_dose(build_problem(inputs))
    assert base is not None
    assert any(gain.kind == "exact" for gain in gains)
    for gain in gains:
        if gain.easing.name.startswith("goal:dose:"):
            continue  # what the dropped head itself was short of is no gain
        again = best_dose(gain.easing.problem())
        assert again is not None
        assert gain.missed_sets == pytest.approx(base.value - again.value, abs=0.06), gain.easing.name
        assert gain.kind in ("exact", "none")


def test_gains_a_head_add_up_to_what_they_are_worth(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    _, gains, _ = short
    for gain in gains:
        if gain.kind == "exact":
            gained = sum(sets for sets in gain.heads.values() if sets > 0)
            lost = -sum(sets for sets in gain.heads.values() if sets < 0)
            assert gained > 0
            assert gain.missed_sets <= 4 * gained - lost + 1e-6  # a set costs 1 to 4


def test_more_of_the_same_gives_no_less(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    by_name = {gain.easing.name: gain.missed_sets for gain in short[1]}
    for day in ("Mon", "Wed", "Fri"):
        assert by_name[f"minutes:{day}:10"] >= by_name[f"minutes:{day}:5"] - 0.06


def test_no_easing_of_a_limit_costs_dose(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    assert all(gain.missed_sets >= 0 for gain in short[1])


def test_goals_that_only_cost_a_price_cannot_help_the_dose(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    kinds = {gain.easing.name: gain.kind for gain in short[1]}
    assert kinds["goal:share"] == kinds["goal:spread"] == kinds["goal:implements"] == "none"


def test_the_order_is_by_gain(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    worth = [gain.missed_sets for gain in short[1]]
    assert worth == sorted(worth, reverse=True)
    easing = short[1][0].easing
    mixed = [
        Gain(easing, "none"),
        Gain(easing, "at most", priced_minutes=9),
        Gain(easing, "exact", priced_minutes=4),
    ]
    assert [gain.kind for gain in in_order(mixed)] == ["exact", "at most", "none"]


def test_every_easing_is_told_while_it_is_tried(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    inputs, gains, ticks = short
    assert len(ticks) == len(gains) and {total for _, total in ticks} == {len(gains)}
    assert [words for words, _ in ticks] == [easing.words for easing in easings_of(inputs)]


@pytest.fixture(scope="module")
def met(tmp_path_factory: pytest.TempPathFactory) -> tuple[Inputs, list[Gain], float]:
    """A week whose targets are all met, and its gains in the second aim."""
    brief = BRIEF.replace("[target]", '[joints]\nsubacromial = "careful"\nelbow = "careful"\n[target]')
    inputs = inputs_of(tmp_path_factory.mktemp("met"), brief, SPARSE_GYM)
    problem = build_problem(inputs)
    solved = solve_problem(problem)
    assert solved is not None
    gains, within = rest_gains(problem, solved, easings_of(inputs), solve_problem, lambda *_: None)
    return inputs, gains, within


def test_gains_of_the_rest_are_what_solving_again_gives(met: tuple[Inputs, list[Gain], float]) -> None:
    inputs, gains, within = met
    problem = build_problem(inputs)
    base = solve_problem(problem)
    assert base is not None and within >= problem.settings.rest_gap_minutes
    whole = rest_value(problem, base.plan)
    for gain in gains:
        if gain.easing.forgets:
            continue
        if gain.kind == "exact":
            again = solve_problem(gain.easing.problem())
            assert again is not None
            assert gain.priced_minutes == pytest.approx(
                whole - rest_value(gain.easing.problem(), again.plan), abs=1e-6
            )
            assert gain.priced_minutes > problem.settings.rest_gap_minutes


def test_what_is_called_nothing_gives_nothing(met: tuple[Inputs, list[Gain], float]) -> None:
    inputs, gains, within = met
    problem = build_problem(inputs)
    base = solve_problem(problem)
    assert base is not None
    nothing = [gain for gain in gains if gain.kind == "none" and not gain.easing.forgets][::15]
    assert nothing
    for gain in nothing:
        eased = gain.easing.problem()
        again = solve_problem(eased)
        assert again is not None
        assert rest_value(problem, base.plan) - rest_value(eased, again.plan) <= within + 1e-6, (
            gain.easing.name
        )


def test_no_more_weeks_are_solved_than_the_method_says(met: tuple[Inputs, list[Gain], float]) -> None:
    inputs, _, _ = met
    few = inputs.__class__(**{**vars(inputs), "week": inputs.week.__class__(why_solves=1)})
    problem, solves = build_problem(few), []
    base = solve_problem(problem)
    assert base is not None

    def counted(eased):  # type: ignore[no-untyped-def]
        solves.append(eased)
        return solve_problem(eased)

    gains, within = rest_gains(problem, base, easings_of(few), counted, lambda *_: None)
    assert len(solves) <= 1
    assert all(gain.priced_minutes > within for gain in gains if gain.kind == "at most")


def test_a_stop_and_a_week_that_cannot_be_are_no_gain(met: tuple[Inputs, list[Gain], float]) -> None:
    inputs, gains, _ = met
    problem = build_problem(inputs)
    base = solve_problem(problem)
    assert base is not None
    promise = Promise(gains[0].easing, problem, rest_value(problem, base.plan), 99.0)
    gain = rest_gain(problem, base, promise, lambda _: None)
    assert gain.kind == "none" and gain.stopped
    assert not gives_nothing(gain) and not gives_nothing(None)
    assert gives_nothing(Gain(gains[0].easing, "none"))


def test_a_week_that_is_cheaper_because_it_has_less_dose_is_no_gain(
    met: tuple[Inputs, list[Gain], float],
) -> None:
    """As where an exercise that only its wish lets in was needed for the dose."""
    inputs, gains, _ = met
    problem = build_problem(inputs)
    base = solve_problem(problem)
    assert base is not None
    promise = Promise(gains[0].easing, problem, rest_value(problem, base.plan), 99.0)
    poorer = replace(base, plan=dict(list(base.plan.items())[:1]), dose_best=base.dose_best + 1)
    assert rest_gain(problem, base, promise, lambda _: poorer).kind == "none"


def test_all_that_could_matter_is_solved(met: tuple[Inputs, list[Gain], float]) -> None:
    assert not any(gain.kind == "at most" for gain in met[1])


def test_gains_of_the_rest_hold_to_within_the_larger_gap(met: tuple[Inputs, list[Gain], float]) -> None:
    inputs, gains, _ = met
    problem = build_problem(inputs)
    base = solve_problem(problem)
    assert base is not None
    exact = [gain for gain in gains if gain.kind == "exact"]
    assert exact
    for gain in exact:
        eased = gain.easing.problem()
        again = solve_problem(eased)
        assert again is not None
        gaps = [rest_value(of, one.plan) - one.rest_bound for of, one in ((problem, base), (eased, again))]
        assert gain.within == pytest.approx(max(gaps), abs=1e-6)
        assert gain.within <= problem.settings.rest_gap_minutes + 1e-6


def test_gains_in_dose_hold_to_within_the_larger_gap(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    inputs, gains, _ = short
    base = best_dose(build_problem(inputs))
    assert base is not None
    gain = next(one for one in gains if one.kind == "exact")
    again = best_dose(gain.easing.problem())
    assert again is not None
    assert gain.within == pytest.approx(max(base.value - base.bound, again.value - again.bound), abs=1e-6)


def found(folder: Path) -> Why:
    asked, document = asked_for(folder, TODAY, None)
    return why(asked, document, lambda *_: None)


def test_the_answer_is_about_the_week_in_force_with_its_changes(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim", SHORT)
    planned(folder)
    keep(
        folder, swap_week(folder, Options(without=("cable_station",), minutes=("Fri=12",)), TODAY).report.week
    )
    answer = found(folder)
    assert (answer.week, answer.aim) == (WEEK, "dose")
    links = {(one.file, one.where) for one in answer.eased}
    assert ("planner swap", "--with club:cable_station") in links
    assert ("planner swap", "--minutes Fri=22") in links
    assert any(
        "Friday is full" in one.words and one.where == "session Fri: minutes" for one in answer.binding
    )
    assert any(one.words.startswith("Side delt is") and one.where == "target.side" for one in answer.missed)
    text = why_text(answer)
    assert "What would bring the targets nearer" in text
    assert "No gain beyond 0.05 missed sets from " in text
    assert ("* Not the coach's" in text) == any(one.medical and one.gain == "exact" for one in answer.eased)


def test_an_athlete_without_a_week_is_told_about_the_next(tmp_path: Path) -> None:
    folder = make_folder(
        tmp_path / "kim", SHORT.replace("side = 16", "side = 0").replace("front = 10", "front = 0")
    )
    answer = found(folder)
    assert answer.week == "2026-W49" and answer.aim in ("dose", "rest")
    assert not (folder / "weeks").exists()


def test_where_all_is_met_the_text_says_so(met: tuple[Inputs, list[Gain], float], tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim", BRIEF, SPARSE_GYM)
    answer = found(folder)
    assert answer.aim == "rest"
    text = why_text(answer)
    assert "Every target is met." in text and "minute-equivalents" in text and "priced" not in text


def test_what_must_hold_and_cannot_is_the_answer(tmp_path: Path) -> None:
    brief = BRIEF.replace("rear = 6", "rear = { target = 40, ceiling = 45, must = true }")
    answer = found(make_folder(tmp_path / "kim", brief))
    assert answer.aim == "clash"
    text = why_text(answer)
    assert "brief.toml: target.rear.must = true" in text and "at least one must give way" in text
    assert "The nearest week" in text


def test_a_clash_whose_search_was_stopped_says_what_that_means() -> None:
    clash = (Held(words="", file="brief.toml", where="target.rear.must = true"),)
    asked = {"athlete": "Kim", "week": WEEK, "aim": "clash", "value": 0.0, "within": 0.0, "clash": clash}
    text = why_text(Why.model_validate(asked | {"stopped": True}))
    assert "a smaller group may clash already" in text and "gain" not in text
    assert "stopped" not in why_text(Why.model_validate(asked))


def test_pins_that_cannot_be_are_refused_with_the_reason(tmp_path: Path) -> None:
    pin = '[preferences]\npin = { barbell_bench_press = { day = "Mon", sets = 3 } }\n[target]'
    with pytest.raises(NoWeekPossible, match=r"pin\.barbell_bench_press"):
        found(make_folder(tmp_path / "kim", BRIEF.replace("[target]", pin)))


def test_another_week_may_be_named(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    asked, document = asked_for(folder, datetime.date(2026, 11, 25), "2026-W51")
    assert (asked.week, document) == ("2026-W51", None)
