"""Every fault that brief.toml and gym.toml can have: file, key, what was read, what would do."""

import tomllib
from pathlib import Path
from string import Template
from typing import NamedTuple

import pytest

from library.files import REMEDIES, check_shape
from planner.athlete.brief import Brief
from planner.athlete.names import vocabularies
from planner.athlete.reading import BRIEF_RULES, GYM_RULES, Gyms, read_athlete

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


def authored():
    """The cases of wrong_input.toml."""
    rows = tomllib.loads((Path(__file__).parent / "wrong_input.toml").read_text())["case"]
    parts = {name: text.strip() for name, text in (("OK", OK), ("A", A), ("S", S), ("CLUB", CLUB))}
    return [Case(**{**row, "text": Template(row["text"]).substitute(parts)}) for row in rows]


def brief(kind, text, where, read, remedy):
    return Case(kind, "brief.toml", text, where, read, remedy)


ESCAPED = '[athlete]\nname = "A\\u001b[2Jda"\n'  # an escape that TOML allows and a terminal would obey
HUGE = OK.replace("40", "0x" + "f" * 5000)

CASES = [
    *authored(),
    brief("toml", OK + 'a = "x\x01"\n', "line 7, column 7", '`a = "x\\u0001"`', "Illegal character"),
    brief("toml", OK + "a = " + "[" * 5000, "", "nested too deeply", "the athlete's brief"),
    brief("toml", OK + "a = " + "9" * 5000, "", "cannot be read", "the athlete's brief"),
    brief("utf-8", OK.encode() + b'x = "\xff"', "line 7", "byte 0xff", "Save the file as UTF-8"),
    brief("long", b"#" * 10_000_000, "", "10000000 bytes", "At most 1000000 bytes"),
    brief("control", ESCAPED + S, "athlete.name", '"A\\u001b[2Jda"', "Remove the control characters"),
    brief("control", OK + '"a\\nb" = 1\n', 'session[1]."a\\u000ab"', '"a\\u000ab"', "Remove the control"),
    brief("number", HUGE, "session[1].minutes", "thousands of digits", "Write a number up to"),
]


def put(folder, case):
    for name, text in {"brief.toml": OK, "gym.toml": CLUB, case.file: case.text}.items():
        (folder / name).write_bytes(text.encode() if isinstance(text, str) else text)
    return folder


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.kind}-{case.where}"[:60])
def test_fault_names_file_key_what_was_read_and_what_would_do(case, tmp_path, library, faults_of):
    faults = faults_of(lambda: read_athlete(put(tmp_path, case), library))
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
