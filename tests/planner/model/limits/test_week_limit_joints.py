"""Joints: Σ g·x + elsewhere ≤ G, grade-sets a week and region; above an easy share each has a price."""

from __future__ import annotations

from dataclasses import replace

import pytest
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, tiny

from planner.model.limits import joints
from planner.model.problem import JointBudget

PLAN = {("press", "Mon"): 3, ("raise", "Tue"): 2}  # shoulder 3·2 + 2·1 = 8, wrist 3·1


def with_budget(region: str, allowed: float, elsewhere: float = 0.0) -> dict[str, object]:
    return {"joints": (JointBudget(region, allowed, elsewhere),)}


def test_rows() -> None:
    assert added(joints.rows, tiny(**with_budget("shoulder", 20.0))) == written("""
        miss:joints_easy:shoulder in 0..inf at 1 min
        joints:shoulder: 4|6 press:Mon + 4|6 press:Tue + 2|3 raise:Mon + 2|3 raise:Tue <= 20 grade-sets
        joints_easy:shoulder: 4|6 press:Mon + 4|6 press:Tue + 2|3 raise:Mon + 2|3 raise:Tue +
            -1 miss:joints_easy:shoulder <= 10 grade-sets
    """)


def test_sets_elsewhere_leave_less_but_never_less_than_nothing() -> None:
    rows = added(joints.rows, tiny(**with_budget("wrist", 6.0, elsewhere=4.0)))
    assert "joints:wrist: 2|3 press:Mon + 2|3 press:Tue <= 2 grade-sets" in rows
    rows = added(joints.rows, tiny(**with_budget("wrist", 6.0, elsewhere=9.0)))
    assert "joints:wrist: 2|3 press:Mon + 2|3 press:Tue <= 0 grade-sets" in rows


def test_a_region_that_nothing_stresses_has_no_row() -> None:
    assert added(joints.rows, tiny(**with_budget("neck", 6.0))) == ""


@pytest.mark.parametrize(
    ("region", "allowed", "elsewhere", "used", "binds"),
    [
        ("shoulder", 20.0, 0.0, 8.0, False),
        ("shoulder", 9.0, 0.0, 8.0, False),  # a set of grade 1 still fits
        ("shoulder", 8.9, 0.0, 8.0, True),
        ("shoulder", 8.0, 0.0, 8.0, True),
        ("wrist", 8.0, 5.0, 8.0, True),
        ("neck", 8.0, 3.0, 3.0, False),  # nothing in the library touches it
        ("neck", 8.0, 12.0, 12.0, True),  # elsewhere alone is above the budget
    ],
)
def test_use(region: str, allowed: float, elsewhere: float, used: float, binds: bool) -> None:
    (use,) = joints.use(tiny(**with_budget(region, allowed, elsewhere)), PLAN)
    assert (use.limit, use.used, use.allowed, use.unit, use.binds) == (
        f"joints:{region}",
        used,
        allowed,
        "grade-sets",
        binds,
    )


@pytest.mark.parametrize(
    ("allowed", "elsewhere", "over"), [(20.0, 0.0, 0.0), (16.0, 0.0, 0.0), (14.0, 0.0, 1.0), (14.0, 9.0, 8.0)]
)
def test_grade_sets_above_the_easy_half(allowed: float, elsewhere: float, over: float) -> None:
    assert joints.over_easy(tiny(**with_budget("shoulder", allowed, elsewhere)), PLAN) == over


def test_what_was_done_stands_even_above_the_budget() -> None:
    over = (replace(MONDAY, state="done"), TUESDAY)
    problem = tiny(sessions=over, pins={("press", "Mon"): 4}, **with_budget("wrist", 3.0))
    assert "joints:wrist: 4 press:Mon + 2|3 press:Tue <= 4 grade-sets" in added(joints.rows, problem)
