"""The dose chart's geometry."""

import pytest
import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st

from planner.method import SheetSettings
from planner.sheets import chart as drawing
from planner.sheets.desk import Desk


def test_bars_marks_and_whiskers_stand_at_their_values(desk):
    chart = drawing.dose_chart(desk)
    unit = (drawing.RIGHT - drawing.LEFT) / 20  # the ceiling of 20 is the longest value
    front = chart.rows[0]
    assert front.elsewhere == pytest.approx(3 * unit)
    assert front.planned == pytest.approx(9.4 * unit)
    assert front.start == pytest.approx(drawing.LEFT + 3 * unit)
    assert front.interval.x1 == pytest.approx(drawing.LEFT + 10.6 * unit)
    assert front.interval.x2 == pytest.approx(drawing.LEFT + 14.1 * unit)
    assert [mark.line.x1 for mark in front.marks] == pytest.approx(
        [drawing.LEFT + n * unit for n in (6, 10, 20)]
    )
    assert chart.ticks[1] == (pytest.approx(drawing.LEFT + 5 * unit), "5")


def test_nothing_leaves_the_drawing(desk):
    chart = drawing.dose_chart(desk)
    for row in chart.rows:
        ends = [row.start + row.planned, row.interval.x2, *(mark.line.x2 for mark in row.marks)]
        assert max(ends) <= drawing.RIGHT + 1e-9
        assert row.y + drawing.BAR < chart.axis_y < chart.height


@given(st.floats(0, 400))
def test_the_hatching_stays_inside_its_bar(width):
    for line in drawing._hatch(width, 50.0):
        for x, y in ((line.x1, line.y1), (line.x2, line.y2)):
            assert drawing.LEFT - 1e-9 <= x <= drawing.LEFT + width + 1e-9
            assert 50 - 1e-9 <= y <= 50 + drawing.BAR + 1e-9


def test_a_floor_near_0_is_labelled_to_its_right(library):
    week = weeks.sample_week()
    low = week.dose[0].model_copy(update={"floor": 0.5})
    chart = drawing.dose_chart(
        Desk(week.model_copy(update={"dose": (low,)}), library, weeks.sample_brief(), SheetSettings())
    )
    floor = chart.rows[0].marks[0]
    assert floor.anchor == "start"
    assert floor.x > floor.line.x1


def test_a_week_of_zeros_can_be_drawn(library):
    zero = weeks.sample_week().dose[0]
    nothing = {name: 0.0 for name, value in zero.model_dump().items() if isinstance(value, float)}
    week = weeks.sample_week(dose=(zero.model_copy(update=nothing),))
    assert drawing.dose_chart(Desk(week, library, weeks.sample_brief(), SheetSettings())).rows[0].planned == 0
