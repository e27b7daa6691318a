"""The measured session in words and as JSON: what the templates of terminal, paper and method sentence are filled with."""

import sys
from collections.abc import Sequence
from dataclasses import asdict
from functools import cache
from typing import Any

from library.method import OWN
from planner.athlete.evidence import OwnEvidence
from planner.emg.evidence import Added
from planner.emg.figures import ChannelResult, MeasuredSession, TrialResult
from planner.emg.ranking import Entry, Ranking, not_ranked
from planner.emg.references import UNIT_WORDS
from planner.emg.session import Sensor
from planner.emg.signals import high_corner

VERSION = 1
METRICS = ("mean", "peak", "total")
NOTHING = "–"


def filled(template: str, **values: Any) -> str:
    """Fill one of this package's templates; in HTML text is escaped, in other templates not."""
    return _environment().get_template(template).render(**values)


@cache
def _environment() -> Any:
    import jinja2

    how: dict[str, Any] = {"undefined": jinja2.StrictUndefined, "trim_blocks": True}
    how |= {"autoescape": jinja2.select_autoescape(), "loader": jinja2.PackageLoader("planner.emg")}
    return jinja2.Environment(**how)


def session_text(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole text for the terminal: no line of it is longer than a wide one."""
    ranked, lone = [ranking for ranking in rankings if not ranking.lone], not_ranked(rankings)
    values = {"lone": lone, "words": sys.modules[__name__], "unit_words": UNIT_WORDS}
    text = filled("session.txt", measured=measured, rankings=ranked, **values)
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
    return " ".join(filled("method.txt", **values).split())


def document_of(
    measured: MeasuredSession, rankings: Sequence[Ranking], rows: list[OwnEvidence], added: Added | None
) -> dict[str, Any]:
    """Return everything that was measured, ready for JSON; what moved only where rows were added to an athlete."""
    card, settings = measured.read.session.session, measured.read.used_settings()
    document: dict[str, Any] = {
        "version": VERSION, "session": measured.read.id, "athlete": card.athlete, "date": card.date.isoformat(),
        "method": method_sentence(measured), "settings": {row.name: row.value for row in settings},
        "references": [asdict(reference) for reference in measured.references.values()],
        "trials": [_trial(trial) for trial in measured.trials],
        "rankings": [_ranking(ranking) for ranking in rankings],
        "rows": [row.model_dump(mode="json") for row in rows],
        "findings": [asdict(finding) for finding in measured.findings],
        "faults": [{**asdict(fault), "file": str(fault.file)} for fault in measured.faults],
        "warnings": list(measured.warnings),
    }  # fmt: skip
    return document | ({"moved": [{**asdict(m), "change": m.change} for m in added.moves]} if added else {})


def _trial(trial: TrialResult) -> dict[str, Any]:
    left_out = {"start", "stop", "repetitions", "side", "split", "motion", "motion_file", "lift"}
    stated = trial.trial.model_dump(mode="json", exclude=left_out)
    about = {"number": trial.number, "name": trial.name, **stated, "phases_assumed": trial.assumed}
    repetitions = [asdict(repetition) for repetition in trial.repetitions]
    channels = [_channel(channel) for channel in trial.channels.values()]
    return {**about, "repetitions": repetitions, "channels": channels}


def _channel(channel: ChannelResult) -> dict[str, Any]:
    about: dict[str, Any] = {"head": channel.sensor.muscle, "side": channel.sensor.side, "unit": channel.unit}
    means = {metric: channel.mean_of(metric) for metric in (*METRICS, "eccentric_share")}
    spreads = {f"{metric}_sd": channel.sd_of(metric) for metric in METRICS}
    repetitions = [asdict(repetition) for repetition in channel.repetitions]
    return {**about, "untrusted": channel.untrusted, **means, **spreads, "repetitions": repetitions}


def _ranking(ranking: Ranking) -> dict[str, Any]:
    shown = asdict(ranking)
    about = {"by": "mean", "first_repetitions": shown.pop("k"), "mdc95": ranking.error.change()}
    about |= shown.pop("error")
    for entry, of_entry in zip(shown["entries"], ranking.entries, strict=True):
        close = [other.label for other in ranking.close_to(of_entry)]
        entry |= {"rank": ranking.rank(of_entry), "value": of_entry.mean, "sd": of_entry.sd}
        entry |= {"too_close_to_call_with": close}
    return shown | about
