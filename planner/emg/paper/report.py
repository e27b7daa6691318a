"""measurement.pdf: rankings, watched share, figures, envelopes with phases, quality, reference, method."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.emg.compare import Ranking, not_ranked
from planner.emg.figures import SetFigures
from planner.emg.paper.bars import ranking_bars, share_bars
from planner.emg.paper.courses import trial_drawing
from planner.emg.paper.page import html_of
from planner.emg.reference import UNIT_WORDS
from planner.emg.results import MeasuredSession, TrialResult
from planner.emg.table import (
    NOTHING,
    error_words,
    figure,
    head_name,
    left_out_words,
    published_words,
    ranking_title,
)
from planner.emg.words import changed_settings, method_sentence, used_settings

SHOWN_BY = ("total", "peak")


def report_html(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole report as HTML."""
    card = measured.read.session.session
    return html_of(
        "measurement.html",
        title=f"Measurement: {card.athlete}, {card.date.isoformat()}",
        facts=_facts(measured),
        notices=_notices(measured),
        published=published_words(measured),
        rankings=_rankings(measured, rankings),
        lone=not_ranked(rankings),
        shares=_shares(measured),
        window=f"{measured.read.settings.window_seconds:g}",
        figures=[row for trial in measured.trials for row in _figures(measured, trial)],
        trials=[_trial(measured, trial) for trial in measured.trials],
        findings=_findings(measured),
        references=_references(measured),
        warnings=measured.warnings,
        method=method_sentence(measured),
        changed=changed_settings(measured),
        settings=used_settings(measured),
    )


def _facts(measured: MeasuredSession) -> str:
    read = measured.read
    sensors = ", ".join(f"{head_name(measured, s.muscle)} {s.side}" for s in read.session.sensor)
    facts = [
        f"Session {read.id}",
        f"{len(measured.trials)} of {len(read.session.trial)} sets measured",
        sensors,
    ]
    return " · ".join([*facts, read.session.session.notes] if read.session.session.notes else facts)


def _notices(measured: MeasuredSession) -> list[str]:
    notices = [f"Not measured or stated wrongly: {fault}" for fault in measured.faults]
    notices += [
        f"{trial.label} ({trial.trial.file}), {head_name(measured, channel.sensor.muscle)} {channel.sensor.side} "
        f"is not used: {channel.untrusted}"
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
    groups: dict[tuple[tuple[str, ...], str], list[Ranking]] = {}
    for ranking in rankings:
        if ranking.metric in SHOWN_BY and not ranking.lone:
            groups.setdefault((ranking.heads, ranking.side), []).append(ranking)
    return [
        {
            "title": " + ".join(head_name(measured, head) for head in heads) + f", {side}",
            "shown": [
                {
                    "title": ranking_title(measured, ranking),
                    "unit": f"in {UNIT_WORDS[ranking.unit]}{'·s' if ranking.metric == 'total' else ''}, "
                    f"first {ranking.k} repetitions",
                    "error": error_words(ranking),
                    "drawing": ranking_bars(ranking, ranking_title(measured, ranking)),
                    "left_out": ranking.left_out,
                }
                for ranking in shown
            ],
        }
        for (heads, side), shown in groups.items()
    ]


def _shares(measured: MeasuredSession) -> list[dict[str, str]]:
    """Return a drawing of each watched head's share, per side."""
    drawn = []
    for head in measured.watched:
        for side in ("left", "right"):
            rows = [
                (trial.label, share)
                for trial in measured.trials
                if (share := trial.watched_share(head, side, set(measured.trained))) is not None
            ]
            if rows:
                name = f"{head_name(measured, head)}, {side}"
                words = (
                    f"Part of the {head_name(measured, head)} in the summed mean activation of it and the recorded "
                    "heads that are trained. Lower: more of the effort goes where it is wanted. No limit is known."
                )
                drawn.append({"title": f"Share of {name}", "words": words, "drawing": share_bars(rows, name)})
    return drawn


def _figures(measured: MeasuredSession, trial: TrialResult) -> list[dict[str, Any]]:
    rows = []
    label = f"{trial.number}{'*' if trial.assumed else ''}  {trial.label}"
    for channel in trial.channels.values():
        rows.append(
            {
                "set": label,
                "head": f"{head_name(measured, channel.sensor.muscle)} {channel.sensor.side}",
                "untrusted": channel.untrusted,
                "cells": _cells(channel.figures),
                "unit": UNIT_WORDS[channel.unit],
            }
        )
        label = ""
    return rows


def _cells(figures: SetFigures) -> list[str]:
    drift, slope = figures.drift, figures.frequency_slope
    spread = figures.sd_of("mean")
    middle = figure(figures.mean_of("mean"), 1)
    return [
        f"{middle} ± {spread:.1f}" if spread is not None else middle,
        figure(figures.mean_of("peak"), 0),
        *(figure(figures.mean_of(part), 0) for part in ("total", "lift", "hold", "lower")),
        figure(figures.mean_of("eccentric_share"), 2),
        NOTHING if drift is None else f"{drift[1]:+.1f}",
        figure(figures.mean_of("median_frequency"), 0),
        NOTHING if slope is None else f"{slope[0]:+.1f}",
        str(len(figures.counted)),
    ]


def _trial(measured: MeasuredSession, trial: TrialResult) -> dict[str, Any]:
    source = trial.repetitions[0].source if trial.repetitions else ""
    assumed = ", phases assumed from the stated tempo" if trial.assumed else ""
    title = f"{trial.number}  {trial.label} ({trial.trial.file}; repetitions from the {source}{assumed})"
    means = [
        f"{head_name(measured, channel.sensor.muscle)} {channel.sensor.side[0].upper()}: "
        + " ".join(f"{r.mean:.0f}{'×' if r.left_out else ''}" for r in channel.figures.repetitions)
        for channel in trial.channels.values()
    ]
    return {
        "title": title,
        "conditions": trial.conditions,
        "left_out": left_out_words(measured, trial),
        "drawing": trial_drawing(measured, trial),
        "means": " · ".join(means),
    }


def _findings(measured: MeasuredSession) -> list[dict[str, str]]:
    return [
        {
            "level": {"warn": "look", "fail": "failed"}[finding.level],
            "where": f"{finding.file}, {finding.channel}",
            "second": NOTHING if finding.second is None else f"{finding.second:.1f}",
            "words": f"{finding.check}: {finding.words}",
            "remedy": finding.remedy,
        }
        for finding in sorted(measured.findings, key=lambda finding: (finding.level, finding.file))
    ]


def _references(measured: MeasuredSession) -> list[list[str]]:
    unit = {"percent_MVIC": "%MVIC", "percent_session_max": "% of session's highest"}
    return [
        [
            reference.sensor + (f", placement {reference.placement}" if reference.placement > 1 else ""),
            f"{reference.level:.4g}",
            unit[reference.unit],
            reference.file,
            NOTHING if reference.second_best is None else f"{reference.second_best:.4g}",
            str(len(reference.trials)),
        ]
        for reference in measured.references.values()
    ]
