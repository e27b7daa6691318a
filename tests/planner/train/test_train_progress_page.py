"""The small charts: what stands where, and that it is told in words too."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.train.progress_page import dose_chart, maximum_chart, pain_chart, ticks

WEEKS = ["2026-W47", "2026-W48", "2026-W49"]


def of(svg, element, name):
    """The numbers of an attribute of all such elements."""
    return [float(number) for number in re.findall(rf'<{element} [^>]*?\b{name}="([\d.]+)"', svg)]


def words(svg):
    return re.findall(r"<text [^>]*>([^<]*)</text>", svg)


@given(low=st.floats(0, 500), span=st.floats(0.01, 500))
def test_ticks_always_frame_the_values(low, span):
    found = ticks(low, low + span)
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + span - 1e-6
    assert 2 <= len(found) <= 7


def test_bars_marks_and_bands_stand_at_their_values_and_pain_not_written_is_a_dash():
    chart = dose_chart("Side", WEEKS, [10, 5, 0], [10, 10, None])
    assert ticks(0, 10) == (0, 2.5, 5, 7.5, 10)
    full, half, none = of(chart, "rect", "height")
    assert (half, none) == (pytest.approx(full / 2), 0)
    assert of(chart, "line", "y1")[-2:] == [of(chart, "rect", "y")[0]] * 2  # planned 10 twice
    assert "2026-W48 5.0 of 10.0, 2026-W49 0.0." in chart
    chart = pain_chart(WEEKS, [None, 0, 10], 2, 5)
    assert words(chart).count("–") == 1
    zero, ten = of(chart, "rect", "height")
    assert 0 < zero < ten / 30
    assert "not written" in chart
    assert {"above 2: reduce", "above 5: out"} <= set(words(chart))
    chart = maximum_chart("Press", "kg", WEEKS, [28, None, 30], 0.1)
    dots = of(chart, "circle", "cy")
    band = re.findall(r'points="([^"]*)"', chart)[0].split()
    ys = [float(point.split(",")[1]) for point in band]
    assert len(dots) == 2
    assert ys[0] < dots[0] < ys[-1]
    assert "30 kg" in words(chart)


def test_no_week_name_covers_the_next():
    chart = dose_chart("Side", [f"2026-W{n:02d}" for n in range(1, 27)], [1.0] * 26, [None] * 26)
    places = sorted(float(x) for x in re.findall(r'<text x="([\d.]+)"[^>]*>W\d', chart))
    assert min(right - left for left, right in pairwise(places)) >= 44
