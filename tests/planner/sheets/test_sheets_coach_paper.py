"""coach.pdf: every field of the week that matters to the coach is on paper, shortfall first."""

import re

import sample_week as weeks

from planner.sheets.paper import coach_html
from planner.sheets.words import read_words


def test_the_shortfall_comes_first(coach):
    assert (
        "Short of target Side delt: 11.6 of 14 sets, 2.4 short; the floor of 6 is reached." in coach.pages[0]
    )
    assert coach.pages[0].index("Short of target") < coach.pages[0].index("Dose against")


def test_no_shortfall_no_box(library):
    week = weeks.sample_week()
    met = tuple(dose.model_copy(update={"planned": dose.target}) for dose in week.dose)
    assert "Short of target" not in coach_html(
        week.model_copy(update={"dose": met}), library, weeks.sample_brief()
    )


def test_dose_by_both_counts_with_interval_and_chances(coach):
    for row in (
        "Front delt 9.4 3 12.4 6 / 10 / 20 10.6–14.1 over 99 % 93 % 8",
        "Side delt 11.6 0 11.6 6 / 14 / 20 9.8–13.2 97 % 31 % 12.5",
        "Rear delt 6.1 1.5 7.6 6 / 8 / 20 6.4–8.9 over 99 % 93 % 9",
    ):
        assert row in coach.text


def test_the_chart_labels_its_values(coach):
    for label in (
        "floor 6",
        "target 10",
        "target 14",
        "target 8",
        "ceiling 20",
        "12.4 sets",
        "90 %: 9.8–13.2",
    ):
        assert label in coach.pages[0]


def test_statements_on_what_activation_means(coach):
    for key in ("selection_aid", "chances", "joint_budget", "defer"):
        assert read_words().line[key] in coach.text


def test_sessions_with_minutes_and_equipment(coach):
    assert "Monday city club 43.4 of 45 4 × 8–12 Seated dumbbell overhead press to full depth" in coach.text
    assert "rack with safety bars" in coach.text
    assert "nothing planned" in coach.text


def test_limits_goals_and_joint_budgets_in_plain_words(coach):
    for words in (
        "Side delt: short of its target (by 2.4 direct sets)",
        "Front delt: heavy days side by side, Monday and Thursday (by 1 pair)",
        "Minutes on Monday 44.3 45 min yes",
        "Number of exercises, whole week 8 9 exercises no",
        "Top of the shoulder, under the arch 28 30 grade-sets yes",
        "Elbow 12 60 grade-sets no",
    ):
        assert words in coach.text


def test_proof_in_words(coach, library):
    assert (
        "Dose: this plan comes to 2.40 missed sets. No plan can do better than 2.37, so none beats it by more"
        in (coach.text)
    )
    assert read_words().line["proven"] in coach.text
    stopped = coach_html(weeks.sample_week(status="stopped"), library, weeks.sample_brief())
    assert read_words().line["stopped"] in stopped


def test_evidence_of_every_exercise_with_its_sources_and_status(coach):
    assert "Seated dumbbell overhead press to full depth 4 0.97 ± 0.08 (1–4) 0.90" in coach.text
    assert "Bent-over dumbbell rear raise, chest on an inclined bench 6 " in coach.text
    for citation in ("J Hum Kinet 75:5-14 read", "27(8):1-9 second-hand", "42(4):464-469 remembered"):
        assert citation in coach.text
    assert "common practice, no source practice" in coach.text


def test_what_it_was_made_with(coach):
    for words in ("planner 0.1.0", "library 0123456789ab", "fedcba987654", "counted by activation"):
        assert words in coach.pages[0]
    assert "eccentric weight 1 general warmup minutes 5 largest block sets 4" in coach.text


def test_defaults_by_name_in_columns_those_of_the_brief_first(library):
    brief = weeks.sample_brief(method={"largest_block_sets": 4})
    html = coach_html(weeks.sample_week(), library, brief)
    listed = re.findall(r"<li(?: class=\"own\")?><span>([^<]*)</span> <b>", html)
    assert listed == ["largest block sets (brief)", "eccentric weight", "general warmup minutes"]


def test_a_note_that_stands_in_the_box_is_not_said_again(library):
    week = weeks.sample_week(warnings=("pain 4",), notes=("pain 4", "2 sets open"))
    html = coach_html(week, library, weeks.sample_brief())
    assert html.count("pain 4") == 1 and "2 sets open" in html


def test_the_proof_speaks_of_minutes_worth(coach):
    assert "none beats it by more than 0.3 minutes' worth" in coach.text and "priced" not in coach.text


def test_warnings_and_the_week(coach):
    assert "No readiness questionnaire of the last 12 months" in coach.pages[0]
    assert "Week 2026-W49, from 30 Nov 2026" in coach.pages[0]


def test_pages_are_numbered(coach):
    assert [f"page {number} of {len(coach.pages)}" in page for number, page in enumerate(coach.pages, 1)] == [
        True
    ] * len(coach.pages)


def test_a_week_with_nothing_left_says_so(library):
    html = coach_html(weeks.nothing_left_week(), library, weeks.sample_brief())
    assert read_words().line["nothing_left"] in html
    assert "Evidence behind" not in html


def test_a_week_that_trains_no_head_has_no_chart(library):
    html = coach_html(weeks.sample_week(dose=(), sessions=(), limits=()), library, weeks.sample_brief())
    assert "<svg" not in html
    assert "No head is trained this week." in html
