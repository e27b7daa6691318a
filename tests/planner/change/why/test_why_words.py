"""What is said of a week that is held back: limits, goals and gains in a coach's words."""

from __future__ import annotations

from pathlib import Path

import pytest
from eased_week import SHORT, SPARSE_GYM, easings_of, inputs_of
from planner.change.why.report import Eased, Why
from planner.change.why.text import KINDS, why_text
from planner.change.why.words import goal_said, limit_said
from small_athlete import TODAY, WEEK, make_folder

from library.read import Library
from planner.document import LimitUse, MissedGoal
from planner.week.plan import gather, plan_week


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
def test_limits_in_words(name: str, words: str, where: str, library: Library) -> None:
    use = LimitUse(limit=name, used=29.5, allowed=30, unit="min", binds=True)
    said = limit_said(use, library)
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
def test_goals_in_words(name: str, words: str, where: str, library: Library) -> None:
    said = goal_said(MissedGoal(goal=name, by=2.0, unit="sets"), library)
    assert said.words.lower().startswith(words.lower()) and said.where == where


def test_every_kind_of_limit_that_reports_and_of_goal_has_words(tmp_path: Path) -> None:
    from planner.change.why.words import GOALS, LIMITS

    from planner.model import goals, limits

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
        "No gain beyond 3 minute-equivalents from 2 longer sessions, 1 more session, 1 more piece of equipment, "
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
    heading, row = text_of(eased).split("in minute-equivalents:\n")[1].splitlines()[:2]
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


def test_every_kind_of_easing_has_words_of_its_kind(tmp_path: Path) -> None:
    kinds = {easing.name.partition(":")[0] for easing in easings_of(inputs_of(tmp_path, SHORT, SPARSE_GYM))}
    assert kinds <= {*KINDS, "trapezius", "exercises_per_session", "exercises_per_week"}
