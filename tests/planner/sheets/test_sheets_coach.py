"""coach.pdf: pain and shortfall first, then every field of the week that matters; then the client's pages as printed."""

import datetime
import re
from dataclasses import replace

import pytest
import sample_week as weeks
from in_process import pages_of
from sample_week import PRESS, REAR, sample_desk

from library.credit import Profile
from planner.document import Caution, CautiousHead, ExerciseWarning, HeadBets, PlainBlock, PlanFigures
from planner.method import SheetSettings
from planner.sheets.paper import coach_html, render_sheets, sheets_html
from planner.sheets.say import read_words
from planner.sheets.table import bets_rows, evidence, week_table

BETS = ("dose", "mean", "bad", "chance_floor", "chance_target90", "exercises", "largest", "largest_share")
PLAIN = HeadBets(**dict(zip(BETS, (12.0, 11.7, 9.9, 0.998, 0.77, 4, PRESS, 0.34), strict=True)))
SURER = HeadBets(**dict(zip(BETS, (14.9, 14.5, 12.1, 1.0, 0.98, 1, PRESS, 1.0), strict=True)))
CAUTION = Caution(
    level=0.8, draws=200, seed=1, judged_draws=10000, judged_seed=2,
    plain=PlanFigures(own_shortfall=7.5, judged_shortfall=7.6, sets=23, exercises=7, minutes=62.6, priced_minutes=54.3),
    cautious=PlanFigures(
        own_shortfall=1.8, judged_shortfall=2.2, sets=28, exercises=9, minutes=71.7, priced_minutes=75.0
    ),
    heads=(CautiousHead(head="front", plain=PLAIN, cautious=SURER),),
    plain_blocks=(
        PlainBlock(session="Mon", exercise=PRESS, name="Seated press", sets=4),
        PlainBlock(session="Thu", exercise=weeks.RAISE, name="Lateral raise", sets=2),
    ),
)  # fmt: skip


def test_pain_stands_first_then_the_shortfall_then_the_rest(library):
    pain = "Rear raise: pain 7: left out; see a doctor."
    week = weeks.sample_week()
    week = week.model_copy(update={"pain": (pain,), "warnings": (pain, "Ask.")})
    html = coach_html(sample_desk(library, week))
    said = ("SHORT of target: Side delt by 2.4", "Ask.", "Dose against")
    places = [html.index(words) for words in (pain, *said)]
    assert places == sorted(places) and html.count(pain) == 1


def test_own_helping_and_both_counts_stand_and_a_usual_week_takes_two_pages(coach, library):
    for row in (
        "Front delt 10.4 2.0 12.4 3.0 1.5 6 / 10 / 20 10.6–14.1 over 99 % 93 % 8.0",
        "Side delt 8.0 3.6 11.6 0.0 0.0 6 / 14 / 20 9.8–13.2 97 % 31 % 12.5",
        "Rear delt 7.6 0.0 7.6 1.5 0.0 6 / 8 / 20 6.4–8.9 over 99 % 93 % 9.0",
    ):
        assert row in coach.text
    for key in ("selection_aid", "chances", "joint_budget", "defer_short", "counting"):
        assert read_words().coach[key] in coach.text
    assert "largest block sets 5" in coach_html(sample_desk(library, method={"largest_block_sets": 5}))
    assert len(coach.pages) == 2
    assert all(f"page {number} of 2" in page for number, page in enumerate(coach.pages, 1))
    assert "general warmup minutes" not in coach.text and "planner check" in coach.text
    assert min(size for number in (0, 1) for _, _, size, _ in coach.runs(number)) >= 8.9


def test_sessions_with_minutes_loads_and_why(coach, library):
    press = "Seated dumbbell overhead press to full depth 22.5 kg"
    assert f"Monday city club 43.4 of 45 min 4 × 8–12 {press}" in coach.text
    why = weeks.planned(PRESS, 1, load_reason="12, 12 last time")
    week = weeks.sample_week(sessions=(weeks.session("Mon", (why,)),))
    assert "<td>12, 12 last time</td>" in coach_html(sample_desk(library, week))
    assert "nothing planned" in coach.text
    for words in ("planner 0.1.0", "library 0123456789ab", "fedcba987654", "Week of 30 November (2026-W49)"):
        assert words in coach.pages[0]


def test_limits_goals_joint_budgets_and_proof_in_plain_words(coach, library):
    said = ("Limits that bind", "Minutes on Monday: 44.3 of 45 min", "Joints to go easy on", "elbow 12 of 60")
    places = [coach.text.index(words) for words in said]
    assert "Joint stress: top of the shoulder, under the arch: 28 of 30 grade-sets" in coach.text
    assert places == sorted(places) and "Exercises, the week" not in coach.text
    assert "Front delt: two heavy days side by side, Monday and Thursday" in coach.text
    for words in ("2.40 weighted missed sets", "below 2.37, a gap of 0.03", "61.2 minute-equivalents"):
        assert words in coach.text
    assert "priced minutes" not in coach.text
    assert read_words().coach["proven"] in coach.text
    stopped = sample_desk(library, weeks.sample_week(status="stopped"))
    assert read_words().coach["stopped"] in coach_html(stopped)


def test_a_note_in_a_box_is_not_said_again_and_a_week_with_nothing_left_says_so(library):
    week = weeks.sample_week(warnings=("pain 4",), notes=("pain 4", "2 sets open"))
    html = coach_html(sample_desk(library, week))
    assert html.count("pain 4") == 1 and "2 sets open" in html
    desk = sample_desk(library)
    assert "2026-11-20" in coach_html(replace(desk, recorded=("2026-11-20",)))
    assert "Own recordings" not in coach_html(desk)
    html = coach_html(sample_desk(library, weeks.nothing_left_week()))
    assert read_words().line["nothing_left"] in html and "Evidence behind" not in html
    html = coach_html(sample_desk(library, weeks.sample_week(dose=(), sessions=(), limits=())))
    assert "<svg" not in html and "No head is trained this week." in html


# --- evidence
def test_each_exercise_and_reference_stands_once_with_the_error_of_its_ratio(desk, coach):
    rows, references = evidence(desk)
    sets = {name: count for name, count, _ in rows}
    assert len(rows) == len(sets) == 9 and sets[desk.library.exercises[REAR].name] == 6
    assert list(references) == [
        ("Campos et al. 2020", "read"), ("Botton et al. 2013", "second-hand"),
        ("Reinold et al. 2007", "remembered"), ("common practice", "practice"),
    ]  # fmt: skip
    assert "Seated dumbbell overhead press to full depth 4 0.97 ± 0.08 (1–4) 0.90" in coach.text
    assert "1 Campos et al. 2020; 2 Botton et al. 2013, second-hand" in coach.text
    profiles = {"front": {PRESS: Profile(0.5, 0.2, ())}, "side": {PRESS: Profile(1.0, 0.0, ())}}
    other = type(desk.library)(**{**vars(desk.library), "profiles": profiles})
    (_, _, press), *_ = evidence(sample_desk(other))[0]
    assert [ratio for ratio, _, _ in press] == ["0.50 ± 0.10", "1, anchor", "no row"]
    assert {cited for _, cited, _ in press} == {""}


# --- the chart

LEFT, RIGHT = 104, 560  # where 0 and the longest value stand, in units of the drawing


def test_bars_marks_and_whiskers_stand_at_their_values(library, coach):
    svg = re.search("<svg.*?</svg>", coach_html(sample_desk(library)), re.DOTALL)[0]
    drawn = re.findall(r'<rect x="([\d.]+)" y="\d+" width="([\d.]+)"', svg)
    boxes = [tuple(map(float, one)) for one in drawn]
    starts = [float(x) for x in re.findall(r'<line x1="([\d.]+)"', svg)]
    unit = (RIGHT - LEFT) / 20  # the ceiling of 20 is the longest value
    for (start, wide), (sets, long) in zip(boxes, ((0, 10.4), (10.4, 2), (12.4, 1.5)), strict=False):
        assert (start, wide) == pytest.approx((LEFT + sets * unit, long * unit), abs=0.01)
    for value in (10.6, 14.1, 6, 10, 20):  # interval, floor, target, ceiling
        assert any(abs(x - LEFT - value * unit) < 0.01 for x in starts)
    for label in ("floor 6", "target 14", "ceiling 20", "12.4 sets", "90 %: 9.8–13.2"):
        assert label in coach.pages[0]
    assert 'aria-label="Direct sets a week. Front delt: 12.4, 90 % interval 10.6 to 14.1' in coach.html


# --- a cautious week beside the plain one
def test_two_rows_a_head_on_paper_as_at_the_terminal(library):
    rows = list(bets_rows(CAUTION))
    assert rows == [
        ("front", "plain", "12.0", "11.7", "9.9", "over 99 %", "77 %", "4", "34 %"),
        ("front", "cautious", "14.9", "14.5", "12.1", "over 99 %", "98 %", "1", "100 %"),
    ]
    week = weeks.sample_week(cautious=CAUTION)
    page, table = coach_html(sample_desk(library, week)), week_table(week, library)
    assert all(f">{cell}<" in page for row in rows for cell in row[1:])
    for words in ("2.2 instead of 7.6", "28 sets instead of 23", "75 minute-equivalents instead of 54.3"):
        assert words in page and words in table
    assert "Monday: 4 × Seated press" in page and "Monday: 4 x Seated press" in table
    assert read_words().coach["cautious"] in page


# --- sheets.pdf as printed: a page a session (a long one takes two), with all that the gym floor needs, large enough
MONDAY = slice(0, 2)  # six exercises: two pages


def one_session(library, *exercises):
    return sample_desk(library, weeks.sample_week(sessions=(weeks.session("Mon", exercises),)))


def test_a_page_a_session_with_cautions_boxes_and_a_way_to_find_a_load(sheets):
    assert [page.split()[0] for page in sheets.pages] == ["Monday", "Monday", "Thursday"]
    assert "page 2 of 2" in sheets.pages[1] and "on the next page" in sheets.pages[0]
    assert f"Saturday, 5 December 2026: {read_words().line['no_session']}" in sheets.pages[2]
    change = "Stop a hand's width below shoulder height, thumbs up"
    assert [page.count(change) for page in sheets.pages] == [3, 3, 4]
    assert "Go easy on: top of the shoulder, under the arch and elbow" in sheets.pages[0]
    assert "No readiness questionnaire of the last 12 months" not in sheets.text
    assert [read_words().line["screening"] in page for page in sheets.pages] == [True, False, False]
    sets = [4, 3, 3, 3, 3, 3, 3, 3, 3, 3]
    assert sheets.html.count('<th scope="col">') == sum(sets)
    warmups = 1 + 2
    assert sheets.html.count('class="tick"') == sum(sets) + warmups
    assert sheets.text.count("where, kind") == len(sets) + 3  # and next morning, page by page
    assert "First time: start light, go up until 8–12 reps leave 2 in reserve." in sheets.pages[0]
    assert "First time: light band" in sheets.pages[1]
    assert "First time: stop with" in sheets.pages[2]
    assert sheets.html.count('class="blank-load"') == 2  # weighed and unknown: two on Monday


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


def test_stop_signs_pain_rule_and_room_for_notes_stand_on_every_page_black_and_white(sheets, longest):
    words = read_words()
    for page in (*sheets.pages, *longest["A4"].pages, *longest["Letter"].pages):
        for title, signs in words.stop:
            assert title in page
            assert all(sign in page for sign in signs)
        for line in ("pain", "defer", "next_morning", "notes"):
            assert words.line[line] in page
    for paper in (sheets, *longest.values()):
        for page in paper.reader.pages:
            colours = re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", page.get_contents().get_data())
            assert colours
            assert all(one[0] == one[1] == one[2] for one in colours)


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


def test_a_short_session_is_roomy_and_what_can_never_fit_is_never_cut(library):
    lost = weeks.planned(weeks.PRESS, 1, exercise="gone_press", name="Gone press")
    html = sheets_html(one_session(library, lost))
    assert 'class="session level-0"' in html and "Gone press" in html
    card = weeks.planned(weeks.PRESS, 1, sets=4)
    cards = tuple(card.model_copy(update={"order": n, "block": ""}) for n in range(15))
    pages = pages_of(render_sheets(one_session(library, *cards)))
    assert sum(page.count("Seated dumbbell overhead press") for page in pages) == 15
