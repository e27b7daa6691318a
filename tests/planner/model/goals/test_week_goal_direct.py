"""Direct: Σ over direct sets of c·x + elsewhere direct + miss ≥ half of T."""

from __future__ import annotations

import pytest
from planner.model.goals import direct
from row_printer import added, written
from tiny_week import goal, tiny


def test_rows() -> None:
    # the press gives the side 0.5 a set: no direct set, no term
    assert added(direct.rows, tiny(heads=(goal("side", elsewhere_direct=0.5),))) == written("""
        miss:direct:side in 0..inf at 10 min
        direct:side: 2.5 <= 2|3 raise:Mon + 2|3 raise:Tue + 1.6|2.4 fly:Mon + 1 miss:direct:side direct sets
    """)


@pytest.mark.parametrize(
    "enough", [{"elsewhere": 6.0}, {"elsewhere": 4.0, "elsewhere_direct": 3.0}], ids=["whole target", "half"]
)
def test_nothing_is_asked_where_elsewhere_gives_enough(enough: dict[str, float]) -> None:
    problem = tiny(heads=(goal("side", **enough),))
    assert added(direct.rows, problem) == ""
    assert not list(direct.missed(problem, {}))


@pytest.mark.parametrize(
    ("plan", "by"),
    [
        ({("raise", "Mon"): 3}, 0.0),  # exactly half of 6
        ({("raise", "Mon"): 2}, 1.0),
        ({("fly", "Mon"): 2}, 1.4),  # 2·0.8
        ({("press", "Mon"): 3, ("press", "Tue"): 3}, 3.0),  # 3 sets for the side, none direct
        ({}, 3.0),
    ],
)
def test_missed(plan: dict[tuple[str, str], int], by: float) -> None:
    found = list(direct.missed(tiny(heads=(goal("side"),)), plan))
    assert [(miss.goal, miss.unit) for miss in found] == ([("direct:side", "direct sets")] if by else [])
    assert sum(miss.by for miss in found) == pytest.approx(by)
    assert sum(miss.price_minutes for miss in found) == pytest.approx(10 * by)
