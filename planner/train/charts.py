"""Small charts that read in grey: where every bar, line and word stands, in the units of a view box.

Nothing is told by colour: bars are grey, what was planned is a black mark, thresholds are dashed and labelled.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

BLACK, GREY, GRID = "#000", "#b0b0b0", "#c8c8c8"
LEFT, TOP, RIGHT, BOTTOM = 26.0, 24.0, 6.0, 18.0  # room for ticks, title, last label and weeks
TEXT = 10.0
WORDS_AT_EDGE = 80.0  # "above 2: reduce" beside the drawing
WORDS_APART = 44.0  # a week's name is about so wide


@dataclass(frozen=True)
class Bar:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: str = GREY


@dataclass(frozen=True)
class Stroke:
    """A line through points, "x,y x,y"; `dash` empty: solid."""

    points: str
    width: float = 1.0
    dash: str = ""
    color: str = BLACK


@dataclass(frozen=True)
class Label:
    """A word; `anchor` is SVG's text-anchor."""

    x: float
    y: float
    text: str
    anchor: str = "start"
    bold: bool = False


@dataclass
class Chart:
    """A drawing of `width` × `height`; `says` is its text for readers who cannot see it."""

    width: float
    height: float
    says: str
    grid: list[Stroke] = field(default_factory=list)  # behind everything
    bars: list[Bar] = field(default_factory=list)
    areas: list[str] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    dots: list[tuple[float, float]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)


@dataclass(frozen=True)
class Axes:
    """Turns a place among weeks and a value into a point of the drawing."""

    width: float
    height: float
    low: float
    high: float
    weeks: int
    right: float = RIGHT  # room at the right edge

    @property
    def step(self) -> float:
        """Width of one week."""
        return (self.width - LEFT - self.right) / max(self.weeks, 1)

    def x(self, place: int) -> float:
        """Middle of a week."""
        return round(LEFT + (place + 0.5) * self.step, 2)

    def y(self, value: float) -> float:
        """Height of a value."""
        share = (value - self.low) / (self.high - self.low)
        return round(self.height - BOTTOM - share * (self.height - TOP - BOTTOM), 2)


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return about four round values from at or below `low` to at or above `high`."""
    span = max(high - low, 1e-9)
    rough = span / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1, 2, 2.5, 5, 10) if power * factor >= rough - 1e-12)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(step * place, 10) for place in range(first, last + 1))


def empty_chart(
    title: str,
    weeks: Sequence[str],
    values: tuple[float, ...],
    size: tuple[float, float],
    says: str,
    right: float = RIGHT,
) -> tuple[Chart, Axes]:
    """Draw title, ticks and week names; `values` are the ticks, rising; `right` is left free at the edge."""
    width, height = size
    axes = Axes(width, height, values[0], values[-1], len(weeks), right)
    chart = Chart(width, height, says)
    chart.labels.append(Label(0, 11, title, bold=True))
    for value in values:
        y = axes.y(value)
        color = GRID if value != values[0] else BLACK
        chart.grid.append(Stroke(f"{LEFT},{y} {width - right},{y}", 0.8, color=color))
        chart.labels.append(Label(LEFT - 3, y + 3.5, f"{value:g}", "end"))
    every = max(1, math.ceil(WORDS_APART / axes.step))
    for place in range(len(weeks) - 1, -1, -every):
        chart.labels.append(Label(axes.x(place), height - 5, weeks[place].split("-")[-1], "middle"))
    return chart, axes


def dose_chart(
    title: str,
    weeks: Sequence[str],
    delivered: Sequence[float],
    planned: Sequence[float | None],
    size: tuple[float, float],
) -> Chart:
    """Draw delivered direct sets as bars and the planned ones as a black mark across each."""
    highest = max([*delivered, *(value for value in planned if value is not None), 1.0])
    said = ", ".join(
        f"{week} {done:.1f}" + ("" if plan is None else f" of {plan:.1f}")
        for week, done, plan in zip(weeks, delivered, planned, strict=True)
    )
    chart, axes = empty_chart(title, weeks, ticks(0, highest), size, f"{title}, direct sets: {said}.")
    half = 0.36 * axes.step
    for place, (done, plan) in enumerate(zip(delivered, planned, strict=True)):
        x, y = axes.x(place), axes.y(done)
        chart.bars.append(Bar(x - half, y, 2 * half, round(axes.y(0) - y, 2)))
        if plan is not None:
            mark = axes.y(plan)
            chart.strokes.append(Stroke(f"{x - half - 2},{mark} {x + half + 2},{mark}", 2.4))
    return chart


def pain_chart(
    weeks: Sequence[str], pain: Sequence[float | None], go: float, reduce: float, size: tuple[float, float]
) -> Chart:
    """Draw weekly maxima of pain as bars, with the lines that decide; a week without a word has a dash."""
    title = "Highest pain of the week, 0–10 (muscle soreness left out)"
    said = ", ".join(
        f"{week} {'not written' if value is None else f'{value:g}'}"
        for week, value in zip(weeks, pain, strict=True)
    )
    chart, axes = empty_chart(title, weeks, (0, 10), size, f"{title}: {said}.", WORDS_AT_EDGE)
    edge = size[0] - WORDS_AT_EDGE
    for most, word in ((go, f"above {go:g}: reduce"), (reduce, f"above {reduce:g}: out")):
        y = axes.y(most)
        chart.strokes.append(Stroke(f"{LEFT},{y} {edge},{y}", 1.0, "4 2"))
        chart.labels.append(Label(LEFT - 3, y + 3.5, f"{most:g}", "end"))
        chart.labels.append(Label(edge + 4, y + 3.5, word))
    half = 0.36 * axes.step
    for place, value in enumerate(pain):
        x = axes.x(place)
        if value is None:
            chart.labels.append(Label(x, axes.y(0) - 3, "–", "middle"))
            continue
        height = round(max(axes.y(0) - axes.y(value), 1.0), 2)  # a 0 that was written is seen
        chart.bars.append(Bar(x - half, axes.y(0) - height, 2 * half, height))
    return chart


def maximum_chart(
    title: str,
    unit: str,
    weeks: Sequence[str],
    maxima: Sequence[float | None],
    error: float,
    size: tuple[float, float],
) -> Chart:
    """Draw estimated maxima as dots and a line inside their pale ± band."""
    known = [(place, value) for place, value in enumerate(maxima) if value is not None]
    values = [value for _, value in known]
    said = ", ".join(f"{weeks[place]} {value:.3g}" for place, value in known)
    scale = ticks(min(values) * (1 - error), max(values) * (1 + error))
    chart, axes = empty_chart(title, weeks, scale, size, f"{title}, estimated maximum in {unit}: {said}.")
    above = [f"{axes.x(place)},{axes.y(value * (1 + error))}" for place, value in known]
    below = [f"{axes.x(place)},{axes.y(value * (1 - error))}" for place, value in reversed(known)]
    chart.areas.append(" ".join(above + below))
    chart.strokes.append(Stroke(" ".join(f"{axes.x(place)},{axes.y(value)}" for place, value in known), 1.6))
    chart.dots += [(axes.x(place), axes.y(value)) for place, value in known]
    latest = known[-1][1]
    chart.labels.append(Label(size[0] - RIGHT, axes.y(latest) - 7, f"{latest:.3g} {unit}", "end", bold=True))
    return chart
