"""A cautious week beside the plain one, on the coach's pages and in the terminal."""

import sample_week as weeks

from planner.document import Caution, CautiousHead, HeadBets, PlainBlock, PlanFigures
from planner.sheets.caution import bets_rows, caution_lines, heading, worst
from planner.sheets.paper import coach_html
from planner.sheets.table import week_table
from planner.sheets.words import read_words

PLAIN = HeadBets(
    dose=12.0,
    mean=11.7,
    bad=9.9,
    chance_floor=0.998,
    chance_target90=0.77,
    exercises=4,
    largest=weeks.PRESS,
    largest_share=0.34,
)
SURER = HeadBets(
    dose=14.9,
    mean=14.5,
    bad=12.1,
    chance_floor=1.0,
    chance_target90=0.98,
    exercises=1,
    largest=weeks.PRESS,
    largest_share=1.0,
)
CAUTION = Caution(
    level=0.8,
    draws=200,
    seed=1,
    judged_draws=10000,
    judged_seed=2,
    plain=PlanFigures(
        own_shortfall=7.5, judged_shortfall=7.6, sets=23, exercises=7, minutes=62.6, priced_minutes=54.3
    ),
    cautious=PlanFigures(
        own_shortfall=1.8, judged_shortfall=2.2, sets=28, exercises=9, minutes=71.7, priced_minutes=75.0
    ),
    heads=(CautiousHead(head="front", plain=PLAIN, cautious=SURER),),
    plain_blocks=(
        PlainBlock(session="Mon", exercise=weeks.PRESS, name="Seated press", sets=4),
        PlainBlock(session="Mon", exercise=weeks.RAISE, name="Lateral raise", sets=3),
        PlainBlock(session="Thu", exercise=weeks.RAISE, name="Lateral raise", sets=2),
    ),
)


def cautious_week():
    return weeks.sample_week(cautious=CAUTION)


def test_a_plain_week_says_nothing_of_it(library):
    assert caution_lines(weeks.sample_week()) == []
    assert "beside the plain week" not in coach_html(weeks.sample_week(), library, weeks.sample_brief())


def test_two_rows_a_head():
    assert worst(CAUTION) == "20 %"
    assert heading(CAUTION)[4] == "worst 20 %"
    assert [row.cells for row in bets_rows(CAUTION)] == [
        ("front", "plain", "12.0", "11.7", "9.9", "over 99 %", "77 %", "4", "34 %"),
        ("front", "cautious", "14.9", "14.5", "12.1", "over 99 %", "98 %", "1", "100 %"),
    ]
    assert next(bets_rows(CAUTION, {"front": "Front delt"})).head == "Front delt"


def test_the_table_says_what_it_brings_and_what_it_costs(library):
    table = week_table(cautious_week(), library)
    for words in (
        "cautious at 0.8, beside the plain week (Uncertainty of activation ratios; it says nothing about growth):",
        "in the worst 20 % of 10,000 other draws: 2.2 instead of 7.6",
        "of the 200 draws that it was planned on: 1.8 instead of 7.5",
        "71.7 min instead of 62.6, 28 sets instead of 23, 9 exercises instead of 7",
        "75 minutes' worth instead of 54.3",
        "plain week, Monday: 4 x Seated press, 3 x Lateral raise",
        "plain week, Thursday: 2 x Lateral raise",
    ):
        assert words in table
    assert table.index("by movers") < table.index("cautious at") < table.index("proof:")


def test_the_coach_reads_the_same_figures(library):
    page = coach_html(cautious_week(), library, weeks.sample_brief())
    for words in (
        "Cautious at 0.8, beside the plain week",
        "Worst 20 %",
        "10,000 other draws: 2.2 instead of 7.6",
        "The plain week would be: Monday: 4 × Seated press, 3 × Lateral raise; Thursday: 2 × Lateral raise.",
        read_words().line["cautious"],
        read_words().line["chances"],
    ):
        assert words in page
    for row in bets_rows(CAUTION):
        for cell in row.cells[1:]:
            assert f">{cell}<" in page


def test_the_proof_names_the_aim(library):
    week = cautious_week()
    proof = (week.proof[0].model_copy(update={"aim": "shortfall"}), *week.proof[1:])
    page = coach_html(week.model_copy(update={"proof": proof}), library, weeks.sample_brief())
    assert read_words().aim["shortfall"] in page
