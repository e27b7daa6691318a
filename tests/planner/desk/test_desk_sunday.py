"""The whole Sunday of one invented client, and that the desk writes what the commands write."""

import datetime
import html
import json
import re

import pytest
from desk_client import SUNDAY, at_desk, form_of, told, waited, words
from folders import copy_of_demo

from planner.athlete.folder import in_force
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.roster import Task, plan_one

WEEK = "2026-W49"
ROOM = ["dumbbells", "adjustable_bench", "cable_station", "bands", "band_anchor"]


def signed(client, key):
    """Sign the proposal that the week's page shows."""
    page = waited(client, client.get(f"/week/{key}"))
    return client.post(f"/sign/{key}", data=form_of(page, f"/sign/{key}"))


def edit(client, key, kind, *words):
    return waited(client, client.post(f"/edit/{key}", data={"kind": kind, "word": list(words), "week": WEEK}))


def plan(client, key, week=""):
    return waited(client, client.post(f"/plan/{key}", data={"week": week}))


@pytest.mark.slow
def test_a_sunday_without_a_terminal(tmp_path):
    client = at_desk(tmp_path)
    assert "Nobody is here yet" in words(client.get("/"))
    form = {"name": "Kim Ash", "training_status": "novice", "minutes.Mon": "40", "minutes.Thu": "40"}
    page = client.post("/new", data=form | {"gym": "club", "equipment": ROOM})
    assert page.status_code == 200, told(page)
    folder = tmp_path / "kim_ash"
    assert "no plan" in words(client.get("/"))

    page = plan(client, "kim_ash")
    assert page.status_code == 200, told(page)
    assert not (folder / "weeks").exists()  # nothing is written before it is signed
    assert "waits to be signed" in words(client.get("/"))
    page = signed(client, "kim_ash")
    assert page.status_code == 200, told(page)
    assert (folder / "weeks" / WEEK / "week.json").is_file()
    assert "next week planned" in words(client.get("/"))
    paper = client.get("/paper/sheets/kim_ash", params={"week": WEEK})
    assert paper.status_code == 200 and paper.content[:4] in (b"%PDF", b"<!do", b"<!DO")

    first = in_force(folder, SUNDAY)
    key = first.sessions[0].exercises[0].exercise
    assert client.get("/instead/kim_ash", params={"exercise": key, "week": WEEK}).status_code == 200
    page = edit(client, "kim_ash", "drop", key)
    assert page.status_code == 200 and "Proposal" in words(page), told(page)
    assert in_force(folder, SUNDAY) == first
    page = signed(client, "kim_ash")
    assert page.status_code == 200, told(page)
    second = in_force(folder, SUNDAY)
    assert key not in {line.exercise for one in second.sessions for line in one.exercises}
    assert (folder / "weeks" / WEEK / "v1" / "week.json").is_file()

    monday = at_desk(tmp_path, datetime.date(2026, 11, 30))
    form = form_of(monday.get("/log/kim_ash"), "/log/kim_ash")
    rows = [name.split(".")[0] for name in form if name.endswith(".reps")]
    assert len(rows) == sum(line.sets for one in second.sessions for line in one.exercises)
    sets_of_monday = sum(line.sets for line in second.sessions[0].exercises)
    for row in rows[:sets_of_monday]:
        form |= {f"{row}.reps": ["10"], f"{row}.rir": ["2"], f"{row}.load": ["6"]}
    page = monday.post("/log/kim_ash", data=form)
    assert page.status_code == 200, told(page)
    assert "Next loads" in words(page)
    assert len((folder / "log.csv").read_text().splitlines()) == sets_of_monday + 1

    page = plan(monday, "kim_ash", "next")
    assert page.status_code == 200 and "2026-W50" in words(page)
    assert signed(monday, "kim_ash").status_code == 200
    assert in_force(folder, datetime.date(2026, 11, 30)).week == "2026-W50"


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A demo athlete whose week was planned as by the command."""
    folder = copy_of_demo(tmp_path_factory.mktemp("room") / "demo")
    assert plan_one(Task(folder, WEEK, SUNDAY, True)).exit in (0, 4)
    return folder


@pytest.fixture
def athlete(planned, tmp_path):
    return copy_of_demo(tmp_path / "demo") and copied(planned, tmp_path / "demo")


def copied(source, target):
    import shutil

    shutil.copytree(source / "weeks", target / "weeks")
    return target


def without_clock(path):
    """week.json without the seconds that a search took."""
    return re.sub(r'"seconds": [\d.e-]+', '"seconds": 0', path.read_text())


def test_the_desk_writes_what_the_command_writes(planned, tmp_path):
    folder = copy_of_demo(tmp_path / "demo")
    client = at_desk(tmp_path)
    plan(client, "demo", WEEK)
    assert signed(client, "demo").status_code == 200
    written, expected = (place / "weeks" / WEEK for place in (folder, planned))
    assert without_clock(written / "week.json") == without_clock(expected / "week.json")
    assert (written / "week.csv").read_bytes() == (expected / "week.csv").read_bytes()
    assert {file.name for file in written.iterdir()} == {file.name for file in expected.iterdir()}


def test_changes_add_up_can_be_undone_and_are_those_of_the_command(athlete):
    client = at_desk(athlete.parent)
    before = in_force(athlete, SUNDAY)
    edit(client, "demo", "minutes", "Mon=30")
    page = edit(client, "demo", "without", "home:bands")
    assert page.status_code == 200, told(page)
    edit(client, "demo", "missed", "Sat")
    client.post("/step/demo", data={"by": "-1"})
    assert in_force(athlete, SUNDAY) == before
    expected = swap_week(
        athlete, Options(minutes=("Mon=30",), without=("home:bands",)), SUNDAY, WEEK
    ).document
    assert signed(client, "demo").status_code == 200
    now = in_force(athlete, SUNDAY)
    assert (now.sessions, set(now.changes)) == (expected.sessions, set(expected.changes))
    assert now.changes


def test_a_discarded_proposal_writes_nothing(athlete):
    client = at_desk(athlete.parent)
    before = {
        file: file.read_bytes() for file in athlete.rglob("*") if file.is_file() and file.name != ".lock"
    }
    edit(client, "demo", "missed", "Wed")
    assert "Proposal" in words(client.get("/week/demo"))
    assert "Proposal" not in words(client.post("/discard/demo"))
    assert before == {
        file: file.read_bytes() for file in athlete.rglob("*") if file.is_file() and file.name != ".lock"
    }


@pytest.mark.parametrize("name", ["club ä/kim #1", "what?", "100 % & more", "a+b;c"])
def test_folders_may_have_any_name(tmp_path, name):
    copy_of_demo(tmp_path / name)
    client = at_desk(tmp_path)
    link = re.search(r'href="(/week/[^"]+)"', client.get("/").text)
    assert link and client.get(html.unescape(link[1])).status_code == 200
    action = link[1].replace("/week/", "/discard/")
    page = client.post(html.unescape(action))
    assert page.status_code == 200 and "discarded" in told(page)


def test_a_word_that_the_command_refuses_is_told(athlete):
    page = edit(at_desk(athlete.parent), "demo", "minutes", "Mon=lots")
    assert page.status_code == 422 and "lots" in words(page)


def test_what_was_not_seen_is_not_signed(athlete):
    client = at_desk(athlete.parent)
    edit(client, "demo", "missed", "Wed")
    stale = form_of(client.get("/week/demo"), "/sign/demo")
    edit(client, "demo", "minutes", "Mon=30")
    assert client.post("/sign/demo", data=stale).status_code == 422


def test_a_proposal_of_files_that_changed_is_not_signed(athlete):
    client = at_desk(athlete.parent)
    edit(client, "demo", "missed", "Wed")
    brief = athlete / "brief.toml"
    brief.write_text(brief.read_text().replace("minutes = 40", "minutes = 45"))
    before = (athlete / "weeks" / WEEK / "week.json").read_bytes()
    assert signed(client, "demo").status_code == 422
    assert (athlete / "weeks" / WEEK / "week.json").read_bytes() == before
    assert "out of date" in words(client.get("/"))


def test_pain_comes_first_on_the_sunday_page(athlete):
    page = words(at_desk(athlete.parent).get("/"))
    pain = json.loads((athlete / "weeks" / WEEK / "week.json").read_text())["pain"]
    assert pain and all(line in page for line in pain)


def test_faults_of_a_typed_log_stand_at_their_lines(athlete):
    client = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    form = form_of(client.get("/log/demo"), "/log/demo")
    form |= {"0.reps": ["ten"], "1.reps": ["10"], "1.pain": ["11"]}
    before = (athlete / "log.csv").read_bytes()
    page = client.post("/log/demo", data=form)
    assert page.status_code == 422
    assert 'value="ten"' in page.text
    assert page.text.count('<tr class="fault">') == 2
    assert (athlete / "log.csv").read_bytes() == before


def test_a_file_is_taken_in_once(athlete):
    client = at_desk(athlete.parent)
    lines = "date,session,exercise,set,load,load_unit,reps,rir,gym\n2026-11-28,Sat,machine_reverse_fly,1,25,kg,12,2,club\n"
    for count in ("1 set added", "0 sets added"):
        page = client.post("/log/demo", files={"file": ("../../evil.csv", lines)})
        assert page.status_code == 200 and count in words(page), told(page)
    assert not list(athlete.parent.parent.rglob("evil*"))


def test_a_table_of_another_plan_is_not_taken_for_this_one(athlete):
    client = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    form = form_of(client.get("/log/demo"), "/log/demo") | {"0.reps": ["10"]}
    edit(client, "demo", "missed", "Mon")
    assert signed(client, "demo").status_code == 200
    before = (athlete / "log.csv").read_bytes()
    assert client.post("/log/demo", data=form).status_code == 422
    assert (athlete / "log.csv").read_bytes() == before


def test_a_phone_sheet_goes_out_and_what_it_saved_comes_in(athlete):
    client = at_desk(athlete.parent)
    page = client.get("/paper/Mon/demo", params={"week": WEEK})
    assert page.status_code == 200 and page.headers["content-disposition"].startswith("attachment")
    page = client.post("/log/demo", files={"file": ("Mon.json", b"{}")})
    assert page.status_code == 422 and "your file.json" in told(page)


def test_what_pain_took_out_comes_back_by_the_coachs_word_alone(athlete):
    client = at_desk(athlete.parent)
    assert client.post("/cleared/demo", data={"exercise": "machine_reverse_fly"}).status_code == 422
    head = "date,session,exercise,set,load,load_unit,reps,rir,gym,pain,where,kind\n"
    line = "2026-11-28,Sat,machine_reverse_fly,1,25,kg,12,2,club,8,subacromial,sharp\n"
    page = client.post("/log/demo", files={"file": ("log.csv", head + line)})
    assert page.status_code == 200, told(page)
    form = form_of(client.get("/log/demo"), "/cleared/demo")
    assert form == {"exercise": ["machine_reverse_fly"]}
    later = at_desk(athlete.parent, datetime.date(2026, 12, 1))
    page = later.post("/cleared/demo", data=form)
    assert page.status_code == 200 and "cleared" in told(page)
    assert "/cleared/" not in page.text


def test_a_file_of_another_kind_is_refused(athlete):
    page = at_desk(athlete.parent).post("/log/demo", files={"file": ("log.exe", b"MZ")})
    assert page.status_code == 422 and ".csv" in words(page)


def test_the_library_gives_the_rows_of_an_exercise(athlete):
    client = at_desk(athlete.parent)
    assert "Machine reverse fly" in words(client.get("/library"))
    assert "[machine_reverse_fly]" in words(client.get("/library/machine_reverse_fly"))
    assert client.get("/library/nothing").status_code == 404
