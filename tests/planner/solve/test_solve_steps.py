"""Which search comes next: each case of the choice, with what is known at that time."""

from __future__ import annotations

import pytest
from planner.solve.found import Found
from planner.solve.steps import Step, next_step

from planner.method import SEARCH
from planner.model.program import INFINITE

GAP = 2.0
FAR, NEAR = SEARCH.far_gaps * GAP, 0.0  # what a better plan may cost above the linear bound
LOOKS = len(SEARCH.look_nodes)


@pytest.mark.parametrize(
    ("known", "looks", "hurried", "needed", "step"),
    [
        (False, 0, False, INFINITE, Step.LOOK),
        (False, LOOKS, True, INFINITE, Step.LOOK),
        (True, 0, False, FAR, Step.LOOK),
        (True, LOOKS, False, FAR, Step.FROM_BEST),
        (True, 0, False, NEAR, Step.FROM_BEST),
        (True, 0, True, NEAR, Step.BLOCKS),
        (True, LOOKS, True, FAR, Step.BLOCKS),
    ],
)
def test_where_patterns_are_many(known: bool, looks: int, hurried: bool, needed: float, step: Step) -> None:
    found = Found({} if known else None, 10.0, 0.0, looks=looks, hurried=hurried)
    assert next_step(found, GAP, needed, few=False) is step
    assert next_step(found, GAP, needed, few=True) is Step.PATTERNS
