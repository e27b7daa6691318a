"""The rows that a measured session adds to an athlete's evidence, with their errors (DESIGN §3.1)."""

from __future__ import annotations

from statistics import mean

from planner.athlete.evidence import OwnEvidence
from planner.emg.compare import Entry, Ranking, rankings
from planner.emg.figures import SetFigures
from planner.emg.results import MeasuredSession, TrialResult

DECIMALS = 4


def rows_of(measured: MeasuredSession) -> tuple[list[OwnEvidence], list[str]]:
    """Return one row per exercise, load, head and side, and what was left out and why.

    Rows of one session are compared with each other, so only trials within `rir_apart` of each other are kept:
    the largest such group of each placement.
    """
    rows: list[OwnEvidence] = []
    left_out: list[str] = []
    chosen: dict[tuple[tuple[str, ...], str, int], Ranking] = {}
    for ranking in rankings(measured, metrics=("mean",)):
        key = (ranking.heads, ranking.side, ranking.placement)
        if key not in chosen or _trials(ranking) > _trials(chosen[key]):
            chosen[key] = ranking
    for ranking in chosen.values():
        left_out += ranking.left_out
        rows += [_row(measured, ranking, entry) for entry in ranking.entries if entry.mean > 0]
    kept = {number for ranking in chosen.values() for entry in ranking.entries for number in entry.trials}
    left_out += [
        f"{trial.label} ({trial.trial.file}): more than {measured.read.settings.rir_apart:g} RIR from the others"
        for trial in measured.trials
        if trial.number not in kept and any(not c.untrusted for c in trial.channels.values())
        and trial.most_counted >= measured.read.settings.fewest_repetitions
    ]  # fmt: skip
    return rows, list(dict.fromkeys(left_out))


def _trials(ranking: Ranking) -> int:
    return sum(len(entry.trials) for entry in ranking.entries)


def _row(measured: MeasuredSession, ranking: Ranking, entry: Entry) -> OwnEvidence:
    by_number = {trial.number: trial for trial in measured.trials}
    trials = [by_number[number] for number in entry.trials]
    name = f"{ranking.heads[0]} {ranking.side}"
    sets = [trial.channels[name].figures for trial in trials]
    first = trials[0].trial
    card = measured.read.session.session
    return OwnEvidence(
        session=measured.read.id if ranking.placement == 1 else f"{measured.read.id} p{ranking.placement}",
        date=card.date,
        exercise=entry.exercise,
        head=ranking.heads[0],
        side=measured.side_of(name),
        metric="mean activation",
        unit=ranking.unit,
        mean=round(entry.mean, DECIMALS),
        sd=_rounded(entry.sd),
        repetitions=sum(len(values) for values in entry.values),
        sem=_rounded(ranking.sem) if ranking.by_trials else None,
        load=first.load,
        load_unit=first.load_unit if first.load is not None else "",
        rir=_rounded(mean(rirs))
        if (rirs := [t.trial.rir for t in trials if t.trial.rir is not None])
        else None,
        eccentric_share=_mean(sets, "eccentric_share", ranking.k) if not _assumed(trials) else None,
        peak=_mean(sets, "peak", ranking.k),
        total=_mean(sets, "total", ranking.k),
        note="; ".join(dict.fromkeys(trial.trial.file for trial in trials)),
    )


def _assumed(trials: list[TrialResult]) -> bool:
    return any(trial.assumed for trial in trials)


def _mean(sets: list[SetFigures], metric: str, k: int) -> float | None:
    values = [value for figures in sets if (value := figures.mean_of(metric, k)) is not None]
    return _rounded(mean(values)) if values else None


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, DECIMALS)
