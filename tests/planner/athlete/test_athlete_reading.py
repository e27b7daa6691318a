"""Reading a good brief, or many faults at once; whatever the files hold, only FaultyInput comes out."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mutant import toml_file

from library.errors import FaultyInput
from planner.athlete.brief import Preferences
from planner.athlete.reading import read_athlete, read_brief


def as_file(data):
    return toml_file(data).decode()


FULL = {
    "athlete": {"name": "Ada", "bodyweight_kg": 70, "training_status": "advanced", "unit": "lb", "skill": 3},
    "history": {
        "questionnaire": {"date": datetime.date(2026, 9, 1), "outcome": "clear"},
        "surgery": {"date": datetime.date(2020, 2, 29), "cleared": True},
        "flags": ["ac_joint", "neck"],
    },
    "session": [{"day": "Fri", "minutes": 30, "gym": "home"}, {"day": "Mon", "minutes": 40, "gym": "club"}],
    "target": {"side": 14, "front": {"floor": 4, "target": 9, "ceiling": 15, "now": 8}, "rear": 0},
    "elsewhere": {"barbell_bench_press": 6, "pull_up": {"sets": 4, "day": "Tue", "whole": True}},
    "joints": {"subacromial": "careful", "elbow": "avoid", "arm_at_most_degrees": 120},
    "variety": {"implements": 3, "families": ["rear_fly"], "share": 0.4, "keep": 4, "must": True},
    "preferences": {
        "exclude": ["dumbbell_upright_row", "shrug", "kettlebell"],
        "only": ["bodyweight", "cable", "dumbbell", "band"],
        "prefer": ["push_up"],
        "pin": {"push_up": {"day": "Fri", "sets": 3}, "cable_face_pull": {"day": "Mon", "sets": 2}},
        "paper": "Letter",
    },
    "block": {"reserve": [3, 2, 1], "away": ["2026-W52"], "lighter": ["2027-W02"]},
    "method": {"spread_sets": 3, "counting": "movers", "novice_floor": 5},
}


@pytest.fixture
def read(library):
    """Read a folder (a fixture of its own: hypothesis would print the whole library)."""
    return lambda folder: read_athlete(folder, library)[0]


def test_a_full_brief_is_read_whole(write, library):
    brief = read_brief(write(as_file(FULL)), library)
    assert brief.athlete.name == "Ada"
    assert [(s.day, s.minutes) for s in brief.session] == [("Mon", 40), ("Fri", 30)]
    assert brief.target["side"].target == 14
    assert brief.target["rear"].target == 0
    assert brief.elsewhere["barbell_bench_press"].sets == 6
    assert brief.elsewhere["pull_up"].whole
    assert brief.preferences.pin["push_up"].sets == 3
    assert brief.history.surgery is not None
    assert brief.history.surgery.cleared
    assert brief.athlete.skill == 3
    assert (dict(brief.joints), brief.arm_at_most_degrees) == (
        {"elbow": "avoid", "subacromial": "careful"},
        120,
    )
    assert (brief.block.reserve, brief.block.away, brief.block.lighter) == (
        (3, 2, 1),
        ("2026-W52",),
        ("2027-W02",),
    )


def test_exclude_names_exercises_families_and_implements(write, library):
    excluded = read_brief(write(as_file(FULL)), library).preferences.excluded(library)
    assert excluded["dumbbell_upright_row"] == "dumbbell_upright_row"
    held = {key: (one.family, one.implement) for key, one in library.exercises.items()}
    assert set(excluded) - {"dumbbell_upright_row"} == {
        key for key, (family, implement) in held.items() if family == "shrug" or implement == "kettlebell"
    }
    assert "barbell_upright_row" not in excluded


def test_a_name_that_is_an_exercise_and_a_family_means_the_exercise(library):
    assert library.exercises["push_up"].family == "push_up"
    assert set(Preferences(exclude=("push_up",)).excluded(library)) == {"push_up"}


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("AC joint", "acromioclavicular"), ("top of the shoulder", "subacromial"),
        ("Outer end of the collar-bone", "acromioclavicular"), ("Low back", "lumbar"), ("elbow", "elbow"),
    ],
)  # fmt: skip
def test_joint_regions_go_by_their_trade_names(write, library, written, key):
    brief = read_brief(write(as_file({**FULL, "joints": {written: "careful"}})), library)
    assert brief.joints == {key: "careful"}


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("AC joint", "ac_joint"), ("ac-joint", "ac_joint"),
        ("trouble at the outer end of the collar-bone", "ac_joint"), ("SLAP", "biceps_slap"),
        ("Rotator cuff", "subacromial"),
    ],
)  # fmt: skip
def test_flags_go_by_their_printed_and_trade_names(write, library, written, key):
    brief = read_brief(write(as_file({**FULL, "history": {"flags": [written]}})), library)
    assert brief.history.flags == (key,)


def test_language_and_time_of_day_are_read_and_wrong_ones_refused(write, library):
    data = {**FULL, "athlete": {**FULL["athlete"], "language": "de"}}
    data["session"] = [{**FULL["session"][0], "at": "18:30"}, *FULL["session"][1:]]
    brief = read_brief(write(as_file(data)), library)
    assert brief.athlete.language == "de"
    assert sorted(one.at for one in brief.session if one.at) == ["18:30"]
    data["athlete"]["language"], data["session"][0]["at"] = "xx", "25:00"
    with pytest.raises(FaultyInput) as refused:
        read_brief(write(as_file(data)), library)
    assert {"athlete.language", "session[1].at"} <= {fault.where for fault in refused.value.faults}


def shuffled(value, chance):
    if isinstance(value, dict):
        keys = chance.sample(list(value), len(value))
        return {key: shuffled(value[key], chance) for key in keys}
    return [shuffled(item, chance) for item in value] if isinstance(value, list) else value


@settings(max_examples=20)
@given(st.randoms(use_true_random=False))
def test_the_order_of_keys_changes_nothing(write, read, chance):
    plain = read(write(as_file(FULL))).model_dump_json()
    mixed = {**FULL, "session": chance.sample(FULL["session"], 2)}
    assert read(write(as_file(shuffled(mixed, chance)))).model_dump_json() == plain


def test_all_faults_of_both_files_are_told_at_once(write, library, faults_of):
    wrong = {
        **FULL,
        "session": [{"day": "Mon", "minutes": -1, "gym": "clbu"}, {"day": "Mon", "minutes": "x"}],
    }
    wrong |= {"target": {"sidde": 3}, "method": {"spread_sets": "x"}, "joints": {"elbow": "sore"}}
    folder = write(as_file(wrong), '[club]\nequipment = ["dumbells"]\n')
    told = {fault.where for fault in faults_of(lambda: read_athlete(folder, library))}
    assert told == {
        "session[1].minutes",
        "session[1].gym",
        "session[2].minutes",
        "session[2].gym",
        "session[2].day",
        "target.sidde",
        "joints.elbow",
        "method.spread_sets",
        "preferences.pin.push_up.day",
        "gym `club`.equipment[1]",
    }


def test_a_faulty_gym_file_hides_no_fault_of_the_brief(write, library, faults_of):
    folder = write(as_file({**FULL, "joints": {"elbow": 1}}), gym=None)
    faults = faults_of(lambda: read_athlete(folder, library))
    assert [(fault.file.name, fault.where) for fault in faults] == [
        ("brief.toml", "joints.elbow"),
        ("gym.toml", ""),
    ]


@pytest.mark.parametrize("name", ["<b>Ada</b> & {{ 7 * 7 }}", "עדה \u200fلوفلايس", "\u202eevil", "Ada 𝔏 🏋"])
def test_any_readable_name_is_data(name, write, library):
    data = {**FULL, "athlete": {"name": name}}
    assert read_brief(write(as_file(data)), library).athlete.name == name


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(write, library):
    text = "\ufeff" + as_file(FULL).replace("\n", "\r\n")
    assert read_brief(write(text), library).athlete.name == "Ada"


def test_files_are_never_written(write, library):
    folder = write(as_file(FULL))
    before = {file: (file.read_bytes(), file.stat().st_mtime_ns) for file in folder.iterdir()}
    read_athlete(folder, library)
    assert {file: (file.read_bytes(), file.stat().st_mtime_ns) for file in folder.iterdir()} == before
