"""Progress on one page of paper: delivered dose, pain and estimated maxima as small charts, best sets as a table.

The charts read in grey: bars are grey, what was planned is a black mark, thresholds are dashed and labelled.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.athlete.toml_text import refuse
from planner.athlete.writing import write_through
from planner.errors import PaperNotMade
from planner.method import SheetSettings
from planner.plain import LAST_DIGITS
from planner.sheets.page import fill
from planner.sheets.render import html_to_pdf
from planner.train.delivered import Track
from planner.train.loads import percent
from planner.train.progress import Progress, ProgressWeek

# the drawings, in the units of their own view boxes
WIDTH, THIRD, WHOLE = 720.0, (232.0, 118.0), (720.0, 104.0)
LEFT, TOP, RIGHT, BOTTOM = 26.0, 24.0, 6.0, 18.0  # room for ticks, title, last label and weeks
WORDS_AT_EDGE = 80.0  # "above 2: reduce" beside the drawing
WORDS_APART = 44.0  # a week's name is about so wide
BLACK, GREY, GRID = "#000", "#b0b0b0", "#c8c8c8"
HALF = 0.36  # half of a bar, of a week's place
# charts of maxima and lines of the table, until one page holds them
FITS = ((6, 16), (6, 10), (3, 10), (3, 6), (0, 6), (0, 0))


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
    """A drawing over weeks; `ticks` rise from foot to top, `says` is its text for readers who cannot see it."""

    width: float
    height: float
    says: str
    weeks: Sequence[str]
    ticks: Sequence[float]
    right: float = RIGHT  # room at the right edge
    grid: list[Stroke] = field(default_factory=list)  # behind everything
    bars: list[Bar] = field(default_factory=list)
    areas: list[str] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    dots: list[tuple[float, float]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    @property
    def step(self) -> float:
        """Width of one week."""
        return (self.width - LEFT - self.right) / max(len(self.weeks), 1)

    def x(self, place: int) -> float:
        """Middle of a week."""
        return round(LEFT + (place + 0.5) * self.step, 2)

    def y(self, value: float) -> float:
        """Height of a value."""
        share = (value - self.ticks[0]) / (self.ticks[-1] - self.ticks[0])
        return round(self.height - BOTTOM - share * (self.height - TOP - BOTTOM), 2)

    def bar(self, place: int, value: float, least: float = 0.0) -> None:
        """Draw a week's bar; `least`: its height where the value is 0."""
        height = round(max(self.y(0) - self.y(value), least), 2)
        half = HALF * self.step
        self.bars.append(Bar(self.x(place) - half, self.y(0) - height, 2 * half, height))

    def framed(self, title: str) -> Chart:
        """Draw title, ticks and as many week names as have room, the last one always."""
        self.labels.append(Label(0, 11, title, bold=True))
        for value in self.ticks:
            y = self.y(value)
            color = GRID if value != self.ticks[0] else BLACK
            self.grid.append(Stroke(f"{LEFT},{y} {self.width - self.right},{y}", 0.8, color=color))
            self.labels.append(Label(LEFT - 3, y + 3.5, f"{value:g}", "end"))
        every = max(1, math.ceil(WORDS_APART / self.step))
        for place in range(len(self.weeks) - 1, -1, -every):
            name = self.weeks[place].split("-")[-1]
            self.labels.append(Label(self.x(place), self.height - 5, name, "middle"))
        return self


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return about four round values from at or below `low` to at or above `high`."""
    rough = max(high - low, LAST_DIGITS) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(
        power * factor for factor in (1, 2, 2.5, 5, 10) if power * factor >= rough * (1 - LAST_DIGITS)
    )
    first, last = math.floor(low / step + LAST_DIGITS), math.ceil(high / step - LAST_DIGITS)
    return tuple(round(step * place, 10) for place in range(first, last + 1))


def dose_chart(
    title: str, weeks: Sequence[str], delivered: Sequence[float], planned: Sequence[float | None]
) -> Chart:
    """Draw delivered direct sets as bars and the planned ones as a black mark across each."""
    pairs = list(zip(delivered, planned, strict=True))
    said = ", ".join(
        f"{week} {done:.1f}" + ("" if plan is None else f" of {plan:.1f}")
        for week, (done, plan) in zip(weeks, pairs, strict=True)
    )
    scale = ticks(0, max([*delivered, *(plan for plan in planned if plan is not None), 1.0]))
    chart = Chart(*THIRD, f"{title}, direct sets: {said}.", weeks, scale).framed(title)
    for place, (done, plan) in enumerate(pairs):
        chart.bar(place, done)
        if plan is not None:
            x, y, half = chart.x(place), chart.y(plan), HALF * chart.step + 2
            chart.strokes.append(Stroke(f"{x - half},{y} {x + half},{y}", 2.4))
    return chart


def pain_chart(weeks: Sequence[str], pain: Sequence[float | None], go: float, reduce: float) -> Chart:
    """Draw weekly maxima of pain as bars, with the lines that decide; a week without a word has a dash."""
    title = "Highest pain of the week, 0–10 (muscle soreness left out)"
    words = ["not written" if value is None else f"{value:g}" for value in pain]
    said = ", ".join(f"{week} {word}" for week, word in zip(weeks, words, strict=True))
    chart = Chart(*WHOLE, f"{title}: {said}.", weeks, (0, 10), WORDS_AT_EDGE).framed(title)
    edge = WHOLE[0] - WORDS_AT_EDGE
    for most, word in ((go, f"above {go:g}: reduce"), (reduce, f"above {reduce:g}: out")):
        y = chart.y(most)
        chart.strokes.append(Stroke(f"{LEFT},{y} {edge},{y}", 1.0, "4 2"))
        chart.labels.append(Label(LEFT - 3, y + 3.5, f"{most:g}", "end"))
        chart.labels.append(Label(edge + 4, y + 3.5, word))
    for place, value in enumerate(pain):
        if value is None:
            chart.labels.append(Label(chart.x(place), chart.y(0) - 3, "–", "middle"))
        else:
            chart.bar(place, value, least=1.0)  # a 0 that was written is seen
    return chart


def maximum_chart(
    title: str, unit: str, weeks: Sequence[str], maxima: Sequence[float | None], error: float
) -> Chart:
    """Draw estimated maxima as dots and a line inside their pale ± band."""
    known = [(place, value) for place, value in enumerate(maxima) if value is not None]
    said = ", ".join(f"{weeks[place]} {value:.3g}" for place, value in known)
    values = [value for _, value in known]
    scale = ticks(min(values) * (1 - error), max(values) * (1 + error))
    chart = Chart(*THIRD, f"{title}, estimated maximum in {unit}: {said}.", weeks, scale).framed(title)
    above = [f"{chart.x(place)},{chart.y(value * (1 + error))}" for place, value in known]
    below = [f"{chart.x(place)},{chart.y(value * (1 - error))}" for place, value in reversed(known)]
    chart.areas.append(" ".join(above + below))
    chart.dots += [(chart.x(place), chart.y(value)) for place, value in known]
    chart.strokes.append(Stroke(" ".join(f"{x},{y}" for x, y in chart.dots), 1.6))
    edge, y = THIRD[0] - RIGHT, chart.y(values[-1]) - 7
    chart.labels.append(Label(edge, y, f"{values[-1]:.3g} {unit}", "end", bold=True))
    return chart


def write_page(progress: Progress, folder: Path) -> Path:
    """Write progress.pdf into a folder, whole or not at all, and return its path.

    Raises FaultyInput if it cannot be written; PaperNotMade if there is no renderer, with progress.html written.
    """
    fits = iter(FITS)
    html = progress_html(progress, *next(fits))

    def shorter(pages: list[int]) -> str | None:
        """Lay out the page with fewer charts and lines until it is one page."""
        nonlocal html
        fit = next(fits, None) if max(pages, default=1) > 1 else None
        html = html if fit is None else progress_html(progress, *fit)
        return None if fit is None else html

    try:
        return _write(folder / "progress.pdf", html_to_pdf(html, shorter))
    except PaperNotMade:
        _write(folder / "progress.html", html.encode())
        raise


def _write(file: Path, content: bytes) -> Path:
    beside = file.with_name(f".{file.name}.new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_through(beside, content)
        beside.replace(file)
    except OSError as fault:
        remedy = "Make this folder writable, or name another one with --out"
        raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None
    return file


def progress_html(progress: Progress, charts_most: int, rows_most: int) -> str:
    """Write the page as one HTML text, style included: the newest weeks, as many as the settings say.

    `charts_most` and `rows_most`: charts of maxima and lines of the table; what is left out is counted.
    """
    settings = progress.settings
    weeks = progress.weeks[-settings.progress_weeks :]
    names = [week.week for week in weeks]
    tracks = sorted(progress.tracks, key=lambda track: (-_seen(track, names), track.exercise))
    drawn = [track for track in tracks if len([value for value in _maxima(track, names) if value]) > 1]
    rows = sorted(progress.row(track) for track in tracks if _seen(track, names))
    return fill(
        "progress.html",
        title=f"Looking back: {progress.brief.athlete.name}",
        style=_style(progress.brief.preferences.paper),
        athlete=progress.brief.athlete.name,
        weeks=names,
        doses=[_dose(progress, weeks, head) for head in progress.heads],
        pain=pain_chart(
            names, [week.pain for week in weeks], settings.pain_go_most, settings.pain_reduce_most
        )
        if weeks
        else None,
        maxima=[_maximum(progress, track, names) for track in drawn[:charts_most]],
        rows=rows[:rows_most],
        more=max(0, len(rows) - rows_most),
        sums=_sums(progress, weeks),
        pain_lines=progress.pain.sheet_lines,
        formula=settings.formula.capitalize(),
        error=f"{100 * settings.maximum_error_share:.0f}",
    )


def _dose(progress: Progress, weeks: tuple[ProgressWeek, ...], head: str) -> Chart:
    delivered, planned = [week.dose[head] for week in weeks], [week.planned(head) for week in weeks]
    return dose_chart(_name(progress, head), [week.week for week in weeks], delivered, planned)


def _name(progress: Progress, head: str) -> str:
    name = progress.library.heads[head].name
    return f"{name[:1].upper()}{name[1:]}"


def _maxima(track: Track, names: list[str]) -> list[float | None]:
    """The estimates of the shown weeks, None where there is none."""
    by_week = dict(zip(track.weeks, track.maxima, strict=True))
    return [by_week.get(name) for name in names]


def _seen(track: Track, names: list[str]) -> int:
    return len(set(track.weeks) & set(names))


def _maximum(progress: Progress, track: Track, names: list[str]) -> Chart:
    title = f"{progress.name(track.exercise)} ({track.gym})"
    error = progress.settings.maximum_error_share
    return maximum_chart(title, track.unit, names, _maxima(track, names), error)


def _sums(progress: Progress, weeks: tuple[ProgressWeek, ...]) -> list[str]:
    """Say sets done of those planned, and the dose a head, over the planned weeks that are shown."""
    block = replace(progress, weeks=weeks).block
    if block is None or not block.planned_sets:
        return []
    done = f"{block.done_as_planned} of {block.planned_sets} planned sets done"
    return [
        f"{done} in {len(block.weeks)} planned weeks ({percent(block.adherence)})",
        *(
            f"{_name(progress, item.head)}: {item.delivered:.1f} of {item.planned:.1f} direct sets"
            for item in block.heads
            if item.planned
        ),
    ]


def _style(paper: str) -> Any:
    from markupsafe import Markup

    folder = files("planner.sheets") / "styles"
    sheets = [(folder / name).read_text(encoding="utf-8") for name in ("fonts.css", "progress.css")]
    margin = SheetSettings().margin_millimetres
    return Markup("\n".join([f"@page {{ size: {paper}; margin: {margin:g}mm }}", *sheets]))
