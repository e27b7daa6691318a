"""The overview of a block: which weeks are lighter, what changes, what rises above a ceiling, its proof, one page."""

from __future__ import annotations

import datetime
import re
from typing import Any

import pypdfium2  # type: ignore[import-untyped]
import pytest
import sample_week as sample

from planner.document import BlockMark, WeekDocument, week_name
from planner.errors import PaperNotMade
from planner.sheets.block import above_ceiling, changes, is_lighter
from planner.sheets.paper import block_html, render_block


def block(*reps_left: int, sets: tuple[int, ...] = (), **changes: Any) -> list[WeekDocument]:
    """Write one week for each number of repetitions left; 4 left is a lighter week."""
    made = []
    for number, rir in enumerate(reps_left, start=1):
        count = sets[number - 1] if sets else 3
        mark = BlockMark(first="2026-W49", number=number, of=len(reps_left), lighter=rir == 4, ramp_share=0.0)
        lines = (
            sample.planned(sample.PRESS, 1, rir=rir, sets=count),
            sample.planned(sample.RAISE, 2, rir=rir),
        )
        monday = str(datetime.date(2026, 11, 30) + datetime.timedelta(weeks=number - 1))
        made.append(
            sample.sample_week(
                week=week_name(datetime.date.fromisoformat(monday)),
                week_start=monday,
                sessions=(sample.session("Mon", lines),),
                block=mark,
                **changes,
            )
        )
    return made


def overview(library: Any, weeks: list[WeekDocument]) -> str:
    return block_html([sample.sample_desk(library, week) for week in weeks])


def pages_of(pdf: bytes) -> int:
    return len(pypdfium2.PdfDocument(pdf))


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html.split("</style>")[1]).split())


def test_lighter_weeks_and_reserve_stand_week_by_week(library):
    html = overview(library, block(3, 2, 1, 4))
    assert [is_lighter(week) for week in block(3, 2, 1, 4)] == [False, False, False, True]
    rows = re.findall(
        r'<tr( class="lighter")?><th scope="row">(\d)</th>.*?</td>.*?</td><td class="left">(\w+)</td><td>(\d)</td>',
        html,
    )
    assert rows == [
        ("", "1", "hard", "3"),
        ("", "2", "hard", "2"),
        ("", "3", "hard", "1"),
        (' class="lighter"', "4", "lighter", "4"),
    ]


def test_other_sets_than_before_are_framed_and_told(library):
    weeks = block(3, 2, 4, 2, sets=(3, 4, 2, 4))
    assert [number for number, _ in changes(weeks, library)] == [2]
    text = text_of(overview(library, weeks))
    assert "Week 2: Monday, Seated dumbbell overhead press to full depth: 3 → 4 sets." in text
    assert overview(library, weeks).count("differs") == overview(library, block(2, 2)).count("differs") + 1


def test_nothing_but_the_reserve_changes(library):
    assert "Nothing but the reserve" in text_of(overview(library, block(3, 2)))


def test_more_than_the_ceiling_is_said(library):
    weeks = block(3, 2)
    names = {"side": "Side delt"}
    assert list(above_ceiling(weeks, names)) == []
    dose = weeks[1].dose[1].model_copy(update={"planned": 23.4, "elsewhere": 0.0, "ceiling": 20.0})
    weeks[1] = weeks[1].model_copy(update={"dose": (weeks[1].dose[0], dose, weeks[1].dose[2])})
    assert list(above_ceiling(weeks, names)) == ["Side delt: up to 3.4 sets above the ceiling in week 2"]
    text = text_of(overview(library, weeks))
    assert "Side delt: up to 3.4 sets above the ceiling in week 2." in text
    assert "raise the ceiling" in text


def test_what_a_better_plan_could_gain_stands_week_by_week(library):
    assert text_of(overview(library, block(3, 2))).count("0.03 / 0.3 ") == 2
    assert "0.03 / 0.3, stopped" in text_of(overview(library, block(3, 2, status="stopped")))


def test_twelve_weeks_are_one_page_of_overview_and_no_colour(library):
    weeks = block(3, 2, 2, 2, 1, 4, 3, 2, 2, 2, 1, 4)
    style = overview(library, weeks).split("</style>")[0]
    colours = re.findall(r"#([0-9a-fA-F]{3,6})\b", style)
    assert all(len(set(re.findall(".." if len(one) == 6 else ".", one))) == 1 for one in colours)
    try:
        made = render_block([sample.sample_desk(library, week) for week in weeks])
    except PaperNotMade as fault:
        pytest.skip(f"no PDF renderer here: {fault}")
    assert pages_of(made[0].pdf) == 1 + sum(pages_of(sheets.pdf) for sheets in made[1:])
