"""[method]: a brief's own values reach the settings records, with their types, and nothing else does."""

import datetime
from pathlib import Path

import pytest
from small_athlete import BRIEF, make_folder

from library.errors import PlannerError
from library.method import CreditSettings, method, setting_rows
from library.pool import pool_library
from planner.athlete.brief import Brief, Card, Session
from planner.athlete.reading import method_faults, method_of, read_brief
from planner.method import OVERRIDABLE, MeasureSettings, WeekSettings
from planner.publish import check_sound
from planner.week.gather import gather
from planner.week.plan import plan_week

RECORDS = (WeekSettings, MeasureSettings)


def test_values_of_the_brief_and_else_defaults():
    said = {"joint_easy_share": 1, "smallest_block_sets": 3, "counting": "movers", "price_empty_session": 5}
    asked = Brief(athlete=Card(name="Ada"), session=(Session(day="Mon", minutes=40, gym="a"),), method=said)
    assert method_of(asked, WeekSettings) == WeekSettings().but(**said)
    assert isinstance(method_of(asked, WeekSettings).joint_easy_share, float)
    assert method_of(asked, CreditSettings) == CreditSettings()


@pytest.mark.parametrize(("name", "value", "remedy"), [
    ("joint_easy_share", -0.1, "from 0 to 1 (share of the budget)"), ("joint_easy_share", 1.1, "from 0 to 1"),
    ("joint_easy_share", float("nan"), "from 0 to 1"), ("joint_easy_share", "0.5", "a number from 0 to 1"),
    ("joint_easy_share", True, "a number from 0 to 1"), ("clear_grade", 4, "a whole number from 0 to 3"),
    ("smallest_block_sets", 2.5, "a whole number from 0"), ("smallest_block_sets", float("inf"), "a whole number from 0"),
    ("smallest_block_sets", 10**12, "to 200"), ("counting", "three", 'one of "activation", "movers"'),
    ("notch", 1, "true or false"), ("tie_break", [], "a number from 0"), ("tie_brake", 3, 'did you mean "tie_break"?'),
])  # fmt: skip
def test_names_types_and_ranges(name, value, remedy):
    (fault,) = method_faults({name: value}, Path("brief.toml"), RECORDS)
    assert fault.where == f"method.{name}"
    assert remedy in fault.remedy


def test_values_that_a_record_itself_refuses():
    (fault,) = method_faults({"smallest_block_sets": 5, "counting": "movers"}, Path("brief.toml"), RECORDS)
    assert (fault.where, fault.read) == ("method", 'counting = "movers", smallest_block_sets = 5')
    assert fault.remedy == "Write `smallest_block_sets` from 1 up to `largest_block_sets`"


@pytest.mark.parametrize("absurd", [
    {"draws": 0}, {"smallest_block_sets": 0}, {"smallest_block_sets": 5}, {"exercises_per_session": 0},
    {"booked_minutes_each": 0}, {"spread_sets": 0.0}, {"dose_price_below": 1.5}, {"price_minute": 1000.0},
    {"short_block_sets_novice": 0}, {"credit_floor": 0.0}, {"least_credit": 1.0},
    {"neutral_share": 1.0, "eccentric_weight": 0.0},
], ids=str)  # fmt: skip
def test_values_that_nothing_can_be_planned_with_are_refused(absurd):
    assert method_faults(absurd, Path("brief.toml"), OVERRIDABLE)


def ends():
    """Each number that a brief may set with the smallest and the largest value that is believed, and some between."""
    rows = [row for record in OVERRIDABLE for row in setting_rows(record())]
    numbers = [row for row in rows if isinstance(row.value, int | float) and not isinstance(row.value, bool)]
    return [
        (row.name, value)
        for row in numbers
        for value in dict.fromkeys(type(row.value)(row.value * by) for by in (0, 0.01, 0.5, 10, 100))
        if not method_faults({row.name: value}, Path("brief.toml"), OVERRIDABLE)
    ]


@pytest.mark.soak
def test_whatever_is_accepted_of_a_setting_is_planned(tmp_path, library, monkeypatch):
    day, every, pooled = datetime.date(2026, 11, 25), ends(), pool_library(library)
    monkeypatch.setattr("planner.week.gather.read_library", lambda: library)
    monkeypatch.setattr("library.pool.pool_library", lambda _: pooled)
    faults = []
    for name, value in every:
        asked = gather(make_folder(tmp_path, f"{BRIEF}\n[method]\n{name} = {value!r}\n"), "2026-W49", day)
        try:
            check_sound(plan_week(asked), asked)
        except Exception as error:
            if not isinstance(error, PlannerError) or error.exit_code not in (2, 3):
                faults.append((name, value, repr(error)[:500]))
    settings = len({name for name, _ in every})
    print(f"{len(every)} values of {settings} settings planned or refused in words", flush=True)
    assert not faults


def test_every_default_may_be_written_down_as_it_is_under_a_name_of_its_own(write, library):
    every = [item for record in OVERRIDABLE for item in method()[record.table].values()]
    assert len({item.name for item in every}) == len(every)
    lines = "".join(f"{item.name} = {item.value!r}\n" for item in every)
    asked = read_brief(write(f"{BRIEF}[method]\n{lines}"), library)
    assert all(method_of(asked, record) == record() for record in OVERRIDABLE)
