"""measurement.pdf and the placement sheet: from a measured session to HTML and PDF, in the sheets' own fonts."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.emg import words
from planner.emg.drawings import ranking_bars, share_bars, site_drawing, trial_drawing
from planner.emg.figures import MeasuredSession, TrialResult
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
    card = measured.read.session.session
    return html_of(
        "measurement.html",
        title=f"Measurement: {card.athlete}, {card.date.isoformat()}",
        measured=measured,
        words=words,
        facts=_facts(measured),
        notices=_notices(measured),
        rankings=_rankings(measured, rankings),
        lone=not_ranked(rankings),
        shares=_shares(measured),
        window=f"{measured.read.settings.window_seconds:g}",
        trials=[_trial(measured, trial) for trial in measured.trials],
        findings=sorted(measured.findings, key=lambda finding: (finding.level, finding.file)),
        unit_words=UNIT_WORDS,
        raw=card.signal == "raw",
    )


def _facts(measured: MeasuredSession) -> str:
    read = measured.read
    sensors = ", ".join(f"{words.head_name(measured, s.muscle)} {s.side}" for s in read.session.sensor)
    count = f"{len(measured.trials)} of {len(read.session.trial)} sets measured"
    facts = [f"Session {read.id}", count, sensors, read.session.session.notes]
    return " · ".join(fact for fact in facts if fact)


def _notices(measured: MeasuredSession) -> list[str]:
    notices = [f"Not measured or stated wrongly: {fault}" for fault in measured.faults]
    notices += [
        f"{trial.label} ({trial.trial.file}), {words.sensor_name(measured, channel)} is not used: {channel.untrusted}"
        for trial in measured.trials
        for channel in trial.channels.values()
        if channel.untrusted
    ]
    if any(reference.unit == "percent_session_max" for reference in measured.references.values()):
        notices.append(
            "Sensors without a reference contraction tell ratios between exercises only (see below)."
        )
    return notices


def _rankings(measured: MeasuredSession, rankings: Sequence[Ranking]) -> list[dict[str, Any]]:
    return [
        {
            "title": (title := words.ranking_title(measured, ranking)),
            "unit": f"in {UNIT_WORDS[ranking.unit]}, first {ranking.k} repetitions",
            "error": words.error_words(ranking),
            "drawing": ranking_bars(ranking, title),
            "left_out": ranking.left_out,
        }
        for ranking in rankings
        if not ranking.lone
    ]


def _shares(measured: MeasuredSession) -> list[dict[str, str]]:
    """Return a drawing of each watched head's share, per side."""
    rows: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for trial in measured.trials:
        for head, side, share in words.watched_shares(measured, trial):
            rows.setdefault((head, side), []).append((trial.label, share))
    named = [(f"{words.head_name(measured, head)}, {side}", shares) for (head, side), shares in rows.items()]
    return [{"name": name, "drawing": share_bars(shares, name)} for name, shares in named]


def _trial(measured: MeasuredSession, trial: TrialResult) -> dict[str, Any]:
    source = trial.repetitions[0].source if trial.repetitions else ""
    assumed = ", phases assumed from the stated tempo" if trial.assumed else ""
    means = [
        f"{words.head_name(measured, channel.sensor.muscle)} {channel.sensor.side[0].upper()}: "
        + " ".join(f"{r.mean:.0f}{'×' if r.left_out else ''}" for r in channel.figures.repetitions)
        for channel in trial.channels.values()
    ]
    return {
        "title": f"{trial.number}  {trial.label} ({trial.trial.file}; repetitions from the {source}{assumed})",
        "conditions": trial.conditions,
        "left_out": words.left_out_words(measured, trial),
        "drawing": trial_drawing(measured, trial),
        "means": " · ".join(means),
    }
