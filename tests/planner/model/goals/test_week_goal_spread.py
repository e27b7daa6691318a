"""Spread: Σe c·x ≥ 2·v a session and Σ v + miss ≥ min(2, sessions)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.model.goals import spread
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, goal, tiny

FRONT = {"heads": (goal("front"),)}


def test_rows() -> None:
    assert added(spread.rows, tiny(**FRONT)) == written("""
        miss:spread:front in 0..inf at 15 min
        trained:front:Mon in 0..1 whole
        trained:front:Tue in 0..1 whole
        spread:front:Mon: 0 <= 2|3 press:Mon + 0.8|1.2 raise:Mon + -2 trained:front:Mon direct sets
        spread:front:Tue: 0 <= 2|3 press:Tue + 0.8|1.2 raise:Tue + -2 trained:front:Tue direct sets
        spread:front: 2 <= 1 miss:spread:front + 1 trained:front:Mon + 1 trained:front:Tue sessions
    """)


@pytest.mark.parametrize(
    ("target", "elsewhere", "sessions", "wanted"),
    [
        (6.0, 0.0, 2, 2),
        (6.0, 0.0, 3, 2),  # there are only two sessions
        (6.0, 0.0, 1, 1),
        (4.0, 0.0, 2, 2),  # exactly two sets a day
        (3.9, 0.0, 2, 0),  # two days would take more than is left
        (6.0, 2.5, 2, 0),
    ],
)
def test_days_wanted(target: float, elsewhere: float, sessions: int, wanted: int) -> None:
    head = goal("front", target=target, elsewhere=elsewhere, sessions=sessions)
    assert spread.days_wanted(tiny(heads=(head,)), head) == wanted


def test_a_missed_session_is_no_day() -> None:
    problem = tiny(**FRONT, sessions=(replace(MONDAY, state="missed"), TUESDAY))
    assert spread.days_wanted(problem, problem.heads[0]) == 1


@pytest.mark.parametrize(
    ("plan", "by"),
    [
        ({("press", "Mon"): 2, ("press", "Tue"): 2}, 0),  # exactly 2 on each day
        ({("press", "Mon"): 3, ("raise", "Tue"): 3}, 1),  # 1.2 on Tuesday
        ({("press", "Mon"): 3}, 1),
        ({}, 2),
    ],
)
def test_missed(plan: dict[tuple[str, str], int], by: int) -> None:
    found = list(spread.missed(tiny(**FRONT), plan))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == (
        [("spread:front", by, "sessions", 15 * by)] if by else []
    )
