"""How roomy each session is printed: the roomiest step at which it stays on one page, else on two, else on three.

A level counts the steps of roominess (0 is roomiest) on one page, then the same steps on two pages, then on three.
"""

from __future__ import annotations

import math

from planner.method import SheetSettings
from planner.sheets.client import Card, Page, split
from planner.sheets.page import PAGE_MILLIMETRES
from planner.sheets.say import read_words

MILLIMETRES_A_POINT = 25.4 / 72
MOST_PAGES = 3  # of one session: two exercises each, the most there are

# Measures of our own style sheet (sheets.css). Only the first guess rests on them: the renderer counts pages after.
LETTER_WIDTH = 0.44  # of the point size, mean over plain text in the shipped font
BOLD_WIDTH = 0.47
LINE_HEIGHT = 1.2  # of the point size
NAME_SHARE = 0.72  # part of the width that a name has beside sets and load
HEAD_MILLIMETRES = 16.0
BOX_MILLIMETRES = 4.1  # rule, padding and margin of a box of warnings
WARMUP_LETTERS = 70  # of what follows the warm-up line, before the rules of the room
BLOCK_MILLIMETRES = 2.2  # rule and padding of a block
PAIR_MILLIMETRES = 5.0
PICTURE_MILLIMETRES = (32.0, 20.0)  # width and height, margins included
SET_MILLIMETRES = 4.6  # the line of set numbers above the boxes
NOTES_MILLIMETRES = 15.0
STOP_MILLIMETRES = 3.5  # rules and padding of the stop box
EMERGENCY_SHARE = 0.65  # part of its width that its last line has beside the emergency number
SLACK_MILLIMETRES = 1.0  # a guess that fails costs a second laying out


def tightest(settings: SheetSettings) -> int:
    """Give the last level."""
    return MOST_PAGES * len(settings.text_points) - 1


def laid_out(page: Page, level: int, settings: SheetSettings) -> list[tuple[Page, int]]:
    """Give the pages that a session takes at a level, each with its step."""
    parts, step = divmod(level, len(settings.text_points))
    return [(part, step) for part in split(page, parts + 1)]


def guess(page: Page, paper: str, settings: SheetSettings) -> int:
    """Guess the roomiest level at which a session should fit."""
    last = tightest(settings)
    for level in range(last):
        if all(_fits(part, step, paper, settings) for part, step in laid_out(page, level, settings)):
            return level
    return last


def tighter(levels: dict[str, int], too_long: list[str], settings: SheetSettings) -> dict[str, int] | None:
    """Move the sessions that ran over one level tighter; None when they are at the tightest already."""
    last = tightest(settings)
    moved = {key: min(last, level + (key in too_long)) for key, level in levels.items()}
    return moved if moved != levels else None


def _fits(page: Page, step: int, paper: str, settings: SheetSettings) -> bool:
    width, height = (side - 2 * settings.margin_millimetres for side in PAGE_MILLIMETRES[paper])
    text = settings.text_points[step]
    letters = (
        WARMUP_LETTERS
        + len(page.warmup)
        + sum(len(rule) + 1 for rule in page.rules[: settings.rules_most[step]])
    )
    pairs = sum(len(block) > 1 for block in page.blocks)
    used = (
        HEAD_MILLIMETRES
        + _warnings(page, width, settings)
        + _height(_lines(letters, text, width), text)
        + len(page.blocks) * BLOCK_MILLIMETRES
        + pairs * PAIR_MILLIMETRES
        + sum(_card(card, step, width, settings) for card in page.cards)
        + NOTES_MILLIMETRES
        + _height(len(page.also), settings.safe_points)
        + _stop(width, settings)
        + SLACK_MILLIMETRES
    )
    return used <= height


def _warnings(page: Page, width: float, settings: SheetSettings) -> float:
    """Height of the box of warnings: the first page always has one, because it asks about readiness."""
    if page.part > 1:
        return 0.0
    said = [len(text) for text in page.warnings]
    said += [len(read_words().line["screening"])] * (page.place == 1)
    lines = sum(_lines(letters, settings.safe_points, width, BOLD_WIDTH) for letters in said)
    return _height(lines, settings.safe_points) + BOX_MILLIMETRES * bool(said)


def _stop(width: float, settings: SheetSettings) -> float:
    """Height of the box that says when to stop, at the foot of every page."""
    words = read_words()
    said = [
        words.line["pain_title"] + words.line["pain"],
        *(title + "; ".join(of) for title, of in words.stop),
    ]
    lines = sum(_lines(len(text), settings.safe_points, width) for text in said)
    lines += _lines(len(words.line["defer"]), settings.safe_points, width * EMERGENCY_SHARE, BOLD_WIDTH)
    return _height(lines, settings.safe_points) + STOP_MILLIMETRES


def _card(card: Card, step: int, width: float, settings: SheetSettings) -> float:
    text = settings.text_points[step]
    name = _lines(len(card.name) + 4, settings.name_points, width * NAME_SHARE, BOLD_WIDTH)
    warmup = "Warm-up sets: " + " ☐ ".join(card.warmup) if card.warmup else ""
    told = [card.note, card.needs, card.find, *card.cues]
    marked = [f"Take care: {card.care}" if card.care else ""]
    if card.taken:
        marked.append("Taken? " + "; or ".join(" ".join(part[:2]) for part in card.taken))
    if step >= settings.run_in_from:
        told, marked = [" ".join([*told, *marked])], []
    elif step >= settings.tight_from:
        told, marked = [" ".join(told)], [" ".join(marked)]
    beside = width * settings.tell_per_cent[step] / 100 - 2
    lines = sum(_lines(len(said), text, beside) for said in [warmup, *told, *marked] if said)
    words, (across, high) = _height(lines, text), PICTURE_MILLIMETRES
    words = max(high, words + across * high / beside) if card.picture else words
    boxes = len(card.box_rows) * (SET_MILLIMETRES + 3 * settings.box_millimetres[step] + 1)
    return _height(name, settings.name_points) + _height(1, text) + max(words, boxes)


def _lines(letters: int, points: float, width: float, letter_width: float = LETTER_WIDTH) -> int:
    return max(1, math.ceil(letters * points * letter_width * MILLIMETRES_A_POINT / width))


def _height(lines: int, points: float) -> float:
    return lines * points * LINE_HEIGHT * MILLIMETRES_A_POINT
