"""Progress on one page of paper: delivered dose, pain and estimated maxima as small charts, best sets as a table. The
charts read in grey: bars are grey, what was planned is a black mark, thresholds are dashed and labelled."""

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Self

from planner.athlete.writing import write_safely
from planner.plain import LAST_DIGITS
from planner.sheets import drawing
from planner.sheets.page import fill, page_style
from planner.sheets.render import write_pdf_safely
from planner.train.delivered import Track
from planner.train.loads import percent
from planner.train.progress import Progress

# the drawings, in the units of their own view boxes
THIRD, WHOLE, TEXT = (232.0, 118.0), (720.0, 104.0), 10.0
LEFT, TOP, RIGHT, BOTTOM = 26.0, 24.0, 6.0, 18.0  # room for ticks, title, last label and weeks
WORDS_AT_EDGE = 80.0  # "above 2: reduce" beside the drawing
WORDS_APART = 44.0  # a week's name is about so wide
HALF = 0.36  # half of a bar, of a week's place
# charts of maxima, lines of the table, notes: one page holds them
CHARTS_MOST, ROWS_MOST, NOTES_MOST = 3, 12, 6
Gappy = Sequence[float | None]  # a value a week; None where there is none


@dataclass
class Chart:
    """A drawing over weeks; `ticks` rise from foot to top."""

    title: str
    size: tuple[float, float]
    weeks: Sequence[str]
    ticks: Sequence[float]
    right: float = RIGHT  # room at the right edge
    away: frozenset[str] = frozenset()  # weeks without training, on a pale ground
    parts: list[str] = field(default_factory=list)

    @property
    def step(self) -> float:
        """Width of one week."""
        return (self.size[0] - LEFT - self.right) / max(len(self.weeks), 1)

    def x(self, place: int) -> float:
        """Middle of a week."""
        return LEFT + (place + 0.5) * self.step

    def y(self, value: float) -> float:
        """Height of a value."""
        share = (value - self.ticks[0]) / (self.ticks[-1] - self.ticks[0])
        return self.size[1] - BOTTOM - share * (self.size[1] - TOP - BOTTOM)

    def bar(self, place: int, value: float, least: float = 0.0) -> None:
        """Draw a week's bar; `least`: its height where the value is 0."""
        height, half = max(self.y(0) - self.y(value), least), HALF * self.step
        rectangle = (self.x(place) - half, self.y(0) - height, 2 * half, height)
        how: dict[str, Any] = {"fill": drawing.LIGHT, "stroke": drawing.BLACK}
        self.parts.append(drawing.box(*rectangle, **how, line_width=min(0.6, self.step / 20)))

    def level(self, value: float, x1: float, x2: float, **how: Any) -> None:
        """Draw a level line at a value."""
        self.parts.append(drawing.line(x1, self.y(value), x2, self.y(value), **how))

    def words(self, x: float, y: float, text: str, anchor: str = "start", bold: bool = False) -> None:
        """Write beside the drawing."""
        self.parts.append(drawing.text(x, y, text, size=TEXT, anchor=anchor, bold=bold))

    def framed(self) -> Self:
        """Draw title, ticks and as many week names as have room, the last one always."""
        self.words(0, 11, self.title, bold=True)
        for place in (place for place, week in enumerate(self.weeks) if week in self.away):
            ground = (self.x(place) - self.step / 2, TOP, self.step, self.size[1] - TOP - BOTTOM)
            self.parts.insert(0, drawing.box(*ground, fill=drawing.PALE))
        for value in self.ticks:
            color = drawing.LIGHT if value != self.ticks[0] else drawing.BLACK
            self.level(value, LEFT, self.size[0] - self.right, width=0.8, stroke=color)
            self.words(LEFT - 3, self.y(value) + 3.5, f"{value:g}", "end")
        every = max(1, math.ceil(WORDS_APART / self.step))
        for place in range(len(self.weeks) - 1, -1, -every):
            self.words(self.x(place), self.size[1] - 5, self.weeks[place].split("-")[-1], "middle")
        return self

    def picture(self, values: Sequence[str], what: str) -> str:
        """Return the SVG; its words for readers who cannot see it name each week's value."""
        said = ", ".join(f"{week} {value}" for week, value in zip(self.weeks, values, strict=True) if value)
        return drawing.picture(*self.size, self.parts, f"{self.title}{what}: {said}.", wide=True)


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return about four round values from at or below `low` to at or above `high`."""
    rough = max(high - low, LAST_DIGITS) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    steps = (power * factor for factor in (1, 2, 2.5, 5, 10))
    step = next(step for step in steps if step >= rough * (1 - LAST_DIGITS))
    first, last = math.floor(low / step + LAST_DIGITS), math.ceil(high / step - LAST_DIGITS)
    return tuple(round(step * place, 10) for place in range(first, last + 1))


def dose_chart(
    title: str,
    weeks: Sequence[str],
    delivered: Sequence[float],
    planned: Gappy,
    away: frozenset[str] = frozenset(),
) -> str:
    """Draw delivered direct sets as bars and the planned ones as a black mark across each."""
    scale = ticks(0, max([*delivered, *(plan for plan in planned if plan is not None), 1.0]))
    chart, values = Chart(title, THIRD, weeks, scale, away=away).framed(), []
    for place, (done, plan) in enumerate(zip(delivered, planned, strict=True)):
        chart.bar(place, done)
        values.append(f"{done:.1f}" if plan is None else f"{done:.1f} of {plan:.1f}")
        if plan is not None:
            half = HALF * chart.step + 2
            chart.level(plan, chart.x(place) - half, chart.x(place) + half, width=2.4)
    return chart.picture(values, ", direct sets")


def pain_chart(
    weeks: Sequence[str], pain: Gappy, go: float, reduce: float, away: frozenset[str] = frozenset()
) -> str:
    """Draw weekly maxima of pain as bars, with the lines that decide; a week without a word has a dash."""
    title = "Highest pain of the week, 0–10 (muscle soreness left out)"
    chart = Chart(title, WHOLE, weeks, (0, 10), WORDS_AT_EDGE, away).framed()
    edge = WHOLE[0] - WORDS_AT_EDGE
    for most, word in ((go, "reduce"), (reduce, "out")):
        chart.level(most, LEFT, edge, width=1.0, dashed=True, dash="4 2")
        chart.words(LEFT - 3, chart.y(most) + 3.5, f"{most:g}", "end")
        chart.words(edge + 4, chart.y(most) + 3.5, f"above {most:g}: {word}")
    for place, value in enumerate(pain):
        if value is None:
            chart.words(chart.x(place), chart.y(0) - 3, "–", "middle")
        else:
            chart.bar(place, value, least=1.0)  # a 0 that was written is seen
    return chart.picture(["not written" if value is None else f"{value:g}" for value in pain], "")


def maximum_chart(title: str, unit: str, weeks: Sequence[str], maxima: Gappy, error: float) -> str:
    """Draw estimated maxima as dots and a line inside their pale ± band."""
    known = [(place, value) for place, value in enumerate(maxima) if value is not None]
    values = [value for _, value in known]
    scale = ticks(min(values) * (1 - error), max(values) * (1 + error))
    chart = Chart(title, THIRD, weeks, scale)
    xs = [chart.x(place) for place, _ in known]
    low, middle, high = ([chart.y(value * share) for value in values] for share in (1 - error, 1, 1 + error))
    chart.parts.append(drawing.curve([*xs, *xs[::-1]], [*high, *low[::-1]], fill=drawing.PALE, stroke="none"))
    chart.framed().parts.append(drawing.curve(xs, middle, width=1.6))
    chart.parts += [drawing.circle(x, y, 2.6, fill=drawing.BLACK) for x, y in zip(xs, middle, strict=True)]
    chart.words(THIRD[0] - RIGHT, middle[-1] - 7, f"{values[-1]:.3g} {unit}", "end", bold=True)
    said = ["" if value is None else f"{value:.3g}" for value in maxima]
    return chart.picture(said, f", estimated maximum in {unit}")


def write_page(progress: Progress, folder: Path) -> Path:
    """Write progress.csv and progress.pdf into a folder, each whole or not at all, and return the page's path. Raises
    FaultyInput if they cannot be written; PaperNotMade if there is no renderer, with progress.html written."""
    html, file = progress_html(progress), folder / "progress.pdf"
    with suppress(OSError):  # writing says what is wrong
        folder.mkdir(parents=True, exist_ok=True)
    write_safely(file.with_suffix(".csv"), progress.csv())
    write_pdf_safely(file, html)
    return file


def progress_html(progress: Progress) -> str:
    """Write the page as one HTML text, style included: the newest weeks, as many as the settings say."""
    from markupsafe import Markup

    settings = progress.settings
    weeks = progress.newest(settings.progress_weeks).weeks
    names = [week.week for week in weeks]
    away = frozenset(week.week for week in weeks if week.away)
    seen = {track: len(set(track.weeks) & set(names)) for track in progress.tracks}
    charts = _maxima(progress, names, seen)
    doses = []
    for key in progress.heads:
        done, planned = [of.dose[key] for of in weeks], [of.planned(key) for of in weeks]
        doses.append(dose_chart(progress.head(key), names, done, planned, away))
    rows = sorted(progress.row(track) for track in progress.tracks if seen[track])
    notes = [row for row in progress.notes if row.week in names]
    pain, bounds = [week.pain for week in weeks], (settings.pain_go_most, settings.pain_reduce_most)
    return fill(
        "progress.html",
        title=f"Looking back: {progress.brief.athlete.name}",
        style=page_style("progress.css", progress.brief.preferences.paper),
        athlete=progress.brief.athlete.name,
        weeks=names,
        away=bool(away),
        notes=[(of.date, progress.name(of.exercise), of.note) for of in notes[: -NOTES_MOST - 1 : -1]],
        doses=[*map(Markup, doses)],
        pain=Markup(pain_chart(names, pain, *bounds, away) if weeks else ""),
        maxima=[*map(Markup, charts)],
        rows=rows[:ROWS_MOST],
        more=max(0, len(rows) - ROWS_MOST),
        sums=_sums(replace(progress, weeks=weeks)),
        pain_lines=progress.pain.sheet_lines,
        formula=settings.formula.capitalize(),
        error=f"{100 * settings.maximum_error_share:.0f}",
    )


def _maxima(progress: Progress, names: list[str], seen: Mapping[Track, int]) -> list[str]:
    """Draw the estimated maxima of the exercises that were trained in most of these weeks."""
    charts, error = [], progress.settings.maximum_error_share
    for of in sorted(progress.tracks, key=lambda track: (-seen[track], track.exercise)):
        maxima = [*map(dict(zip(of.weeks, of.maxima, strict=True)).get, names)]
        if len(maxima) - maxima.count(None) > 1:
            title = f"{progress.name(of.exercise)} ({of.gym})"
            charts.append(maximum_chart(title, of.unit, names, maxima, error))
    return charts[:CHARTS_MOST]


def _sums(progress: Progress) -> list[str]:
    """Say sets done of those planned, and the dose a head, over the planned weeks that are shown."""
    block = progress.block
    if block is None or not block.planned_sets:
        return []
    done = f"{block.done} of {block.planned_sets} planned sets done, {progress.days_kept}"
    heads = [item for item in block.heads if item.planned]
    why = [f"{of.week[5:]} {of.why}" for of in progress.weeks if of.why]
    return [
        f"{done} in {len(block.weeks)} planned weeks ({percent(block.adherence)}), weeks away and ill ones apart",
        *(["Less done or asked: " + "; ".join(why)] if why else []),
        *(f"{progress.head(of.head)}: {of.delivered:.1f} of {of.planned:.1f} direct sets" for of in heads),
    ]
