"""Files that are none, files that cannot be read, and what a gym can make."""

import os
from pathlib import Path

import pytest
from folders import ROOT

from planner.athlete.reading import read_athlete, read_gyms
from planner.files.text import read_toml


def make_pipe(path):
    os.mkfifo(path)


@pytest.mark.parametrize(
    ("make", "read", "remedy"),
    [
        (lambda path: None, "this file is missing", "Put the athlete's brief"),
        (Path.mkdir, "this is a folder", "a file"),
        (make_pipe, "this is no ordinary file", "a file"),
        (lambda path: path.symlink_to(path), "cannot be read", "Make the file readable"),
    ],
)
def test_a_brief_that_is_no_file(make, read, remedy, write, library, faults_of):
    folder = write(brief=None)
    make(folder / "brief.toml")
    (fault,) = faults_of(lambda: read_athlete(folder, library))
    assert fault.file == folder / "brief.toml"
    assert read in fault.read
    assert remedy in fault.remedy


def test_an_athlete_that_is_no_folder(write, library, faults_of):
    folder = write()
    for name, read in (("nobody", "no such folder"), ("brief.toml", "no folder")):
        (fault,) = faults_of(lambda name=name: read_athlete(folder / name, library))
        assert fault.file == folder / name
        assert read in fault.read
        assert "Name the athlete's folder" in fault.remedy


def test_a_file_that_grows_past_the_limit_while_it_is_read(write, library, faults_of, monkeypatch):
    folder = write("#" * 2_000_000)
    small = (folder / "gym.toml").stat()
    monkeypatch.setattr(os, "fstat", lambda _: small)
    faults = faults_of(lambda: read_toml(folder / "brief.toml", "a brief"))
    assert "1000001 bytes" in faults[0].read


def test_two_pulleys_are_one_pulley_too(write, library):
    club = read_gyms(write(), library)["club"]
    assert {"cable_station", "dual_cable_station"} <= set(club.equipment)
    assert (
        club.loads_of("cable_station")
        == club.loads_of("dual_cable_station")
        == tuple(i * 2.5 for i in range(1, 21))
    )


def test_own_loads_of_the_single_pulley_stand(write, library):
    gym = '[a]\nequipment = ["dual_cable_station", "cable_station"]\nloads.cable_station = [5, 10]\n'
    loads = read_gyms(write(gym=gym + "loads.dual_cable_station = [3]\n"), library)["a"].loads
    assert loads == {"cable_station": (5, 10), "dual_cable_station": (3,)}
    shared = read_gyms(write(gym=gym), library)["a"]
    assert shared.loads_of("dual_cable_station") == (5, 10)


@pytest.mark.parametrize(
    ("written", "loads"),
    [
        ("{ from = 2, to = 9, step = 2 }", (2, 4, 6, 8)),
        ("{ from = 0.1, to = 0.3, step = 0.1 }", (0.1, 0.2, 0.3)),
        ("{ from = 5, to = 5, step = 1 }", (5,)),
        ("[8, 4, 4, 6]", (4, 6, 8)),
    ],
)
def test_loads_that_a_gym_can_make(written, loads, write, library):
    gym = read_gyms(write(gym=f'[a]\nequipment = ["dumbbells"]\nloads.dumbbells = {written}\n'), library)["a"]
    assert gym.loads_of("dumbbells") == loads
    assert gym.loads_of("barbell") == ()


def test_the_demo_athlete_is_read(library):
    brief, gyms = read_athlete(ROOT / "demo_athlete", library)
    assert {session.gym for session in brief.session} == set(gyms) == {"club", "home"}
    assert all(gym.loads for gym in gyms.values())


@pytest.mark.parametrize(("stated", "unit"), [("", "lb"), ('unit = "kg"\n', "kg"), ('unit = "lb"\n', "lb")])
def test_a_gym_without_unit_has_the_athletes(stated, unit, write, library):
    folder = write(
        brief='[athlete]\nname = "Ada"\nunit = "lb"\n[[session]]\nday = "Mon"\nminutes = 40\ngym = "club"\n',
        gym=f'[club]\n{stated}equipment = ["dumbbells"]\n',
    )
    assert read_athlete(folder, library)[1]["club"].unit == unit
