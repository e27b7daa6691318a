"""Bars with errors: a ranking drawn so that a grey copy says the same."""

from __future__ import annotations

from planner.emg.compare import Ranking
from planner.emg.paper.svg import BLACK, LIGHT, MIDDLE, box, line, picture, text
from planner.emg.table import close_words

WIDTH, NAME_WIDTH, VALUE_WIDTH = 180.0, 62.0, 52.0
ROW, BAR, TOP = 5.6, 3.4, 1.0


def ranking_bars(ranking: Ranking, title: str) -> str:
    """Return one ranking as bars, longest first; whiskers are ± SEM; close ones are named at the end of their bar."""
    rows = len(ranking.entries)
    height = TOP + rows * ROW + 1
    room = WIDTH - NAME_WIDTH - VALUE_WIDTH
    error = ranking.sem or 0.0
    most = max((entry.mean for entry in ranking.entries), default=1.0) + error
    scale = room / most if most > 0 else 1.0
    parts = [line(NAME_WIDTH, TOP, NAME_WIDTH, TOP + rows * ROW, stroke=BLACK)]
    for place, entry in enumerate(ranking.entries, 1):
        y = TOP + (place - 1) * ROW + (ROW - BAR) / 2
        middle = y + BAR / 2
        tip = NAME_WIDTH + entry.mean * scale
        fill = LIGHT if ranking.close_to(entry) else MIDDLE
        parts.append(text(NAME_WIDTH - 1, middle + 0.9, f"{place}  {entry.label}", size=2.6, anchor="end"))
        parts.append(box(NAME_WIDTH, y, entry.mean * scale, BAR, fill=fill, stroke=BLACK))
        parts += _whisker(tip - error * scale, tip + error * scale, middle)
        said = f"{entry.mean:.1f}   {close_words(ranking, entry)}".rstrip()
        parts.append(text(tip + error * scale + 1.2, middle + 0.9, said, size=2.5))
    return picture(WIDTH, height, parts, title)


def _whisker(left: float, right: float, y: float) -> list[str]:
    return [
        line(max(NAME_WIDTH, left), y, right, y, width=0.3),
        line(right, y - 0.8, right, y + 0.8, width=0.3),
        line(max(NAME_WIDTH, left), y - 0.8, max(NAME_WIDTH, left), y + 0.8, width=0.3),
    ]


def share_bars(rows: list[tuple[str, float]], title: str) -> str:
    """Return shares (fractions of one) as bars on a scale to 100 %."""
    room = WIDTH - NAME_WIDTH - VALUE_WIDTH
    parts = []
    for place, (label, share) in enumerate(rows):
        y = TOP + place * ROW + (ROW - BAR) / 2
        parts.append(text(NAME_WIDTH - 1, y + BAR / 2 + 0.9, label, anchor="end"))
        parts.append(box(NAME_WIDTH, y, room, BAR, stroke=LIGHT))
        parts.append(box(NAME_WIDTH, y, share * room, BAR, fill=MIDDLE, stroke=BLACK))
        parts.append(text(NAME_WIDTH + room + 1.2, y + BAR / 2 + 0.9, f"{100 * share:.0f} %"))
    return picture(WIDTH, TOP + len(rows) * ROW + 1, parts, title)
