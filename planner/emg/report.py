"""measurement.pdf and the placement sheet: from a measured session to HTML and PDF, in the sheets' own fonts."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.emg import words
from planner.emg.drawings import ranking_bars, share_bars, site_drawing, trial_drawing
from planner.emg.figures import MeasuredSession
from planner.emg.ranking import Ranking, not_ranked
from planner.emg.references import UNIT_WORDS, read_tests, tables
from planner.emg.settings import MeasureSettings, QualitySettings
from planner.errors import PaperNotMade


def html_of(template: str, **filled: Any) -> str:
    """Fill one of this package's templates; text is escaped, drawings are not."""
    import jinja2
    import markupsafe

    measure = files("planner.emg")
    fonts = files("planner.sheets").joinpath("styles/fonts.css").read_text("utf-8")
    style = fonts + measure.joinpath("styles/measure.css").read_text("utf-8")
    source = measure.joinpath(f"templates/{template}").read_text("utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    return environment.from_string(source).render(style=markupsafe.Markup(style), **filled)


def write_paper(folder: Path, name: str, html: str) -> Path:
    """Write FOLDER/NAME.pdf and return it; where no PDF can be made, NAME.html, and raise PaperNotMade."""
    from planner.sheets.render import html_to_pdf

    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            pdf = html_to_pdf(html)
        except PaperNotMade as missing:
            beside = folder / f"{name}.html"
            beside.write_text(html, encoding="utf-8")
            raise PaperNotMade(f"{missing} It is here: {beside}", html) from missing
        file = folder / f"{name}.pdf"
        file.write_bytes(pdf)
    except OSError as error:
        remedy = "Name a folder that can be written with --out"
        raise FaultyInput([Fault(folder, "", f"cannot be written ({error.strerror})", remedy)]) from None
    return file


def placement_html() -> str:
    """Return the placement sheet as HTML, two pages: sites, skin, the maximal tests and their cautions."""
    tests = read_tests()
    sites = [
        {**site, "drawing": site_drawing(site, tables()["view"][site["view"]])}
        for site in tables()["site"].values()
    ]
    wanted = tables()["wanted"]
    return html_of(
        "placement.html",
        title="Sensor placement and maximal tests",
        sites=sites,
        tests=[tests[key] for key in wanted],
        common=tables()["common"],
        short=[wanted.index(key) + 1 for key in tables()["short_form"]],
        rest=f"{QualitySettings().heart_rest_seconds:g}",
        trials=MeasureSettings().trials_per_test,
    )


def report_html(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole report as HTML."""
    card, shares = measured.read.session.session, _shares(measured)
    return html_of(
        "measurement.html",
        title=f"Measurement: {card.athlete}, {card.date.isoformat()}",
        measured=measured,
        read=measured.read,
        words=words,
        rankings=[ranking for ranking in rankings if not ranking.lone],
        bars=ranking_bars,
        lone=not_ranked(rankings),
        shares={name: share_bars(rows, name) for name, rows in shares.items()},
        window=f"{measured.read.settings.window_seconds:g}",
        course=trial_drawing,
        findings=sorted(measured.findings, key=lambda finding: (finding.level, finding.file)),
        unit_words=UNIT_WORDS,
    )


def _shares(measured: MeasuredSession) -> dict[str, list[tuple[str, float]]]:
    """Return each watched head's share by trial, per side."""
    rows: dict[str, list[tuple[str, float]]] = {}
    for trial in measured.trials:
        for head, side, share in words.watched_shares(measured, trial):
            name = f"{words.head_name(measured, head)}, {side}"
            rows.setdefault(name, []).append((trial.label, share))
    return rows
