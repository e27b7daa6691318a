"""Dose: Σ c·x + elsewhere + short ≥ T; a missed set costs 1, then 2 from midway to the floor, then 4 below it."""

from __future__ import annotations

import pytest
from planner.model.goals import dose
from row_printer import added, written
from tiny_week import goal, tiny

SIDE = {"heads": (goal("side", floor=2.0, target=6.0),)}  # midway is 4
PLAN = {("raise", "Mon"): 3}  # side 3


def test_rows() -> None:
    assert added(dose.rows, tiny(**SIDE)) == written("""
        short:side:1 in 0..2 at 1 missed sets at 40 min
        short:side:2 in 0..2 at 2 missed sets at 80 min
        short:side:4 in 0..2 at 4 missed sets at 160 min
        dose:side: 6 <= 1|1.5 press:Mon + 1|1.5 press:Tue + 2|3 raise:Mon + 2|3 raise:Tue + 1.6|2.4 fly:Mon
            + 1 short:side:1 + 1 short:side:2 + 1 short:side:4 direct sets
    """)


def test_priority_multiplies_the_prices_and_elsewhere_lowers_the_need() -> None:
    rows = added(dose.rows, tiny(heads=(goal("rear", priority=3.0, elsewhere=1.5),)))
    assert rows == written("""
        short:rear:1 in 0..2 at 3 missed sets at 120 min
        short:rear:2 in 0..2 at 6 missed sets at 240 min
        short:rear:4 in 0..2 at 12 missed sets at 480 min
        dose:rear: 4.5 <= 2|3 fly:Mon + 1 short:rear:1 + 1 short:rear:2 + 1 short:rear:4 direct sets
    """)


def test_a_target_that_must_hold_cannot_be_short() -> None:
    rows = added(dose.rows, tiny(heads=(goal("rear", must=True),)))
    assert [line.split(" in ")[1].split(" at ")[0] for line in rows.splitlines()[:3]] == ["0..0"] * 3


@pytest.mark.parametrize(
    ("elsewhere", "short", "price"),
    [
        (4.0, 0.0, 0.0),  # more than enough
        (3.0, 0.0, 0.0),  # exactly met
        (2.0, 1.0, 1.0),
        (1.0, 2.0, 2.0),  # midway: two sets at 1
        (0.5, 2.5, 3.0),
        (0.0, 3.0, 4.0),  # 2·1 + 1·2
    ],
)
def test_price_of_a_plan(elsewhere: float, short: float, price: float) -> None:
    problem = tiny(heads=(goal("side", elsewhere=elsewhere),))
    assert dose.price(problem, PLAN) == pytest.approx(price)
    assert [(miss.goal, miss.by) for miss in dose.missed(problem, PLAN)] == (
        [("dose:side", short)] if short else []
    )


def test_below_the_floor_a_set_costs_four() -> None:
    # nothing planned: 2·1 + 2·2 + 2·4 = 14, times the priority
    assert dose.price(tiny(**SIDE), {}) == 14.0
    assert dose.price(tiny(heads=(goal("side", priority=2.0),)), {}) == 28.0


def test_a_floor_at_the_target_has_one_price() -> None:
    assert dose.price(tiny(heads=(goal("side", floor=6.0),)), PLAN) == 12.0  # three sets at 4


def test_a_miss_is_priced_in_minutes_for_the_second_aim() -> None:
    (miss,) = dose.missed(tiny(**SIDE), PLAN)
    assert (miss.unit, miss.price_minutes) == ("direct sets", 40 * 4.0)
