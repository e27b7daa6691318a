"""The papers of a week and of a block: sheets for the gym floor, the coach's pages, the block's overview."""

import math
from collections.abc import Sequence
from typing import Any

from planner.document import with_weeks_away
from planner.method import SheetSettings
from planner.sheets import client, say, table
from planner.sheets.client import Card, Page, split
from planner.sheets.page import PAGE_MILLIMETRES, Desk, week_page
from planner.sheets.render import Laid, fonts_put_away, html_to_pdf, lay_out, write_pdf
from planner.sheets.say import _, read_words, speaking


def sheets_html(desk: Desk) -> str:
    """Write the client's sheets as one HTML text, style included, without any need for the PDF renderer."""
    with speaking(desk.brief.athlete.language):
        pages = client.pages(desk)
        return _sheets(desk, pages, {page.key: guess(page, desk) for page in pages})


def coach_html(desk: Desk, told_in: str = "") -> str:
    """Write the coach's pages as one HTML text, style included; `told_in`: the week whose pages give their evidence too."""
    return week_page("coach", desk, "Coach's pages", told_in=told_in, **table.page_values(desk))


def render_sheets(desk: Desk) -> bytes:
    """Make sheets.pdf: a page a session, as roomy as fits, two for a long one. Raises PaperNotMade with the HTML."""
    with fonts_put_away():
        return write_pdf([lay_out_sheets(desk)])


def lay_out_sheets(desk: Desk) -> Laid:
    """Lay out the client's sheets, to be written alone or with other weeks. Raises PaperNotMade with the HTML."""
    with speaking(desk.brief.athlete.language):
        pages = client.pages(desk)
        levels = {page.key: guess(page, desk) for page in pages}

        def refine(pages_taken: list[int]) -> str | None:
            sections = [page.key for page in pages for _ in laid_out(page, levels[page.key], desk.settings)]
            long = {key for key, taken in zip(sections, pages_taken, strict=False) if taken > 1}
            closer = {key: levels[key] + 1 for key in long if levels[key] < tightest(desk.settings)}
            levels.update(closer)
            return _sheets(desk, pages, levels) if closer else None

        return lay_out(_sheets(desk, pages, levels), refine)


def render_coach(desk: Desk, told_in: str = "") -> bytes:
    """Make coach.pdf; `told_in` as for `coach_html`. Raises PaperNotMade with the HTML."""
    return html_to_pdf(coach_html(desk, told_in))


def block_html(desks: Sequence[Desk]) -> str:
    """Write the wall page of a block, one desk a week, as one HTML text, without any need for the PDF renderer."""
    first, weeks = desks[0], [desk.document for desk in desks]
    landscape = len(with_weeks_away(weeks)) > first.settings.block_upright_weeks
    values = table.block_values(weeks, first.library)
    return week_page("block", first, f"Block of {len(weeks)} weeks", landscape=landscape, **values)


def render_block(desks: Sequence[Desk], sheets: int) -> list[bytes]:
    """Make block.pdf (the wall page, then the sheets of the first weeks, so many), then sheets.pdf of each of these weeks."""
    with fonts_put_away():
        overview = lay_out(block_html(desks))
        laid = [lay_out_sheets(desk) for desk in desks[:sheets]]
        return [write_pdf(papers) for papers in ([overview, *laid], *([paper] for paper in laid))]


def _sheets(desk: Desk, pages: list[client.Page], levels: dict[str, int]) -> str:
    parts = [part for page in pages for part in laid_out(page, levels[page.key], desk.settings)]
    values: dict[str, Any] = {"warnings": client.warnings(desk, [], first=True), "pages": parts}
    values |= {"already": client.already_done(desk), "careful": say.listed(client.careful_names(desk))}
    return week_page("sheets", desk, _("Training sheets"), **values)


# Measures of our own style sheet (sheets.css). Only the first guess rests on them: the renderer counts pages after.
MILLIMETRES_A_POINT = 25.4 / 72
MOST_PAGES = 3  # of one session: two exercises each, the most there are
LETTER_WIDTH, LINE_HEIGHT = 0.46, 1.2  # of the point size: mean over plain text in the shipped font
FIXED_MILLIMETRES = 43.0  # head, room for notes, rules and padding of boxes, and some to spare
BLOCK_MILLIMETRES, PAIR_MILLIMETRES = 2.2, 5.0  # rule and padding of a block, and what a pair needs besides
SET_MILLIMETRES = 4.6  # the line of set numbers above the boxes
PICTURE_MILLIMETRES = (32.0, 20.0)  # width and height, margins included
NAME_SHARE = 0.72  # part of the width that a name has beside sets and load


def tightest(settings: SheetSettings) -> int:
    """Give the last level."""
    return MOST_PAGES * len(settings.text_points) - 1


def laid_out(page: Page, level: int, settings: SheetSettings) -> list[tuple[Page, int]]:
    """Give the pages that a session takes at a level, each with its step."""
    parts, step = divmod(level, len(settings.text_points))
    return [(part, step) for part in split(page, parts + 1)]


def guess(page: Page, desk: Desk) -> int:
    """Guess the roomiest level at which a session should fit."""
    paper, settings = desk.brief.preferences.paper, desk.settings
    for level in range(tightest(settings)):
        if all(_fits(part, step, paper, settings) for part, step in laid_out(page, level, settings)):
            return level
    return tightest(settings)


def _fits(page: Page, step: int, paper: str, settings: SheetSettings) -> bool:
    width, height = (side - 2 * settings.margin_millimetres for side in PAGE_MILLIMETRES[paper])
    line, stop = read_words().line, read_words().stop
    first = [*page.warnings, *([line["screening"]] if page.place == 1 else [])] if page.part == 1 else []
    signs = [title + "; ".join(signs) for title, signs in stop]
    last = [line["pain_title"] + line["pain"], *signs, line["defer"]]
    warmup = " ".join([page.warmup, line["careful"], *page.rules[: settings.rules_most[step]]])
    used = FIXED_MILLIMETRES + _high(warmup, settings.text_points[step], width)
    used += sum(_high(said, settings.safe_points, width) for said in (*first, *page.also, *last))
    used += sum(BLOCK_MILLIMETRES + PAIR_MILLIMETRES * (len(block) > 1) for block in page.blocks)
    return used + sum(_card(card, step, width, settings) for card in page.cards) <= height


def _card(card: Card, step: int, width: float, settings: SheetSettings) -> float:
    text, beside = settings.text_points[step], width * settings.tell_per_cent[step] / 100 - 2
    taken = "; or ".join(" ".join(part[:2]) for part in card.taken)
    said = [" ☐ ".join(card.warmup), card.note, card.needs, card.find, *card.cues, card.care, taken]
    said = said if step < settings.tight_from else [" ".join(said)]
    words = sum(_high(one, text, beside) for one in said if one)
    across, high = PICTURE_MILLIMETRES
    words = max(high, words + across * high / beside) if card.picture else words
    boxes = len(card.box_rows) * (SET_MILLIMETRES + 3 * settings.box_millimetres[step] + 1)
    name = _high(f"{card.badge}  {card.name}", settings.name_points, width * NAME_SHARE)
    return name + _high(card.effort, text, width) + max(words, boxes)


def _high(said: str, points: float, width: float) -> float:
    lines = max(1, math.ceil(len(said) * points * LETTER_WIDTH * MILLIMETRES_A_POINT / width))
    return lines * points * LINE_HEIGHT * MILLIMETRES_A_POINT
