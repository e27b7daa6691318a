"""Heavy days: dose ≤ 6 + 18·heavy a day, and two heavy days of a head are not neighbours."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.model.goals import heavy_days
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, goal, tiny

SIDE = {"heads": (goal("side"),), "settings": {"heavy_day_sets": 4.0}}
HEAVY = {("raise", "Mon"): 3, ("fly", "Mon"): 2, ("raise", "Tue"): 3, ("press", "Tue"): 3}  # 4.6 and 4.5


def on(first: str, second: str) -> dict[str, object]:
    return {"sessions": (replace(MONDAY, id=first, day=first), replace(TUESDAY, id=second, day=second))}


def test_rows() -> None:
    assert added(heavy_days.rows, tiny(**SIDE)) == written("""
        heavy:side:Mon in 0..1 whole
        heavy:side:Tue in 0..1 whole
        miss:heavy_days:side:Mon-Tue in 0..inf at 15 min
        heavy:side:Mon: 1|1.5 press:Mon + 2|3 raise:Mon + 1.6|2.4 fly:Mon +
            -20 heavy:side:Mon <= 4 direct sets
        heavy:side:Tue: 1|1.5 press:Tue + 2|3 raise:Tue + -20 heavy:side:Tue <= 4 direct sets
        heavy_days:side:Mon-Tue: 1 heavy:side:Mon + 1 heavy:side:Tue +
            -1 miss:heavy_days:side:Mon-Tue <= 1 days
    """)


@pytest.mark.parametrize(
    ("first", "second", "are"),
    [("Mon", "Tue", True), ("Mon", "Wed", False), ("Mon", "Sun", True), ("Sat", "Sun", True)],
)
def test_neighbours_reach_over_the_end_of_the_week(first: str, second: str, are: bool) -> None:
    problem = tiny(**SIDE, **on(first, second))
    assert bool(heavy_days.neighbours(problem)) is are
    assert bool(added(heavy_days.rows, problem)) is are


def test_missed() -> None:
    (miss,) = heavy_days.missed(tiny(**SIDE), HEAVY)
    assert (miss.goal, miss.by, miss.unit, miss.price_minutes) == (
        "heavy_days:side:Mon-Tue",
        1,
        "pairs",
        15,
    )


def test_a_day_exactly_at_the_mark_is_not_heavy() -> None:
    exactly = {"heads": (goal("side"),), "settings": {"heavy_day_sets": 4.5}}
    assert not list(heavy_days.missed(tiny(**exactly), HEAVY))


def test_one_heavy_day_is_no_miss() -> None:
    light = {**HEAVY, ("raise", "Tue"): 2}  # 2 + 1.5
    assert not list(heavy_days.missed(tiny(**SIDE), light))
