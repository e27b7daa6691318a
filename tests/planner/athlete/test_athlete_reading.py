"""Reading brief and gym, good ones or many faults at once; whatever the files hold, only FaultyInput comes out."""

import datetime
import os
import tomllib
from pathlib import Path
from string import Template
from typing import NamedTuple

import pytest
from mutant import toml_file

from library.files import REMEDIES, check_shape
from planner.athlete.brief import Brief, Preferences
from planner.athlete.names import vocabularies
from planner.athlete.reading import BRIEF_RULES, GYM_RULES, Gyms, read_athlete, read_brief, read_gyms


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
        "pin": {
            "push_up": {"day": "Fri", "sets": 3},
            "cable_face_pull": [{"day": day, "sets": 2} for day in ("Mon", "Fri")],
        },
        "paper": "Letter",
    },
    "block": {"reserve": [3, 2, 1], "away": ["2026-W52"], "lighter": ["2027-W02"]},
    "method": {"spread_sets": 3, "counting": "movers", "novice_floor": 5},
}


def test_a_full_brief_is_read_whole(write, library):
    brief = read_brief(write(as_file(FULL)), library)
    assert [(s.day, s.minutes) for s in brief.session] == [("Mon", 40), ("Fri", 30)]
    assert (brief.target["side"].target, brief.target["rear"].target) == (14, 0)
    assert brief.elsewhere["barbell_bench_press"].sets == 6 and brief.elsewhere["pull_up"].whole
    pins = [(key, pin.day, pin.sets) for key, pin in brief.preferences.pins]
    assert pins == [("cable_face_pull", "Mon", 2), ("cable_face_pull", "Fri", 2), ("push_up", "Fri", 3)]
    assert brief.history.surgery.cleared
    assert (brief.athlete.name, brief.athlete.skill, brief.arm_at_most_degrees) == ("Ada", 3, 120)
    assert dict(brief.joints) == {"elbow": "avoid", "subacromial": "careful"}
    block = brief.block
    assert (block.reserve, block.away, block.lighter) == ((3, 2, 1), ("2026-W52",), ("2027-W02",))


def test_exclusions_regions_flags_and_pulleys_go_by_all_their_names(write, library):
    excluded = read_brief(write(as_file(FULL)), library).preferences.excluded(library)
    assert excluded["dumbbell_upright_row"] == "dumbbell_upright_row"
    held = {key: (one.family, one.implement) for key, one in library.exercises.items()}
    groups = {key for key, kinds in held.items() if kinds[0] == "shrug" or kinds[1] == "kettlebell"}
    assert set(excluded) - {"dumbbell_upright_row"} == groups and "barbell_upright_row" not in excluded
    # a name that is an exercise and a family means the exercise
    assert library.exercises["push_up"].family == "push_up"
    assert set(Preferences(exclude=("push_up",)).excluded(library)) == {"push_up"}
    joints = {"AC joint": "acromioclavicular", "top of the shoulder": "subacromial", "Low back": "lumbar"}
    joints |= {"Outer end of the collar-bone": "acromioclavicular", "elbow": "elbow"}
    for written, key in joints.items():
        brief = read_brief(write(as_file({**FULL, "joints": {written: "careful"}})), library)
        assert brief.joints == {key: "careful"}
    flags = ["AC joint", "ac-joint", "trouble at the outer end of the collar-bone", "SLAP", "Rotator cuff"]
    brief = read_brief(write(as_file({**FULL, "history": {"flags": flags}})), library)
    assert brief.history.flags == (*["ac_joint"] * 3, "biceps_slap", "subacromial")


def test_language_and_time_of_day_are_read_and_wrong_ones_refused(write, library, faults_of):
    data = {**FULL, "athlete": {**FULL["athlete"], "language": "de"}}
    data["session"] = [{**FULL["session"][0], "at": "18:30"}, *FULL["session"][1:]]
    brief = read_brief(write(as_file(data)), library)
    assert (brief.athlete.language, [one.at for one in brief.session if one.at]) == ("de", ["18:30"])
    data["athlete"]["language"], data["session"][0]["at"] = "xx", "25:00"
    faults = faults_of(lambda: read_brief(write(as_file(data)), library))
    assert {"athlete.language", "session[1].at"} <= {fault.where for fault in faults}


def test_all_faults_of_both_files_are_told_at_once_and_none_hides_another(write, library, faults_of):
    sessions = [{"day": "Mon", "minutes": -1, "gym": "clbu"}, {"day": "Mon", "minutes": "x"}]
    wrong = {**FULL, "session": sessions, "target": {"sidde": 3}, "method": {"spread_sets": "x"}}
    folder = write(as_file(wrong | {"joints": {"elbow": "sore"}}), '[club]\nequipment = ["dumbells"]\n')
    told = {fault.where for fault in faults_of(lambda: read_athlete(folder, library))}
    assert told == {
        *("session[1].minutes", "session[1].gym", "session[2].minutes", "session[2].gym", "session[2].day"),
        *("target.sidde", "joints.elbow", "method.spread_sets"),
        *(f"preferences.pin.{key}.day" for key in ("cable_face_pull", "push_up")),
        "gym `club`.equipment[1]",
    }
    (folder / "gym.toml").unlink()
    folder = write(as_file({**FULL, "joints": {"elbow": 1}}), gym=None)
    places = [(fault.file.name, fault.where) for fault in faults_of(lambda: read_athlete(folder, library))]
    assert places == [("brief.toml", "joints.elbow"), ("gym.toml", "")]


@pytest.mark.parametrize("name", ["<b>Ada</b> & {{ 7 * 7 }}", "עדה \u200fלوفلايס", "\u202eevil", "Ada 𝔏 🏋"])
def test_any_readable_name_is_data_and_a_mark_and_windows_line_ends_do_no_harm(name, write, library):
    text = "\ufeff" + as_file({**FULL, "athlete": {"name": name}}).replace("\n", "\r\n")
    assert read_brief(write(text), library).athlete.name == name


@pytest.mark.parametrize(("make", "read", "remedy"), [
    (lambda path: None, "this file is missing", "Put the athlete's brief"),
    (Path.mkdir, "this is a folder", "a file"), (os.mkfifo, "this is no ordinary file", "a file"),
    (lambda path: path.symlink_to(path), "cannot be read", "Make the file readable"),
])  # fmt: skip
def test_a_brief_that_is_no_file(make, read, remedy, write, library, faults_of):
    folder = write(brief=None)
    make(folder / "brief.toml")
    (fault,) = faults_of(lambda: read_athlete(folder, library))
    assert fault.file == folder / "brief.toml" and read in fault.read and remedy in fault.remedy


def test_an_athlete_that_is_no_folder(write, library, faults_of):
    folder = write()
    for name, read in (("nobody", "no such folder"), ("brief.toml", "no folder")):
        (fault,) = faults_of(lambda name=name: read_athlete(folder / name, library))
        assert fault.file == folder / name and read in fault.read
        assert "Name the athlete's folder" in fault.remedy


def test_two_pulleys_are_one_pulley_too_and_own_loads_of_the_single_one_stand(write, library):
    club, both = read_gyms(write(), library)["club"], ("cable_station", "dual_cable_station")
    assert set(both) <= set(club.equipment)
    assert {club.loads_of(key) for key in both} == {tuple(i * 2.5 for i in range(1, 21))}
    gym = '[a]\nequipment = ["dual_cable_station", "cable_station"]\nloads.cable_station = [5, 10]\n'
    loads = read_gyms(write(gym=gym + "loads.dual_cable_station = [3]\n"), library)["a"].loads
    assert loads == {"cable_station": (5, 10), "dual_cable_station": (3,)}
    assert read_gyms(write(gym=gym), library)["a"].loads_of("dual_cable_station") == (5, 10)


@pytest.mark.parametrize(("written", "loads"), [
    ("{ from = 2, to = 9, step = 2 }", (2, 4, 6, 8)), ("[8, 4, 4, 6]", (4, 6, 8)),
    ("{ from = 0.1, to = 0.3, step = 0.1 }", (0.1, 0.2, 0.3)), ("{ from = 5, to = 5, step = 1 }", (5,)),
])  # fmt: skip
def test_loads_that_a_gym_can_make(written, loads, write, library):
    gym = read_gyms(write(gym=f'[a]\nequipment = ["dumbbells"]\nloads.dumbbells = {written}\n'), library)["a"]
    assert (gym.loads_of("dumbbells"), gym.loads_of("barbell")) == (loads, ())


@pytest.mark.parametrize(("stated", "unit"), [("", "lb"), ('unit = "kg"\n', "kg"), ('unit = "lb"\n', "lb")])
def test_a_gym_without_unit_has_the_athletes(stated, unit, write, library):
    brief = '[athlete]\nname = "Ada"\nunit = "lb"\n[[session]]\nday = "Mon"\nminutes = 40\ngym = "club"\n'
    folder = write(brief, f'[club]\n{stated}equipment = ["dumbbells"]\n')
    assert read_athlete(folder, library)[1]["club"].unit == unit


# --- Every fault that brief.toml and gym.toml can have: file, key, what was read, what would do
A = '[athlete]\nname = "Ada"\n'
S = '[[session]]\nday = "Mon"\nminutes = 40\ngym = "club"\n'
OK = A + S
CLUB = '[club]\nequipment = ["dumbbells"]\n'


class Case(NamedTuple):
    kind: str  # a name, a rule or a shape: see `test_every_kind_has_a_case`
    file: str
    text: str | bytes
    where: str
    read: str
    remedy: str


def brief(kind, text, where, read, remedy):
    return Case(kind, "brief.toml", text, where, read, remedy)


ESCAPED = '[athlete]\nname = "A\\u001b[2Jda"\n'  # an escape that TOML allows and a terminal would obey
HUGE = OK.replace("40", "0x" + "f" * 5000)
PARTS = {name: text.strip() for name, text in (("OK", OK), ("A", A), ("S", S), ("CLUB", CLUB))}
WRITTEN = tomllib.loads((Path(__file__).parent / "wrong_input.toml").read_text())
CASES = [
    *(Case(**{**row, "text": Template(row["text"]).substitute(PARTS)}) for row in WRITTEN["case"]),
    brief("toml", OK + 'a = "x\x01"\n', "line 7, column 7", '`a = "x\\u0001"`', "Illegal character"),
    brief("toml", OK + "a = " + "[" * 5000, "", "nested too deeply", "the athlete's brief"),
    brief("toml", OK + "a = " + "9" * 5000, "", "cannot be read", "the athlete's brief"),
    brief("utf-8", OK.encode() + b'x = "\xff"', "line 7", "byte 0xff", "Save the file as UTF-8"),
    brief("long", b"#" * 10_000_000, "", "10000000 bytes", "At most 1000000 bytes"),
    brief("control", ESCAPED + S, "athlete.name", '"A\\u001b[2Jda"', "Remove the control characters"),
    brief("control", OK + '"a\\nb" = 1\n', 'session[1]."a\\u000ab"', '"a\\u000ab"', "Remove the control"),
    brief("number", HUGE, "session[1].minutes", "thousands of digits", "Write a number up to"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.kind}-{case.where}"[:60])
def test_fault_names_file_key_what_was_read_and_what_would_do(case, tmp_path, library, faults_of):
    for name, text in {"brief.toml": OK, "gym.toml": CLUB, case.file: case.text}.items():
        (tmp_path / name).write_bytes(text.encode() if isinstance(text, str) else text)
    faults = faults_of(lambda: read_athlete(tmp_path, library))
    mine = [fault for fault in faults if fault.where == case.where]
    assert mine, [str(fault) for fault in faults]
    assert mine[0].file == tmp_path / case.file
    assert case.read in mine[0].read and case.remedy in mine[0].remedy
    assert all(str(fault).isprintable() for fault in faults)


def test_every_kind_has_a_case(library):
    kinds = {*REMEDIES, "missing", *vocabularies(library, ["club"])} - {"told"}
    kinds |= {rule.__name__ for rule in (*BRIEF_RULES, *GYM_RULES)}
    assert kinds <= {case.kind for case in CASES}


def leaves(schema, node, path=()):
    """Every place of a file that its model knows; `*` is any name, `0` a list's first."""
    if "$ref" in node:
        node = schema["$defs"][node["$ref"].rsplit("/", 1)[1]]
    below = [(path, branch) for branch in (*node.get("anyOf", ()), *node.get("oneOf", ()))]
    below += [((*path, key), value) for key, value in node.get("properties", {}).items()]
    if isinstance(node.get("additionalProperties"), dict):
        below.append(((*path, "*"), node["additionalProperties"]))
    if "items" in node:
        below.append(((*path, "0"), node["items"]))
    found = [leaf for place, value in below for leaf in leaves(schema, value, place)]
    return list(dict.fromkeys(found or [path]))


NAMES = {"target": "side", "elsewhere": "push_up", "joints": "elbow", "pin": "push_up", "": "club"}
NAMES |= {"loads": "dumbbells", "place": "dumbbells", "stations": "dumbbells", "not_on": "push_up"}
ODD = {"neither": "text", "nor": ["a", "number"]}


def placed(path, parent=""):
    """Build the file that holds an odd value at `path` and nothing else."""
    if not path:
        return ODD
    if path[0] == "0":
        return [placed(path[1:], parent)]
    return {NAMES[parent] if path[0] == "*" else path[0]: placed(path[1:], path[0])}


@pytest.mark.parametrize("model", [Brief, Gyms])
def test_every_place_of_a_file_refuses_an_odd_value_and_says_what_would_do(model, library):
    schema = model.model_json_schema()
    for path in leaves(schema, schema):
        if path[:1] == ("method",):  # its own model: see the cases above
            continue
        _, faults = check_shape(model, placed(path), Path("file"), vocabularies(library, ["club"]))
        told = [fault for fault in faults if "neither" in fault.read or "neither" in fault.where]
        assert told, path
        assert all(len(fault.remedy) > 10 and "another value" not in fault.remedy for fault in told), told
