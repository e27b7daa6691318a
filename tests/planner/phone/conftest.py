"""A planned week of the demo athlete, in the past of any day on which this runs, and what its phone pages save."""

import json
import shutil
from pathlib import Path

import pytest

from planner.athlete.folder import read_week
from planner.phone.saved import plan_mark

WEEK, DATE = "2026-W30", "2026-07-20"


@pytest.fixture
def athlete(demo_planned, tmp_path):
    return Path(shutil.copytree(demo_planned, tmp_path / "athlete"))


@pytest.fixture
def session(demo_planned):
    return read_week(demo_planned, WEEK).sessions[0]


@pytest.fixture
def saved(session):
    """What the first session's page saves if every set was done as asked."""
    return {
        "planner_phone": 1, "athlete": "Robin Vale", "week": WEEK, "session": session.id, "gym": session.gym,
        "plan": plan_mark(session), "date": DATE,
        "sets": [row(item, number) for item in session.exercises for number in range(1, item.sets + 1)],
    }  # fmt: skip


def row(item, number):
    unit = item.load_unit or ""
    figures = {"load": "10" if unit else "", "load_unit": unit, "reps": str(item.reps[0]), "rir": "2"}
    return {"exercise": item.exercise, "set": str(number), **figures, "pain": "0"}


@pytest.fixture
def write(tmp_path):
    """Write what a phone saved to a file; text is written as it is."""

    def write(data, name="saved.json"):
        file = tmp_path / name
        file.write_text(data if isinstance(data, str) else json.dumps(data, indent=1), encoding="utf-8")
        return file

    return write
