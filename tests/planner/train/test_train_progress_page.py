"""The small charts: what stands where, and that it is told in words too."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.train.progress_page import dose_chart, maximum_chart, pain_chart, ticks

WEEKS = ["2026-W47", "2026-W48", "2026-W49"]


def test_ticks_are_round_and_frame_the_values() -> None:
    assert ticks(0, 8.2) == (0, 2.5, 5, 7.5, 10)
    assert ticks(0, 20) == (0, 5, 10, 15, 20)
    assert ticks(12.6, 15.4) == (12, 13, 14, 15, 16)


@given(low=st.floats(0, 500), span=st.floats(0.01, 500))
def test_ticks_always_frame_the_values(low: float, span: float) -> None:
    found = ticks(low, low + span)
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + span - 1e-6
    assert 2 <= len(found) <= 7


def test_bars_are_as_high_as_the_dose_and_marks_stand_at_the_plan() -> None:
    chart = dose_chart("Side", WEEKS, [10, 5, 0], [10, 10, None])
    full, half, none = (bar.height for bar in chart.bars)
    assert (half, none) == (pytest.approx(full / 2), 0)
    marks = [float(stroke.points.split(",")[1].split()[0]) for stroke in chart.strokes]
    assert marks == [chart.bars[0].y] * 2  # planned 10 twice, nothing planned in the last week
    assert "2026-W48 5.0 of 10.0, 2026-W49 0.0." in chart.says


def test_pain_not_written_is_a_dash_and_a_zero_is_a_bar() -> None:
    chart = pain_chart(WEEKS, [None, 0, 10], 2, 5)
    assert [label.text for label in chart.labels if label.anchor == "middle"].count("–") == 1
    zero, ten = chart.bars
    assert 0 < zero.height < 2
    assert ten.height > 30 * zero.height
    assert "not written" in chart.says
    assert {"above 2: reduce", "above 5: out"} <= {label.text for label in chart.labels}
    assert [stroke.dash for stroke in chart.strokes] == ["4 2", "4 2"]


def test_maxima_stand_inside_their_band() -> None:
    chart = maximum_chart("Press", "kg", WEEKS, [28, None, 30], 0.1)
    assert len(chart.dots) == 2
    ys = [float(point.split(",")[1]) for point in chart.areas[0].split()]
    assert ys[0] < chart.dots[0][1] < ys[-1]
    assert any(label.text == "30 kg" and label.bold for label in chart.labels)


def test_no_week_name_covers_the_next() -> None:
    chart = dose_chart("Side", [f"2026-W{n:02d}" for n in range(1, 27)], [1.0] * 26, [None] * 26)
    places = sorted(label.x for label in chart.labels if label.text.startswith("W"))
    assert min(right - left for left, right in pairwise(places)) >= 44
