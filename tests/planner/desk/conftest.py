"""A demo athlete whose week was planned as by the command, and a browser at the desk of that folder."""

import shutil

import pytest
from desk_client import KEY, SUNDAY, WEEK, at_desk
from folders import copy_of_demo
from in_process import draw_quickly

from planner.roster import Task, plan_one


@pytest.fixture(scope="session")
def planned(tmp_path_factory):
    folder = copy_of_demo(tmp_path_factory.mktemp("room") / KEY)
    with pytest.MonkeyPatch.context() as patch:
        draw_quickly(patch)
        assert plan_one(Task(folder, WEEK, SUNDAY, True)).exit == 0
    return folder


@pytest.fixture
def athlete(planned, tmp_path):
    return shutil.copytree(planned, tmp_path / KEY)


@pytest.fixture
def client(athlete, quick_paper):
    return at_desk(athlete.parent)
