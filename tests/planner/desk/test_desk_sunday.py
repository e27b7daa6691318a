"""That the desk writes what the commands write, and nothing before it is signed; pain, and the log."""

import datetime
import html
import json
import re
import subprocess
import sys

import pytest
from desk_client import KEY, SUNDAY, WEEK, at_desk, edit, form_of, post, sign, told, words
from folders import copy_of_demo

from planner.athlete import writing
from planner.athlete.folder import in_force
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.desk.room import Room
from planner.log.blank import write_blank
from planner.train.desk import Desk as LogDesk


def without_clock(path):
    """week.json without the seconds that a search took."""
    return re.sub(r'"seconds": [\d.e-]+', '"seconds": 0', path.read_text())


def test_the_desk_writes_what_the_command_writes(planned, tmp_path, quick_paper):
    folder = copy_of_demo(tmp_path / KEY)
    client = at_desk(tmp_path)
    post(client, "plan", week=WEEK)
    assert sign(client).status_code == 200
    written, expected = (place / "weeks" / WEEK for place in (folder, planned))
    assert without_clock(written / "week.json") == without_clock(expected / "week.json")
    assert (written / "week.csv").read_bytes() == (expected / "week.csv").read_bytes()
    assert {file.name for file in written.iterdir()} == {file.name for file in expected.iterdir()}


def test_changes_add_up_can_be_undone_and_are_those_of_the_command(client, athlete):
    before = in_force(athlete, SUNDAY)
    edit(client, "minutes", "Mon=30")
    page = edit(client, "without", "home:bands")
    assert page.status_code == 200, told(page)
    edit(client, "missed", "Sat")
    client.post(f"/step/{KEY}", data={"by": "-1"})
    assert in_force(athlete, SUNDAY) == before
    told_so = Options(minutes=("Mon=30",), without=("home:bands",))
    expected = swap_week(athlete, told_so, SUNDAY, WEEK).document
    assert sign(client).status_code == 200
    now = in_force(athlete, SUNDAY)
    assert (now.sessions, set(now.changes)) == (expected.sessions, set(expected.changes))
    assert now.changes


def contents(folder):
    return {file: file.read_bytes() for file in folder.rglob("*") if file.is_file() and file.name != ".lock"}


def test_what_was_discarded_not_seen_or_of_other_files_is_not_signed(client, athlete):
    before = contents(athlete)
    edit(client, "missed", "Wed")
    assert "Proposal" in words(client.get(f"/week/{KEY}"))
    assert "Proposal" not in words(client.post(f"/discard/{KEY}"))
    assert contents(athlete) == before
    edit(client, "missed", "Wed")
    stale = form_of(client.get(f"/week/{KEY}"), f"/sign/{KEY}")
    edit(client, "minutes", "Mon=30")
    assert client.post(f"/sign/{KEY}", data=stale).status_code == 422
    edit(client, "missed", "Wed")
    brief = athlete / "brief.toml"
    brief.write_text(brief.read_text().replace("minutes = 40", "minutes = 45"))
    before = (athlete / "weeks" / WEEK / "week.json").read_bytes()
    assert sign(client).status_code == 422
    assert (athlete / "weeks" / WEEK / "week.json").read_bytes() == before
    assert "out of date" in words(client.get("/"))


@pytest.mark.parametrize("name", ["club ä/kim #1", "what?", "100 % & more", "a+b;c"])
def test_folders_may_have_any_name(tmp_path, name):
    copy_of_demo(tmp_path / name)
    client = at_desk(tmp_path)
    link = re.search(r'href="(/week/[^"]+)"', client.get("/").text)
    assert link and client.get(html.unescape(link[1])).status_code == 200
    action = link[1].replace("/week/", "/discard/")
    page = client.post(html.unescape(action))
    assert page.status_code == 200 and "discarded" in told(page)


def test_a_command_at_work_on_the_athlete_is_told_and_harms_nothing(client, athlete, monkeypatch):
    monkeypatch.setattr(writing, "FOLDER", writing.FOLDER.but(lock_seconds=0.2))
    edit(client, "missed", "Wed")
    hold = f"from filelock import FileLock\nwith FileLock({str(athlete / writing.LOCK_FILE)!r}): print(flush=True), input()"
    command = subprocess.Popen([sys.executable, "-c", hold], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    command.stdout.readline()
    page = sign(client)
    assert page.status_code == 422 and "another run" in told(page)
    command.communicate(b"\n", timeout=60)
    assert sign(client).status_code == 200


def test_pain_comes_first_and_a_week_that_is_over_leaves_the_next_one_due(client, athlete):
    page = words(client.get("/"))
    pain = json.loads((athlete / "weeks" / WEEK / "week.json").read_text())["pain"]
    assert pain and all(line in page for line in pain)
    last, after = (words(at_desk(athlete.parent, datetime.date(2026, 12, day)).get("/")) for day in (4, 6))
    assert "all that are due" not in last and "all that are due (1)" in after


def test_faults_of_a_typed_log_stand_at_their_lines_and_a_file_is_taken_in_once(client, athlete):
    client = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    form = form_of(client.get(f"/log/{KEY}"), f"/log/{KEY}")
    form |= {"0.reps": ["ten"], "1.reps": ["10"], "1.pain": ["11"]}
    before = (athlete / "log.csv").read_bytes()
    page = client.post(f"/log/{KEY}", data=form)
    assert page.status_code == 422
    assert 'value="ten"' in page.text
    assert page.text.count('<tr class="fault">') == 2
    assert (athlete / "log.csv").read_bytes() == before
    lines = "date,session,exercise,set,load,load_unit,reps,rir,gym\n2026-11-28,Sat,machine_reverse_fly,1,25,kg,12,2,club\n"
    for count in ("1 set added", "0 sets added"):
        page = client.post(f"/log/{KEY}", files={"file": ("../../evil.csv", lines)})
        assert page.status_code == 200 and count in words(page), told(page)
    assert not list(athlete.parent.parent.rglob("evil*"))


def test_a_table_to_fill_in_is_that_of_the_command_and_of_this_plan_alone(client, athlete, tmp_path):
    write_blank(LogDesk.open(athlete, SUNDAY).due(), file := tmp_path / "log.csv")
    assert client.get(f"/blank_log/{KEY}", params={"as": "csv"}).content == file.read_bytes()
    assert client.get(f"/blank_log/{KEY}").content[:2] == b"PK"  # a workbook
    client = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    form = form_of(client.get(f"/log/{KEY}"), f"/log/{KEY}") | {"0.reps": ["10"]}
    edit(client, "missed", "Mon")
    assert sign(client).status_code == 200
    before = (athlete / "log.csv").read_bytes()
    assert client.post(f"/log/{KEY}", data=form).status_code == 422
    assert (athlete / "log.csv").read_bytes() == before


@pytest.mark.slow
def test_the_desk_says_whether_the_installation_works(client, quick_paper):
    page = words(client.get("/doctor"))
    assert "known optimum" in page and "numbers, 0 moved" in page


def test_a_phone_sheet_comes_back_and_what_is_logged_stands_in_the_table(client, athlete):
    page = client.get(f"/paper/Mon/{KEY}", params={"week": WEEK})
    assert page.status_code == 200 and page.headers["content-disposition"].startswith("attachment")
    for name, data, said in (("Mon.json", b"{}", "your file.json"), ("log.exe", b"MZ", ".csv")):
        page = client.post(f"/log/{KEY}", files={"file": (name, data)})
        assert page.status_code == 422 and said in told(page)
    later = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    form = form_of(later.get(f"/log/{KEY}"), f"/log/{KEY}") | {"0.reps": ["9"], "0.rir": ["2"]}
    form |= {"0.load": ["10"], "0.pain": ["2"], "0.where": ["elbow"], "0.kind": ["joint"]}
    assert later.post(f"/log/{KEY}", data=form).status_code == 200
    again = form_of(later.get(f"/log/{KEY}"), f"/log/{KEY}")
    assert again == form
    post(later, "plan", week="2026-W50")
    assert sign(later).status_code == 200
    at_last = at_desk(athlete.parent, datetime.date(2026, 12, 20))
    assert form_of(at_last.get(f"/log/{KEY}"), f"/log/{KEY}") != form
    assert form_of(at_last.get(f"/log/{KEY}", params={"week": WEEK}), f"/log/{KEY}") == form


def test_what_pain_took_out_comes_back_by_the_coachs_word_alone(client, athlete):
    assert client.post(f"/cleared/{KEY}", data={"exercise": "machine_reverse_fly"}).status_code == 422
    head = "date,session,exercise,set,load,load_unit,reps,rir,gym,pain,where,kind\n"
    line = "2026-11-28,Sat,machine_reverse_fly,1,25,kg,12,2,club,8,subacromial,sharp\n"
    page = client.post(f"/log/{KEY}", files={"file": ("log.csv", head + line)})
    assert page.status_code == 200, told(page)
    form = form_of(client.get(f"/log/{KEY}"), f"/cleared/{KEY}")
    assert form == {"exercise": ["machine_reverse_fly"], "day": [""]}
    later = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    page = later.post(f"/cleared/{KEY}", data=form)
    assert page.status_code == 200 and "cleared" in told(page)
    assert "/cleared/" not in page.text


def test_the_library_gives_the_rows_of_an_exercise_and_an_hour_that_nobody_trains_in_is_told(client, athlete):
    assert "Machine reverse fly" in words(client.get("/library"))
    assert "[machine_reverse_fly]" in words(client.get("/library/machine_reverse_fly"))
    assert client.get("/library/nothing").status_code == 404
    rear = words(client.get("/library", params={"trains": "rear", "implement": "cable", "q": "fly"}))
    assert "Standing two-cable rear fly" in rear and "Machine reverse fly" not in rear
    page = client.post("/hour", data={"at": "Mon 18:00", "week": WEEK})
    assert page.status_code == 422 and told(page)
    assert client.post("/hour", data={"at": "noon"}).status_code == 422


def test_a_large_folder_is_read_piece_by_piece_and_a_change_is_seen_in_its_turn(tmp_path, monkeypatch):
    monkeypatch.setattr("planner.desk.room.READ_WITHIN_SECONDS", 0)
    for name in ("ada", "ben", "cem"):
        copy_of_demo(tmp_path / name)
    room = Room(tmp_path, lambda: SUNDAY)
    states = [sorted(row.state for row in room.standings()).count("unread") for _ in range(3)]
    assert states == [2, 1, 0]
    (tmp_path / "ben" / "brief.toml").write_text("x")
    rows = [row for _ in range(3) for row in room.standings()]
    assert any(row.key == "ben" and row.error for row in rows)
