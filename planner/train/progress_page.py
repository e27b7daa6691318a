"""Progress on one page of paper: delivered dose, pain and estimated maxima as small charts, best sets as a table."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.errors import PaperNotMade
from planner.files.safe import write_through
from planner.files.text import refuse
from planner.method import SheetSettings
from planner.sheets.page import fill
from planner.sheets.render import html_to_pdf
from planner.train.charts import Chart, dose_chart, maximum_chart, pain_chart
from planner.train.loads import percent
from planner.train.look_back import Track
from planner.train.progress import Progress, ProgressWeek
from planner.train.progress_report import track_row

WIDTH = 720.0  # units of the drawings over the page's width
THIRD = (232.0, 118.0)
WHOLE = (WIDTH, 104.0)
FITS = (
    (6, 16),
    (6, 10),
    (3, 10),
    (3, 6),
    (0, 6),
    (0, 0),
)  # charts of maxima and lines, until one page holds them


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
    drawn = [track for track in tracks if sum(_maxima(track, names, known=True)) >= 2]
    rows = sorted(track_row(track, progress) for track in tracks if _seen(track, names))
    return fill(
        "progress.html",
        title=f"Looking back: {progress.brief.athlete.name}",
        style=_style(progress.brief.preferences.paper),
        athlete=progress.brief.athlete.name,
        weeks=names,
        doses=[_dose(progress, weeks, head) for head in progress.heads],
        pain=pain_chart(
            names, [week.pain for week in weeks], settings.pain_go_most, settings.pain_reduce_most, WHOLE
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
    return dose_chart(_name(progress, head), [week.week for week in weeks], delivered, planned, THIRD)


def _name(progress: Progress, head: str) -> str:
    name = progress.library.heads[head].name
    return f"{name[:1].upper()}{name[1:]}"


def _maxima(track: Track, names: list[str], *, known: bool = False) -> list[Any]:
    """The estimates of the shown weeks, None where there is none; with `known`, whether each is there."""
    by_week = dict(zip(track.weeks, track.maxima, strict=True))
    values = [by_week.get(name) for name in names]
    return [value is not None for value in values] if known else values


def _seen(track: Track, names: list[str]) -> int:
    return len(set(track.weeks) & set(names))


def _maximum(progress: Progress, track: Track, names: list[str]) -> Chart:
    exercise = progress.library.exercises.get(track.exercise)
    title = f"{exercise.name if exercise else track.exercise} ({track.gym})"
    error = progress.settings.maximum_error_share
    return maximum_chart(title, track.unit, names, _maxima(track, names), error, THIRD)


def _sums(progress: Progress, weeks: tuple[ProgressWeek, ...]) -> list[str]:
    """Say sets done of those planned, and the dose a head, over the planned weeks that are shown."""
    planned = [week for week in weeks if week.against_plan]
    if not planned:
        return []
    of, done = (
        sum(plan.planned_sets for week in planned if (plan := week.against_plan)),
        sum(plan.done_as_planned for week in planned if (plan := week.against_plan)),
    )
    lines = [
        f"{done} of {of} planned sets done in {len(planned)} planned weeks ({percent(done / of)})"
        if of
        else ""
    ]
    for head in progress.heads:
        asked = sum(week.planned(head) or 0.0 for week in planned)
        if asked:
            got = sum(week.dose[head] for week in planned)
            lines.append(f"{_name(progress, head)}: {got:.1f} of {asked:.1f} direct sets")
    return [line for line in lines if line]


def _style(paper: str) -> Any:
    from markupsafe import Markup

    folder = files("planner.sheets") / "styles"
    sheets = [(folder / name).read_text(encoding="utf-8") for name in ("fonts.css", "progress.css")]
    margin = SheetSettings().margin_millimetres
    return Markup("\n".join([f"@page {{ size: {paper}; margin: {margin:g}mm }}", *sheets]))
