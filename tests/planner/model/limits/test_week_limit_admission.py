"""Admission: what may not be planned at all, each with its reason."""

from __future__ import annotations

from typing import Any

import pytest
from planner.model.limits.admission import highest_grade, joint_reason, lacks, out_reason

from library.schema import Exercise, Stress
from planner.method import WeekSettings

SETTINGS = WeekSettings()


def exercise(grade: int = 1, change: str = "", **facts: Any) -> Exercise:
    stress = Stress(grade=grade, reason="arm overhead", change=change, source="ungraded")
    return Exercise.model_validate(
        {
            "key": "press",
            "name": "press",
            "family": "overhead_press",
            "implement": "dumbbell",
            "needs": ("dumbbells", "adjustable_bench"),
            "position": "seated",
            "multi_joint": True,
            "load_is": "each_hand",
            "tempo": {"lift": 1, "lower": 3},
            "reps": (8, 12),
            "rest_seconds": 120,
            "setup_seconds": 60,
            "warmup_sets": 1,
            "eccentric_share": {"value": 0.5, "basis": "not measured"},
            "cues": ("ribs down",),
            "stress": {"shoulder": stress.model_dump()},
        }
        | facts
    )


def test_room_names_what_is_lacking() -> None:
    assert lacks(exercise(), ["dumbbells", "cable_station"]) == ("adjustable_bench",)
    assert lacks(exercise(), ["adjustable_bench", "dumbbells"]) == ()
    assert lacks(exercise(needs=()), []) == ()


@pytest.mark.parametrize(
    ("word", "has_change", "highest"),
    [
        ("clear", False, 2),
        ("clear", True, 2),
        ("careful", False, 1),
        ("careful", True, 2),
        ("avoid", False, 1),
        ("avoid", True, 1),
    ],
)
def test_highest_grade(word: str, has_change: bool, highest: int) -> None:
    assert highest_grade("shoulder", {"shoulder": word}, SETTINGS, has_change=has_change) == highest


def test_a_region_that_nobody_names_is_clear() -> None:
    assert highest_grade("shoulder", {}, SETTINGS, has_change=False) == 2


@pytest.mark.parametrize(
    ("grade", "change", "word", "preferred", "is_out"),
    [
        (2, "", "clear", (), False),
        (3, "", "clear", (), True),
        (3, "", "clear", ("press",), False),  # grade 3 is planned only if named in prefer
        (3, "", "clear", ("raise",), True),
        (1, "", "careful", (), False),
        (2, "", "careful", (), True),
        (2, "stop at ear height", "careful", (), False),
        (2, " - ", "careful", (), True),  # a dash is no change
        (3, "stop at ear height", "careful", ("press",), True),
        (0, "", "avoid", (), False),
        (1, "", "avoid", (), False),
        (2, "stop at ear height", "avoid", ("press",), True),
    ],
)
def test_joints(grade: int, change: str, word: str, preferred: tuple[str, ...], is_out: bool) -> None:
    reason = joint_reason(exercise(grade, change), {"shoulder": word}, SETTINGS, preferred)
    assert bool(reason) is is_out
    if is_out:
        assert f"joint stress {grade} in shoulder ({word}: at most" in reason


def test_reasons_in_their_order() -> None:
    assert out_reason(exercise(), {}, SETTINGS) == ""
    assert "comparison" in out_reason(exercise(compare_only=True), {}, SETTINGS, excluded=["press"])
    assert "excluded by the brief" in out_reason(exercise(3), {}, SETTINGS, excluded=["press"])
    assert "joint stress 3" in out_reason(exercise(3), {}, SETTINGS, excluded=["raise"])
