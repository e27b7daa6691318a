"""Any session on any paper in any language: nothing leaves its page, nothing lies over anything, nothing is small."""

import random

import pypdfium2
import pytest
import sample_week as weeks

from library.read import read_library
from planner.document import ExerciseWarning, PlannedExercise, Replacement
from planner.method import SheetSettings
from planner.sheets import client, say
from planner.sheets.paper import render_sheets

OVERLAP = 0.35  # of the lower one's height: letters of neighbouring lines may touch so much
ROUNDING = 0.5  # points


def seeded(seed):
    """A desk with one session of one to six exercises of the library, with what may stand on a sheet."""
    draw, library = random.Random(seed), read_library()
    usual = [exercise for exercise in library.exercises.values() if not exercise.compare_only]
    chosen, others = draw.sample(usual, draw.randint(1, 6)), draw.sample(usual, 2)
    planned = [_planned(draw, exercise, order, others) for order, exercise in enumerate(chosen, 1)]
    kind = draw.choice(["eased", "out", "rising"])
    pain = [ExerciseWarning(exercise=chosen[0].key, text="", kind=kind, pain=4, since="2026-11-16")]
    of_week = {"exercise_warnings": tuple(pain[: draw.randint(0, 1)])}
    week = weeks.sample_week(sessions=(weeks.session("Mon", tuple(planned)),), **of_week)
    regions = {key: draw.choice(["clear", "careful", "avoid"]) for key in library.regions}
    return weeks.sample_desk(
        library, week, draw.choice(["A4", "Letter"]), joints=regions, history={},
        athlete={"name": weeks.NAME, "language": draw.choice(["en", "de"])},
    )  # fmt: skip


def _planned(draw, exercise, order, others):
    known = draw.random() < 0.5 and exercise.load_is not in ("body", "band")
    return PlannedExercise(
        order=order, block="ABCDEF"[order - 1], exercise=exercise.key, name=exercise.name, sets=draw.randint(2, 5),
        reps=exercise.reps, tempo=exercise.tempo, rir=draw.randint(0, 4),
        rest_s=exercise.rest_seconds, work_s=40, setup_s=30, warmup_sets=exercise.warmup_sets, sides=exercise.sides,
        minutes=6.0, credits={}, load=122.5 if known else None, load_unit="kg", load_is=exercise.load_is,
        instead=tuple(Replacement(exercise=other.key, sets=4, reps=other.reps) for other in others),
    )  # fmt: skip


def boxes(page):
    """Left, bottom, right, top of each run of text, and the smallest letter, in points."""
    text = page.get_textpage()
    sizes = {pypdfium2.raw.FPDFText_GetFontSize(text.raw, number) for number in range(text.count_chars())}
    return [text.get_rect(at) for at in range(text.count_rects())], min(size for size in sizes if size > 1)


def over(one, other):
    """How far one box lies over another: the smaller's height taken as 1; 0 where they stand side by side."""
    (left, low, right, top), (left2, low2, right2, top2) = one, other
    wide, high = min(right, right2) - max(left, left2), min(top, top2) - max(low, low2)
    return high / min(top - low, top2 - low2) if wide > 1 and high > 0 else 0.0


@pytest.mark.parametrize(
    "seed", [*range(6), *(pytest.param(seed, marks=pytest.mark.soak) for seed in range(6, 30))]
)
def test_every_page_holds_all_its_text_apart_and_large_enough(seed):
    desk = seeded(seed)
    pdf = pypdfium2.PdfDocument(render_sheets(desk))
    edge = SheetSettings().margin_millimetres / 25.4 * 72 - ROUNDING
    words = " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf)
    with say.speaking(desk.brief.athlete.language):
        names = [card.name for page in client.pages(desk) for card in page.cards]
    assert len(pdf) <= 3 and all(name in words for name in names)
    for page in pdf:
        found, smallest = boxes(page)
        assert smallest >= SheetSettings().fine_points - ROUNDING
        for left, low, right, top in found:
            assert edge <= left and right <= page.get_width() - edge
            assert edge <= low and top <= page.get_height() - edge
        pairs = ((one, other) for at, one in enumerate(found) for other in found[:at])
        worst = max(((over(*pair), pair) for pair in pairs), default=(0,))
        assert worst[0] <= OVERLAP, worst
