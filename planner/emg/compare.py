"""Ranking exercises: inside one session, placement and side, over the same number of repetitions, at their loads.

Per head, or summed over a stated combination of heads; by total, peak or mean activation. Trials more than
`rir_apart` RIR apart are ranked apart; exercises closer than the smallest detectable change are too close to call.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from statistics import mean, stdev

from planner.emg.reference import Unit
from planner.emg.results import ChannelResult, MeasuredSession, TrialResult
from planner.emg.trust import MDC_FACTOR, Repeatability, repeatability

Heads = tuple[str, ...]
RANKED_BY = ("total", "peak", "mean")


@dataclass(frozen=True)
class Entry:
    """One exercise at one load: `values` holds per trial the figure of each of the first k repetitions."""

    exercise: str
    label: str
    trials: tuple[int, ...]
    values: tuple[tuple[float, ...], ...]

    @property
    def mean(self) -> float:
        """Mean over trials and repetitions."""
        return mean(mean(of_trial) for of_trial in self.values)

    @property
    def sd(self) -> float | None:
        """SD over repetitions inside trials, pooled over trials."""
        spreads = [stdev(of_trial) ** 2 for of_trial in self.values if len(of_trial) > 1]
        return float(mean(spreads) ** 0.5) if spreads else None


@dataclass(frozen=True)
class Ranking:
    """Exercises from highest to lowest in one figure. Values, SEM and MDC95 are in `unit`, totals in it times s."""

    heads: Heads
    side: str
    placement: int
    metric: str
    unit: Unit
    rir: tuple[float, float] | None  # None: not stated
    k: int
    entries: tuple[Entry, ...]
    by_repetitions: Repeatability | None  # rows trials, columns repetitions
    by_trials: Repeatability | None  # rows exercises recorded more than once, columns recordings
    left_out: tuple[str, ...] = field(default=())

    @property
    def sem(self) -> float | None:
        """The larger of the two errors of measurement: a small one from few repeats must not decide a ranking."""
        known = [found.sem for found in (self.by_repetitions, self.by_trials) if found]
        return max(known, default=None)

    @property
    def mdc95(self) -> float | None:
        """Smallest detectable change of a difference of two exercises."""
        return None if self.sem is None else MDC_FACTOR * self.sem

    def too_close(self, one: Entry, other: Entry) -> bool:
        """Tell whether two exercises differ by less than the smallest detectable change."""
        return self.mdc95 is None or abs(one.mean - other.mean) < self.mdc95

    def rank(self, entry: Entry) -> int:
        """Return 1 + the number of exercises that are higher by more than error."""
        return 1 + sum(other.mean > entry.mean and not self.too_close(entry, other) for other in self.entries)

    @property
    def lone(self) -> bool:
        """Tell whether there is nothing to rank: one exercise at one load."""
        return len(self.entries) < 2

    def close_to(self, entry: Entry) -> list[Entry]:
        """Return the exercises that are too close to call against this one."""
        return [other for other in self.entries if other is not entry and self.too_close(entry, other)]


def rankings(
    measured: MeasuredSession, combinations: Sequence[Heads] = (), metrics: Sequence[str] = RANKED_BY
) -> list[Ranking]:
    """Return every ranking of a session: each head of the library that was recorded, then the combinations."""
    sides = list(dict.fromkeys(sensor.side for sensor in measured.read.session.sensor))
    placements = sorted({trial.trial.placement for trial in measured.trials})
    found = []
    for heads in [*((head,) for head in _recorded(measured)), *combinations]:
        for side in sides:
            for placement in placements:
                here = [t for t in measured.trials if t.trial.placement == placement and _has(t, heads, side)]
                for window in rir_windows(here, measured.read.settings.rir_apart):
                    found += [_ranking(measured, heads, side, window, metric) for metric in metrics]
    return [ranking for ranking in found if ranking is not None]


def _recorded(measured: MeasuredSession) -> list[str]:
    recorded = {sensor.muscle for sensor in measured.read.session.sensor}
    return [head for head in measured.read.known.heads if head in recorded]


def _has(trial: TrialResult, heads: Heads, side: str) -> bool:
    return all(f"{head} {side}" in trial.channels for head in heads)


def rir_windows(trials: Iterable[TrialResult], apart: float) -> list[list[TrialResult]]:
    """Return the largest groups of trials whose RIR differ by at most `apart`; those without RIR on their own."""
    trials = list(trials)
    stated = sorted({t.trial.rir for t in trials if t.trial.rir is not None})
    groups: list[list[TrialResult]] = []
    for low in stated:
        group = [t for t in trials if t.trial.rir is not None and low <= t.trial.rir <= low + apart]
        if not any({t.number for t in group} <= {t.number for t in kept} for kept in groups):
            groups.append(group)
    unstated = [t for t in trials if t.trial.rir is None]
    return [*groups, unstated] if unstated else groups


def _ranking(
    measured: MeasuredSession, heads: Heads, side: str, trials: list[TrialResult], metric: str
) -> Ranking | None:
    names = [f"{head} {side}" for head in heads]
    units = {trial.channels[name].unit for trial in trials for name in names}
    left_out = []
    kept: list[tuple[TrialResult, list[float]]] = []
    for trial in trials:
        values, why = _values([trial.channels[name] for name in names], metric)
        if len(heads) > 1 and units != {"percent_MVIC"}:
            why = "heads can be summed only in % of a reference contraction"
        elif not why and len(values) < measured.read.settings.fewest_repetitions:
            why = f"only {len(values)} repetitions count"
        if why:
            left_out.append(f"{trial.label} ({trial.trial.file}): {why}")
        else:
            kept.append((trial, values))
    if not kept:
        return None
    k = min(len(values) for _, values in kept)
    cut = [(trial, tuple(values[:k])) for trial, values in kept]
    entries = _entries(cut)
    rirs = [t.trial.rir for t, _ in cut if t.trial.rir is not None]
    return Ranking(
        heads=heads,
        side=side,
        placement=cut[0][0].trial.placement,
        metric=metric,
        unit=next(iter(units)),
        rir=(min(rirs), max(rirs)) if rirs else None,
        k=k,
        entries=tuple(sorted(entries, key=lambda entry: -entry.mean)),
        by_repetitions=repeatability([list(values) for _, values in cut]),
        by_trials=_repeated(entries),
        left_out=tuple(left_out),
    )


def _values(channels: list[ChannelResult], metric: str) -> tuple[list[float], str]:
    """Return a figure summed over channels, per repetition that counts in all of them, or why there is none."""
    for channel in channels:
        if channel.untrusted:
            return [], channel.untrusted
    counted = [{r.number: getattr(r, metric) for r in channel.figures.counted} for channel in channels]
    numbers = [number for number in counted[0] if all(number in of_channel for of_channel in counted)]
    return [sum(of_channel[number] for of_channel in counted) for number in numbers], ""


def _entries(trials: list[tuple[TrialResult, tuple[float, ...]]]) -> list[Entry]:
    """Join the trials of one exercise at one load."""
    groups: dict[tuple[str, float | None, str], list[tuple[TrialResult, tuple[float, ...]]]] = {}
    for trial, values in trials:
        key = (trial.trial.exercise, trial.trial.load, trial.trial.load_unit)
        groups.setdefault(key, []).append((trial, values))
    return [
        Entry(
            exercise=key[0],
            label=group[0][0].label,
            trials=tuple(trial.number for trial, _ in group),
            values=tuple(values for _, values in group),
        )
        for key, group in groups.items()
    ]


def _repeated(entries: list[Entry]) -> Repeatability | None:
    """Analyse exercises recorded more than once: means of their trials, the first as many as all of them have."""
    several = [[mean(values) for values in entry.values] for entry in entries if len(entry.values) > 1]
    if len(several) < 2:
        return None
    columns = min(len(row) for row in several)
    return repeatability([row[:columns] for row in several])


def not_ranked(rankings: Iterable[Ranking]) -> list[str]:
    """Name the sets that stand alone in their group, and the RIR that keeps them there."""
    lone = [ranking for ranking in rankings if ranking.lone]
    words = [
        f"{ranking.entries[0].label} ({'RIR not stated' if ranking.rir is None else f'RIR {ranking.rir[0]:g}'}, "
        f"placement {ranking.placement}): no other set to compare it with"
        for ranking in lone
    ]
    return list(dict.fromkeys(words))
