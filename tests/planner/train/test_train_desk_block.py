"""The desk in a block: a lighter week decides no load, and the next loads are for the week that comes next."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from small_athlete import make_folder, planned

from planner.athlete.writing import write_week
from planner.document import WeekDocument
from planner.log.blank import session_date
from planner.log.file import append_to_log
from planner.log.intake import Taken
from planner.log.record import LoggedSet
from planner.train.desk import Desk
from planner.train.log_report import LogReport
from planner.week.block.plan import plan_block
from planner.week.block.told import BlockAsked
from planner.week.plan import gather

FIRST = "2026-W40"  # the last hard week is W44, the lighter one W45, the block goes on with W46
LOAD, LIGHT = 20.0, 10.0


@pytest.fixture(scope="module")
def block(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, WeekDocument]]:
    folder = make_folder(tmp_path_factory.mktemp("desk") / "kim")
    made = plan_block(folder, BlockAsked(7, FIRST), datetime.date(2026, 9, 25)).document.weeks
    for week in made:
        write_week(folder, week.week, {"week.json": week.model_dump_json()})
    log_whole(folder, made[4], LOAD, 1)
    return folder, {week.week: week for week in made}


def log_whole(folder: Path, week: WeekDocument, load: float, rir: float) -> None:
    append_to_log(
        folder,
        [
            LoggedSet(
                session_date(week, session), session.id, line.exercise, number, load, "kg", line.reps[1], rir,
                gym=session.gym,
            )
            for session in week.sessions
            for line in session.exercises
            if line.load_is not in ("body", "band")
            for number in range(1, line.sets + 1)
        ],
    )  # fmt: skip


def report(folder: Path, today: datetime.date) -> LogReport:
    return Desk.open(folder, today).report(Taken((), 0, 0, ()))


def test_after_the_last_session_the_loads_are_for_the_blocks_next_week(
    block: tuple[Path, dict[str, WeekDocument]],
) -> None:
    folder, weeks = block
    friday = session_date(weeks["2026-W44"], weeks["2026-W44"].sessions[-1])
    for item in report(folder, friday).loads:
        if item.next.unit and not item.next.first_time:
            # the lighter week asks 4 in reserve where this one asked 1: 3 repetitions fewer at the same load
            assert item.next.load == LOAD
            assert "3 fewer, so that 4 stay in reserve" in item.next.reason


def test_a_lighter_week_decides_no_load(block: tuple[Path, dict[str, WeekDocument]]) -> None:
    folder, weeks = block
    log_whole(folder, weeks["2026-W45"], LIGHT, 4)
    saturday = datetime.date(2026, 11, 7)
    decided = [
        item.next for item in report(folder, saturday).loads if item.next.unit and not item.next.first_time
    ]
    assert decided and {one.load for one in decided} == {LOAD}
    assert all(
        "so that" in one.reason for one in decided
    )  # the next hard week asks more reserve than the last
    carried = gather(folder, "2026-W46", saturday).carried
    weighed = [load for load in carried.loads.values() if load.unit]
    assert weighed and {load.load for load in weighed} == {LOAD}


def test_in_a_week_of_its_own_the_loads_are_for_the_week_in_force(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    _, week = planned(folder, "2026-W44")
    log_whole(folder, week, LOAD, 2)
    decided = [item.next for item in report(folder, datetime.date(2026, 10, 31)).loads if item.next.unit]
    assert decided and all("Every set reached" in one.reason for one in decided if not one.first_time)
