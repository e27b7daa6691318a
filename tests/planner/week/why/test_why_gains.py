"""Gains are what solving again gives; what is called nothing gives nothing; the order is by gain."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import pytest
from small_athlete import BRIEF, GYM, TODAY, WEEK, keep, make_folder, planned

from planner.errors import NoWeekPossible
from planner.week.aims import rest_value
from planner.week.best_dose import best_dose
from planner.week.build import build_problem
from planner.week.document import LimitUse, MissedGoal
from planner.week.inputs import Inputs
from planner.week.plan import gather, plan_week, solve_problem
from planner.week.swap.swap import swap_week
from planner.week.swap.told import Options
from planner.week.why.easing import Easing
from planner.week.why.gain import Gain, Promise, dose_gains, gives_nothing, in_order, rest_gain, rest_gains
from planner.week.why.goals import goal_easings
from planner.week.why.limits import limit_easings
from planner.week.why.report import Eased, Held, Why, asked_for, why
from planner.week.why.text import KINDS, why_text
from planner.week.why.words import goal_said, limit_said

SHORT = (
    BRIEF.replace("front = 6", "front = 10").replace("side = 8", "side = 16").replace("rear = 6", "rear = 10")
    .replace("minutes = 30", "minutes = 14").replace("minutes = 25", "minutes = 12")
    .replace("[target]", '[joints]\nsubacromial = "careful"\n[preferences]\nexclude = ["cable_face_pull"]\n[target]')
)  # fmt: skip
SPARSE_GYM = '[club]\nequipment = ["dumbbells"]\n[home]\nequipment = ["bands"]\n'
Ticks = list[tuple[str, int]]


def inputs_of(folder: Path, brief: str = BRIEF, gym: str = GYM) -> Inputs:
    return gather(make_folder(folder / "kim", brief, gym), WEEK, TODAY).inputs


def easings_of(inputs: Inputs) -> list[Easing]:
    return [*limit_easings(inputs, (), ()), *goal_easings(inputs)]


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
    assert "Every target is met." in text and "minutes' worth" in text and "priced" not in text


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


@pytest.mark.parametrize(
    ("name", "words", "where"),
    [
        ("time:Mon", "Monday is full: 29.5 of 30 minutes are used", "session Mon: minutes"),
        ("exercises:Mon", "Monday: 29.5 exercises, as many as there may be", "method.exercises_per_session"),
        ("exercises:week", "The week: 29.5 exercises, as many as there may be", "method.exercises_per_week"),
        ("joints:wrist", "Wrist: 29.5 of 30 grade-sets a week are used", "joints.wrist"),
        (
            "session_hard_cap:side:Mon",
            "Side delt on Monday: 29.5 of at most 30",
            "method.session_hard_cap_sets",
        ),
        ("trapezius", "The upper trapezius works at 29.5 of a shrug", "preferences.trapezius"),
        ("something:new", "29.5 of 30 min", ""),
    ],
)
def test_limits_in_words(name: str, words: str, where: str, short: tuple[Inputs, list[Gain], Ticks]) -> None:
    use = LimitUse(limit=name, used=29.5, allowed=30, unit="min", binds=True)
    said = limit_said(use, short[0].library)
    assert said.words.startswith(words) and said.where == where


@pytest.mark.parametrize(
    ("name", "words", "where"),
    [
        ("dose:side", "Side delt is 2 sets short of its target", "target.side"),
        ("ceiling:side", "Side delt is 2 sets over its ceiling", "target.side.ceiling"),
        ("direct:rear", "Rear delt lacks 2 direct sets", "method.direct_share"),
        ("session_cap:rear:Mon", "Rear delt on Monday: 2 sets more", "method.session_cap_sets"),
        ("spread:rear", "Rear delt is trained on 2 days too few", "target.rear.sessions"),
        (
            "heavy_days:rear:Mon-Tue",
            "Rear delt: two heavy days side by side, Monday and Tuesday",
            "method.heavy_day_sets",
        ),
        ("share:dumbbell_shrug:side", "Dumbbell shrug gives Side delt 2 sets more", "variety.share"),
        ("implements", "2 implements too few", "variety.implements"),
        ("family:row", "Row", "variety.families"),
        ("rotation", "2 of last week's exercises did not stay", "variety.keep"),
        ("new:side", "Side delt: 2 new exercises too many", "method.new_exercises_per_head"),
        ("prefer:dumbbell_shrug", "Dumbbell shrug is preferred and not planned", "preferences.prefer"),
        ("brand_new", "2 sets", ""),
    ],
)
def test_goals_in_words(name: str, words: str, where: str, short: tuple[Inputs, list[Gain], Ticks]) -> None:
    said = goal_said(MissedGoal(goal=name, by=2.0, unit="sets"), short[0].library)
    assert said.words.lower().startswith(words.lower()) and said.where == where


def test_every_kind_of_limit_that_reports_and_of_goal_has_words(tmp_path: Path) -> None:
    from planner.week import goals, limits
    from planner.week.why.words import GOALS, LIMITS

    kinds = {module.__name__.rpartition(".")[2] for module in goals.GOALS}
    renamed = {"families": "family", "new_exercises": "new"}
    assert {renamed.get(kind, kind) for kind in kinds} == set(GOALS)
    assert {module.__name__.rpartition(".")[2] for module in limits.LIMITS} - {"blocks", "held"} == set(
        LIMITS
    )
    document = plan_week(gather(make_folder(tmp_path / "kim", SHORT), WEEK, TODAY))
    assert {use.limit.split(":")[0] for use in document.limits} <= set(LIMITS)
    assert {goal.goal.split(":")[0] for goal in document.missed} <= set(GOALS)


def eased_one(name: str, gain: str, **fields: object) -> Eased:
    facts = {
        "words": name,
        "file": "brief.toml",
        "where": name,
        "missed_sets": 0.0,
        "heads": {},
        "priced_minutes": 4.0,
    }
    more = {"minutes": 1.0, "within": 0.0, "stopped": False, "medical": False}
    return Eased.model_validate({"name": name, "gain": gain} | facts | more | fields)


def text_of(*eased: Eased, aim: str = "rest") -> str:
    return why_text(Why(athlete="Kim", week=WEEK, aim=aim, value=1.0, within=3.0, eased=eased))  # type: ignore[arg-type]


def test_what_gives_nothing_is_told_in_one_line_by_its_kind() -> None:
    names = (
        "minutes:Mon:10",
        "minutes:Mon:5",
        "minutes:Wed:10",
        "session:Thu",
        "equipment:club:bands",
        "trapezius",
    )
    text = text_of(*(eased_one(name, "none") for name in (*names, "goal:spread", "goal:share")))
    [line] = [line for line in text.splitlines() if line.startswith("No gain")]
    assert line == (
        "No gain beyond 3 minutes' worth from 2 longer sessions, 1 more session, 1 more piece of equipment, "
        "1 higher limit and 2 goals dropped; --json names each."
    )


def test_missed_sets_are_said_to_be_priced_and_what_that_means() -> None:
    eased = eased_one("session:Thu", "exact", missed_sets=2.5, heads={"side": 2.0})
    heading, row = text_of(eased, aim="dose").split("in sets a week:\n")[1].splitlines()[:2]
    assert heading.split() == ["side", "missed", "sets,", "priced"] and "+2" in row and "2.5" in row
    assert text_of(eased, aim="dose").count("missed sets, priced: a set below the floor counts for more") == 1
    assert "priced:" not in text_of(eased) and "priced:" not in text_of(aim="dose")


def test_a_gain_is_said_with_how_far_it_may_be_off() -> None:
    eased = eased_one("session:Thu", "exact", within=2.8)
    heading, row = text_of(eased).split("in minutes' worth:\n")[1].splitlines()[:2]
    assert heading.split("  ")[-2:] == ["to within", "minutes"] and row.split()[1:4] == ["4", "2.8", "-1"]
    assert "closer together than that are in no order" in text_of(eased)
    assert "to within" not in text_of(eased_one("session:Thu", "none"))
    assert "A gain may be off by 0.4 missed sets, priced" in text_of(
        eased_one("session:Thu", "exact", within=0.4), aim="dose"
    )
    assert "may be off" not in text_of(eased_one("session:Thu", "exact", within=0.01), aim="dose")


def test_what_is_only_bounded_stands_after_what_was_solved_and_a_goal_among_goals() -> None:
    """A bound may be far from the truth: it is no gain that was found."""
    solved, dropped = eased_one("session:Thu", "exact"), eased_one("goal:share", "exact")
    bounded = [eased_one(name, "at most", priced_minutes=9.0) for name in ("joints:neck", "goal:prefer")]
    text = text_of(solved, dropped, *bounded)
    names = ("session:Thu", "joints:neck", "If a goal were given up", "goal:share", "goal:prefer")
    places = [text.index(name) for name in names]
    assert places == sorted(places)
    assert text.count("at most 9, not solved") == 2


@pytest.mark.parametrize("aim", ["rest", "dose"])
def test_a_goal_given_up_stands_apart_and_last(aim: str) -> None:
    dropped, eased = (
        eased_one("goal:dose:rear", "exact", priced_minutes=9.0),
        eased_one("joints:neck", "exact"),
    )
    text = text_of(dropped, eased, eased_one("session:Thu", "none"), aim=aim)
    places = [
        text.index(words)
        for words in ("joints:neck", "No gain beyond", "If a goal were given up", "goal:dose")
    ]
    assert places == sorted(places)
    assert "If a goal" not in text_of(eased, aim=aim)


def test_every_kind_of_easing_has_words_of_its_kind(short: tuple[Inputs, list[Gain], Ticks]) -> None:
    kinds = {easing.name.partition(":")[0] for easing in easings_of(short[0])}
    assert kinds <= {*KINDS, "trapezius", "exercises_per_session", "exercises_per_week"}
