"""The measured session as text for a terminal: activation table, rankings, what was found."""

from __future__ import annotations

from collections.abc import Sequence

from planner.emg.compare import Entry, Ranking, not_ranked
from planner.emg.figures import SetFigures
from planner.emg.reference import UNIT_WORDS
from planner.emg.results import ChannelResult, MeasuredSession, TrialResult

NOTHING = "–"


def session_text(measured: MeasuredSession, rankings: Sequence[Ranking]) -> str:
    """Return the whole text: no line of it is longer than a wide terminal."""
    card = measured.read.session.session
    blocks = [f"{card.athlete}, {card.date.isoformat()}, session {measured.read.id}"]
    blocks += [activation_table(measured)]
    blocks += [ranking_text(measured, r) for r in rankings if r.metric != "mean" and not r.lone]
    blocks += [f"Not ranked: {words}" for words in not_ranked(rankings)]
    if len(blocks) > 2:
        blocks.append(published_words(measured))
    return "\n\n".join(blocks)


def published_words(measured: MeasuredSession) -> str:
    """Say what published work found of such errors, and where a ranking holds."""
    settings = measured.read.settings
    return (
        "Exercises are ranked only inside this session and one placement of the sensors. Published within-day errors "
        f"are {settings.published_sem_low:g}-{settings.published_sem_high:g} %MVIC (doi 10.15619/NZJP/46.2.02). "
        "Activation is an aid to choosing exercises; it forecasts no growth."
    )


def activation_table(measured: MeasuredSession) -> str:
    """Return one line a trial and sensor: mean ± SD, peak, total, share, drift, frequency, trapezius."""
    if not measured.trials:
        return "Nothing could be measured."
    lines = [
        f"{'exercise':<44} {'head':<22} {'mean ± SD':>13} {'peak':>6} {'total':>7} {'ecc':>5} {'drift':>7} "
        f"{'Hz/rep':>7} {'n':>3}  unit"
    ]
    for trial in measured.trials:
        mark = "*" if trial.assumed else ""
        label = f"{trial.number} {trial.label}{mark}"
        for channel in trial.channels.values():
            lines.append(f"{label[:44]:<44} {_line(measured, channel)}")
            label = ""
        lines += [f"{'':<44} {words}" for words in left_out_words(measured, trial)]
        shares = _shares(measured, trial)
        if shares:
            lines.append(f"{'':<44} {shares}")
    if any(trial.assumed for trial in measured.trials):
        lines.append("* phases assumed from the stated tempo")
    lines.append(
        "peak: largest 0.5 s; total: unit times seconds; ecc: eccentric share; drift and Hz a repetition".replace(
            "0.5", f"{measured.read.settings.window_seconds:g}"
        )
    )
    return "\n".join(lines)


def _line(measured: MeasuredSession, channel: ChannelResult) -> str:
    name = f"{head_name(measured, channel.sensor.muscle)} {channel.sensor.side}"
    if channel.untrusted:
        return f"{name:<22} not used: {channel.untrusted}"
    figures = channel.figures
    drift, slope = figures.drift, figures.frequency_slope
    return (
        f"{name:<22} {_spread(figures):>13} {figure(figures.mean_of('peak'), 0):>6} "
        f"{figure(figures.mean_of('total'), 0):>7} {figure(figures.mean_of('eccentric_share'), 2):>5} "
        f"{_signed(drift and drift[1], '%'):>7} {_signed(slope and slope[0], ''):>7} {len(figures.counted):>3}  "
        f"{UNIT_WORDS[channel.unit]}"
    )


def left_out_words(measured: MeasuredSession, trial: TrialResult) -> list[str]:
    """Name the repetitions that do not count: once where it holds for all channels, else with the channel."""
    used = [channel for channel in trial.channels.values() if not channel.untrusted]
    reasons: dict[tuple[int, str], list[str]] = {}
    for channel in used:
        for repetition in channel.figures.repetitions:
            if repetition.left_out:
                name = f"{head_name(measured, channel.sensor.muscle)} {channel.sensor.side}"
                reasons.setdefault((repetition.number, repetition.left_out), []).append(name)
    return [
        f"repetition {number} does not count{'' if len(names) == len(used) else ' in ' + ', '.join(names)}: {why}"
        for (number, why), names in sorted(reasons.items())
    ]


def _spread(figures: SetFigures) -> str:
    middle, spread = figures.mean_of("mean"), figures.sd_of("mean")
    return f"{figure(middle, 1)} ± {figure(spread, 1)}" if spread is not None else figure(middle, 1)


def _shares(measured: MeasuredSession, trial: TrialResult) -> str:
    parts = []
    for head in measured.watched:
        for side in ("left", "right"):
            share = trial.watched_share(head, side, set(measured.trained))
            if share is not None:
                parts.append(
                    f"{head_name(measured, head)} {side}: {100 * share:.0f} % of the summed activation"
                )
    return "; ".join(parts)


def ranking_text(measured: MeasuredSession, ranking: Ranking) -> str:
    """Return one ranking: equal ranks are too close to call."""
    unit = UNIT_WORDS[ranking.unit] + ("·s" if ranking.metric == "total" else "")
    lines = [f"{ranking_title(measured, ranking)} ({unit}, first {ranking.k} repetitions)"]
    for place, entry in enumerate(ranking.entries, 1):
        lines.append(
            f"  {place:>2}. {entry.label:<46} {entry.mean:8.1f}  {close_words(ranking, entry)}".rstrip()
        )
    lines.append(f"  {error_words(ranking)}")
    lines += [f"  left out: {why}" for why in ranking.left_out]
    return "\n".join(lines)


def close_words(ranking: Ranking, entry: Entry) -> str:
    """Return "too close to call with 2, 3": the lines of the ranking that an exercise cannot be told from."""
    places = [str(ranking.entries.index(other) + 1) for other in ranking.close_to(entry)]
    return f"too close to call with {', '.join(places)}" if places else ""


def ranking_title(measured: MeasuredSession, ranking: Ranking) -> str:
    """Return what is ranked: heads, side, figure, and placement or RIR where there are several."""
    heads = " + ".join(head_name(measured, head) for head in ranking.heads)
    rir = ""
    if ranking.rir is None:
        rir = ", RIR not stated"
    elif ranking.rir[0] != ranking.rir[1]:
        rir = f", RIR {ranking.rir[0]:g}-{ranking.rir[1]:g}"
    placement = f", placement {ranking.placement}" if ranking.placement > 1 else ""
    summed = " (sum of the heads' figures)" if len(ranking.heads) > 1 else ""
    return f"{heads} {ranking.side} by {ranking.metric}{summed}{rir}{placement}"


def error_words(ranking: Ranking) -> str:
    """Say what differences mean: SEM, smallest detectable change and what they rest on."""
    if ranking.mdc95 is None or ranking.sem is None:
        return "one recording only: nothing tells its error, so nothing is ranked"
    basis = []
    for found, words in ((ranking.by_repetitions, "repetitions"), (ranking.by_trials, "repeated recordings")):
        if found is not None:
            freedom = found.degrees_of_freedom
            basis.append(
                f"{words}: ICC(2,1) {_icc(found.icc_2_1)}, ICC(3,1) {_icc(found.icc_3_1)}, df {freedom}"
            )
    return f"SEM {ranking.sem:.1f}, smallest detectable change {ranking.mdc95:.1f} ({'; '.join(basis)})"


def _icc(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.2f}"


def head_name(measured: MeasuredSession, muscle: str) -> str:
    """Return a head's printed name, or another muscle's key in words."""
    head = measured.read.known.heads.get(muscle)
    return head.name if head else muscle.replace("_", " ")


def figure(value: float | None, decimals: int) -> str:
    """Write a number with so many decimals, or the sign for nothing where there is none."""
    return NOTHING if value is None else f"{value:.{decimals}f}"


def _signed(value: float | None, unit: str) -> str:
    return NOTHING if value is None else f"{value:+.1f}{unit}"
