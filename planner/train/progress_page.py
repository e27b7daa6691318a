"""Progress on one page of paper: delivered dose, pain and estimated maxima as small charts, best sets as a table. The
charts read in grey: bars are grey, what was planned is a black mark, thresholds are dashed and labelled."""

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from planner.athlete.writing import write_safely
from planner.plain import LAST_DIGITS
from planner.sheets.page import fill, page_style
from planner.sheets.render import write_pdf_safely
from planner.train.delivered import Track
from planner.train.loads import percent
from planner.train.progress import Progress

# the drawings, in the units of their own view boxes
THIRD, WHOLE = 232.0, 720.0  # of the page's width
WORDS_AT_EDGE = 80.0  # "above 2: reduce" beside the drawing
WORDS_APART = 44.0  # a week's name is about so wide
NEVER: frozenset[str] = frozenset()
# charts of maxima, lines of the table, notes: one page holds them
CHARTS_MOST, ROWS_MOST, NOTES_MOST = 3, 12, 6
Gappy = Sequence[float | None]  # a value a week; None where there is none


@dataclass(frozen=True)
class Chart:
    """Where things stand in a drawing over weeks; `ticks` rise from foot to top, weeks `away` are on a pale ground. `left`
    and `right`: room beside the weeks, `top`: below the title."""

    title: str
    weeks: Sequence[str]
    ticks: Sequence[float]
    away: frozenset[str] = NEVER
    width: float = THIRD
    height: float = 118.0
    right: float = 6.0
    left, top = 26.0, 24.0

    @property
    def foot(self) -> float:
        """Height of the lowest tick, above the weeks' names."""
        return self.height - 18

    @property
    def edge(self) -> float:
        """Where the weeks end."""
        return self.width - self.right

    @property
    def step(self) -> float:
        """Width of one week."""
        return (self.edge - self.left) / max(len(self.weeks), 1)

    @property
    def half(self) -> float:
        """Half of a bar."""
        return 0.36 * self.step

    @property
    def named(self) -> range:
        """Places of the weeks whose names have room, the last one always."""
        return range(len(self.weeks) - 1, -1, -max(1, math.ceil(WORDS_APART / self.step)))

    def x(self, place: int) -> float:
        """Middle of a week."""
        return self.left + (place + 0.5) * self.step

    def y(self, value: float) -> float:
        """Height of a value."""
        share = (value - self.ticks[0]) / (self.ticks[-1] - self.ticks[0])
        return self.foot - share * (self.foot - self.top)

    def drawn(self, values: Sequence[str], what: str, **parts: Any) -> str:
        """Return the SVG; its words for readers who cannot see it name each week's value. `parts` as _chart.html has them."""
        said = ", ".join(f"{week} {value}" for week, value in zip(self.weeks, values, strict=True) if value)
        every: dict[str, Any] = dict.fromkeys(("bars", "marks", "bounds", "gaps", "band", "dots"), ())
        every |= {"said": f"{self.title}{what}: {said}.", "c": self, "least": 0.0, "newest": ""} | parts
        return fill("_chart.html", **every)


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return about four round values from at or below `low` to at or above `high`."""
    rough = max(high - low, LAST_DIGITS) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    steps = (power * factor for factor in (1, 2, 2.5, 5, 10))
    step = next(step for step in steps if step >= rough * (1 - LAST_DIGITS))
    first, last = math.floor(low / step + LAST_DIGITS), math.ceil(high / step - LAST_DIGITS)
    return tuple(round(step * place, 10) for place in range(first, last + 1))


def dose_chart(
    title: str, weeks: Sequence[str], delivered: Sequence[float], planned: Gappy, away: frozenset[str] = NEVER
) -> str:
    """Draw delivered direct sets as bars and the planned ones as a black mark across each."""
    marks = [(place, plan) for place, plan in enumerate(planned) if plan is not None]
    chart = Chart(title, weeks, ticks(0, max([*delivered, *(plan for _, plan in marks), 1.0])), away)
    said = [
        f"{did:.1f}" + ("" if of is None else f" of {of:.1f}")
        for did, of in zip(delivered, planned, strict=True)
    ]
    return chart.drawn(said, ", direct sets", bars=[*enumerate(delivered)], marks=marks)


def pain_chart(weeks: Sequence[str], pain: Gappy, go: float, out: float, away: frozenset[str] = NEVER) -> str:
    """Draw weekly maxima of pain as bars, with the lines that decide; a week without a word has a dash."""
    title = "Highest pain of the week, 0–10 (muscle soreness left out)"
    chart = Chart(title, weeks, (0, 10), away, WHOLE, 104.0, WORDS_AT_EDGE)
    bars = [(place, value) for place, value in enumerate(pain) if value is not None]
    gaps = [place for place, value in enumerate(pain) if value is None]
    said = ["not written" if value is None else f"{value:g}" for value in pain]
    lines = [(go, "reduce"), (out, "out")]
    return chart.drawn(
        said, "", bars=bars, gaps=gaps, bounds=lines, least=1.0
    )  # a 0 that was written is seen


def maximum_chart(title: str, unit: str, weeks: Sequence[str], maxima: Gappy, error: float) -> str:
    """Draw estimated maxima as dots and a line inside their pale ± band."""
    known = [(place, value) for place, value in enumerate(maxima) if value is not None]
    values = [value for _, value in known]
    chart = Chart(title, weeks, ticks(min(values) * (1 - error), max(values) * (1 + error)))
    at = [
        [(chart.x(place), chart.y(value * of)) for place, value in known] for of in (1 - error, 1, 1 + error)
    ]
    said, newest = ["" if value is None else f"{value:.3g}" for value in maxima], f"{values[-1]:.3g} {unit}"
    band = [*at[2], *reversed(at[0])]
    return chart.drawn(said, f", estimated maximum in {unit}", band=band, dots=at[1], newest=newest)


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
