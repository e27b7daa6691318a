"""The JSON document of a measured session: version 1."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from planner.athlete.evidence import OwnEvidence
from planner.emg.compare import Entry, Ranking
from planner.emg.effect import CreditMove
from planner.emg.figures import METRICS, SetFigures
from planner.emg.results import MeasuredSession, TrialResult
from planner.emg.trust import Repeatability
from planner.emg.words import method_sentence, used_settings

VERSION = 1


def document_of(
    measured: MeasuredSession,
    rankings: Sequence[Ranking],
    rows: Sequence[OwnEvidence],
    moves: Sequence[CreditMove] | None = None,
) -> dict[str, Any]:
    """Return everything that was measured, ready for JSON; `moves` only where rows were added to an athlete."""
    card = measured.read.session.session
    document: dict[str, Any] = {
        "version": VERSION,
        "session": measured.read.id,
        "athlete": card.athlete,
        "date": card.date.isoformat(),
        "method": method_sentence(measured),
        "settings": {row.name: row.value for row in used_settings(measured)},
        "references": [asdict(reference) for reference in measured.references.values()],
        "trials": [_trial(measured, trial) for trial in measured.trials],
        "rankings": [_ranking(ranking) for ranking in rankings],
        "rows": [row.model_dump(mode="json") for row in rows],
        "findings": [asdict(finding) for finding in measured.findings],
        "faults": [{**asdict(fault), "file": str(fault.file)} for fault in measured.faults],
        "warnings": list(measured.warnings),
    }
    if moves is not None:
        document["moved"] = [
            {**asdict(move), "change": move.change, "beyond_error": move.beyond_error} for move in moves
        ]
    return document


def _trial(measured: MeasuredSession, trial: TrialResult) -> dict[str, Any]:
    return {
        "number": trial.number,
        "file": trial.trial.file,
        "exercise": trial.trial.exercise,
        "name": trial.name,
        "load": trial.trial.load,
        "load_unit": trial.trial.load_unit,
        "rir": trial.trial.rir,
        "tempo": trial.trial.tempo.model_dump() if trial.trial.tempo else None,
        "order": trial.trial.order,
        "notes": trial.trial.notes,
        "placement": trial.trial.placement,
        "phases_assumed": trial.assumed,
        "repetitions": [asdict(repetition) for repetition in trial.repetitions],
        "channels": [
            {
                "head": channel.sensor.muscle,
                "side": channel.sensor.side,
                "unit": channel.unit,
                "untrusted": channel.untrusted,
                **_figures(channel.figures),
            }
            for channel in trial.channels.values()
        ],
        "watched_share": [
            {"head": head, "side": side, "share": share}
            for head in measured.watched
            for side in ("left", "right")
            if (share := trial.watched_share(head, side, set(measured.trained))) is not None
        ],
    }


def _figures(figures: SetFigures) -> dict[str, Any]:
    drift, frequency = figures.drift, figures.frequency_slope
    return {
        **{metric: figures.mean_of(metric) for metric in METRICS},
        **{f"{metric}_sd": figures.sd_of(metric) for metric in METRICS},
        "eccentric_share": figures.mean_of("eccentric_share"),
        "drift_per_repetition": drift and drift[0],
        "drift_percent": drift and drift[1],
        "median_frequency_hz_per_repetition": frequency and frequency[0],
        "median_frequency_percent": frequency and frequency[1],
        "repetitions": [asdict(repetition) for repetition in figures.repetitions],
    }


def _ranking(ranking: Ranking) -> dict[str, Any]:
    return {
        "heads": ranking.heads,
        "side": ranking.side,
        "placement": ranking.placement,
        "by": ranking.metric,
        "unit": ranking.unit + ("·s" if ranking.metric == "total" else ""),
        "rir": ranking.rir,
        "first_repetitions": ranking.k,
        "sem": ranking.sem,
        "mdc95": ranking.mdc95,
        "repeatability": {
            "repetitions": _repeatability(ranking.by_repetitions),
            "trials": _repeatability(ranking.by_trials),
        },
        "entries": [_entry(ranking, entry) for entry in ranking.entries],
        "left_out": ranking.left_out,
    }


def _entry(ranking: Ranking, entry: Entry) -> dict[str, Any]:
    return {
        "rank": ranking.rank(entry),
        "exercise": entry.exercise,
        "label": entry.label,
        "trials": entry.trials,
        "value": entry.mean,
        "sd": entry.sd,
        "too_close_to_call_with": [other.label for other in ranking.close_to(entry)],
    }


def _repeatability(found: Repeatability | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "rows": found.rows,
        "columns": found.columns,
        "degrees_of_freedom": found.degrees_of_freedom,
        "icc_2_1": found.icc_2_1,
        "icc_3_1": found.icc_3_1,
        "sem": found.sem,
        "mdc95": found.mdc95,
    }
