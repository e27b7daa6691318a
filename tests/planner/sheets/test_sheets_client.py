"""What a client's page says, before it is laid out: cards, warnings, cautions, sessions without a page."""

import datetime

import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st
from sample_week import sample_desk
from sample_week import sample_page as page

from planner.document import ExerciseWarning, MadeChange, Replacement
from planner.sheets import client, say
from planner.sheets.client import care, careful_names
from planner.sheets.paper import coach_html, sheets_html


def test_a_pair_shares_its_letter_and_the_longer_rest_an_empty_block_gets_its_number(library):
    made = page(
        library, weeks.planned(weeks.PRESS, 1, block="A", rest_s=90), weeks.planned(weeks.REAR, 2, block="A", rest_s=60),
        weeks.planned(weeks.RAISE, 3, block="", rest_s=75), weeks.planned("pike_push_up", 4, block=""),
    )  # fmt: skip
    assert [card.badge for card in made.cards] == ["A1", "A2", "3", "4"]
    assert [len(block) for block in made.blocks] == [2, 1, 1]
    said = [card.effort for card in made.cards]
    assert "then A2 at once" in said[0] and "rest" not in said[0]
    assert "rest 1 min 30 s" in said[1]
    assert "rest 1 min 15 s" in said[2]


def test_what_the_log_asks_and_both_replacements_stand_on_the_sheet(library):
    note = "Because of pain: leave out 1 set, same range of motion or less."
    noted = weeks.planned(weeks.PRESS, 1, load_note=note)
    card = page(library, noted).cards[0]
    assert (card.note, card.find) == (note, "")  # it was done before: nobody has to find the load
    week = weeks.sample_week(sessions=(weeks.session("Mon", (noted,)),))
    assert note in sheets_html(sample_desk(library, week))
    differs = {"front": -1.2, "rear": -0.5, "side": 0.4}
    other = Replacement(exercise=weeks.RAISE, sets=3, reps=(8, 12), differs=differs)
    same = Replacement(exercise=weeks.REAR, sets=4, reps=(15, 15))
    first, second = page(library, weeks.planned(weeks.PRESS, 1, instead=(other, same))).cards[0].taken
    assert first[1:] == ("3 × 8–12", "less for the front delt and rear delt, more for the side delt")
    assert second[1:] == ("4 × 15", "")
    assert page(library, weeks.planned(weeks.PRESS, 1, instead=())).cards[0].taken == ()


def test_lighter_sets_are_named_where_there_are_some_with_known_loads_and_how_high_the_arm_may_go(library):
    bare, warmed = (page(library, weeks.planned(weeks.PRESS, 1, warmup_sets=sets)).warmup for sets in (0, 2))
    assert "lighter" in warmed and "lighter" not in bare
    low = sample_desk(library, weeks.sample_week(), joints={"arm_at_most_degrees": 80})
    assert all("80 degrees" in one.warmup for one in client.pages(low)) and "degrees" not in bare
    sets = {"warmup_sets": 2, "load": 40.0, "load_unit": "kg"}
    known = weeks.planned(weeks.PRESS, 1, warmup_loads=(20, 27.5), **sets)
    assert page(library, known).cards[0].warmup == ("20 kg", "27.5 kg")
    only, unknown = (weeks.planned(weeks.PRESS, 1, **(sets | {"load": load})) for load in (40.0, None))
    assert page(library, only).cards[0].warmup == ("a few easy repetitions",) * 2  # nothing lighter is there
    assert page(library, unknown).cards[0].warmup == ("lighter", "lighter")


def test_a_station_has_its_place_and_a_rule_that_a_caution_says_is_not_said_twice(library):
    places = {"city_club": {"cable_station": "back wall"}, "home": {"cable_station": "cellar"}}
    cable = weeks.planned("one_arm_low_cable_lateral_raise", 1)
    week = weeks.sample_week(sessions=(weeks.session("Mon", (cable,)),))
    desk = client.Desk(week, library, weeks.sample_brief(), places=places)
    assert "(back wall)" in client.pages(desk)[0].cards[0].needs
    band = weeks.planned("band_face_pull", 1)
    assert any("Look the band over" in rule for rule in page(library, band).rules)
    said = "Look the band over before each use: cracks or thin spots, bin it."
    exercise = library.exercises["band_face_pull"].model_copy(update={"cautions": (said,)})
    other = type(library)(**{**vars(library), "exercises": {**library.exercises, "band_face_pull": exercise}})
    assert not any("Look the band over" in rule for rule in page(other, band).rules)


PAIN, RISING, ASK = "Rear raise: pain 4, one set less.", "Rear raise: pain builds.", "Ask before you begin."


def warned(library, *sessions):
    """What each sheet warns of, where the rear raise hurt."""
    pain = ExerciseWarning(exercise=weeks.REAR, text=PAIN)
    both = (pain, pain.model_copy(update={"text": RISING, "first_sheet": True}))
    week = weeks.sample_week(sessions=sessions, warnings=(ASK, PAIN, RISING), exercise_warnings=both)
    return [page.warnings for page in client.pages(sample_desk(library, week))]


def test_warnings_stand_where_the_exercise_or_its_replacement_does(library):
    press, rear = weeks.planned(weeks.PRESS, 1), weeks.planned(weeks.REAR, 2)
    days = {"Mon": (press,), "Wed": (rear,), "Sat": (press, rear)}
    monday, wednesday, saturday = (weeks.session(*of) for of in days.items())
    assert warned(library, monday, wednesday, saturday) == [(RISING,), (PAIN, RISING), (PAIN, RISING)]
    assert warned(library, wednesday, monday) == [(PAIN, RISING), ()]
    instead = (Replacement(exercise=weeks.REAR, sets=3, reps=(8, 12)),)
    bare, other = (weeks.planned(weeks.PRESS, 1, instead=of) for of in ((), instead))
    assert warned(library, weeks.session("Mon", (bare,))) == [(RISING,)]
    both = weeks.session("Mon", (bare,)), weeks.session("Sat", (other,))
    assert warned(library, *both) == [(RISING,), (PAIN, RISING)]


def test_a_careful_region_gets_the_change_which_no_caution_crowds_out(library):
    press = library.exercises[weeks.PRESS]
    careful = care(press, sample_desk(library, joints={"subacromial": "careful"}))
    clear = care(press, sample_desk(library, joints={}, history={}))
    assert clear == "Free the floor around you of plates"
    assert careful == f"Stop a hand's width below shoulder height, thumbs up. {clear}"
    # a grade below moderate asks for no change unless the region is to be avoided
    for word, asked in (("careful", False), ("avoid", True)):
        assert ("handle" in care(press, sample_desk(library, joints={"elbow": word}, history={}))) == asked
    press = library.exercises[weeks.PRESS]
    stressed = {
        region: press.stress["subacromial"].model_copy(update={"grade": grade, "change": f"change {region}"})
        for region, grade in (("subacromial", 2), ("elbow", 3))
    }
    hurt = press.model_copy(update={"stress": stressed, "cautions": ("one", "two", "three")})
    both = {"subacromial": "careful", "elbow": "careful"}
    assert care(hurt, sample_desk(library, joints=both)) == "Change elbow. Change subacromial"
    assert care(hurt, sample_desk(library, joints={}, history={})) == "One. Two"
    twice = press.model_copy(update={"stress": {**press.stress, "elbow": press.stress["subacromial"]}})
    assert care(twice, sample_desk(library, joints=both)).count("hand's width") == 1  # the same is said once


def test_the_surgeons_yes_and_regions_are_those_of_the_week(library):
    caution = "After shoulder surgery only with the surgeon's written yes."
    raised = library.exercises[weeks.RAISE].model_copy(update={"cautions": (caution,), "stress": {}})
    assert care(raised, sample_desk(library)) == ""
    flagged = {"flags": ("after_surgery",)}
    assert care(raised, sample_desk(library, history=flagged)) == caution.rstrip(".")
    cleared = {**flagged, "surgery": {"date": datetime.date(2025, 1, 1), "cleared": True}}
    assert care(raised, sample_desk(library, history=cleared)) == ""
    # The stricter of flag and [joints] counts, but a region that the coach calls clear in so many words is
    # clear.
    assert sample_desk(library, joints={}).allowed["elbow"] == "careful"  # from the flag
    assert sample_desk(library, joints={"elbow": "avoid"}).allowed["elbow"] == "avoid"
    freed = sample_desk(library, joints={"elbow": "clear"})
    assert freed.allowed["elbow"] == "clear" and careful_names(freed) == []
    assert careful_names(sample_desk(library)) == ["top of the shoulder, under the arch", "elbow"]


def swapped():
    week = weeks.sample_week()
    monday = week.sessions[0].model_copy(update={"state": "done"})
    saturday = week.sessions[2].model_copy(update={"state": "missed"})
    minutes = MadeChange(kind="minutes", name="Thu", minutes=32)
    changes = (minutes, MadeChange(kind="without", name="pike_push_up"))
    return weeks.sample_week(sessions=(monday, week.sessions[1], saturday), changes=changes)


def test_what_became_of_a_session_is_said_and_one_without_work_has_a_line_alone(library):
    week = swapped()
    assert [say.minutes(session) for session in week.sessions[::2]] == ["trained", "missed"]
    html = sheets_html(sample_desk(library, week))
    assert "· trained" in html and "Saturday, 5 December 2026: missed." in html
    said = f"For this week alone: 32 min on Thursday; Without {library.exercises['pike_push_up'].name}."
    assert said in coach_html(sample_desk(library, swapped()))
    assert "For this week alone" not in coach_html(sample_desk(library))
    press = (weeks.planned(weeks.PRESS, 1),)
    days = (("Mon", ()), ("Tue", press), ("Thu", ()), ("Fri", press), ("Sat", ()))
    week = weeks.sample_week(sessions=tuple(weeks.session(day, work) for day, work in days))
    made = client.pages(sample_desk(library, week))
    assert [page.key for page in made] == ["Tue", "Fri"]
    also = [[line.split(",")[0] for line in page.also] for page in made]
    assert also == [["Monday", "Thursday"], ["Saturday"]]


@given(st.lists(st.integers(1, 2), min_size=1, max_size=6), st.integers(1, 3))
def test_a_long_session_is_cut_between_blocks_and_nothing_is_lost(sizes, parts):
    blocks = tuple(tuple(f"{n}{part}" for part in range(size)) for n, size in enumerate(sizes))
    also, warned = ("Tuesday: missed.",), ("Pain.",)
    whole = client.Page("Mon", "Monday", "", 1, 1, "", "", warned, blocks, (), also)
    made = client.split(whole, parts)
    assert sum((page.blocks for page in made), ()) == blocks and all(page.blocks for page in made)
    assert [page.part for page in made] == list(range(1, made[0].parts + 1))
    assert max(len(page.cards) for page in made) <= len(whole.cards) / parts + 2
    assert (made[0].warnings, made[-1].also) == (warned, also)
    assert not any(page.warnings for page in made[1:]) and not any(page.also for page in made[:-1])
