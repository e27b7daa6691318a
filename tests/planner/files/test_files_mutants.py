"""Whatever stands in a file from outside: read, or refused in words that a screen holds; never anything else. What is
accepted is used too, every so often: a brief is planned and rechecked, a recording measured."""

from __future__ import annotations

import datetime
import multiprocessing
import os
import re
import resource
import shutil
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any
from unittest import mock

import mutant as mutants
import pytest
from folders import DEMO, SMALL_LIBRARY, copy_of
from killed import needs_fork
from log_files import PRESS, RAISE, context

from library.errors import PlannerError, is_control
from library.files import read_toml
from library.method import setting_rows
from library.pool import pool_library
from library.read import read_library, read_orderings
from library.tables import read_sheet
from planner.athlete.folder import EVIDENCE_COLUMNS as EVIDENCE
from planner.athlete.folder import in_force, read_all_rows, weeks
from planner.athlete.reading import read_athlete
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.emg.evidence import rows_of
from planner.emg.measuring import document_of, measure_session
from planner.emg.readers import read_recording
from planner.emg.report import rankings, session_text
from planner.emg.session import read_session
from planner.log.blank import SHEET_COLUMNS, _as_workbook
from planner.log.file import append_to_log, read_frame, read_lines, read_log
from planner.log.intake import take_in
from planner.log.lines import SHEET
from planner.log.record import COLUMNS, LoggedSet, clearance, to_cells
from planner.method import OVERRIDABLE
from planner.phone.saved import differences, read_saved, saved_sheet
from planner.publish import check_sound
from planner.sheets.table import week_table
from planner.train.progress import read_progress
from planner.week.gather import gather
from planner.week.plan import plan_week

MESSAGE_BYTES, MEMORY_MB, SECONDS = 2048, 500, 5
FEW = 2_000  # in `make test`
MANY, PIECE = int(os.environ.get("SOAK_INPUTS", "100000")), 5000
RARER = 2  # of 100,000 so many times fewer are used: reading is what they are for
PROCESSES = int(os.environ.get("SOAK_PROCESSES", os.cpu_count() or 1))
CLEAN = (2, 3)  # exit codes of a refusal in words
WEEK, NEXT, WEEK_FILE = "2026-W49", "2026-W50", "weeks/2026-W49/week.json"
DAY = datetime.date(2026, 11, 30)
SETS = [
    LoggedSet(DAY, "Mon", PRESS, 1, 22.5, "kg", 10, 2, 1, "elbow", "joint", "settled", "club", "felt, heavy"),
    LoggedSet(DAY, "Mon", PRESS, 2, 22.5, "kg", 9, 1, gym="club"),
    LoggedSet(DAY, "Mon", RAISE, 1, 8, "kg", 15, gym="club"),
    clearance(RAISE, DAY),
]
MEASURED: dict[str, Any] = {
    "session": "2026-09 bench", "date": "2026-09-01", "exercise": RAISE, "head": "side", "side": "left",
    "metric": "mean activation", "unit": "percent_MVIC", "mean": "50.5", "sd": "4", "repetitions": "8", "sem": "3",
    "load": "8", "load_unit": "kg", "eccentric_share": "0.4", "peak": "90", "total": "120", "status": "measured",
}  # fmt: skip
SAVED = {
    "planner_phone": 1, "athlete": "Robin Vale", "week": WEEK, "session": "Mon", "gym": "club", "plan": "0" * 12,
    "date": "2026-11-30", "sets": [
        {"exercise": PRESS, "set": str(number), "load": "22", "load_unit": "kg", "reps": "8", "rir": "2", "pain": "0"}
        for number in (1, 2, 3)
    ],
}  # fmt: skip
RECORDED = {
    "session": {"athlete": "Robin Vale", "date": datetime.date(2026, 9, 1), "rate_hz": 1000},
    "sensor": [{"channel": "side_mV", "muscle": "side", "side": "right"}],
    "motion": {"kind": "angle", "channels": ["arm_deg"]},
    "trial": [{"file": "raise.csv", "exercise": RAISE, "rir": 2}],
    "method": {"band_low_hz": 20, "window_seconds": 0.25, "gap_steps": 1.5, "heart_beats": 4, "unit_low": 5.0},
}  # fmt: skip
Use = Callable[[Path], object]
shipped = cache(read_library)


@dataclass(frozen=True)
class Reader:
    """Files under an athlete's folder with the makers of their mutants; how they are read, and what for."""

    files: dict[str, mutants.Make]
    read: Use  # given the changed file
    use: Use = lambda _: None  # given the athlete's folder
    every: int = 120  # accepted ones a used one


@dataclass
class Figures:
    """What was seen of a reader's mutants; seconds of the processor, bytes of a message, MB of the process."""

    inputs: int = 0
    refused: int = 0
    used: int = 0
    escaped: list[str] = field(default_factory=list)
    slowest: float = 0.0
    slowest_use: float = 0.0
    longest: int = 0
    memory: int = 0

    def __add__(self, other):
        """Return the figures of both."""
        pairs = list(zip(vars(self).values(), vars(other).values(), strict=True))
        return Figures(*(mine + more for mine, more in pairs[:4]), *map(max, pairs[4:]))

    def __str__(self):
        """Return them as one line."""
        return (
            f"{self.inputs} inputs, {self.refused} refused, {self.inputs - self.refused} accepted, {self.used} used, "
            f"{len(self.escaped)} escaped, slowest {self.slowest:.2f} s (used {self.slowest_use:.1f} s), "
            f"memory {self.memory} MB, longest message {self.longest} bytes"
        )

    def hold(self):
        """Nothing escaped, no message is too long; a mutator that makes nothing wrong, or nothing right, proves little."""
        assert not self.escaped, "\n".join(self.escaped[:20])
        assert self.longest <= MESSAGE_BYTES and 0 < self.refused < self.inputs


def handed_in(file):
    return take_in(read_sheet(file, SHEET), {}, context())


def sent(file):
    saved = read_saved(file)
    differences(file.parent, saved, shipped())
    return take_in(saved_sheet(file, saved), {}, context())


BY_COLUMNS = mock.patch("planner.log.file.LONG_LOG_BYTES", 0)


def log_both_ways(file):
    """Both readers of log.csv say the same of it."""
    try:
        lines = read_lines(file.parent)
    except PlannerError as error:
        with pytest.raises(PlannerError) as same, BY_COLUMNS:
            read_frame(file.parent)
        assert str(same.value) == str(error)
        raise
    with BY_COLUMNS:
        frame = read_frame(file.parent)
    if frame is None:
        assert lines == []
    else:
        assert tuple(frame.by_day()) == read_log(file.parent)
        append_to_log(file.parent, lines[:1])
    return lines


def listed(file):
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


def planned(folder):
    asked = gather(folder, NEXT, DAY)
    document = plan_week(asked)
    check_sound(document, asked)
    return week_table(document, asked.library)


def measured(folder):
    result = measure_session(read_session(folder, shipped()))
    ranked = rankings(result)
    rows_of(result)
    document_of(result, ranked, [], None)
    return session_text(result, ranked)


def recorded(file):
    read = read_session(file.parent, shipped())
    return read_recording(file.parent, file.name, read.session, read.quality)


def pooled(file):
    """What a library holds may be printed as it is."""
    library = read_library(next(up for up in file.parents if up.name == "library"))
    words = [text for one in library.exercises.values() for text in (one.name, *one.cues, *one.needs)]
    assert not any(map(is_control, re.sub("[\n\x85\u2028\u2029]", "", "".join(words))))
    read_orderings(Path(library.folder), library)
    return pool_library(library)


def own_rows(file):
    return read_all_rows(file.parent, shipped())


def session(file):
    return read_session(file.parent, shipped())


def athlete(file):
    return read_athlete(file.parent, shipped())


def a_week(file):
    return in_force(file.parents[2], DAY)


def lived_with(folder):
    """A week on disk is swapped, looked back at, and followed by the next."""
    swapped = swap_week(folder, Options(*[()] * 7), DAY, WEEK)
    check_sound(swapped.document, swapped.asked)
    return read_progress(folder, DAY).text(), planned(folder)


def quick_brief():
    """The demo's brief with two sessions and small targets: planned in a moment."""
    brief = read_toml(DEMO / "brief.toml", "")
    side = {"target": 8, "priority": 2, "now": 7, "sessions": 2}
    return brief | {
        "session": brief["session"][::2],
        "target": {"front": 6, "side": side, "rear": {"target": 6}},
    }


def brief_tree():
    """A brief with every setting that it may change."""
    return quick_brief() | {
        "method": {row.name: row.value for record in OVERRIDABLE for row in setting_rows(record())}
    }


def laid_out(folder):
    (copy_of(DEMO, folder) / "brief.toml").write_bytes(mutants.toml_file(quick_brief()))
    return folder


def evidence_rows():
    return [list(EVIDENCE), *([MEASURED.get(name, "") for name in EVIDENCE] for _ in range(3))]


def week_tree():
    with tempfile.TemporaryDirectory() as name:
        return plan_week(gather(laid_out(Path(name)), WEEK, DAY)).model_dump(mode="json")


def filled_in():
    cells = [dict(zip(COLUMNS, to_cells(row), strict=True)) for row in SETS]
    return _as_workbook([{name: row.get(name, "") for name in SHEET_COLUMNS} for row in cells])


ROWS = [list(COLUMNS), *map(to_cells, SETS)]
LIBRARY = [file for file in sorted(SMALL_LIBRARY.rglob("*.*")) if file.suffix in (".toml", ".csv")]
READERS: dict[str, Callable[[], Reader]] = {
    "brief": lambda: Reader({"brief.toml": mutants.trees(brief_tree(), mutants.toml_file)}, athlete, planned),
    "gym": lambda: Reader({"gym.toml": mutants.trees(read_toml(DEMO / "gym.toml", ""), mutants.toml_file)}, athlete, planned),
    "log": lambda: Reader({"log.csv": mutants.trees(ROWS, mutants.csv_file)}, log_both_ways, planned),
    "sheet": lambda: Reader({"done.csv": mutants.trees(ROWS, mutants.csv_file)}, handed_in),
    "workbook": lambda: Reader({"done.xlsx": mutants.workbooks(filled_in())}, handed_in),
    "phone": lambda: Reader({"done.json": mutants.trees(SAVED, mutants.json_file)}, sent),
    "evidence": lambda: Reader({"evidence.csv": mutants.trees(evidence_rows(), mutants.csv_file)}, own_rows, planned),
    "session": lambda: Reader({"session.toml": mutants.trees(RECORDED, mutants.toml_file)}, session, measured, every=6),
    "recording": lambda: Reader({"raise.csv": mutants.recording_tables()}, recorded, measured, every=60),
    "edf": lambda: Reader({"raise.edf": mutants.signal_files("edf")}, recorded, measured, every=60),
    "bdf": lambda: Reader({"raise.bdf": mutants.signal_files("bdf")}, recorded, measured, every=60),
    "library": lambda: Reader({f"library/{of.relative_to(SMALL_LIBRARY)}": mutants.library_file(of) for of in LIBRARY}, pooled),
    "week": lambda: Reader({WEEK_FILE: mutants.trees(week_tree(), mutants.json_file)}, a_week, lived_with, every=60),
    "weeks": lambda: Reader({"weeks/.weeks": mutants.trees([WEEK, "../../Documents", NEXT], mutants.json_file)}, listed),
}  # fmt: skip


@cache
def reader_of(name):
    return READERS[name]()


def prepared(name, folder):
    """Lay out an athlete's folder; return the files that mutants of this reader replace, with what stood there."""
    shutil.copytree(SMALL_LIBRARY, laid_out(folder) / "library", dirs_exist_ok=True)
    of_trial = RECORDED["trial"][0] | {"file": f"raise.{name if name in ('edf', 'bdf') else 'csv'}"}
    (folder / "session.toml").write_bytes(mutants.toml_file(RECORDED | {"trial": [of_trial]}))
    if name == "session":
        (folder / "raise.csv").write_bytes(mutants.csv_file(mutants.recorded_table()))
    files = [folder / path for path in reader_of(name).files]
    for file in files:
        file.parent.mkdir(parents=True, exist_ok=True)
    return {file: file.read_bytes() if file.exists() else None for file in files}


def run(name, folder, numbers, rarer=1):
    """Read the mutants of these numbers; every so often use what was accepted, `rarer` times less often."""
    originals, reader, seen = prepared(name, folder), reader_of(name), Figures()
    places = list(zip(originals, reader.files.values(), strict=True))
    accepted = 0
    for number in numbers:
        file, make = places[number % len(places)]
        file.write_bytes(mutants.mutant(make, number))
        seen.inputs += 1
        refused, seconds = tried(seen, f"{name} {number}", lambda file=file: reader.read(file))
        seen.slowest = max(seen.slowest, seconds)
        seen.refused += refused
        accepted += not refused
        if not refused and accepted % (rarer * reader.every) == 1:
            seen.used += 1
            _, seconds = tried(seen, f"{name} {number}, used", lambda: reader.use(folder))
            seen.slowest_use = max(seen.slowest_use, seconds)
        if (before := originals[file]) is not None:
            file.write_bytes(before)
    kilobytes = 1 if sys.platform == "darwin" else 1024
    seen.memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // kilobytes
    return seen


def tried(seen, what, work):
    """Do it; return whether it was refused, and the processor seconds. What is no refusal in words has escaped."""
    start, refused = time.process_time(), True
    try:
        work()
        refused = False
    except PlannerError as error:
        message = str(error)
        seen.longest = max(seen.longest, len(message.encode()))
        if error.exit_code not in CLEAN or any(map(is_control, message.replace("\n", ""))):
            seen.escaped.append(f"{what}: exit {error.exit_code}, {message!r}")
    except Exception as error:
        seen.escaped.append(f"{what}: {error!r} at {traceback.extract_tb(error.__traceback__)[-1]}")
    return refused, time.process_time() - start


@pytest.mark.parametrize("name", READERS)
def test_mutants_are_read_or_refused_in_words(name, tmp_path):
    run(name, tmp_path, range(FEW)).hold()


@pytest.mark.soak
@needs_fork
@pytest.mark.parametrize("name", READERS)
def test_100000_mutants_are_read_or_refused_in_words(name, tmp_path):
    pieces = range(0, MANY, PIECE)
    with multiprocessing.get_context("fork").Pool(PROCESSES, maxtasksperchild=1) as pool:
        work = [
            (name, tmp_path / str(start), range(start, min(start + PIECE, MANY)), RARER) for start in pieces
        ]
        seen = sum(pool.starmap(run, work, chunksize=1), Figures())
    print(f"{name}: {seen}", flush=True)
    seen.hold()
    assert seen.slowest <= SECONDS and seen.memory <= MEMORY_MB
