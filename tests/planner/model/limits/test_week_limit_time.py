"""Time: Σe (t·x + u·y) ≤ M − warm-up, seconds a session."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, PRESS, TUESDAY, tiny

from planner.model.limits import time


def test_rows() -> None:
    # press: 160 s a set, and 60 s once: 380 s for two sets, 540 for three
    assert added(time.rows, tiny()) == written("""
        time:Mon: 380|540 press:Mon + 210|330 raise:Mon + 180|280 fly:Mon <= 1200 s
        time:Tue: 380|540 press:Tue + 210|330 raise:Tue <= 900 s
    """)


def test_a_session_that_is_over_has_no_row() -> None:
    problem = tiny(sessions=(replace(MONDAY, state="done"), TUESDAY), pins={("press", "Mon"): 3})
    assert added(time.rows, problem) == "time:Tue: 380|540 press:Tue + 210|330 raise:Tue <= 900 s"


def test_use_of_a_plan() -> None:
    plan = {("press", "Mon"): 3, ("raise", "Mon"): 3, ("raise", "Tue"): 2}
    monday, tuesday = time.use(tiny(), plan)
    assert (monday.limit, monday.used, monday.allowed, monday.unit) == ("time:Mon", 19.5, 25.0, "min")
    assert (tuesday.used, tuesday.allowed) == (8.5, 20.0)  # 210 s and 5 min of general warm-up
    assert not monday.binds and not tuesday.binds


def test_an_empty_session_uses_no_warm_up() -> None:
    assert [use.used for use in time.use(tiny(), {})] == [0.0, 0.0]


def test_it_binds_where_not_even_one_more_set_fits() -> None:
    # 540 + 330 + 280 s = 1150 s; the quickest set of the room takes 100 s
    plan = {("press", "Mon"): 3, ("raise", "Mon"): 3, ("fly", "Mon"): 3}
    for seconds, binds in ((1150, True), (1249, True), (1250, False)):
        problem = tiny(sessions=(replace(MONDAY, seconds=seconds), TUESDAY))
        assert next(iter(time.use(problem, plan))).binds is binds, seconds


def test_seconds_of_the_published_exercise() -> None:
    # training facts §14: set-up 60, one warm-up set of 65 s, 4 sets of 40 s, rest of 120 s: 645 s
    block = replace(PRESS, set_seconds=40 + 120, block_seconds=60 + 65 - 120)
    assert block.seconds(4) == 645
