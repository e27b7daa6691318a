"""sheets.pdf as printed: one page a session, and on each page all that the gym floor needs."""

import io
import re

import pytest
import sample_week as weeks
from pypdf import PdfReader

from planner.document import ExerciseWarning
from planner.method import SheetSettings
from planner.sheets.paper import coach_html, render_sheets, sheets_html
from planner.sheets.table import week_table
from planner.sheets.words import read_words


def test_one_page_a_session(sheets):
    assert len(sheets.pages) == 3
    for page, day in zip(sheets.pages, ("Monday", "Thursday", "Saturday"), strict=True):
        assert page.startswith(day)


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_six_exercises_of_four_sets_and_long_names_stay_on_one_page(longest, paper, size):
    pages = longest[paper].pages
    assert len(pages) == 3
    for page in pages:
        assert page.count(weeks.LONGEST_NAME) == 6
        assert page.count("set 4") == 6
    box = longest[paper].reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_every_card_says_what_to_do(sheets):
    monday = sheets.pages[0]
    for words in (
        weeks.NAME,
        "week 2026-W49",
        "30 Nov 2026",
        "city club",
        "43.4 of 45 min",
        "Seated dumbbell overhead press to full depth",
        "4 × 8–12",
        "22.5 kg",
        "each hand",
        "Stop with 2 left · rest 1 min 30 s · lift 1 s, lower 3 s · 1 lighter set first",
        "Dumbbells and adjustable bench",
        "Ribs down, feet flat, do not lean back",
        "Station taken? Standing dumbbell lateral raise, 3 × 12–15",
        "Go on to the last good rep",
        "lift 2 s, hold 1 s, lower 3 s, wait 1 s",
        "each side",
    ):
        assert words in monday
    assert "A third cue" not in sheets.text


def test_the_caution_of_a_careful_joint_is_printed_on_every_exercise(sheets):
    change = "Stop a hand's width below shoulder height, thumbs up"
    assert sheets.pages[0].count(change) == 6
    assert sheets.pages[1].count(change) == 4
    assert "Go easy on: top of the shoulder, under the arch and elbow" in sheets.pages[0]


def test_there_is_a_box_for_every_set_and_for_pain(sheets):
    monday, thursday, _ = sheets.pages
    assert monday.count("set 4") == 1
    assert monday.count("set 3") == 6
    assert monday.count("pain 0–10") - monday.count("Rate pain 0–10") == 6
    assert monday.count("where") == 6
    assert thursday.count("muscle joint sharp numb slips") == 4


def test_a_load_to_find_has_a_blank_and_a_way_to_find_it(sheets):
    assert "First time: start light, go up until 8–12 reps leave 2." in sheets.pages[0]
    assert "First time: light band" in sheets.pages[0]
    assert "First time: easiest version" in sheets.pages[1]
    assert sheets.html.count('class="blank-load"') == 2  # weighed and unknown: two on Monday


def test_a_pair_is_one_block(sheets):
    assert "Pair: take turns" in sheets.pages[1]
    assert re.search(r"B1 Standing dumbbell lateral raise.*B2 Bent-over", sheets.pages[1])


def test_stop_signs_pain_rule_and_the_word_on_medical_advice_stand_on_every_page(sheets, longest):
    words = read_words()
    for page in (*sheets.pages, *longest["A4"].pages, *longest["Letter"].pages):
        for group in words.stop:
            assert group.title in page
            for sign in group.signs:
                assert sign in page
        assert words.line["pain"] in page
        assert words.line["defer"] in page


def test_warnings_and_screening_stand_on_the_first_page_alone(sheets):
    warning = "No readiness questionnaire of the last 12 months is recorded"
    assert [warning in page for page in sheets.pages] == [True, False, False]
    assert [read_words().line["screening"] in page for page in sheets.pages] == [True, False, False]


def test_the_pain_of_thursdays_exercise_stands_before_thursdays_session(library):
    pain = "Pike push-up: pain 4 on 2026-11-26: 20 % less load or 1 set less, same range or less; tell your coach."
    about = (ExerciseWarning(exercise="pike_push_up", text=pain),)
    week = weeks.sample_week(warnings=(pain,), exercise_warnings=about)
    html = render_sheets(week, library, weeks.sample_brief()).html
    monday, thursday, saturday = re.split('<section class="session', html)[1:]
    assert [pain in page for page in (monday, thursday, saturday)] == [False, True, False]
    assert thursday.index(pain) < thursday.index("<article")
    assert [read_words().line["screening"] in page for page in (monday, thursday)] == [True, False]
    for told in (week_table(week, library), coach_html(week, library, weeks.sample_brief())):
        assert told.count(pain) == 1


def test_an_empty_session_says_so(sheets):
    assert read_words().line["no_session"] in sheets.pages[2]


def test_a_week_with_nothing_left_is_one_page_that_says_so(library):
    html = sheets_html(weeks.nothing_left_week(), library, weeks.sample_brief())
    assert html.count("<section") == 1
    assert read_words().line["nothing_left"] in html
    assert "Front delt: 12 sets come from what you do elsewhere, 10 were wanted." in html


def test_pounds_stay_pounds(library):
    html = sheets_html(weeks.pounds_week(), library, weeks.sample_brief())
    assert "45 lb" in html
    assert "kg" not in re.sub("<style>.*</style>", "", html, flags=re.DOTALL)


def test_more_sets_than_fit_side_by_side_get_a_second_row_of_boxes(library):
    press = weeks.planned(weeks.PRESS, 1, sets=8)
    html = sheets_html(
        weeks.sample_week(sessions=(weeks.session("Mon", (press,)),)), library, weeks.sample_brief()
    )
    assert [html.count(f"set {number}<") for number in (1, 4, 5, 8, 9)] == [1, 1, 1, 1, 0]
    assert html.count('class="grid"') == 2


def test_an_exercise_that_the_library_has_lost_is_still_printed(library):
    lost = weeks.planned(weeks.PRESS, 1, exercise="gone_press", name="Gone press")
    html = sheets_html(
        weeks.sample_week(sessions=(weeks.session("Mon", (lost,)),)), library, weeks.sample_brief()
    )
    assert "Gone press" in html


def test_names_and_numbers_are_readable_at_arms_length(longest, sheets):
    fine = SheetSettings().fine_points
    for paper in (*longest.values(), sheets):
        for number in range(len(paper.pages)):
            runs = paper.runs(number)
            names = [
                size
                for words, _, size, _ in runs
                if words.startswith(("Half-kneeling", "Seated dumbbell over"))
            ]
            dosages = [
                size for words, font, size, _ in runs if re.match(r"[34] × 8–12$", words) and "Bold" in font
            ]
            assert all(size >= 13.9 for size in names)
            assert all(size >= 15.9 for size in dosages)
            assert all(size >= fine - 0.1 for _, _, size, _ in runs)
            assert number == 2 or dosages


def test_nothing_reaches_into_the_stop_box(longest, sheets):
    """The place kept in the flow is as high as the box, or words would lie over each other."""
    for paper in (*longest.values(), sheets):
        for number in range(len(paper.pages)):
            runs = paper.runs(number)
            top = next(y for words, _, _, y in runs if words.startswith("Rate pain"))
            before = [y for words, _, _, y in runs[: [run[0][:9] for run in runs].index("Rate pain")]]
            assert top - max(before) > 10


def test_black_and_white(sheets, longest):
    for paper in (sheets, *longest.values()):
        for page in paper.reader.pages:
            colours = re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", page.get_contents().get_data())
            assert colours
            assert all(one[0] == one[1] == one[2] for one in colours)


def test_a_session_in_the_roomy_steps_leaves_room_for_notes(sheets):
    assert "Notes for your coach" in sheets.pages[1]
    assert "Notes for your coach" not in sheets.pages[0]


def test_a_page_that_was_guessed_too_roomy_is_tightened(library, monkeypatch):
    monkeypatch.setattr("planner.sheets.fit.guess", lambda *_: 2)
    week = weeks.longest_week()
    rendered = render_sheets(
        week.model_copy(update={"sessions": week.sessions[:1]}), library, weeks.sample_brief()
    )
    assert len(PdfReader(io.BytesIO(rendered.pdf)).pages) == 1
    assert 'class="session level-2' not in rendered.html


def test_what_can_never_fit_is_printed_over_two_pages_and_never_cut(library):
    cards = tuple(
        weeks.planned(weeks.PRESS, 1, sets=4).model_copy(update={"order": n, "block": ""}) for n in range(9)
    )
    rendered = render_sheets(
        weeks.sample_week(sessions=(weeks.session("Mon", cards),)), library, weeks.sample_brief()
    )
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(rendered.pdf)).pages]
    assert len(pages) == 2
    assert sum(page.count("Seated dumbbell overhead press") for page in pages) == 9
