"""Exercises: Σe y[e,d] ≤ 6 a session and Σe z[e] ≤ 9 a week."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, tiny

from planner.model.limits import exercises

FEW = {"settings": {"exercises_per_session": 2, "exercises_per_week": 3}}


def test_rows() -> None:
    assert added(exercises.rows, tiny(**FEW)) == written("""
        exercises:Mon: 1|1 press:Mon + 1|1 raise:Mon + 1|1 fly:Mon <= 2 exercises
        exercises:Tue: 1|1 press:Tue + 1|1 raise:Tue <= 2 exercises
        exercises:week: 1 used:press + 1 used:raise + 1 used:fly <= 3 exercises
    """)


def test_use_counts_a_repeated_exercise_once_a_week() -> None:
    plan = {("press", "Mon"): 2, ("raise", "Mon"): 3, ("press", "Tue"): 2}
    shown = [(use.limit, use.used, use.allowed, use.binds) for use in exercises.use(tiny(**FEW), plan)]
    assert shown == [
        ("exercises:Mon", 2, 2, True),
        ("exercises:Tue", 1, 2, False),
        ("exercises:week", 2, 3, False),
    ]


def test_it_binds_exactly_at_the_limit() -> None:
    plan = {("press", "Mon"): 2, ("raise", "Tue"): 2, ("fly", "Mon"): 2}
    assert next(use.binds for use in exercises.use(tiny(**FEW), plan) if use.limit == "exercises:week")


def test_what_was_done_stands_however_many() -> None:
    done = {("press", "Mon"): 2, ("raise", "Mon"): 2, ("fly", "Mon"): 2}
    few = {"settings": {"exercises_per_session": 2, "exercises_per_week": 2}}
    problem = tiny(sessions=(replace(MONDAY, state="done"), TUESDAY), pins=done, **few)
    assert added(exercises.rows, problem) == written("""
        exercises:Tue: 1|1 press:Tue + 1|1 raise:Tue <= 2 exercises
        exercises:week: 1 used:press + 1 used:raise + 1 used:fly <= 3 exercises
    """)
    assert [use.limit for use in exercises.use(problem, done)] == ["exercises:Tue", "exercises:week"]
