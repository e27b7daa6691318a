"""Files of logged sets as a coach hands them in, for the tests of taking them in."""

import datetime

import pytest

from library.errors import FaultyInput
from library.read import read_library
from library.tables import read_sheet
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.log.intake import Manner, take_sheets_in
from planner.log.lines import SHEET, LogContext

LIBRARY = read_library()
PRESS = "seated_dumbbell_overhead_press"
RAISE = "standing_dumbbell_lateral_raise"
TODAY = datetime.date(2026, 12, 20)
HEADER = "date,session,exercise,set,load,reps,RIR,pain,where,kind,next_morning,note"
GOOD = (
    f"2026-11-30,Mon,{PRESS},1,22,10,2,0,,,,",
    f"2026-11-30,Mon,{PRESS},2,22,9,2,1,,joint,,felt heavy",
    f"2026-11-30,Mon,{RAISE},1,8,15,2,,,,,",
)


def context(gyms=None, name="Robin Vale"):
    """Monday and Thursday in the club (kg); `gyms` names other gyms with their units."""
    rooms = gyms or {"club": "kg"}
    sessions = [{"day": day, "minutes": 40, "gym": next(iter(rooms))} for day in ("Mon", "Thu")]
    brief = Brief.model_validate({"athlete": {"name": name}, "session": sessions})
    known = {key: Gym.model_validate({"unit": unit}) for key, unit in rooms.items()}
    return LogContext(brief, known, LIBRARY, TODAY)


def written(folder, *lines, header=HEADER, name="done.csv", encoding="utf-8"):
    file = folder / name
    file.write_text("\n".join([header, *lines]) + "\n", encoding=encoding)
    return file


def take_file_in(folder, file, where, manner):
    return take_sheets_in(folder, [read_sheet(file, SHEET)], where, manner)


def take(folder, *lines, manner=None, where=None, **how):
    return take_file_in(folder, written(folder, *lines, **how), where or context(), manner or Manner())


LOG = "log.csv"


def told(folder, *lines, **changes):
    """The faults of a file, which must add nothing."""
    before = (folder / LOG).read_bytes() if (folder / LOG).exists() else None
    with pytest.raises(FaultyInput) as error:
        take(folder, *lines, **changes)
    after = (folder / LOG).read_bytes() if (folder / LOG).exists() else None
    assert before == after
    return [str(fault) for fault in error.value.faults]


def later(load, number=1):
    return f"2026-12-07,Mon,{PRESS},{number},{load},10,2,,,,,"
