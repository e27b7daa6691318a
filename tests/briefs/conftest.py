"""Ten briefs and the demo, each planned once for all tests of this folder, for the week after 25 November 2026."""

import datetime
from functools import cache

import pytest
from folders import BRIEFS, DEMO, copy_of
from practice_clients import Client

from planner.week.gather import gather
from planner.week.plan import plan_week

TODAY = datetime.date(2026, 11, 25)


@pytest.fixture(scope="session")
def planned(tmp_path_factory):
    @cache
    def plan(name):
        folder = copy_of(source(name), tmp_path_factory.mktemp(name))
        # of the few that are searched longest; the dose of rear_first takes the whole of the usual time
        shorter = "rest_gap_minutes = 60\n" * (name in ("rear_first", "out_of_reach"))
        shorter += f"emergency_seconds = {3 if name == 'four_sessions' else 5}\n" * (name != "rear_first")
        with (folder / "brief.toml").open("a", encoding="utf-8") as brief:
            brief.write(f"[method]\n{shorter}")
        asked = gather(folder, None, TODAY)
        return Client(asked, plan_week(asked))

    return plan


@pytest.fixture
def athlete(tmp_path):
    """A copy of a brief's folder that a command may write to."""
    return lambda name: copy_of(source(name), tmp_path / name)


def source(name):
    return DEMO if name == DEMO.name else BRIEFS / name
