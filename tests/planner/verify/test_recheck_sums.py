"""The sums themselves, at points worked out by hand or printed elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from planner.verify.asked import Asked
from planner.verify.case import Case, once
from planner.verify.printed import missed_price
from planner.verify.sums import by_activation, by_movers, exercise_seconds, is_direct, lowering_weight

# floor 4, target 10: midway is 7
PRICES = ((10, 0), (12, 0), (9, 1), (7, 3), (6, 5), (4, 9), (3, 13), (0, 25))


@pytest.mark.parametrize(("total", "price"), PRICES)
def test_a_missed_set_costs_more_the_lower_the_dose(
    total: float, price: float, make_week: Callable[[], Any]
) -> None:
    wish = Asked(floor=4, target=10, ceiling=20, priority=1, sessions=2, must=False)
    assert missed_price(make_week().case(), total, wish) == pytest.approx(price)


def test_priority_multiplies_the_price(make_week: Callable[[], Any]) -> None:
    wish = Asked(floor=4, target=10, ceiling=20, priority=2.5, sessions=2, must=False)
    assert missed_price(make_week().case(), 6, wish) == pytest.approx(12.5)


def test_minutes_of_the_published_example(make_week: Callable[[], Any]) -> None:
    """Training facts §14: set-up 60, one warm-up set of 65 s, 4 × 10 × 4 s, rest 120: 645 s = 10.75 min."""
    week = make_week()
    case = week.case()
    assert exercise_seconds(case, case.document.sessions[0].exercises[0]) == 645


def test_both_sides_are_warmed_up(make_week: Callable[[], Any]) -> None:
    """One warm-up set of 65 s a side: 3·142 + 54 + 2·65 − 60 = 550 s."""
    week = make_week().change({"document.sessions.0.exercises.2.warmup_sets": 1})
    case = week.case()
    assert exercise_seconds(case, case.document.sessions[0].exercises[2]) == 550


def test_lowering_weighs_what_the_coach_says(make_week: Callable[[], Any]) -> None:
    """w = ((1 − 0.7) + 1.25·0.7) / (0.5 + 1.25·0.5) = 1.175 / 1.125."""
    week = make_week()
    assert lowering_weight(week.case(), "slow_raise") == pytest.approx(1)
    week.document["made_with"]["method"]["eccentric_weight"] = 1.25
    assert lowering_weight(week.case(), "slow_raise") == pytest.approx(1.175 / 1.125)
    assert lowering_weight(week.case(), "press") == pytest.approx(1)
    assert by_activation(week.case(), "slow_raise", "side") == pytest.approx(0.9 * 1.175 / 1.125)


def test_credit_never_exceeds_one_set_and_starts_at_its_floor(make_week: Callable[[], Any]) -> None:
    week = make_week()
    week.own = {"side": {"press": 1.4, "raise": 0.29, "cable_fly": 0.3}}
    case = week.case()
    assert [by_activation(case, key, "side") for key in ("press", "raise", "cable_fly")] == [1, 0, 0.3]


def test_movers_count_whole_half_or_nothing(make_week: Callable[[], Any]) -> None:
    week = make_week()
    week.own = {"side": {"press": 0.7, "raise": 0.4, "cable_fly": 0.39}}
    assert [by_movers(week.case(), key, "side") for key in ("press", "raise", "cable_fly")] == [1, 0.5, 0]


def test_a_set_at_seven_tenths_is_direct(make_week: Callable[[], Any]) -> None:
    week = make_week()
    week.own = {"side": {"press": 0.7, "raise": 0.699}}
    assert is_direct(week.case(), "press", "side")
    assert not is_direct(week.case(), "raise", "side")


def test_a_sum_is_done_once_a_case_and_question(make_week: Callable[[], Any]) -> None:
    done: list[tuple[str, str, bool]] = []

    @once
    def doubled(case: Case, word: str, loud: bool = False) -> str:
        done.append((case.document.athlete, word, loud))
        return word * 2

    case, other = make_week().case(), make_week().change({"document.athlete": "Other"}).case()
    for one in (case, case, other, replace(case)):
        assert [doubled(one, "a"), doubled(one, "b"), doubled(one, "a", True)] == ["aa", "bb", "aa"]
    of_case = [
        (case.document.athlete, word, loud) for word, loud in (("a", False), ("b", False), ("a", True))
    ]
    assert done == [*of_case, *(("Other", *words) for _, *words in of_case), *of_case]
