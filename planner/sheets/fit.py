"""Which step of roominess each session is printed at, so that it stays on one page."""

from __future__ import annotations

import math

from planner.method import SheetSettings
from planner.sheets.client import Card, Page

MILLIMETRES_A_POINT = 25.4 / 72
PAGE_MILLIMETRES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}

# Measures of our own style sheet (sheets.css). Only the first guess rests on them: the renderer counts pages after.
LETTER_WIDTH = 0.44  # of the point size, mean over plain text in the shipped font
BOLD_WIDTH = 0.47
LINE_HEIGHT = 1.22  # of the point size
NAME_SHARE = 0.75  # part of the width that a name has beside sets and load
HEAD_MILLIMETRES = 18.0
WARNING_POINTS = 9.5
SCREENING_MILLIMETRES = 11.5  # with the box around it
WARNING_BOX_MILLIMETRES = 4.1  # rule, padding and margin of the box alone
WARMUP_POINTS = 9.0
WARMUP_LETTERS = 140  # of the warm-up line, before the rules of the room
BLOCK_MILLIMETRES = 2.2  # rule and padding of a block
PAIR_MILLIMETRES = 4.5
NOTES_MILLIMETRES = 6.0
SLACK_MILLIMETRES = 2.0  # a guess that fails costs a second laying out


def guess(page: Page, paper: str, settings: SheetSettings) -> int:
    """Guess the roomiest step (0 is roomiest) at which a session should fit its page."""
    width, height = (side - 2 * settings.margin_millimetres for side in PAGE_MILLIMETRES[paper])
    for step in range(len(settings.text_points)):
        cards = sum(_card_height(card, step, width, settings) for card in page.cards)
        around = _around(page, step, width, settings) + _warnings(page, width)
        if around + cards + settings.stop_millimetres[step] <= height:
            return step
    return len(settings.text_points) - 1


def tighter(levels: dict[str, int], too_long: list[str], settings: SheetSettings) -> dict[str, int] | None:
    """Move the sessions that ran over one step tighter; None when they are at the tightest already."""
    last = len(settings.text_points) - 1
    moved = {key: min(last, step + (key in too_long)) for key, step in levels.items()}
    return moved if moved != levels else None


def _warnings(page: Page, width: float) -> float:
    """Height of the box of warnings: the first page always has one, because it asks about readiness."""
    lines = sum(_lines(len(text), WARNING_POINTS, width, BOLD_WIDTH) for text in page.warnings)
    first = SCREENING_MILLIMETRES * (page.place == 1)
    return first + _height(lines, WARNING_POINTS) + WARNING_BOX_MILLIMETRES * (lines > 0 and not first)


def _around(page: Page, step: int, width: float, settings: SheetSettings) -> float:
    """Height of everything but the cards and the stop box."""
    letters = WARMUP_LETTERS + sum(len(rule) + 1 for rule in page.rules[: settings.rules_most[step]])
    warmup = _height(_lines(letters, WARMUP_POINTS, width), WARMUP_POINTS)
    blocks = len(page.blocks) * BLOCK_MILLIMETRES + (len(page.cards) - len(page.blocks)) * PAIR_MILLIMETRES
    return (
        HEAD_MILLIMETRES
        + SLACK_MILLIMETRES
        + warmup
        + blocks
        + NOTES_MILLIMETRES * (step < settings.tight_from)
    )


def _card_height(card: Card, step: int, width: float, settings: SheetSettings) -> float:
    text = settings.text_points[step]
    name = _lines(len(card.name) + 4, settings.name_points, width * NAME_SHARE, BOLD_WIDTH)
    told = [card.needs, card.find, *card.cues]
    marked = [card.note, f"Take care: {card.care}" if card.care else ""]
    marked += [f"Station taken? {card.taken}, {card.taken_dosage} {card.taken_note}"] if card.taken else []
    if step >= settings.run_in_from:
        told, marked = [" ".join([*told, *marked])], []
    elif step >= settings.tight_from:
        told = [" ".join(told)]
    beside = width * settings.tell_per_cent[step] / 100 - 2
    lines = sum(_lines(len(words), text, beside) for words in [*told, *marked] if words)
    boxes = len(card.box_rows) * (3 * settings.box_millimetres[step] + 1)
    return _height(name, settings.name_points) + _height(1, text) + max(_height(lines, text), boxes)


def _lines(letters: int, points: float, width: float, letter_width: float = LETTER_WIDTH) -> int:
    return max(1, math.ceil(letters * points * letter_width * MILLIMETRES_A_POINT / width))


def _height(lines: int, points: float) -> float:
    return lines * points * LINE_HEIGHT * MILLIMETRES_A_POINT
