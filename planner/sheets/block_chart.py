"""The block's dose, head by head: a bar a week, the target as a black mark; lighter weeks are white."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from library.read import Library
from planner.document import WeekDocument
from planner.sheets import names, say

# The drawing, in units of its own view box: three of them stand side by side.
WIDTH, HEIGHT = 236.0, 96.0
LEFT, RIGHT, TOP, BOTTOM = 4.0, 232.0, 26.0, 82.0
GAP = 0.22  # of a week's place, left white
MARK = 2.2  # width of the target's mark
BLACK, GREY, WHITE = "#000", "#b8b8b8", "#fff"
EVERY = 13  # from so many weeks on only every second number is written


@dataclass(frozen=True)
class Bar:
    """One week's dose."""

    x: float
    y: float
    width: float
    height: float
    fill: str


@dataclass(frozen=True)
class Stroke:
    """One week's target."""

    points: str
    width: float = MARK
    color: str = BLACK
    dash: str = ""


@dataclass(frozen=True)
class Label:
    """A word or number beside the bars."""

    x: float
    y: float
    text: str
    anchor: str = "middle"
    bold: bool = False


@dataclass(frozen=True)
class BlockChart:
    """One head's drawing; `says` is its text for readers who cannot see it."""

    bars: tuple[Bar, ...]
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    says: str
    width: float = WIDTH
    height: float = HEIGHT
    grid: tuple[Stroke, ...] = ()
    areas: tuple[str, ...] = ()
    dots: tuple[tuple[float, float], ...] = ()


def block_charts(weeks: Sequence[WeekDocument], library: Library) -> list[BlockChart]:
    """Draw every head of the weeks, in the order in which they are printed."""
    heads = dict.fromkeys(dose.head for week in weeks for dose in week.dose)
    return [_chart(weeks, head, names.sentence(names.name_of(library, head))) for head in heads]


def _chart(weeks: Sequence[WeekDocument], head: str, name: str) -> BlockChart:
    values = [_dose(week, head) for week in weeks]
    scale = (BOTTOM - TOP) / max(1.0, *(max(pair) for pair in values))
    place = (RIGHT - LEFT) / len(weeks)
    bars, strokes, labels = [], [], [Label(LEFT, 11, f"{name}, direct sets", "start", bold=True)]
    for at, (week, (total, target)) in enumerate(zip(weeks, values, strict=True)):
        x, middle = LEFT + at * place, LEFT + (at + 0.5) * place
        fill = WHITE if week.block and week.block.lighter else GREY
        bars.append(Bar(x + GAP / 2 * place, BOTTOM - total * scale, (1 - GAP) * place, total * scale, fill))
        y = BOTTOM - target * scale
        strokes.append(Stroke(f"{x:.1f},{y:.1f} {x + place:.1f},{y:.1f}"))
        if len(weeks) < EVERY or at % 2 == 0:
            labels.append(Label(middle, HEIGHT - 4, str(at + 1)))
            labels.append(Label(middle, BOTTOM - max(total, target) * scale - 3, f"{total:.0f}"))
    return BlockChart(tuple(bars), tuple(strokes), tuple(labels), _says(name, values))


def _dose(week: WeekDocument, head: str) -> tuple[float, float]:
    """Total and target of one head in direct sets."""
    return next(
        ((dose.planned + dose.elsewhere, dose.target) for dose in week.dose if dose.head == head), (0.0, 0.0)
    )


def _says(name: str, values: Sequence[tuple[float, float]]) -> str:
    told = (
        f"week {at} {say.number(total)} of {say.number(target)}"
        for at, (total, target) in enumerate(values, 1)
    )
    return f"{name}, direct sets: {', '.join(told)}."
