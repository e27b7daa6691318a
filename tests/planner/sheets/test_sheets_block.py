"""The wall page of a block: weeks across, exercises down, sets, loads, lighter weeks, holidays; one page of grey."""

import datetime
import re
from html.parser import HTMLParser

import pypdfium2
import pytest
import sample_week as sample

from library.errors import PaperNotMade
from planner.document import BlockMark, week_name
from planner.sheets.paper import block_html, render_block

AWAY = 0  # repetitions left of a week without training


def block(*reps_left, sets=(), **changes):
    """Write one week for each number of repetitions left; 4 left is a lighter week, `AWAY` none at all."""
    made = []
    for number, rir in enumerate(reps_left, start=1):
        if rir == AWAY:
            continue
        count = sets[number - 1] if sets else 3
        mark = BlockMark(first="2026-W49", number=number, of=len(reps_left), lighter=rir == 4, ramp_share=0.0)
        lines = (
            sample.planned(sample.PRESS, 1, rir=rir, sets=count, load=22.5, load_unit="kg"),
            sample.planned(sample.RAISE, 2, rir=rir),
        )
        monday = datetime.date(2026, 11, 30) + datetime.timedelta(weeks=number - 1)
        of_week = {"week": week_name(monday), "week_start": str(monday), "block": mark, **changes}
        made.append(sample.sample_week(sessions=(sample.session("Mon", lines),), **of_week))
    return made


def wall(library, weeks):
    return block_html([sample.sample_desk(library, week) for week in weeks])


class Rows(HTMLParser):
    """The table's rows by their first words: text and class of each cell of a week."""

    def __init__(self, html):
        super().__init__()
        self.rows = []
        self.feed(html.split("</style>")[1])

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append([])
        if tag in ("th", "td"):
            self.rows[-1].append(("", dict(attrs).get("class") or ""))

    def handle_data(self, data):
        if self.rows and self.rows[-1]:
            text, look = self.rows[-1][-1]
            self.rows[-1][-1] = (text + data.strip(), look)

    def __getitem__(self, name):
        return next(row for row in self.rows if any(text.startswith(name) for text, _ in row))


def test_every_week_has_its_kind_reserve_and_dates_and_a_holiday_its_column(library):
    rows = Rows(wall(library, block(3, 2, AWAY, 4)))
    assert [text for text, _ in rows["Week of the block"]][1:] == ["1", "2", "", "3"]
    assert [text for text, _ in rows["From Monday"]][1:] == ["30 Nov", "7 Dec", "", "21 Dec"]
    assert rows["Lighter"][1:] == [("", ""), ("", ""), ("away", "away"), ("lighter", "lighter")]
    assert [text for text, _ in rows["Left in reserve"]][1:] == ["3", "2", "", "4"]
    assert "Lighter, or away" not in (plain := wall(library, block(3, 2)))
    assert "within 0.03 missed sets and 0.3 minute-equivalents" in plain  # how good they are proven to be
    assert "a better plan may exist: 2026-W49, 2026-W50" in wall(library, block(3, 2, status="stopped"))


def test_an_exercise_has_its_sets_week_by_week_its_load_and_a_frame_where_it_changes(library):
    rows = Rows(wall(library, block(3, 2, 4, 2, sets=(3, 4, 2, 4))))
    day, _name, reps, load, *cells = rows["Seated dumbbell"]
    assert (day[0], reps[0], load[0]) == ("Monday", "8–12", "22.5 kg")
    assert cells == [("3", ""), ("4", "differs"), ("2", "lighter"), ("4", "")]
    said = [text for text, _ in rows["Standing dumbbell"]][:3]
    assert said == ["Standing dumbbell lateral raise", "8–12", "to find"]


def test_doses_stand_under_the_weeks_short_and_above_the_ceiling_are_marked(library):
    weeks = block(3, 2)
    dose = weeks[1].dose[1].model_copy(update={"planned": 23.4, "elsewhere": 0.0, "ceiling": 20.0})
    weeks[1] = weeks[1].model_copy(update={"dose": (weeks[1].dose[0], dose, weeks[1].dose[2])})
    rows = Rows(wall(library, weeks))
    assert rows["Side delt, target 14"][1:] == [("11.6", " short"), ("23.4+", "")]
    assert [text for text, _ in rows["Sets"]][1:] == ["6", "6"]


@pytest.mark.parametrize(("weeks", "landscape"), [(6, False), (12, True), (26, True)])
def test_any_block_is_one_page_without_colour_and_sheets_are_of_the_weeks_asked(library, weeks, landscape):
    made = block(*(3, 2, 2, 2, 1, 4) * 4, 3, 2)[:weeks]
    style = wall(library, made).split("</style>")[0]
    colours = re.findall(r"#([0-9a-fA-F]{3,6})\b", style)
    assert all(len(set(re.findall(".." if len(one) == 6 else ".", one))) == 1 for one in colours)
    try:
        papers = render_block([sample.sample_desk(library, week) for week in made], 2)
    except PaperNotMade as fault:
        pytest.skip(f"no PDF renderer here: {fault}")
    first, *others = pypdfium2.PdfDocument(papers[0])
    assert (first.get_width() > first.get_height()) == landscape
    assert len(papers) == 3
    assert len(others) == sum(len(pypdfium2.PdfDocument(paper)) for paper in papers[1:])
    inside = first.get_textpage()
    boxes = [inside.get_rect(number) for number in range(inside.count_rects())]
    assert all(left > 0 and right < first.get_width() and low > 0 for left, low, right, _ in boxes)
