"""planner check: all faults of all files at once, or what they come to and every default."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from in_process import planner

import library.read
from library.errors import Fault, FaultyInput, PaperNotMade
from library.method import method
from planner import doctor as parts
from planner.check import check_athlete, check_document, check_text
from planner.doctor import Finding
from planner.sheets import render

BRIEF = """
[athlete]
name = "Ada <b>"
bodyweight_kg = 61.5
unit = "lb"
[history]
questionnaire = { date = 2026-09-01, outcome = "clear" }
flags = ["subacromial"]
[[session]]
day = "Thu"
minutes = 35
gym = "home"
[[session]]
day = "Mon"
minutes = 40
gym = "club"
[target]
side = { target = 14, now = 5, must = true }
rear = 0
[elsewhere]
barbell_bench_press = { sets = 6, day = "Tue" }
[joints]
subacromial = "clear"
wrist = "avoid"
[preferences]
pin = { floor_prone_y_raise = { day = "Thu", sets = 3 } }
paired = true
[method]
spread_sets = 3
"""
GYM = """
[club]
equipment = ["dumbbells", "dual_cable_station"]
loads.dumbbells = { from = 2, to = 40, step = 2 }
[home]
unit = "lb"
equipment = []
"""
WEEK = "2026-W49"


@pytest.fixture
def athlete(tmp_path):
    (tmp_path / "brief.toml").write_text(BRIEF)
    (tmp_path / "gym.toml").write_text(GYM)
    return tmp_path


@pytest.fixture
def checked(athlete, library):
    return check_athlete(athlete, library, WEEK)


def test_the_page_says_what_the_brief_comes_to(checked, library):
    lines = {" ".join(line.split()) for line in check_text(checked, library).splitlines()}
    names = {key: library.heads[key].name for key in library.heads}
    assert lines >= {
        "Ada <b>: novice, 61.5 kg, loads in lb; week of 30 November (2026-W49)",
        *("questionnaire of 2026-09-01: clear", "Mon 40 min club", "Thu 35 min home"),
        *("dumbbells: 2 to 40 in steps of 2", "cable station, one adjustable pulley"),
        *("home (loads in lb): no equipment", f"{names['front']} 4 8 12 1 default no"),
        *(f"{names['side']} 4 6 7 1 default yes", f"{names['rear']} not trained"),
        f"{library.exercises['barbell_bench_press'].name}: 6 sets a week, Tue",
        *(f"{library.regions['wrist'].name}: avoid", "all others: clear", "paired: yes"),
        *("pin: floor_prone_y_raise on Thu, 3 sets", "weeks: none planned yet"),
    }
    warned = sorted(line for line in lines if line.startswith("! "))
    assert len(warned) == 2
    assert "The coach's word counts" in "".join(warned) and "One step goes to 6" in "".join(warned)


def test_every_default_is_printed_with_unit_and_source_what_the_brief_changes_first(checked, library):
    text = check_text(checked, library)
    lines = [" ".join(line.split()) for line in text.splitlines()]
    for row in (row for rows in method().values() for row in rows.values()):
        shown = [line for line in lines if line.startswith(f"{row.name} ")]
        assert any(f"{row.unit} {row.text} [{row.source}]".strip() in line for line in shown), row
    assert any(line.startswith("spread_sets 3 (brief; default 2) direct sets") for line in lines)
    defaults = check_text(checked, library).partition("\nDefaults\n")[2]
    parts = ("Changed by brief.toml.", "spread_sets", "(may be set under [method])", "common_share")
    places = [defaults.index(words) for words in parts]
    assert places == sorted(places) and defaults.count("(brief; default 2)") == 2
    unchanged = tuple((row, value) for row, value in checked.defaults if value == row.value)
    assert "Changed by brief.toml." not in check_text(replace(checked, defaults=unchanged), library)


def test_the_document_holds_the_same(checked, library):
    found = json.loads(json.dumps(check_document(checked)))
    assert (found["athlete"], found["week"], found["week_start"]) == ("Ada <b>", WEEK, "2026-11-30")
    assert found["cleared"] and len(found["warnings"]) == 2 and found["joints"]["wrist"] == "avoid"
    assert [session["day"] for session in found["sessions"]] == ["Mon", "Thu"]
    assert {target["head"]: target["target"] for target in found["targets"]} == {"front": 8, "side": 6}
    assert found["gyms"]["club"]["loads"]["dumbbells"] == {"from": 2, "to": 40, "step": 2}
    changed = [item for item in found["defaults"] if item["value"] != item["default"]]
    parts = ("table", "name", "value", "default")
    assert [[item[part] for part in parts] for item in changed] == [["week", "spread_sets", 3, 2]]


def test_faults_of_every_file_are_told_together(athlete, library):
    (athlete / "brief.toml").write_text(BRIEF.replace("35", "-1"))
    (athlete / "gym.toml").write_text(GYM.replace('"dumbbells"', '"dumbells"'))
    for name in ("evidence.csv", "log.csv"):
        (athlete / name).write_text("nonsense\n")
    for week in ("2026-W40", "2026-W41"):
        (athlete / "weeks" / week).mkdir(parents=True)
        (athlete / "weeks" / week / "week.json").write_text('{"version": 2}')
    with pytest.raises(FaultyInput) as error:
        check_athlete(athlete, library, "2026-W99")
    files = [Path(fault.file) for fault in error.value.faults]
    named = {file.name for file in files} | {f"{file.parent.name}/{file.name}" for file in files}
    assert named >= {"--week", "brief.toml", "gym.toml", "evidence.csv", "log.csv"}
    assert named >= {"2026-W40/week.json", "2026-W41/week.json"}
    with pytest.raises(FaultyInput) as error:  # a missing folder is told once
        check_athlete(athlete / "nobody", library, WEEK)
    assert [fault.read for fault in error.value.faults] == ["there is no such folder"]


def test_the_command_prints_the_page_or_one_document(athlete):
    assert planner("check", athlete, "--week", WEEK).stdout.startswith("Ada <b>: novice")
    told = planner("check", athlete, "--json")
    assert json.loads(told.stdout)["athlete"] == "Ada <b>" and told.stderr == ""


@pytest.mark.parametrize(("old", "new", "shown", "told"), [
    ("[history]\n", "[history]\nsurgery = { date = 2026-05-04 }\n",
        "! An operation on 2026-05-04 is recorded without clearance", "clearance"),
    ('day = "Thu", sets = 3', 'day = "Thu", sets = 9', "Ada <b>", "9 sets on Thu: an exercise has 2 to 4 sets"),
])  # fmt: skip
def test_what_stops_planning_is_told_after_the_page_and_ends_with_3(athlete, old, new, shown, told):
    (athlete / "brief.toml").write_text(BRIEF.replace(old, new))
    done = planner("check", athlete, "--week", WEEK)
    assert done.returncode == 3 and shown in done.stdout and told in done.stderr


# --- The doctor: what each part says where all is well and where it fails, exit codes, table and document
WORKS = Finding("works", "all well")
BROKEN = Finding("broken", "it is not", ("Do this.", "Then that."))
MISSING = Finding("missing", "not here", ("Install it.",))


def run(monkeypatch, *options, **findings):
    needs = {"solver": "week", "data": "week", "PDF": "paper"}
    made = [(name, need, findings.get(name, WORKS)) for name, need in needs.items()]
    monkeypatch.setattr(parts, "examine", lambda: made)
    return planner("doctor", *options)


@pytest.mark.parametrize(("findings", "code"), [
    ({}, 0), ({"PDF": BROKEN}, 4), ({"solver": BROKEN}, 1), ({"solver": BROKEN, "PDF": MISSING}, 1),
])  # fmt: skip
def test_exit_codes(monkeypatch, findings, code):
    assert run(monkeypatch, **findings).returncode == code


def test_the_document_and_the_table_hold_every_part_and_a_look_that_fails_is_a_broken_part(monkeypatch):
    document = json.loads(run(monkeypatch, "--json", PDF=MISSING).stdout)
    assert (document["works"], document["exit"]) == (False, 4)
    assert [part["state"] for part in document["parts"]] == ["works", "works", "missing"]
    assert document["parts"][2]["remedy"] == ["Install it."]
    lines = [line.split() for line in run(monkeypatch, solver=BROKEN).stdout.splitlines()]
    assert lines[:3] == [["solver", "broken", "it", "is", "not"], ["Do", "this."], ["Then", "that."]]
    monkeypatch.undo()  # the real looks: the toy's optimum, the shipped data, a page
    needed = {name: finding.state for name, _, finding in parts.examine()}
    assert len(needed) == 3 and set(needed.values()) == {"works"}
    first, second = parts.examine([("one", "week", lambda: 1 / 0), ("two", "paper", lambda: WORKS)])
    assert first[2].state == "broken" and "ZeroDivisionError" in first[2].found
    assert second[2] is WORKS


@pytest.mark.parametrize("answer", [(21.0, 21.0), (20.0, 20.5), (float("inf"), 20.0)])
def test_a_solver_that_is_wrong_is_told(monkeypatch, answer):
    monkeypatch.setattr(parts, "solve_toy", lambda: answer)
    finding = parts.look_at_solver()
    assert finding.state == "broken" and finding.remedy and "known optimum 20" in finding.found


def failing(monkeypatch, reason):
    def fails(html, refine=None):
        raise PaperNotMade("The PDF could not be made", html) from reason

    monkeypatch.setattr(render, "html_to_pdf", fails)


def test_missing_pango_says_what_to_install_for_each_platform(monkeypatch):
    failing(monkeypatch, OSError("cannot load library 'libpango-1.0-0'.  Searched\nmore"))
    for manager, order in parts.INSTALL_PANGO.items():
        monkeypatch.setattr(parts.shutil, "which", lambda name, here=manager: name == here or None)
        finding = parts.look_at_paper()
        assert (finding.state, finding.remedy[0]) == ("missing", order)
        assert "Searched" not in finding.found
    monkeypatch.setattr(parts.shutil, "which", lambda name: None)
    assert parts.look_at_paper().remedy[0] == parts.UNKNOWN
    failing(monkeypatch, ImportError("No module named 'weasyprint'"))
    assert parts.look_at_paper().state == "broken"


def test_faulty_data_are_told_with_their_first_fault_and_the_number_of_others(monkeypatch):
    def broken():
        raise FaultyInput(Fault("heads.toml", f"line {n}", "was read", "Mend it") for n in (1, 2, 3))

    monkeypatch.setattr(library.read, "read_library", broken)
    finding = parts.look_at_data()
    assert finding.state == "broken"
    assert finding.found.startswith("heads.toml: line 1") and "2 more" in finding.found
