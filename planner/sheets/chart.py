"""The dose chart: where every bar, mark and label of the drawing stands, in the units of its view box."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.document import HeadDose
from planner.sheets import names, say
from planner.sheets.desk import Desk

# The drawing, in units of its own view box (720 wide, printed over the page's width).
WIDTH = 720.0
LEFT, RIGHT = 104.0, 560.0  # where 0 and the longest value stand
TOP, ROW, BAR = 12.0, 58.0, 18.0
LABELS, MARKS = 12.0, 16.0  # a row's labels stand above its marks, the marks above and below its bar
HATCH = 5.0
NO_ROOM = 45.0  # a floor this near to 0 is labelled to its right
AXIS = 20.0


@dataclass(frozen=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True)
class Mark:
    """Floor, target or ceiling of a row: a line across the bar and its label."""

    kind: str
    line: Line
    label: str
    anchor: str
    x: float
    y: float


@dataclass(frozen=True)
class Row:
    """One head's dose: elsewhere (hatched), planned (grey), the 90 % interval and the three marks."""

    name: str
    y: float
    elsewhere: float
    planned: float
    start: float
    hatch: tuple[Line, ...]
    interval: Line
    marks: tuple[Mark, ...]
    total: str
    range: str
    label_y: float


@dataclass(frozen=True)
class Chart:
    """The whole drawing; `says` is its text for readers who cannot see it."""

    width: float
    height: float
    left: float
    bar: float
    rows: tuple[Row, ...]
    ticks: tuple[tuple[float, str], ...]
    axis_y: float
    says: str


def dose_chart(desk: Desk) -> Chart:
    """Draw every head's dose against its floor, target and ceiling."""
    doses = desk.document.dose
    longest = max((max(d.ceiling, d.high90, d.planned + d.elsewhere) for d in doses), default=1) or 1
    scale = (RIGHT - LEFT) / longest
    rows = tuple(_row(desk, dose, TOP + place * ROW, scale) for place, dose in enumerate(doses))
    axis_y = TOP + len(rows) * ROW + 4
    step = 5 if longest > 12 else 2
    ticks = tuple((LEFT + sets * scale, str(sets)) for sets in range(0, math.floor(longest) + 1, step))
    says = "Direct sets a week. " + " ".join(_sentence(desk, dose) for dose in doses)
    return Chart(WIDTH, axis_y + AXIS, LEFT, BAR, rows, ticks, axis_y, says)


def _row(desk: Desk, dose: HeadDose, top: float, scale: float) -> Row:
    y = top + LABELS + MARKS
    total = dose.elsewhere + dose.planned
    middle = y + BAR / 2
    return Row(
        name=names.sentence(names.name_of(desk.library, dose.head)),
        y=y,
        elsewhere=dose.elsewhere * scale,
        planned=dose.planned * scale,
        start=LEFT + dose.elsewhere * scale,
        hatch=_hatch(dose.elsewhere * scale, y),
        interval=Line(LEFT + dose.low90 * scale, middle, LEFT + dose.high90 * scale, middle),
        marks=_marks(dose, y, scale),
        total=say.number(total),
        range=f"{say.number(dose.low90)}–{say.number(dose.high90)}",
        label_y=middle,
    )


def _hatch(width: float, y: float) -> tuple[Line, ...]:
    """Slanted lines that fill a bar from the left edge; drawn one by one, since patterns print differently."""
    lines = []
    for start in range(1, math.ceil((width + BAR) / HATCH)):
        offset = start * HATCH
        low, high = min(offset, width), max(0.0, offset - BAR)
        if high < low:
            lines.append(Line(LEFT + high, y + offset - high, LEFT + low, y + offset - low))
    return tuple(lines)


def _marks(dose: HeadDose, y: float, scale: float) -> tuple[Mark, ...]:
    """Floor and ceiling are labelled to their outer sides, the target above, so that labels keep apart."""
    placed = (
        ("floor", dose.floor, "end", -4.0, MARKS - 4),
        ("target", dose.target, "middle", 0.0, MARKS + 7),
        ("ceiling", dose.ceiling, "start", 4.0, MARKS - 4),
    )
    marks = []
    for kind, value, anchor, aside, above in placed:
        x = LEFT + value * scale
        if anchor == "end" and x - LEFT < NO_ROOM:
            anchor, aside = "start", -aside
        line = Line(x, y - MARKS + (0 if kind == "target" else 8), x, y + BAR + 5)
        marks.append(Mark(kind, line, f"{kind} {say.number(value)}", anchor, x + aside, y - above + 4))
    return tuple(marks)


def _sentence(desk: Desk, dose: HeadDose) -> str:
    return (
        f"{names.sentence(names.name_of(desk.library, dose.head))}: {say.number(dose.planned + dose.elsewhere)}, "
        f"90 % interval {say.number(dose.low90)} to {say.number(dose.high90)}, floor {say.number(dose.floor)}, "
        f"target {say.number(dose.target)}, ceiling {say.number(dose.ceiling)}."
    )
