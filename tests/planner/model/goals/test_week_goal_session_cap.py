"""Session cap: Σe c·x − over ≤ 11 direct sets a head and session."""

from __future__ import annotations

from planner.model.goals import session_cap
from row_printer import added, written
from tiny_week import goal, tiny

LOW = {"heads": (goal("side"), goal("rear")), "settings": {"session_cap_sets": 3.0}}


def test_rows() -> None:
    assert added(session_cap.rows, tiny(**LOW)) == written("""
        miss:session_cap:side:Mon in 0..inf at 5 min
        miss:session_cap:side:Tue in 0..inf at 5 min
        miss:session_cap:rear:Mon in 0..inf at 5 min
        session_cap:side:Mon: 1|1.5 press:Mon + 2|3 raise:Mon + 1.6|2.4 fly:Mon +
            -1 miss:session_cap:side:Mon <= 3 direct sets
        session_cap:side:Tue: 1|1.5 press:Tue + 2|3 raise:Tue +
            -1 miss:session_cap:side:Tue <= 3 direct sets
        session_cap:rear:Mon: 2|3 fly:Mon + -1 miss:session_cap:rear:Mon <= 3 direct sets
    """)


def test_missed_by_session_and_not_at_the_cap() -> None:
    plan = {("raise", "Mon"): 3, ("press", "Mon"): 3, ("raise", "Tue"): 3, ("fly", "Mon"): 3}
    found = list(session_cap.missed(tiny(**LOW), plan))
    # Monday's side: 3 + 1.5 + 2.4 = 6.9; Tuesday's side and Monday's rear are exactly 3
    assert [(miss.goal, round(miss.by, 6), round(miss.price_minutes, 6)) for miss in found] == [
        ("session_cap:side:Mon", 3.9, 19.5)
    ]
