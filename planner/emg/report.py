"""The measured session in words, drawings and on paper: what the templates of terminal, measurement.pdf and placement
sheet are filled with. Drawings are SVG in millimetres, in greys that survive a copier."""

import sys
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from library.method import OWN
from planner.emg.figures import UNIT_WORDS, ChannelResult, MeasuredSession, Picture, TrialResult
from planner.emg.ranking import Entry, Ranking, not_ranked
from planner.emg.session import Sensor, read_tests, tables
from planner.emg.signals import high_corner
from planner.method import QualitySettings
from planner.sheets.page import fill

NOTHING = "–"
TEMPLATES = Path(__file__).parent / "templates"


def session_text(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole text for the terminal: no line of it is longer than a wide one."""
    ranked, lone = [ranking for ranking in rankings if not ranking.lone], not_ranked(rankings)
    values = {"lone": lone, "words": sys.modules[__name__], "unit_words": UNIT_WORDS}
    text = fill("session.txt", TEMPLATES, measured=measured, rankings=ranked, **values)
    return "\n".join(line.rstrip() for line in text.splitlines())


def left_out_words(measured: MeasuredSession, trial: TrialResult) -> list[str]:
    """Name the repetitions that do not count: once where it holds for all channels, else with the channel."""
    used = [channel for channel in trial.channels.values() if not channel.untrusted]
    reasons: dict[tuple[int, str], list[str]] = {}
    for channel in used:
        for repetition in (repetition for repetition in channel.repetitions if repetition.left_out):
            names = reasons.setdefault((repetition.number, repetition.left_out), [])
            names.append(sensor_name(measured, channel.sensor))
    return [
        f"repetition {number} does not count{'' if len(names) == len(used) else ' in ' + ', '.join(names)}: {why}"
        for (number, why), names in sorted(reasons.items())
    ]


def close_words(ranking: Ranking, entry: Entry) -> str:
    """Return "too close to call with 2, 3": the lines of the ranking that an exercise cannot be told from."""
    close = ranking.close_to(entry)
    places = ", ".join(str(ranking.entries.index(other) + 1) for other in close)
    everyone = len(close) > 1 and len(close) == len(ranking.entries) - 1
    return f"too close to call with {'all others' if everyone else places}" if close else ""


def ranking_title(measured: MeasuredSession, ranking: Ranking) -> str:
    """Return what is ranked: head, side, and placement or RIR where there are several."""
    low, high = ranking.rir or (0, 0)
    rir = "" if low == high else f", RIR {low:g}-{high:g}"
    rir = ", RIR not stated" if ranking.rir is None else rir
    placement = f", placement {ranking.placement}" if ranking.placement > 1 else ""
    return f"{head_name(measured, ranking.head)} {ranking.side} by mean{rir}{placement}"


def error_words(ranking: Ranking) -> str:
    """Say what differences mean: the error of one set, what it rests on and the smallest detectable change."""
    error, usual = ranking.error, f"{OWN.repeat_error:g} %MVIC as usual"
    factor, unit = (100.0, " %") if error.of_logarithm else (1.0, "")
    of_one, _ = error.used
    basis = f"{usual}: no set was repeated"
    if error.spread is not None:
        times = f"in {error.degrees} repeated set{'s' if error.degrees > 1 else ''}"
        weighed = f"{factor * error.spread:.1f}{unit} {times}, weighed with {usual}"
        basis = f"{times} alone" if of_one < error.sem else weighed
    words = (
        f"Error of one set {factor * of_one:.1f}{unit} ({basis}); smallest detectable change of two sets "
        f"{factor * error.change():.1f}{unit}, of two means of two sets {factor * error.change(2, 2):.1f}{unit}"
    )
    found = ranking.by_repetitions
    if found is None or found.icc_2_1 is None or found.icc_3_1 is None:
        return words
    return f"{words}; repetitions inside sets: ICC(2,1) {found.icc_2_1:.2f}, ICC(3,1) {found.icc_3_1:.2f}"


def head_name(measured: MeasuredSession, muscle: str) -> str:
    """Return a head's printed name, or another muscle's key in words."""
    head = measured.read.library.heads.get(muscle)
    return head.name if head else muscle.replace("_", " ")


def sensor_name(measured: MeasuredSession, sensor: Sensor) -> str:
    """Return a sensor's head and side as they are printed."""
    return f"{head_name(measured, sensor.muscle)} {sensor.side}"


def spread(channel: ChannelResult) -> str:
    """Write mean ± SD of mean activation."""
    middle, sd = channel.mean_of("mean"), channel.sd_of("mean")
    return figure(middle, 1) + (f" ± {sd:.1f}" if sd is not None else "")


def figure(value: float | None, decimals: int) -> str:
    """Write a number with so many decimals, or the sign for nothing where there is none."""
    return NOTHING if value is None else f"{value:.{decimals}f}"


def method_sentence(measured: MeasuredSession) -> str:
    """Return how this session was measured, in words that a methods section could hold, from the settings used."""
    settings = measured.read.settings
    rates = measured.rates_hz or (settings.low_rate_hz,)
    corners = list(dict.fromkeys(f"{high_corner(rate, settings):g}" for rate in rates))
    units = {reference.unit for reference in measured.references.values()}
    values: dict[str, Any] = {"session": measured.read.session.session, "s": settings, "units": units}
    values |= {"rates": [f"{rate:g}" for rate in rates], "corners": corners, "heart": measured.with_heart}
    return " ".join(fill("method.txt", TEMPLATES, **values).split())


def html_of(template: str, **values: Any) -> str:
    """Fill one of this package's HTML templates, with fonts and style; text is escaped, drawings are not."""
    import markupsafe

    fonts = files("planner.sheets").joinpath("styles/fonts.css").read_text("utf-8")
    style = fonts + files("planner.emg").joinpath("styles/measure.css").read_text("utf-8")
    return fill(template, TEMPLATES, style=markupsafe.Markup(style), **values)


def write_paper(folder: Path, name: str, html: str) -> Path:
    """Write FOLDER/NAME.pdf and return it; where no PDF can be made, NAME.html, and raise PaperNotMade."""
    from planner.sheets.render import write_pdf_safely

    write_pdf_safely(file := folder / f"{name}.pdf", html)
    return file


def placement_html() -> str:
    """Return the placement sheet as HTML, two pages: sites, skin, the maximal tests and their cautions."""
    known = tables()
    values = {"title": "Sensor placement and maximal tests", "sites": known["site"], "views": known["view"]}
    values |= {"rest": f"{QualitySettings().heart_rest_seconds:g}", "common": known["common"]}
    tests = [read_tests()[key] for key in known["wanted"]]
    short = [known["wanted"].index(key) + 1 for key in known["short_form"]]
    return html_of("placement.html", tests=tests, short=short, **values)


def report_html(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole report as HTML."""
    read, card = measured.read, measured.read.session.session
    values = {"measured": measured, "read": read, "words": sys.modules[__name__], "unit_words": UNIT_WORDS}
    values |= {"title": f"Measurement: {card.athlete}, {card.date.isoformat()}"}
    values |= {"window": f"{read.settings.window_seconds:g}", "lone": not_ranked(rankings)}
    values["findings"] = sorted(measured.findings, key=lambda finding: (finding.level, finding.file))
    values["rankings"] = [ranking for ranking in rankings if not ranking.lone]
    return html_of("measurement.html", **values)


def points(shown: Picture, scale: float, top: float, low: float) -> str:
    """Write a curve as points in mm: `scale` mm a second, its row 9.6 mm high from `top` on, `low` at its foot."""
    heights = (shown.values - low) / ((float(shown.values.max()) - low) or 1.0) * 9.1
    pairs = zip(26 + shown.seconds * scale, top + 9.6 - heights, strict=True)
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in pairs)
