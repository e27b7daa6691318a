"""Trapezius: Σ (v − V)·x ≤ 0, only where the brief asks."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, tiny

from planner.model.limits import trapezius


def test_rows() -> None:
    # press 0.5, raise 0.9, fly 0.3 of a shrug; the level is 0.8
    assert added(trapezius.rows, tiny(quiet_trapezius=True)) == written("""
        trapezius: -0.6|-0.9 press:Mon + -0.6|-0.9 press:Tue + 0.2|0.3 raise:Mon + 0.2|0.3 raise:Tue +
            -1|-1.5 fly:Mon <= 0 of a shrug · sets
    """)


def test_nothing_is_held_where_the_brief_does_not_ask() -> None:
    plan = {("raise", "Mon"): 3}
    assert added(trapezius.rows, tiny()) == ""
    assert not list(trapezius.use(tiny(), plan))
    assert not list(trapezius.use(tiny(quiet_trapezius=True), {}))


def test_use_is_the_mean_level_over_all_sets() -> None:
    plan = {("raise", "Mon"): 3, ("press", "Tue"): 3}  # (3·0.9 + 3·0.5) / 6 = 0.7
    (use,) = trapezius.use(tiny(quiet_trapezius=True), plan)
    assert (use.used, use.allowed, use.unit, use.binds) == (0.7, 0.8, "of a shrug", False)
    (use,) = trapezius.use(tiny(quiet_trapezius=True, settings={"trapezius_level": 0.7}), plan)
    assert use.binds


def test_what_was_done_above_the_level_is_not_added_to() -> None:
    over = (replace(MONDAY, state="done"), TUESDAY)
    problem = tiny(quiet_trapezius=True, sessions=over, pins={("raise", "Mon"): 3})  # 3·(0.9 − 0.8)
    assert added(trapezius.rows, problem) == written("""
        trapezius: -0.6|-0.9 press:Tue + 0.3 raise:Mon + 0.2|0.3 raise:Tue <= 0.3 of a shrug · sets
    """)
