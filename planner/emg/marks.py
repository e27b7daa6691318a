"""Repetitions from event marks: EDF+ annotations, C3D events, or a marker channel (1 lift, 2 hold, 3 lower)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from planner.emg.recording import Channel, Mark, Recording, Span
from planner.emg.repetitions import Repetition
from planner.emg.session import MarkWords

PHASES = ("lift", "hold", "lower")


def marks_of(recording: Recording, words: MarkWords) -> list[tuple[str, Mark]]:
    """Return the marks that say something of a repetition, with their kind; zero durations are filled."""
    marks = list(recording.marks)
    if words.channel is not None:
        marks = _from_channel(recording.channel(words.channel), words)
    marks.sort(key=lambda mark: mark.onset)
    ends = [mark.onset for mark in marks[1:]] + [recording.seconds] * bool(marks)
    filled = [
        mark if mark.duration else replace(mark, duration=end - mark.onset)
        for mark, end in zip(marks, ends, strict=True)
    ]
    kinds = [(kind_of(mark.text, words), mark) for mark in filled]
    return [(kind, mark) for kind, mark in kinds if kind]


def kind_of(text: str, words: MarkWords) -> str:
    """Return lift, hold, lower or repetition by the words that a mark's text begins with, or an empty text."""
    said = text.strip().casefold()
    for kind in (*PHASES, "repetition"):
        if any(said.startswith(word.casefold()) for word in getattr(words, kind)):
            return kind
    return ""


def _from_channel(channel: Channel, words: MarkWords) -> list[Mark]:
    import numpy as np

    codes = np.rint(channel.values).astype(int)
    edges = [0, *(np.flatnonzero(np.diff(codes)) + 1).tolist(), len(codes)]
    names = {1: words.lift[0], 2: words.hold[0], 3: words.lower[0]}
    return [
        Mark(start / channel.rate_hz, (stop - start) / channel.rate_hz, names[int(codes[start])])
        for start, stop in pairwise(edges)
        if int(codes[start]) in names
    ]


def from_marks(marks: list[tuple[str, Mark]], words: MarkWords, seconds: float) -> list[Repetition]:
    """Join marks to repetitions: each holds at most one lift, hold and lower; phase marks win over bare ones."""
    if any(kind in PHASES for kind, _ in marks):
        groups: list[dict[str, Mark]] = []
        for kind, mark in marks:
            if kind not in PHASES:
                continue
            if not groups or kind in groups[-1] or {"lift", "lower"} <= groups[-1].keys():
                groups.append({})
            groups[-1][kind] = mark
        return [_of_phases(group, words, seconds) for group in groups]
    return [
        Repetition(m.onset, min(m.onset + m.duration, seconds), "marks", cut_off=_said_cut(m, words))
        for _, m in marks
    ]


def _of_phases(group: dict[str, Mark], words: MarkWords, seconds: float) -> Repetition:
    spans = {kind: _span(mark, seconds) for kind, mark in group.items()}
    start = min(span[0] for span in spans.values())
    stop = max(span[1] for span in spans.values())
    cut = next((said for mark in group.values() if (said := _said_cut(mark, words))), "")
    if not cut and not {"lift", "lower"} <= group.keys():
        cut = "at the start" if "lift" not in group and start < seconds / 2 else "at the end"
    lift, lower = spans.get("lift"), spans.get("lower")
    hold = spans.get("hold")
    if hold is None and lift and lower:
        hold = (lift[1], max(lift[1], lower[0]))
    return Repetition(start, stop, "marks", lift=lift, hold=hold, lower=lower, cut_off=cut)


def _span(mark: Mark, seconds: float) -> Span:
    return mark.onset, min(mark.onset + mark.duration, seconds)


def _said_cut(mark: Mark, words: MarkWords) -> str:
    return "at the end" if any(word in mark.text.casefold() for word in words.cut_off) else ""
