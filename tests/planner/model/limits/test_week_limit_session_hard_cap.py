"""Session hard cap: Σe c·x ≤ 24 direct sets a head and session."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, goal, tiny

from planner.model.limits import session_hard_cap


def test_rows() -> None:
    assert added(session_hard_cap.rows, tiny(heads=(goal("side"), goal("rear")))) == written("""
        session_hard_cap:side:Mon: 1|1.5 press:Mon + 2|3 raise:Mon + 1.6|2.4 fly:Mon <= 24 direct sets
        session_hard_cap:side:Tue: 1|1.5 press:Tue + 2|3 raise:Tue <= 24 direct sets
        session_hard_cap:rear:Mon: 2|3 fly:Mon <= 24 direct sets
    """)


def test_use_is_told_only_where_the_cap_is_near() -> None:
    plan = {("press", "Mon"): 3, ("raise", "Mon"): 3}  # side 1.5 + 3 = 4.5
    problem = tiny(heads=(goal("side"),), settings={"session_hard_cap_sets": 4.5})
    (use,) = session_hard_cap.use(problem, plan)
    assert (use.limit, use.used, use.allowed, use.binds) == ("session_hard_cap:side:Mon", 4.5, 4.5, True)
    assert not list(
        session_hard_cap.use(tiny(heads=(goal("side"),), settings={"session_hard_cap_sets": 5.0}), plan)
    )


def test_a_session_that_is_over_is_not_held() -> None:
    over = (replace(MONDAY, state="done"), TUESDAY)
    done = {("raise", "Mon"): 3}
    problem = tiny(heads=(goal("side"),), sessions=over, pins=done, settings={"session_hard_cap_sets": 2.0})
    rows = "session_hard_cap:side:Tue: 1|1.5 press:Tue + 2|3 raise:Tue <= 2 direct sets"
    assert added(session_hard_cap.rows, problem) == rows
    assert not list(session_hard_cap.use(problem, done))
