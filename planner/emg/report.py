"""What a measured session shows: exercises ranked by mean activation, what a difference is worth, and all of it in words,
drawings (SVG in millimetres, in greys that survive a copier) and on paper.

Ranked inside one session, placement and side, over the same number of repetitions, at their loads; trials more than
`rir_apart` RIR apart are ranked apart. Too close to call is what differs by less than the smallest detectable change:

    change = t(d0 + d; p) · SEM · sqrt(1/n + 1/m),    SEM² = (d0·s0² + d·s²) / (d0 + d)
             t(d; p) · s · sqrt(1/n + 1/m)            if that is smaller, from two repeated sets on

n, m sets averaged; s spread of repeated sets with d degrees of freedom; s0 = 12 %MVIC with d0 = 4 (Smyth 2004's
moderated variance). The first is true over sessions that differ as published, the second in any session: of equal
pairs each calls `false_different` (3.5 %) different, both together 3.5 to 7 %. With one margin alone p is 97.5 %.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.resources import files
from itertools import product
from math import exp, log, sqrt
from pathlib import Path
from statistics import fmean, mean, variance
from typing import Any

import numpy as np
from scipy.special import stdtrit

from library.method import OWN
from planner.emg import session, signals
from planner.emg.figures import UNIT_WORDS, MeasuredSession, Picture, RepetitionFigures, TrialResult, Unit
from planner.method import QualitySettings
from planner.sheets.page import fill

TEMPLATES = Path(__file__).parent / "templates"
Figures = tuple[RepetitionFigures, ...]
BOTH_SIDES_95 = 0.975


@dataclass(frozen=True)
class Repeatability:
    """Two-way analysis of a table of targets (rows) by repeats (columns): Shrout & Fleiss 1979, Weir 2005."""

    icc_2_1: float | None  # a systematic shift (fatigue, say) counts as error
    icc_3_1: float | None  # it does not
    sem: float  # square root of the mean squared error, in the table's unit


def repeatability(table: Sequence[Sequence[float]]) -> Repeatability | None:
    """Return the analysis of a full table; None below two rows or two columns."""
    values = np.asarray(table, dtype=float)
    if values.ndim < 2 or min(values.shape) < 2:
        return None
    n, k = values.shape
    rows, columns = values.mean(axis=1, keepdims=True), values.mean(axis=0, keepdims=True)
    residual = values - rows - columns + values.mean()
    msr, msc = k * float(rows.var(ddof=1)), n * float(columns.var(ddof=1))
    mse = float(np.square(residual).sum()) / ((n - 1) * (k - 1))
    below = msr + (k - 1) * mse, msr + (k - 1) * mse + k * (msc - mse) / n
    icc_3_1, icc_2_1 = ((msr - mse) / value if value else None for value in below)
    return Repeatability(icc_2_1, icc_3_1, sqrt(mse))


@dataclass(frozen=True)
class MeasurementError:
    """Error of one set's value. `spread` and `degrees` come from repeated sets alone, `sem` and `freedom` of both.
    With `of_logarithm` errors grow with the level: spread and sem are of the value's logarithm."""

    spread: float | None
    degrees: int
    sem: float
    freedom: int
    of_logarithm: bool = False

    @property
    def used(self) -> tuple[float, float]:
        """Return the error of one set and its multiple for a change, of the margin that is smaller (module)."""
        margins, level = [(self.sem, self.freedom)], BOTH_SIDES_95
        if self.spread is not None and self.degrees > 1:
            margins, level = [*margins, (self.spread, self.degrees)], 1 - OWN.false_different / 2
        multiples = [(error, float(stdtrit(freedom, level))) for error, freedom in margins]
        return min(multiples, key=lambda margin: margin[0] * margin[1])

    def change(self, sets: int = 1, other_sets: int = 1) -> float:
        """Smallest detectable change between two means of so many sets."""
        error, multiple = self.used
        return multiple * error * sqrt(1 / sets + 1 / other_sets)

    def too_close(self, one: float, other: float, sets: tuple[int, int]) -> bool:
        """Tell whether two means differ by less than the smallest detectable change."""
        if self.of_logarithm and min(one, other) > 0:
            one, other = log(one), log(other)
        return abs(one - other) < self.change(*sets)


def measurement_error(repeats: Iterable[Sequence[float]], log_evidence: float = 2.0) -> MeasurementError:
    """Return the error of one set from repeated ones (a sequence an exercise) and the usual error. A systematic shift
    from an early to a late set counts as error, as it does between sets that are compared. Errors are taken on the
    log scale where that makes the repeats more likely by `log_evidence` (natural logarithm)."""
    groups = [group for group in repeats if len(group) > 1]
    degrees, known = sum(len(group) - 1 for group in groups), OWN.repeat_error_degrees
    usual: float = OWN.repeat_error
    squares, grows = sum((len(group) - 1) * variance(group) for group in groups), False
    if degrees >= known and squares > 0 and min(map(min, groups)) > 0:
        logs = [[log(value) for value in group] for group in groups]
        log_squares = sum((len(group) - 1) * variance(group) for group in logs)
        count, jacobian = sum(map(len, groups)), sum(map(sum, logs))
        grows = count / 2 * log(squares / log_squares) - jacobian > log_evidence
        if grows:
            squares, usual = log_squares, usual / exp(jacobian / count)
    sem = sqrt((known * usual**2 + squares) / (known + degrees))
    spread = sqrt(squares / degrees) if degrees else None
    return MeasurementError(spread, degrees, sem, known + degrees, grows)


@dataclass(frozen=True)
class Entry:
    """One exercise at one load: `values` holds per trial the mean activation of each of the first k repetitions."""

    exercise: str
    label: str
    trials: tuple[int, ...]
    values: tuple[tuple[float, ...], ...]
    total: float = 0.0
    peak: float = 0.0

    @property
    def mean(self) -> float:
        """Mean over sets and repetitions."""
        return fmean(map(fmean, self.values))

    @property
    def sd(self) -> float | None:
        """SD over repetitions inside sets, pooled over sets."""
        spreads = [variance(of_trial) for of_trial in self.values if len(of_trial) > 1]
        return float(mean(spreads) ** 0.5) if spreads else None


@dataclass(frozen=True)
class Ranking:
    """Exercises from highest to lowest mean activation. Values and errors are in `unit`, totals in it times s."""

    head: str
    side: str
    placement: int
    unit: Unit
    rir: tuple[float, float] | None  # None: not stated
    k: int
    entries: tuple[Entry, ...]
    error: MeasurementError
    by_repetitions: Repeatability | None = None  # rows trials, columns repetitions
    left_out: tuple[str, ...] = ()

    @property
    def trials(self) -> set[int]:
        """The numbers of all its trials."""
        return {number for entry in self.entries for number in entry.trials}

    def rank(self, entry: Entry) -> int:
        """Return 1 + the number of exercises that are higher by more than error."""
        close = self.close_to(entry)
        return 1 + sum(other.mean > entry.mean and other not in close for other in self.entries)

    def close_to(self, entry: Entry) -> list[Entry]:
        """Return the exercises that are too close to call against this one."""
        sets, others = len(entry.values), (other for other in self.entries if other is not entry)
        return [o for o in others if self.error.too_close(entry.mean, o.mean, (sets, len(o.values)))]


def rankings(measured: MeasuredSession) -> list[Ranking]:
    """Return every ranking of a session, in the order of the library's heads."""
    sensors = measured.read.session.sensor
    recorded = {sensor.muscle for sensor in sensors}
    every = [head for head in measured.read.library.heads if head in recorded]
    sides = dict.fromkeys(sensor.side for sensor in sensors)
    placements = sorted({trial.trial.placement for trial in measured.trials})
    ranked = []
    for head, side, placement in product(every, sides, placements):
        name = f"{head} {side}"
        here = [t for t in measured.trials if t.trial.placement == placement and name in t.channels]
        windows = rir_windows(here, measured.read.settings.rir_apart)
        ranked += [_ranking(measured, head, side, trials) for trials in windows]
    return [ranking for ranking in ranked if ranking is not None]


def rir_windows(trials: Sequence[TrialResult], apart: float) -> list[list[TrialResult]]:
    """Return the largest groups of trials whose RIR differ by at most `apart`; those without RIR on their own."""
    groups: list[list[TrialResult]] = []
    for low in sorted({t.trial.rir for t in trials if t.trial.rir is not None}):
        group = [t for t in trials if t.trial.rir is not None and low <= t.trial.rir <= low + apart]
        if not any({t.number for t in group} <= {t.number for t in kept} for kept in groups):
            groups.append(group)
    unstated = [t for t in trials if t.trial.rir is None]
    return [*groups, unstated] if unstated else groups


def _ranking(measured: MeasuredSession, head: str, side: str, trials: list[TrialResult]) -> Ranking | None:
    settings, name = measured.read.settings, f"{head} {side}"
    left_out, kept = [], []
    for trial in trials:
        channel = trial.channels[name]
        few = len(channel.counted) < settings.fewest_repetitions
        if why := channel.untrusted or (few and f"only {len(channel.counted)} repetitions count"):
            left_out.append(f"{trial.label} ({trial.trial.file}): {why}")
        else:
            kept.append((trial, channel))
    if not kept:
        return None
    k = min(len(channel.counted) for _, channel in kept)
    groups: dict[object, list[tuple[TrialResult, Figures]]] = {}
    for trial, channel in kept:  # of one exercise at one load
        key = (trial.trial.exercise, trial.trial.load, trial.trial.load_unit)
        groups.setdefault(key, []).append((trial, channel.counted[:k]))
    entries = []
    for group in groups.values():
        first, every = group[0][0], [one for _, figures in group for one in figures]
        values = tuple(tuple(one.mean for one in figures) for _, figures in group)
        totals = fmean(one.total for one in every), fmean(one.peak for one in every)
        numbers = tuple(trial.number for trial, _ in group)
        entries.append(Entry(first.trial.exercise, first.label, numbers, values, *totals))
    entries.sort(key=lambda entry: -entry.mean)
    error = measurement_error([[*map(fmean, entry.values)] for entry in entries], settings.log_evidence)
    by_repetitions = repeatability([values for entry in entries for values in entry.values])
    rirs = [t.trial.rir for t, _ in kept if t.trial.rir is not None]
    rir, (first, channel) = (min(rirs), max(rirs)) if rirs else None, kept[0]
    of_all = (head, side, first.trial.placement, channel.unit, rir, k, tuple(entries))
    return Ranking(*of_all, error, by_repetitions, tuple(left_out))


# --- in words and on paper
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
    for ranking in (ranking for ranking in rankings if len(ranking.entries) < 2):
        rir = "RIR not stated" if ranking.rir is None else f"RIR {ranking.rir[0]:g}"
        about = f"{ranking.entries[0].label} ({rir}, placement {ranking.placement})"
        lone.append(f"{about}: no other set to compare it with")
    heads, window = measured.read.library.heads, f"{measured.read.settings.window_seconds:g}"
    values = {"measured": measured, "lone": [*dict.fromkeys(lone)], "heads": heads, "window": window}
    ranked = [one for one in rankings if len(one.entries) > 1]
    return values | {"rankings": ranked, "unit_words": UNIT_WORDS, "own": OWN}


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
