"""The column reader and the line reader must agree on every log, sound or damaged."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from planner.log.file import LOG_FILE, LogFrame, append_to_log, read_frame, read_lines
from planner.log.record import COLUMNS, LoggedSet, clearance

DAY = datetime.date(2026, 11, 30)
NOTES = ("", "plain", "a, b", 'said "stop"', "é, ü")
LINES = [
    LoggedSet(
        DAY, "Mon", "press", number, 22.5, "kg", 10, 1.5, 2.0, "elbow, left", "joint", "settled", "club", note
    )
    for number, note in enumerate(NOTES, start=1)
]


def rows(frame: LogFrame) -> list[LoggedSet]:
    cells = zip(*([frame.values[name][code] for code in frame.codes[name]] for name in COLUMNS), strict=True)
    return [LoggedSet(*row) for row in cells]


def test_no_log_and_a_log_without_lines_are_empty(tmp_path: Path) -> None:
    assert read_frame(tmp_path) is None
    append_to_log(tmp_path, LINES[:1])
    file = tmp_path / LOG_FILE
    file.write_text(file.read_text().splitlines()[0] + "\n")
    assert read_frame(tmp_path) is None
    assert read_lines(tmp_path) == []


def test_both_readers_read_the_same(tmp_path: Path) -> None:
    append_to_log(tmp_path, [*LINES, clearance("press", DAY), LoggedSet(DAY, "Mon", "raise", 1)])
    frame = read_frame(tmp_path)
    assert frame is not None
    assert rows(frame) == read_lines(tmp_path)
    assert str(frame.numbers("reps")[-1]) == "nan"


@given(
    line=st.integers(0, len(LINES)),
    place=st.integers(0, 60),
    change=st.sampled_from(["cut", "comma", "quote", "letter", "twice", "drop"]),
)
def test_both_readers_refuse_the_same(
    tmp_path_factory: pytest.TempPathFactory, line: int, place: int, change: str
) -> None:
    folder = tmp_path_factory.mktemp("log")
    append_to_log(folder, LINES)
    file = folder / LOG_FILE
    lines = file.read_text(encoding="utf-8").splitlines()
    old = lines[line]
    lines[line] = {
        "cut": old[:place],
        "comma": old[:place] + "," + old[place:],
        "quote": old[:place] + '"' + old[place:],
        "letter": old[:place] + "x" + old[place:],
        "twice": old + "\n" + old,
        "drop": "\n",
    }[change]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    try:
        found: list[LoggedSet] | FaultyInput = read_lines(folder)
    except FaultyInput as error:
        found = error
    if isinstance(found, FaultyInput):
        with pytest.raises(FaultyInput) as refused:
            read_frame(folder)
        assert str(refused.value) == str(found)
    else:
        frame = read_frame(folder)
        assert frame is not None
        assert rows(frame) == found
