"""The log on disk: read as it was written, only added to, and whole after a kill at any moment."""

import datetime
import os
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from killed import KILLED, ended, kill_after, needs_fork, started

from library.errors import FaultyInput
from planner.log.file import append_to_log, read_lines, read_log
from planner.log.record import CLEARED, KINDS, LoggedSet, clearance

DAY = datetime.date(2026, 11, 30)
LOG = "log.csv"


def a_set(number=1, **fields):
    return LoggedSet(DAY, "Mon", "press", number, 22.5, "kg", 10, 1.5, 2.0, **fields)


letters = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp"))
texts = st.text(letters, max_size=20).map(str.strip)
rows = st.builds(
    LoggedSet, date=st.dates(datetime.date(2000, 1, 1), datetime.date(2099, 12, 31)),
    session=st.sampled_from(["Mon", "Sat-2", ""]), exercise=st.sampled_from(["press", "raise"]),
    set_number=st.integers(0, 50), load=st.one_of(st.none(), st.integers(0, 4000).map(lambda n: n / 4)),
    load_unit=st.sampled_from([None, "kg", "lb"]), reps=st.one_of(st.none(), st.integers(0, 100)),
    rir=st.one_of(st.none(), st.integers(0, 20).map(lambda n: n / 2)),
    pain=st.one_of(st.none(), st.integers(0, 10).map(float)), where=texts,
    kind=st.sampled_from(["", CLEARED, *KINDS]),
    next_morning=st.sampled_from(["", "settled", "not settled"]), gym=st.sampled_from(["club", ""]),
    note=texts,
)  # fmt: skip


@given(st.lists(st.lists(rows, max_size=6), max_size=4))
def test_what_is_written_is_read(tmp_path_factory, batches):
    folder = tmp_path_factory.mktemp("log")
    for batch in batches:
        append_to_log(folder, batch)
    assert read_lines(folder) == [row for batch in batches for row in batch]


def test_no_log_is_an_empty_log_and_the_log_comes_by_day(tmp_path):
    append_to_log(tmp_path, [])
    assert not (tmp_path / LOG).exists() and read_log(tmp_path) == ()
    earlier = clearance("press", DAY - datetime.timedelta(days=3))
    append_to_log(tmp_path, [a_set(), earlier])
    assert read_log(tmp_path) == (earlier, a_set())


def test_the_last_line_for_a_set_counts(tmp_path):
    append_to_log(tmp_path, [a_set(1), a_set(2), a_set(1, note="corrected")])
    assert [(row.set_number, row.note) for row in read_log(tmp_path)] == [(2, ""), (1, "corrected")]
    assert len(read_lines(tmp_path)) == 3


def test_a_line_end_missing_at_the_end_and_those_of_another_system_are_no_loss(tmp_path):
    append_to_log(tmp_path, [a_set(1)])
    (tmp_path / LOG).write_text((tmp_path / LOG).read_text().rstrip("\n"))
    append_to_log(tmp_path, [a_set(2, note="x")])
    (tmp_path / LOG).write_bytes((tmp_path / LOG).read_bytes().replace(b"\n", b"\r\n"))
    assert read_log(tmp_path) == (a_set(1), a_set(2, note="x"))


@pytest.mark.parametrize(("old", "new", "places"), [
    ("press,2", "press", {"line 3"}), ("press,2", '"press,2', {"line 3"}),
    ("press,3,22.5,kg,10", "press", {"line 4"}), (",22.5,", ",heavy,", {"line 2, column load"}),
    ("2026-11-30", "30.11.2026", {"line 2, column date"}), ("date,session", "date;session", {"line 1"}),
    (",Mon,", ",Mon,Mon,", {"line 2"}), ("press", "pr\xe9ss", {"line 2"}),
    # one line a cell short, the next a cell long: the file has the right number of cells in all
    (',"a, b"\n2026-11-30', '\n2026-11-30,Mon', {"line 2", "line 3"}),
])  # fmt: skip
def test_damage_by_hand_is_named(tmp_path, old, new, places):
    append_to_log(tmp_path, [a_set(number, note="a, b") for number in (1, 2, 3)])
    file = tmp_path / LOG
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, new, 1), encoding="latin-1")
    with pytest.raises(FaultyInput) as error:
        read_log(tmp_path)
    assert places <= {fault.where for fault in error.value.faults}
    assert all(", or: " not in fault.remedy for fault in error.value.faults)


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "no folder").write_text("")
    with pytest.raises(FaultyInput):
        append_to_log(tmp_path / "no folder", [a_set()])


# --- kills ---------------------------------------------------------------------------------------------------
def _append_for_ever(folder, start, told):
    """Add one line after the other; tell each line only when it is said to be on the disk."""
    for step in range(start, start + 10_000):
        append_to_log(folder, [_line(step)])
        with told.open("a") as file:
            file.write(f"{step}\n")


def _line(step):
    date = DAY + datetime.timedelta(days=step // 50)
    return LoggedSet(date, "Mon", "press", 1 + step % 50, reps=step % 100, note=f"line {step}, told")


@needs_fork
def test_25_kills_lose_no_line(tmp_path):
    moments, told, start = random.Random(7), tmp_path / "told.txt", 0
    folder = tmp_path / "athlete"
    folder.mkdir()
    told.touch()
    for _ in range(25):  # somewhere inside the writing of the next lines
        child = started(lambda start=start: _append_for_ever(folder, start, told))
        kill_after(moments.uniform(0.0, 0.05), child)
        found = {int(row.note.split()[1].rstrip(",")) for row in read_log(folder)}
        assert set(map(int, told.read_text().split())) <= found, "a line that was told to be written is gone"
        start = max(found, default=-1) + 1
        assert found == set(range(start)), "a line in the middle is gone"
    assert told.read_text()


STEPS = {
    "os.open": "planner.athlete.writing.write_through", "os.fsync": "os.fsync", "replace": "pathlib.Path.replace",
    "after replace": "planner.athlete.writing.flush_folder",
}  # fmt: skip


@needs_fork
@pytest.mark.parametrize("step", STEPS)
def test_a_kill_at_each_step_of_writing(tmp_path, step, monkeypatch):
    append_to_log(tmp_path, [_line(0)])

    def work():
        monkeypatch.setattr(STEPS[step], lambda *_, **__: os._exit(KILLED))
        append_to_log(tmp_path, [_line(1)])

    assert ended(started(work)) == KILLED
    assert [row.reps for row in read_log(tmp_path)] == ([0, 1] if step == "after replace" else [0])
    append_to_log(tmp_path, [_line(2)])  # what the killed run left beside is in nobody's way
    assert [row.reps for row in read_log(tmp_path)][-1] == 2
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [".lock", LOG]


@needs_fork
def test_two_at_once_lose_no_line(tmp_path):
    def work(first):
        return lambda: [append_to_log(tmp_path, [_line(step)]) for step in range(first, first + 25)]

    children = [started(work(first)) for first in (0, 100)]
    assert [ended(child) for child in children] == [0, 0]
    assert len(read_log(tmp_path)) == 50
