"""Briefs, gyms and weeks on disk."""

import json

import pytest
from small_document import small_document

from library.errors import FaultyInput
from planner.athlete.writing import LOCK_FILE

BRIEF = """
[athlete]
name = "Ada"
training_status = "intermediate"

[[session]]
day = "Mon"
minutes = 40
gym = "club"

[[session]]
day = "Thu"
minutes = 30
gym = "home"
"""

GYM = """
[club]
equipment = ["dumbbells", "adjustable_bench", "dual_cable_station"]
[club.loads]
dumbbells = { from = 2, to = 40, step = 2 }
dual_cable_station = { from = 2.5, to = 50, step = 2.5 }

[home]
unit = "lb"
equipment = ["bands"]
"""


@pytest.fixture
def write(tmp_path):
    """Write brief.toml and gym.toml (text or bytes; None: no such file) and return the athlete's folder."""

    def put(brief=BRIEF, gym=GYM):
        for name, content in (("brief.toml", brief), ("gym.toml", gym)):
            if content is not None:
                (tmp_path / name).write_bytes(content.encode() if isinstance(content, str) else content)
        return tmp_path

    return put


@pytest.fixture(scope="session")
def faults_of():
    """Run something that is refused and return the faults it told."""

    def run(read):
        with pytest.raises(FaultyInput) as error:
            read()
        return error.value.faults

    return run


@pytest.fixture(scope="session")
def document():
    """Write an empty week's week.json, with changes."""

    def text(week, /, **changes):
        return json.dumps({**small_document({}, week).model_dump(mode="json"), "week_start": "", **changes})

    return text


@pytest.fixture(scope="session")
def files(document):
    """Return the files of a week: its document and a sheet of a few bytes."""
    return lambda week, sheet=b"sheet": {"week.json": document(week), "sheets.pdf": sheet}


@pytest.fixture(scope="session")
def standing():
    """List everything below a folder but the lock, as paths."""
    return lambda base: sorted(str(of.relative_to(base)) for of in base.rglob("*") if of.name != LOCK_FILE)
