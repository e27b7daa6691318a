"""One set drawn over time: the arm's course on top, each head's envelope below, phases as grey bands."""

from __future__ import annotations

from planner.emg.paper.svg import (
    BLACK,
    DARK,
    LIGHT,
    PALE,
    USUAL,
    box,
    curve,
    line,
    number,
    picture,
    text,
)
from planner.emg.recording import Span
from planner.emg.reference import UNIT_WORDS
from planner.emg.repetitions import Repetition
from planner.emg.results import ChannelResult, MeasuredSession, Picture, TrialResult
from planner.emg.table import head_name

WIDTH, LEFT, RIGHT = 180.0, 26.0, 2.0
ROW, GAP, MARKS, AXIS = 9.6, 1.2, 4.0, 4.6


def trial_drawing(measured: MeasuredSession, trial: TrialResult) -> str:
    """Return one trial's drawing: lifting pale, hold white, lowering darker; what does not count is crossed out."""
    rows = list(trial.channels.values())
    count = len(rows) + (trial.course is not None)
    height = MARKS + count * (ROW + GAP) + AXIS
    scale = (WIDTH - LEFT - RIGHT) / max(trial.seconds, 1e-9)
    bottom = MARKS + count * (ROW + GAP)
    parts = [part for repetition in trial.repetitions for part in _bands(repetition, scale, bottom)]
    for place, repetition in enumerate(trial.repetitions, 1):
        said = str(place) if repetition.whole else f"{place} cut off"
        middle = LEFT + (repetition.start + repetition.stop) / 2 * scale
        parts.append(text(middle, 2.8, said, size=2.4, anchor="middle"))
    y = MARKS
    if trial.course is not None:
        parts += _row("arm", trial.course_unit, trial.course, y, scale, None)
        y += ROW + GAP
    for channel in rows:
        name = f"{head_name(measured, channel.sensor.muscle)} {channel.sensor.side[0].upper()}"
        parts += _row(name, UNIT_WORDS[channel.unit], channel.picture, y, scale, 0.0)
        parts += _crosses(channel, y, scale)
        if channel.untrusted:
            parts.append(text(LEFT - 1.2, y + 9.4, "not used", size=2.2, anchor="end", bold=True))
        y += ROW + GAP
    return picture(
        WIDTH, height, [*parts, *_axis(trial.seconds, scale, bottom)], f"{trial.label}: course and envelopes"
    )


def _bands(repetition: Repetition, scale: float, bottom: float) -> list[str]:
    """Draw one repetition's phases through all rows; without phases only its ends."""
    ends = [
        line(LEFT + second * scale, MARKS - 0.5, LEFT + second * scale, bottom, stroke=DARK, dashed=True)
        for second in (repetition.start, repetition.stop)
    ]
    bands = [
        _band(span, scale, bottom, fill)
        for span, fill in ((repetition.lift, PALE), (repetition.lower, LIGHT))
        if span is not None
    ]
    return bands + ends


def _band(span: Span, scale: float, bottom: float, fill: str) -> str:
    return box(LEFT + span[0] * scale, MARKS, (span[1] - span[0]) * scale, bottom - MARKS, fill=fill)


def _row(name: str, unit: str, shown: Picture, y: float, scale: float, lowest: float | None) -> list[str]:
    """Draw one curve with its range; `lowest` is where its scale begins (None: at its own lowest)."""
    low = float(shown.values.min()) if lowest is None else lowest
    high = float(shown.values.max())
    spread = (high - low) or 1.0
    xs = [LEFT + second * scale for second in shown.seconds.tolist()]
    ys = [y + ROW - (value - low) / spread * (ROW - 0.5) for value in shown.values.tolist()]
    return [
        line(LEFT, y + ROW, WIDTH - RIGHT, y + ROW, stroke=DARK),
        text(LEFT - 1.2, y + 4.4, name, size=2.5, anchor="end", bold=True),
        text(LEFT - 1.2, y + 7.4, f"{low:.0f}-{high:.0f} {unit}", size=2.0, anchor="end"),
        curve(xs, ys, width=USUAL),
    ]


def _crosses(channel: ChannelResult, y: float, scale: float) -> list[str]:
    """Cross out the repetitions of one channel that do not count, and name why."""
    parts = []
    for repetition in channel.figures.repetitions:
        if not repetition.left_out:
            continue
        left, right = LEFT + repetition.start * scale, LEFT + repetition.stop * scale
        parts += [line(left, y, right, y + ROW, width=0.4), line(left, y + ROW, right, y, width=0.4)]
    return parts


def _axis(seconds: float, scale: float, bottom: float) -> list[str]:
    """Draw seconds below the last row, a mark about every tenth of the width."""
    step = next(step for step in (1, 2, 5, 10, 20, 60, 300, 1800, 86_400) if seconds / step <= 16)
    marks = range(0, int(seconds) + 1, step)
    parts = [line(LEFT + m * scale, bottom, LEFT + m * scale, bottom + 0.8, stroke=BLACK) for m in marks]
    parts += [text(LEFT + m * scale, bottom + 3.4, number(m), size=2.2, anchor="middle") for m in marks]
    return [*parts, text(LEFT - 1.2, bottom + 3.4, "seconds", size=2.2, anchor="end")]
