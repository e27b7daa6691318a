from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.credit import movers_credit, set_credit
from library.method import CreditSettings


@pytest.mark.parametrize(
    ("profile", "share", "weight", "credit"),
    [
        (0.29, 0.5, 1.0, 0.0),  # a neighbour's signal could make it
        (0.30, 0.5, 1.0, 0.30),
        (0.85, 0.7, 1.0, 0.85),  # lowering is not priced by default
        (1.20, 0.5, 1.0, 1.0),  # a set is at most one direct set …
        (1.20, 0.6, 1.25, 1.0 * (0.4 + 0.75) / (0.5 + 0.625)),  # … before lowering is priced
        (0.80, 0.4, 1.25, 0.8 * (0.6 + 0.5) / 1.125),
    ],
)
def test_credit_by_hand(profile: float, share: float, weight: float, credit: float) -> None:
    assert set_credit(profile, share, weight) == pytest.approx(credit)


@given(st.floats(0, 3), st.floats(0, 2))
def test_an_even_repetition_has_no_eccentric_correction(profile: float, weight: float) -> None:
    assert set_credit(profile, 0.5, weight) == pytest.approx(set_credit(profile, 0.5, 1.0))


@given(st.floats(0, 3), st.floats(0, 3), st.floats(0, 1), st.floats(0.1, 3))
def test_more_activation_is_never_worth_less(one: float, other: float, share: float, weight: float) -> None:
    low, high = sorted((one, other))
    assert set_credit(low, share, weight) <= set_credit(high, share, weight)
    assert movers_credit(low) <= movers_credit(high)


def test_movers_count_whole_half_and_nothing() -> None:
    assert [movers_credit(profile) for profile in (0.39, 0.40, 0.69, 0.70, 1.3)] == [0, 0.5, 0.5, 1, 1]


def test_a_coach_may_set_every_number() -> None:
    mine = replace(
        CreditSettings(), credit_floor=0.5, movers_direct=0.9, movers_indirect=0.8, movers_part=0.32
    )
    assert set_credit(0.49, 0.5, 1.0, mine) == 0
    assert [movers_credit(profile, mine) for profile in (0.79, 0.85, 0.95)] == [0, 0.32, 1]
