"""Whatever stands in an athlete's files: read, or refused in words that a screen holds; never anything else."""

from __future__ import annotations

import datetime
import resource
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from folders import ROOT
from log_files import PRESS, RAISE, context
from mutant import csv_file, each, json_file, toml_file, trees, workbooks
from sample_week import sample_week

from library.errors import PlannerError, is_control
from library.read import Library
from planner.athlete.evidence import COLUMNS as EVIDENCE
from planner.athlete.evidence import read_all_rows
from planner.athlete.folder import in_force, weeks
from planner.athlete.reading import read_athlete
from planner.files.tables import read_sheet
from planner.files.text import read_toml
from planner.log.blank import SHEET_COLUMNS, _as_workbook
from planner.log.file import append_to_log, read_frame, read_lines, read_log
from planner.log.intake import take_in
from planner.log.lines import SHEET
from planner.log.record import COLUMNS, LoggedSet, clearance, to_cells

MESSAGE_BYTES = 2048
WEEK = "2026-W49"
DAY = datetime.date(2026, 11, 30)
SETS = [
    LoggedSet(
        DAY, "Mon", PRESS, 1, 22.5, "kg", 10, 2, 1, "subacromial", "joint", "settled", "club", "felt, heavy"
    ),
    LoggedSet(DAY, "Mon", PRESS, 2, 22.5, "kg", 9, 1, gym="club"),
    LoggedSet(DAY, "Mon", RAISE, 1, 8, "kg", 15, gym="club"),
    clearance(RAISE, DAY),
]
MEASURED: dict[str, Any] = {
    "session": "2026-09 bench", "date": "2026-09-01", "exercise": RAISE, "head": "side", "side": "left",
    "metric": "mean activation", "unit": "percent_MVIC", "mean": "50.5", "sd": "4", "repetitions": "8", "sem": "3",
    "load": "8", "load_unit": "kg", "eccentric_share": "0.4", "peak": "90", "total": "120", "status": "measured",
}  # fmt: skip
Read = Callable[[Path], object]


def handed_in(file: Path) -> object:
    return take_in(read_sheet(file, SHEET), {}, context())


def log_both_ways(file: Path) -> object:
    """Both readers of log.csv say the same of it."""
    try:
        lines = read_lines(file.parent)
    except PlannerError as error:
        with pytest.raises(PlannerError) as same:
            read_frame(file.parent)
        assert str(same.value) == str(error)
        raise
    frame = read_frame(file.parent)
    if frame is None:
        assert lines == []
    else:
        assert tuple(frame.by_day()) == read_log(file.parent)
        append_to_log(file.parent, lines[:1])
    return lines


def listed(file: Path) -> object:
    """Reading never fails twice, and clears away nothing outside."""
    outside = file.parents[2] / "Documents" / "letter.txt"
    outside.parent.mkdir(exist_ok=True)
    outside.write_text("kept")
    (file.parent / f".{WEEK}.new").mkdir(exist_ok=True)
    try:
        return weeks(file.parent.parent)
    finally:
        assert outside.read_text() == "kept"
        weeks(file.parent.parent)


def readers(library: Library) -> dict[str, tuple[str, Callable[..., bytes], Read]]:
    """By name: the file, the maker of mutants, the reader."""
    demo = ROOT / "demo_athlete"
    brief, gym = (read_toml(demo / name, "") for name in ("brief.toml", "gym.toml"))
    rows = [list(COLUMNS), *map(to_cells, SETS)]
    sheet = [dict(zip(COLUMNS, to_cells(row), strict=True)) for row in SETS]
    evidence = [
        list(EVIDENCE.names),
        *([MEASURED.get(name, "") for name in EVIDENCE.names] for _ in range(3)),
    ]
    week = sample_week().model_dump(mode="json")
    book = _as_workbook([{name: row.get(name, "") for name in SHEET_COLUMNS} for row in sheet])
    return {
        "brief": ("brief.toml", trees(brief, toml_file), lambda file: read_athlete(file.parent, library)),
        "gym": ("gym.toml", trees(gym, toml_file), lambda file: read_athlete(file.parent, library)),
        "log": ("log.csv", trees(rows, csv_file), log_both_ways),
        "sheet": ("done.csv", trees(rows, csv_file), handed_in),
        "workbook": ("done.xlsx", workbooks(book), handed_in),
        "evidence": (
            "evidence.csv",
            trees(evidence, csv_file),
            lambda file: read_all_rows(file.parent, library),
        ),
        "week": (
            f"weeks/{WEEK}/week.json",
            trees(week, json_file),
            lambda file: in_force(file.parents[2], DAY),
        ),
        "weeks": ("weeks/.weeks", trees([WEEK, "../../Documents", "2026-W50"], json_file), listed),
    }


NAMES = ("brief", "gym", "log", "sheet", "workbook", "evidence", "week", "weeks")


def run(name: str, library: Library, folder: Path, count: int) -> str:
    """Read mutants; return the figures."""
    for other in ("brief.toml", "gym.toml"):
        (folder / other).write_bytes((ROOT / "demo_athlete" / other).read_bytes())
    path, make, read = readers(library)[name]
    file = folder / path
    file.parent.mkdir(parents=True, exist_ok=True)
    refused, slowest, longest = 0, 0.0, 0
    for number, data in enumerate(each(make, 11, count)):
        file.write_bytes(data)
        start = time.perf_counter()
        try:
            read(file)
        except PlannerError as error:
            refused += 1
            message = str(error)
            assert not any(map(is_control, message.replace("\n", ""))), (number, message)
            longest = max(longest, len(message.encode()))
        except Exception as error:
            raise AssertionError(f"{name}, mutant {number}: {error!r}") from error
        slowest = max(slowest, time.perf_counter() - start)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    assert longest <= MESSAGE_BYTES
    assert 0 < refused < count  # a mutator that makes nothing wrong, or nothing right, proves little
    return (
        f"{name}: {count} inputs, {refused} refused, {count - refused} accepted, 0 escaped, slowest {slowest:.2f} s, "
        f"longest message {longest} bytes, process {memory} MB"
    )


@pytest.mark.parametrize("name", NAMES)
def test_2000_mutants_are_read_or_refused_in_words(name: str, library: Library, tmp_path: Path) -> None:
    run(name, library, tmp_path, 2000)


@pytest.mark.soak
@pytest.mark.parametrize("name", NAMES)
def test_100000_mutants_are_read_or_refused_in_words(name: str, library: Library, tmp_path: Path) -> None:
    print(run(name, library, tmp_path, 100_000))
