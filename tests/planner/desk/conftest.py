"""A demo athlete whose week was planned as by the command, and a browser at the desk of that folder."""

import shutil

import pytest
from desk_client import KEY, SUNDAY, WEEK, at_desk
from folders import copy_of_demo

from planner.roster import Task, plan_one


@pytest.fixture(scope="session")
def planned(tmp_path_factory):
    folder = copy_of_demo(tmp_path_factory.mktemp("room") / KEY)
    assert plan_one(Task(folder, WEEK, SUNDAY, True)).exit in (0, 4)
    return folder


@pytest.fixture
def athlete(planned, tmp_path):
    return shutil.copytree(planned, tmp_path / KEY)


@pytest.fixture
def client(athlete, quick_paper):
    return at_desk(athlete.parent)
