"""sheets.pdf as printed: a page a session (a long one takes two), with all that the gym floor needs, large enough."""

import datetime
import re

import pytest
import sample_week as weeks
from pdf_pages import pages_of
from sample_week import sample_desk

from planner.document import ExerciseWarning
from planner.method import SheetSettings
from planner.sheets.paper import coach_html, render_sheets, sheets_html
from planner.sheets.say import read_words
from planner.sheets.table import week_table

MONDAY = slice(0, 2)  # six exercises: two pages


def one_session(library, *exercises):
    return sample_desk(library, weeks.sample_week(sessions=(weeks.session("Mon", exercises),)))


def test_a_page_a_session_two_for_a_long_one_none_without_work(sheets):
    assert [page.split()[0] for page in sheets.pages] == ["Monday", "Monday", "Thursday"]
    assert "page 2 of 2" in sheets.pages[1] and "on the next page" in sheets.pages[0]
    assert f"Saturday, 5 December 2026: {read_words().line['no_session']}" in sheets.pages[2]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_six_exercises_of_four_sets_and_long_names_stay_on_two_pages(longest, paper, size):
    pages = longest[paper].pages
    assert len(pages) == 2
    assert {page.count(weeks.LONGEST_NAME) for page in pages} == {3}
    box = longest[paper].reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_every_card_says_what_to_do(sheets):
    monday = " ".join(sheets.pages[MONDAY])
    for words in (
        weeks.NAME, "2026-W49", "30 November 2026", "city club", "43.4 of 45 min",
        "Seated dumbbell overhead press to full depth", "4 × 8–12", "22.5 kg", "each hand",
        "Stop with 2 left in reserve · rest 1 min 30 s · lift 1 s, lower 3 s",
        "Dumbbells and adjustable bench", "Ribs down, feet flat, do not lean back",
        "Standing dumbbell lateral raise 3 × 12–15", "Go on to the last good rep",
        "lift 2 s, hold 1 s, lower 3 s, wait 1 s", "each side",
    ):  # fmt: skip
        assert words in monday
    assert "20 kg" in sheets.pages[2] and "32.5 kg" in sheets.pages[2]  # the warm-up sets
    assert read_words().line["taken"] in sheets.pages[2]
    assert "A third cue" not in sheets.text


def test_cautions_of_joints_screening_and_no_remark_of_the_coachs_stand_where_they_should(sheets):
    change = "Stop a hand's width below shoulder height, thumbs up"
    assert [page.count(change) for page in sheets.pages] == [3, 3, 4]
    assert "Go easy on: top of the shoulder, under the arch and elbow" in sheets.pages[0]
    assert "No readiness questionnaire of the last 12 months" not in sheets.text
    assert [read_words().line["screening"] in page for page in sheets.pages] == [True, False, False]


def test_boxes_ticks_and_a_way_to_find_a_load_stand_for_every_set(sheets):
    sets = [4, 3, 3, 3, 3, 3, 3, 3, 3, 3]
    assert sheets.html.count('<th scope="col">') == sum(sets)
    warmups = 1 + 2
    assert sheets.html.count('class="tick"') == sum(sets) + warmups
    assert sheets.text.count("where, kind") == len(sets) + 3  # and next morning, page by page
    assert "First time: start light, go up until 8–12 reps leave 2 in reserve." in sheets.pages[0]
    assert "First time: light band" in sheets.pages[1]
    assert "First time: stop with" in sheets.pages[2]
    assert sheets.html.count('class="blank-load"') == 2  # weighed and unknown: two on Monday


def test_stop_signs_pain_rule_next_morning_and_room_for_notes_stand_on_every_page(sheets, longest):
    words = read_words()
    for page in (*sheets.pages, *longest["A4"].pages, *longest["Letter"].pages):
        for title, signs in words.stop:
            assert title in page
            assert all(sign in page for sign in signs)
        for line in ("pain", "defer", "next_morning", "notes"):
            assert words.line[line] in page


def test_the_pain_of_thursdays_exercise_stands_before_thursdays_session(library):
    pain = "Pike push-up: pain 4 on 2026-11-26: 20 % less load or 1 set less, same range or less; tell your coach."
    about = (ExerciseWarning(exercise="pike_push_up", text=pain),)
    week = weeks.sample_week(warnings=(pain,), exercise_warnings=about)
    *monday, thursday = re.split('<section class="session', sheets_html(sample_desk(library, week)))[1:]
    assert pain in thursday and not any(pain in page for page in monday)
    assert thursday.index(pain) < thursday.index("<article")
    for printed in (week_table(week, library), coach_html(sample_desk(library, week))):
        assert printed.count(pain) == 1


def test_a_week_with_nothing_left_says_so_and_one_that_pain_took_asks_for_a_doctor(library):
    html = sheets_html(sample_desk(library, weeks.nothing_left_week()))
    assert html.count("<section") == 1
    assert read_words().line["nothing_left"] in html
    assert "Front delt: 12 sets come from what you do elsewhere, 10 were wanted." in html
    since = {"kind": "out", "since": datetime.date(2026, 11, 21)}
    hurt = ExerciseWarning(exercise=weeks.PRESS, text="", first_sheet=True, **since)
    week = weeks.nothing_left_week().model_copy(update={"exercise_warnings": (hurt,)})
    html = sheets_html(sample_desk(library, week, elsewhere={weeks.RAISE: {"sets": 8}}))
    assert read_words().line["nothing_safe"] in html and read_words().line["nothing_left"] not in html
    assert "left out since 21 November" in html and "elsewhere too: Standing dumbbell lateral raise" in html
    assert read_words().line["nothing_safe"] in week_table(week, library)


def test_names_numbers_boxes_and_safety_are_readable_at_arms_length(longest, sheets):
    settings = SheetSettings()
    for paper in (*longest.values(), sheets):
        for number in range(len(paper.pages)):
            runs = paper.runs(number)
            long = ("Einarmiges", "Seated dumbbell over")
            names = [size for words, _, size, _ in runs if words.startswith(long)]
            dosages = [s for words, font, s, _ in runs if re.match(r"[34] × 8–12$", words) and "Bold" in font]
            care = ("reps", "left", "where, kind")
            safe = [s for words, _, s, _ in runs if words in care or "Take care" in words]
            stop = [run[2] for run in runs[[run[0][:9] for run in runs].index("Pain 0–10") :]]
            assert all(size >= 13.9 for size in names)
            assert dosages and all(size >= 15.9 for size in dosages)
            assert safe and all(size >= settings.safe_points - 0.1 for size in (*safe, *stop))
            assert all(size >= settings.fine_points - 0.1 for _, _, size, _ in runs)


def test_black_and_white(sheets, longest):
    for paper in (sheets, *longest.values()):
        for page in paper.reader.pages:
            colours = re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", page.get_contents().get_data())
            assert colours
            assert all(one[0] == one[1] == one[2] for one in colours)


def test_a_short_session_is_roomy_and_what_can_never_fit_is_never_cut(library):
    lost = weeks.planned(weeks.PRESS, 1, exercise="gone_press", name="Gone press")
    html = sheets_html(one_session(library, lost))
    assert 'class="session level-0"' in html and "Gone press" in html
    card = weeks.planned(weeks.PRESS, 1, sets=4)
    cards = tuple(card.model_copy(update={"order": n, "block": ""}) for n in range(15))
    pages = pages_of(render_sheets(one_session(library, *cards)))
    assert sum(page.count("Seated dumbbell overhead press") for page in pages) == 15
