"""`planner roster FOLDER --together`: from folders to the floor's timetable, and whatever may be wrong with it."""

import json
import shutil
from collections import Counter
from datetime import datetime
from itertools import pairwise

import pytest
from in_process import pages_of, planner
from one_room import HOUR, STATIONS, WEEK, brief, gym, room_of
from small_athlete import make_folder

from planner.method import ROOM

PEOPLE = 4
FEW = {**STATIONS, "dual_cable_station": 1, "adjustable_bench": 1}


def together(folder, *more, hour=HOUR):
    return planner("roster", folder, "--week", WEEK, "--together", hour, *more)


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    return room_of(tmp_path_factory.mktemp("club"), PEOPLE, FEW)


@pytest.fixture
def copy(club, tmp_path):
    """A copy of the club's folder, to spoil."""
    return shutil.copytree(club, tmp_path / "club")


@pytest.fixture(scope="module")
def room(club):
    ended = together(club, "--json")
    assert ended.returncode == 0, ended.stderr
    document = json.loads(ended.stdout)
    assert (document["week"], document["hour"], document["told"]) == (WEEK, HOUR, [])
    assert not list(club.glob("*.pdf"))
    return document["rooms"][0]


def test_each_keeps_the_plan_and_no_station_has_more_people_than_it_has_places(room, club):
    used = Counter()
    for at, person in enumerate(room["people"], start=1):
        week = json.loads((club / f"athlete_{at:02d}" / "weeks" / WEEK / "week.json").read_text())
        (monday,) = (day for day in week["sessions"] if day["day"] == "Mon")
        planned = {line["block"]: line["name"] for line in monday["exercises"]}
        visits = person["visits"]
        assert sorted(planned) == sorted(visit["block"] for visit in visits)
        for visit in visits:
            if not visit["instead"]:
                assert visit["exercises"][0].startswith(planned[visit["block"]])
            first, last = (datetime.strptime(visit[key], "%H:%M") for key in ("from", "to"))
            minutes = int((last - first).total_seconds() // 60)
            start = 60 * first.hour + first.minute
            used.update((key, start + minute) for key in visit["stations"] for minute in range(minutes))
        assert all(one["to"] <= two["from"] for one, two in pairwise(visits))
    assert used
    assert all(people <= FEW[key] for (key, _), people in used.items())
    assert room["status"] == "proven"
    assert room["proof"]["waiting"]["value"] == room["proof"]["waiting"]["bound"]


def test_the_table_says_the_same(room, copy, quick_paper):
    ended = together(copy)
    assert ended.returncode == 0
    for person in room["people"]:
        assert person["name"] in ended.stdout
        assert all(f"{visit['from']} {visit['block']} " in ended.stdout for visit in person["visits"])
    assert str(copy / f"together-{WEEK}-Mon-1800-club.pdf") in ended.stderr


def test_the_page_holds_every_name_and_time_and_speaks_to_each_client_in_their_language(copy):
    german = brief(0).replace('name = "Ada Brook"', 'name = "Ada Brook"\nlanguage = "de"')
    (copy / "athlete_01" / "brief.toml").write_text(german)
    ended = together(copy, "--json", "--save")
    people = json.loads(ended.stdout)["rooms"][0]["people"]
    (page,) = copy.glob("together-*.pdf")
    table, slips = (" ".join(text.split()) for text in pages_of(page))
    assert all(person["name"] in text for person in people for text in (table, slips))
    assert all(visit["from"] in slips for person in people for visit in person["visits"])
    ada, _, others = slips.partition(people[1]["name"])
    assert "Aufwärmen" in ada and people[0]["visits"][0]["exercises"][0] not in ada
    assert "Aufwärmen" not in others and people[1]["visits"][0]["exercises"][0] in others


@pytest.mark.parametrize("hour", ["Mon", "Mun 18:00", "Mon 25:00", "Mon 09:00"])
def test_no_such_hour(club, hour):
    ended = together(club, hour=hour)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert hour in ended.stderr and "Mon 18:00" in ended.stderr


def test_who_begins_within_the_hour_or_is_still_there_belongs_to_it(copy):
    earlier, later = (copy / f"athlete_{at:02d}" / "brief.toml" for at in (1, 2))
    earlier.write_text(earlier.read_text().replace("18:00", "17:40"))
    later.write_text(later.read_text().replace("18:00", "18:20"))
    people = json.loads(together(copy, "--json").stdout)["rooms"][0]["people"]
    assert [one["from"] for one in people] == ["17:40", "18:20", "18:00", "18:00"]
    assert all(one["from"] < one["visits"][0]["from"] for one in people)


def test_gym_files_that_count_differently_or_wrongly_are_told(tmp_path, copy):
    wrong = gym({"rack": 1}).replace("{ rack = 1 }", "{ rack = 0, rakc = 1, bands = 2 }")
    make_folder(tmp_path / "ada", brief(0), wrong)
    ended = together(tmp_path)
    assert ended.returncode == 2
    for key in ("rack", "rakc", "bands"):
        assert f"stations.{key}" in ended.stderr
    file = copy / "athlete_02" / "gym.toml"
    file.write_text(file.read_text().replace("rack = 1", "rack = 3"))
    ended = together(copy)
    assert ended.returncode == 2
    assert all(words in ended.stderr for words in ("athlete_01", "athlete_02", "stations.rack"))


def test_two_hundred_people_in_one_room(tmp_path):
    for at in range(200):
        make_folder(tmp_path / f"{at:03d}", brief(at), gym(STATIONS))
    ended = together(tmp_path)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "200 athletes" in ended.stderr


def test_who_has_no_week_or_a_broken_file_is_named_and_the_others_share_the_room(copy):
    shutil.rmtree(copy / "athlete_01" / "weeks")
    (copy / "athlete_02" / "brief.toml").write_text("[athlete")
    ended = together(copy, "--json")
    assert ended.returncode == 2
    document = json.loads(ended.stdout)
    assert len(document["rooms"][0]["people"]) == PEOPLE - 2
    assert [line.partition(":")[0] for line in document["told"]] == ["athlete_02", "Ada Brook"]
    assert str(copy) not in ended.stdout  # it is printed on the page
    ended = together(copy, hour="Mon 09:00")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "Mon 18:00" in ended.stderr and "athlete_02" in ended.stderr


def test_a_room_that_is_too_small_says_for_whom_and_writes_nothing(copy, monkeypatch):
    monkeypatch.setattr("planner.room.people.ROOM", ROOM.but(replacements_looked_at=0))
    for at in range(PEOPLE):  # everybody asks for the one bench all the time
        file = copy / f"athlete_{at + 1:02d}" / "weeks" / WEEK / "week.json"
        week = json.loads(file.read_text())
        for day in week["sessions"]:
            day["exercises"] = day["exercises"][:1]
            day["exercises"][0] |= {"exercise": "seated_dumbbell_overhead_press", "minutes": 45.0}
        file.write_text(json.dumps(week))
    ended = together(copy)
    assert (ended.returncode, ended.stdout) == (3, "")
    assert "adjustable bench, 1 there" in ended.stderr
    assert not list(copy.glob("together-*"))


def test_without_the_extra_package_it_says_what_to_install(club, monkeypatch):
    monkeypatch.setattr("planner.room.table.find_spec", lambda _: None)
    ended = together(club)
    assert ended.returncode == 2
    assert "deltoid-planner[room]" in ended.stderr
