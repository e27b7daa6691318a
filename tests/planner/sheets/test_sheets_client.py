"""What a client's page says, before it is laid out."""

import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st

from planner.document import ExerciseWarning, Replacement
from planner.method import SheetSettings
from planner.sheets import client
from planner.sheets.desk import Desk
from planner.sheets.paper import sheets_html


def page(library, *exercises, **brief):
    week = weeks.sample_week(sessions=(weeks.session("Mon", exercises),))
    return client.pages(Desk(week, library, weeks.sample_brief(**brief), SheetSettings()))[0]


def test_exercises_stand_in_their_order(library):
    made = page(library, weeks.planned(weeks.REAR, 2), weeks.planned(weeks.PRESS, 1))
    assert [card.badge for card in made.cards] == ["A", "B"]
    assert made.cards[0].name.startswith("Seated")


def test_a_pair_shares_its_letter_and_an_empty_block_gets_its_number(library):
    made = page(
        library,
        weeks.planned(weeks.PRESS, 1, block="A"),
        weeks.planned(weeks.RAISE, 2, block="A"),
        weeks.planned(weeks.REAR, 3, block=""),
        weeks.planned("pike_push_up", 4, block=""),
    )
    assert [card.badge for card in made.cards] == ["A1", "A2", "3", "4"]
    assert [len(block) for block in made.blocks] == [2, 1, 1]


def test_in_a_pair_the_longer_rest_follows_the_second(library):
    made = page(
        library,
        weeks.planned(weeks.RAISE, 1, block="A", rest_s=90),
        weeks.planned(weeks.REAR, 2, block="A", rest_s=60),
        weeks.planned("pike_push_up", 3, block="B", rest_s=75),
    )
    said = [card.effort for card in made.cards]
    assert "then A2 at once" in said[0] and "rest" not in said[0]
    assert "rest 1 min 30 s" in said[1]
    assert "rest 1 min 15 s" in said[2]


def test_own_body_has_neither_load_nor_blank(library):
    card = page(library, weeks.planned("pike_push_up", 1)).cards[0]
    assert (card.load, card.blank_load, card.load_of, card.box_label) == ("", False, "", "version")


def test_a_known_load_needs_no_way_to_find_it(library):
    card = page(library, weeks.planned(weeks.PRESS, 1, load=0.0, load_unit="kg")).cards[0]
    assert (card.load, card.blank_load, card.find) == ("0 kg", False, "")


def test_what_the_log_asks_besides_load_and_range_stands_on_the_sheet(library):
    note = "Because of pain: leave out 1 set, same range of motion or less."
    card = page(library, weeks.planned(weeks.PRESS, 1, load_note=note)).cards[0]
    assert (card.note, card.find) == (note, "")  # it was done before: nobody has to find the load
    assert page(library, weeks.planned(weeks.PRESS, 1)).cards[0].note == ""
    noted = weeks.session("Mon", (weeks.planned(weeks.PRESS, 1, load_note=note),))
    assert note in sheets_html(weeks.sample_week(sessions=(noted,)), library, weeks.sample_brief())


def test_a_set_to_the_last_rep_is_found_so_too(library):
    assert page(library, weeks.planned(weeks.PRESS, 1, rir=0)).cards[0].find.endswith("reps leave none.")


def test_a_replacement_that_gives_another_dose_says_so(library):
    other = Replacement(
        exercise=weeks.RAISE, sets=3, reps=(8, 12), differs={"front": -1.2, "rear": -0.5, "side": 0.4}
    )
    card = page(library, weeks.planned(weeks.PRESS, 1, instead=(other,))).cards[0]
    assert card.taken_note == "less for the front delt and rear delt, more for the side delt"
    assert (card.taken, card.taken_dosage) == ("Standing dumbbell lateral raise", "3 × 8–12")


def test_no_replacement_no_line(library):
    card = page(library, weeks.planned(weeks.PRESS, 1, instead=())).cards[0]
    assert (card.taken, card.taken_dosage, card.taken_note) == ("", "", "")


def test_two_cues_at_most(library):
    assert len(page(library, weeks.planned(weeks.PRESS, 1)).cards[0].cues) == 2


def test_a_rule_that_a_caution_says_already_is_not_said_twice(library):
    band = weeks.planned("band_face_pull", 1)
    assert any("Look the band over" in rule for rule in page(library, band).rules)
    said = "Look the band over before each use: cracks or thin spots, bin it."
    exercise = library.exercises["band_face_pull"].model_copy(update={"cautions": (said,)})
    other = type(library)(**{**vars(library), "exercises": {**library.exercises, "band_face_pull": exercise}})
    assert not any("Look the band over" in rule for rule in page(other, band).rules)


def test_rules_come_with_their_implements_alone(library):
    assert not any("collars" in rule for rule in page(library, weeks.planned("pike_push_up", 1)).rules)
    assert any("collars" in rule for rule in page(library, weeks.planned("barbell_overhead_press", 1)).rules)


@given(sets=st.integers(1, 12), most=st.integers(1, 6))
def test_every_set_has_one_box_and_no_row_is_too_long(sets, most):
    rows = client._box_rows(sets, most)
    assert [number for row in rows for number in row] == list(range(1, sets + 1))
    assert max(map(len, rows)) <= most


PAIN, RISING, ASK = (
    "Rear raise: pain 4, one set less.",
    "Rear raise: pain builds.",
    "Ask before the first session.",
)


def warned(library, *sessions):
    """What each sheet warns of, where the rear raise hurt."""
    week = weeks.sample_week(
        sessions=sessions,
        warnings=(ASK, PAIN, RISING),
        exercise_warnings=(
            ExerciseWarning(exercise=weeks.REAR, text=PAIN),
            ExerciseWarning(exercise=weeks.REAR, text=RISING, first_sheet=True),
        ),
    )
    made = client.pages(Desk(week, library, weeks.sample_brief(), SheetSettings()))
    return [page.warnings for page in made]


def test_what_an_exercise_is_warned_of_stands_on_each_sheet_that_has_it(library):
    press = weeks.planned(weeks.PRESS, 1)
    rear = weeks.planned(weeks.REAR, 2)
    monday, wednesday, saturday = (
        weeks.session("Mon", (press,)),
        weeks.session("Wed", (rear,)),
        weeks.session("Sat", (press, rear)),
    )
    assert warned(library, monday, wednesday, saturday) == [(ASK, RISING), (PAIN, RISING), (PAIN, RISING)]
    assert warned(library, wednesday, monday) == [(ASK, PAIN, RISING), ()]


def test_an_exercise_that_is_only_the_replacement_is_warned_of_too(library):
    instead = (Replacement(exercise=weeks.REAR, sets=3, reps=(8, 12)),)
    sessions = [
        weeks.session(day, (weeks.planned(weeks.PRESS, 1, instead=found),))
        for day, found in (("Mon", ()), ("Sat", instead))
    ]
    assert warned(library, *sessions) == [(ASK, RISING), (PAIN, RISING)]


def test_less_load_for_an_exercise_that_no_sheet_has_is_not_the_clients_to_read(library):
    press = weeks.session("Mon", (weeks.planned(weeks.PRESS, 1),))
    assert warned(library, press) == [(ASK, RISING)]
