"""What `planner swap` is told: read word by word, every fault at once; and what brief and gyms are after it."""

import datetime

import pytest

from library.errors import FaultyInput
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.change.told import Known, Options, read_options
from planner.document import MadeChange
from planner.week.edits import applied, joined, takes_back

MONDAY, SUNDAY = datetime.date(2026, 11, 30), datetime.date(2026, 12, 6)
PRESS = "seated_dumbbell_overhead_press"
DAYS = [{"day": day, "minutes": 30, "gym": "club"} for day in ("Mon", "Wed", "Fri")]
WISHES = {"pin": {PRESS: {"day": "Mon", "sets": 3}}, "exclude": ["cable_face_pull"]}
BRIEF = Brief.model_validate({"athlete": {"name": "Kim"}, "session": DAYS, "preferences": WISHES})
CLUB = {"equipment": ["dumbbells", "dual_cable_station"], "loads": {"dumbbells": [4, 6, 8]}}
HOME = Gym.model_validate({"equipment": ["dumbbells", "bands"]})
GYMS = {"club": Gym.model_validate(CLUB).with_what_follows(), "home": HOME}


@pytest.fixture
def read(library):
    def reader(over=None, before=(), gyms=("club", "home"), today=SUNDAY, **options):
        known = Known(library, BRIEF, gyms, over or {}, MONDAY, today, before)
        return read_options(Options(**options), known)

    return reader


def faults(read):
    with pytest.raises(FaultyInput) as error:
        read()
    return [str(fault) for fault in error.value.faults]


@pytest.mark.parametrize(("options", "change"), [
    ({"without": ("bands",)}, MadeChange(kind="without", name="bands")),
    ({"without": ("Bands",)}, MadeChange(kind="without", name="bands")),
    ({"without": ("home:bands", "home:bands")}, MadeChange(kind="without", name="bands", gym="home")),
    ({"with_": ("club:barbell",)}, MadeChange(kind="with", name="barbell", gym="club")),
    ({"with_": ("dumbbell_shrug",)}, MadeChange(kind="with", name="dumbbell_shrug")),
    ({"minutes": ("friday= 20",)}, MadeChange(kind="minutes", name="Fri", minutes=20)),
    ({"drop": ("Dumbbell shrug",)}, MadeChange(kind="without", name="dumbbell_shrug")),
    ({"drop": (PRESS,), "done": ("Mon",)}, MadeChange(kind="without", name=PRESS)),  # its pin is done
])  # fmt: skip
def test_words_become_data(options, change, read):
    assert read(**options).changes == (change,)


def test_days_are_done_from_their_date_on_missed_ahead_or_taken_back(read):
    told = read(done=("Mon", "wed"), missed=("Friday",)).states
    assert told == {"Mon": "done", "Wed": "done", "Fri": "missed"}
    over = {"Mon": "done", "Wed": "missed"}
    assert read(over=over, back=("Mon", "Wed")).states == {"Mon": "planned", "Wed": "planned"}
    assert read(over=over, missed=("Mon",)).states == {"Mon": "missed"}
    [told_fault] = faults(lambda: read(over=over, done=("Wed",)))
    assert "--back Wed" in told_fault
    assert read(today=MONDAY, done=("Mon",)).states == {"Mon": "done"}
    [told] = faults(lambda: read(today=MONDAY, done=("Wed",)))
    assert "2026-12-02" in told and "2026-11-30" in told
    assert read(today=MONDAY, missed=("Wed",)).states == {"Wed": "missed"}
    [told] = faults(lambda: read(today=datetime.date(2026, 11, 26), done=("Mon",)))
    assert "the week in force begins on 2026-11-30" in told


@pytest.mark.parametrize(("options", "words"), [
    ({"without": ("cabel_station",)}, ['--without: "cabel_station"', 'did you mean "cable_station"?']),
    ({"with_": ("clubb:bands",)}, ['did you mean "club"?']),
    ({"with_": ("home:dumbbell_shrug",)}, ["No equipment or exercise has this name"]),
    ({"with_": ("barbell",)}, ["--with club:barbell"]),
    ({"drop": ("dumbell_shrug",)}, ["--drop", 'did you mean "dumbbell_shrug"?']),
    ({"drop": (PRESS,)}, ['brief.toml pins it on "Mon"']),
    ({"minutes": ("Mon",)}, ["from 10 to 240", "Mon=30"]),
    ({"minutes": ("Mon=2.5",)}, ["from 10 to 240"]), ({"minutes": ("Mon=500",)}, ["from 10 to 240"]),
    ({"minutes": ("Mond=20",)}, ['did you mean "Mon"?']), ({"minutes": ("Mon=20", "Mon=30")}, ["twice"]),
    ({"done": ("Sat",)}, ["No session is on Sat", '"Mon", "Wed", "Fri"']),
    ({"done": ("Mon",), "missed": ("mon",)}, ["--done, --missed, --back", "twice"]),
    ({"missed": ("Mon",), "back": ("Mon",)}, ["--done, --missed, --back", "twice"]),
    ({"done": ("Mon",), "minutes": ("Mon=20",)}, ["its minutes stand"]),
    ({"without": ("club:bands",), "with_": ("club:bands",)}, ["twice"]),
])  # fmt: skip
def test_a_wrong_word_is_told_with_what_would_do(options, words, read):
    told = "\n".join(faults(lambda: read(**options)))
    assert all(word in told for word in words), told


def test_all_faults_are_told_at_once_and_one_gym_needs_no_name(read):
    told = faults(lambda: read(without=("qqqq",), drop=("wwww",), done=("Moon", "Sat"), back=("x",)))
    assert len(told) == 5
    gone = (MadeChange(kind="without", name="barbell"),)
    for known in ({"before": gone}, {"gyms": ("club",)}):
        assert read(**known, with_=("barbell",)).changes == (MadeChange(kind="with", name="barbell"),)
    assert takes_back(MadeChange(kind="with", name="barbell"), gone)


# --- what brief and gyms are after changes
def without(name, gym=""):
    return MadeChange(kind="without", name=name, gym=gym)


def bring(name, gym=""):
    return MadeChange(kind="with", name=name, gym=gym)


def minutes(day, many):
    return MadeChange(kind="minutes", name=day, minutes=many)


def test_equipment_goes_and_comes_with_what_it_includes_exercises_and_minutes_change_the_brief_alone(library):
    _, gone = applied([without("cable_station")], BRIEF, GYMS, library)
    assert gone["club"].equipment == ("dumbbells",)  # no single cable where the double station is taken
    _, gone = applied([without("dumbbells", "club")], BRIEF, GYMS, library)
    assert "dumbbells" not in gone["club"].loads and gone["home"].equipment == ("dumbbells", "bands")
    _, back = applied([without("dumbbells"), bring("dumbbells")], BRIEF, GYMS, library)
    assert back["club"].loads == GYMS["club"].loads
    assert set(back["club"].equipment) == set(GYMS["club"].equipment)
    _, more = applied([bring("dual_cable_station", "home")], BRIEF, GYMS, library)
    assert "cable_station" in more["home"].with_what_follows().equipment
    brief, gyms = applied([without("cable_face_pull"), minutes("Wed", 15)], BRIEF, GYMS, library)
    assert brief.preferences.exclude == ("cable_face_pull",)
    assert gyms["club"].equipment == GYMS["club"].equipment
    assert [one.minutes for one in brief.session] == [30, 15, 30]
    brief, _ = applied([bring("cable_face_pull")], BRIEF, GYMS, library)
    assert brief.preferences.exclude == ()
    assert BRIEF.preferences.exclude == ("cable_face_pull",)  # the brief itself never changes


@pytest.mark.parametrize(("before", "new", "left"), [
    ((), (without("bands"),), (without("bands"),)),
    ((without("bands"),), (bring("bands"),), ()),
    ((without("dumbbells", "club"),), (bring("dumbbells"),), ()),
    ((minutes("Mon", 20),), (minutes("Mon", 15),), (minutes("Mon", 15),)),
    ((minutes("Mon", 20),), (minutes("Mon", 30),), ()),  # as the brief says
    ((), (without("barbell"),), ()),  # was not there
    ((without("bands"), minutes("Mon", 20)), (bring("bands"),), (minutes("Mon", 20),)),
    ((bring("barbell", "club"),), (without("barbell"),), ()),
])  # fmt: skip
def test_what_changes_nothing_leaves_no_trace(before, new, left, library):
    together = joined(before, new, BRIEF, GYMS, library)
    assert together == left
    assert joined(together, (), BRIEF, GYMS, library) == left
