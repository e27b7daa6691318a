"""The measured session in words, drawings and on paper: what the templates of terminal, measurement.pdf and placement
sheet are filled with. Drawings are SVG in millimetres, in greys that survive a copier."""

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from library.method import OWN
from planner.emg import session, signals
from planner.emg.figures import UNIT_WORDS, MeasuredSession, Picture
from planner.emg.ranking import Ranking
from planner.method import QualitySettings
from planner.sheets.page import fill

TEMPLATES = Path(__file__).parent / "templates"


def session_text(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole text for the terminal: no line of it is longer than a wide one."""
    text = fill("session.txt", TEMPLATES, **_values(measured, rankings))
    return "\n".join(line.rstrip() for line in text.splitlines())


def report_html(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole report as HTML."""
    card, values = measured.read.session.session, _values(measured, rankings)
    findings = sorted(measured.findings, key=lambda finding: (finding.level, finding.file))
    title = f"Measurement: {card.athlete}, {card.date.isoformat()}"
    values |= {"points": points, "method": method_sentence(measured), "findings": findings}
    return html_of("measurement.html", title=title, read=measured.read, **values)


def _values(measured: MeasuredSession, rankings: Sequence[Ranking]) -> dict[str, Any]:
    """Give what both are filled with; `lone`: sets that stand alone in their group, and the RIR that keeps them there."""
    lone = []
    for ranking in (ranking for ranking in rankings if ranking.lone):
        rir = "RIR not stated" if ranking.rir is None else f"RIR {ranking.rir[0]:g}"
        about = f"{ranking.entries[0].label} ({rir}, placement {ranking.placement})"
        lone.append(f"{about}: no other set to compare it with")
    heads, window = measured.read.library.heads, f"{measured.read.settings.window_seconds:g}"
    values = {
        "measured": measured,
        "lone": [*dict.fromkeys(lone)],
        "heads": heads,
        "window": window,
        "own": OWN,
    }
    return values | {"rankings": [one for one in rankings if not one.lone], "unit_words": UNIT_WORDS}


def method_sentence(measured: MeasuredSession) -> str:
    """Return how this session was measured, in words that a methods section could hold, from the settings used."""
    settings = measured.read.settings
    rates = measured.rates_hz or (settings.low_rate_hz,)
    corners = list(dict.fromkeys(f"{signals.high_corner(rate, settings):g}" for rate in rates))
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


def placement_html() -> str:
    """Return the placement sheet as HTML, two pages: sites, skin, the maximal tests and their cautions."""
    known = session.tables()
    values = {"title": "Sensor placement and maximal tests", "sites": known["site"], "views": known["view"]}
    values |= {"rest": f"{QualitySettings().heart_rest_seconds:g}", "common": known["common"]}
    tests = [session.read_tests()[key] for key in known["wanted"]]
    short = [known["wanted"].index(key) + 1 for key in known["short_form"]]
    return html_of("placement.html", tests=tests, short=short, **values)


def points(shown: Picture, scale: float, top: float, low: float) -> str:
    """Write a curve as points in mm: `scale` mm a second, its row 9.6 mm high from `top` on, `low` at its foot."""
    heights = (shown.values - low) / ((float(shown.values.max()) - low) or 1.0) * 9.1
    pairs = zip(26 + shown.seconds * scale, top + 9.6 - heights, strict=True)
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in pairs)
