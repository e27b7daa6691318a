"""Writing a week, or several as one: replaced plans kept, failures that leave nothing behind, a kill at any moment."""

from pathlib import Path

import pytest
from killed import killed_at, needs_fork

from planner.athlete.folder import in_force, week_folder, weeks
from planner.athlete.writing import LIST_FILE, write_week, write_weeks

WEEK = "2026-W49"


def test_replaced_plans_are_kept_one_by_one(tmp_path, files, standing):
    for sheet in (b"first", b"second", b"third"):
        at = write_week(tmp_path, "2026-W49", files("2026-W49", sheet))
    (at / "v2" / "note.txt").write_text("the coach's own")
    write_week(tmp_path, "2026-W49", files("2026-W49", b"fourth"))
    assert [(at / name / "sheets.pdf").read_bytes() for name in ("v1", "v2", "v3", ".")] == [
        b"first",
        b"second",
        b"third",
        b"fourth",
    ]
    assert (at / "v2" / "note.txt").read_text() == "the coach's own"
    assert standing(tmp_path / "weeks") == sorted(
        ["2026-W49", "2026-W49/sheets.pdf", "2026-W49/week.json", "2026-W49/v2/note.txt"]
        + [f"2026-W49/v{n}{name}" for n in (1, 2, 3) for name in ("", "/sheets.pdf", "/week.json")]
    )


def test_nothing_of_a_folder_without_week_json_is_lost(tmp_path, files):
    at = week_folder(tmp_path, "2026-W49")
    (at / "photos").mkdir(parents=True)
    (at / "photos" / "one.jpg").write_bytes(b"jpg")
    write_week(tmp_path, "2026-W49", files("2026-W49"))
    assert (at / "v1" / "photos" / "one.jpg").read_bytes() == b"jpg"


def test_a_disk_that_knows_no_second_names_gets_copies(tmp_path, monkeypatch, files):
    def no_link(*_, **__):
        raise OSError("no links here")

    monkeypatch.setattr("os.link", no_link)
    write_week(tmp_path, "2026-W49", files("2026-W49", b"first"))
    at = write_week(tmp_path, "2026-W49", files("2026-W49", b"second"))
    assert (at / "v1" / "sheets.pdf").read_bytes() == b"first"


def test_another_output_folder(tmp_path, files, standing):
    athlete = tmp_path / "athlete"
    athlete.mkdir()
    at = write_week(athlete, "2026-W49", files("2026-W49"), out=tmp_path / "desk" / "plans")
    assert at == tmp_path / "desk" / "plans" / "2026-W49"
    assert standing(athlete) == []
    assert in_force(athlete) is None


@pytest.mark.parametrize("out", [None, "out", "out/deeper"])
def test_a_folder_that_cannot_be_written_leaves_nothing(out, tmp_path, faults_of, files, standing):
    blocked = tmp_path / ("weeks" if out is None else "out")
    blocked.write_text("a file stands here")
    where = None if out is None else tmp_path / out
    (fault,) = faults_of(lambda: write_week(tmp_path, "2026-W49", files("2026-W49"), where))
    assert fault.file == (where or blocked)
    assert "cannot be written" in fault.read
    assert "--out" in fault.remedy
    assert standing(tmp_path) == [blocked.name]
    assert blocked.read_text() == "a file stands here"


@pytest.mark.parametrize("before", [False, True])
@pytest.mark.parametrize("step", ["fsync", "mkdir", "rename"])
def test_a_disk_that_fails_half_way_changes_nothing(
    step, before, tmp_path, faults_of, monkeypatch, files, standing
):
    if before:
        write_week(tmp_path, "2026-W49", files("2026-W49", b"old"))
    stood = standing(tmp_path)

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr("os.fsync" if step == "fsync" else f"pathlib.Path.{step}", full)
        (fault,) = faults_of(lambda: write_week(tmp_path, "2026-W49", files("2026-W49", b"new")))
    assert "No space left on device" in fault.read
    assert standing(tmp_path) == stood
    assert not before or (week_folder(tmp_path, "2026-W49") / "sheets.pdf").read_bytes() == b"old"


def test_the_second_rename_failing_brings_the_old_week_back(
    tmp_path, faults_of, monkeypatch, files, standing
):
    write_week(tmp_path, "2026-W49", files("2026-W49", b"old"))
    stood, rename = standing(tmp_path), Path.rename

    def fail_for_new(self, target):
        if self.name.endswith(".new"):
            raise OSError(5, "Input/output error")
        return rename(self, target)

    with monkeypatch.context() as broken:
        broken.setattr(Path, "rename", fail_for_new)
        assert faults_of(lambda: write_week(tmp_path, "2026-W49", files("2026-W49", b"new")))
    assert standing(tmp_path) == stood


def test_a_week_needs_its_document_and_plain_names(tmp_path, files):
    for wrong in ({"sheets.pdf": b""}, {**files("2026-W49"), "../x": b""}):
        with pytest.raises(ValueError, match=r"week\.json"):
            write_week(tmp_path, "2026-W49", wrong)


def whole(folder):
    """Return the sheet of the week in force, having read its document and counted its kept plans."""
    document = in_force(folder)
    assert document is not None
    assert document.week == WEEK
    return (week_folder(folder, WEEK) / "sheets.pdf").read_bytes()


def moments(run):
    """Run with every moment in turn until one is past the end; return how many there were."""
    moment = 1
    while run(moment):
        moment += 1
    return moment


@needs_fork
def test_replacing_a_week(tmp_path, files, standing):
    def run(moment):
        folder = tmp_path / str(moment)
        folder.mkdir()
        write_week(folder, WEEK, files(WEEK, b"oldest"))
        write_week(folder, WEEK, files(WEEK, b"old"))
        died = killed_at(moment, lambda: write_week(folder, WEEK, files(WEEK, b"new")))
        kept = ["oldest", "old"] if (sheet := whole(folder)) == b"new" else ["oldest"]
        assert sheet in (b"old", b"new")
        at = week_folder(folder, WEEK)
        assert [(at / f"v{n + 1}" / "sheets.pdf").read_text() for n in range(len(kept))] == kept
        assert not (at / f"v{len(kept) + 1}").exists()
        # and the next run finds its way as if nothing had been
        write_week(folder, WEEK, files(WEEK, b"next"))
        assert whole(folder) == b"next"
        assert {path.split("/")[0] for path in standing(folder / "weeks")} == {WEEK}
        return died

    assert moments(run) > 30  # a child that never dies would prove nothing


NAMES = ("2026-W49", "2026-W50", "2026-W51")


def block(files, sheet):
    """The files of three weeks."""
    return {name: files(name, sheet) for name in NAMES}


def sheets(folder):
    """The sheet of every week that stands."""
    return [(week_folder(folder, name) / "sheets.pdf").read_bytes() for name in weeks(folder)]


def test_all_weeks_are_written_and_replaced_plans_kept(tmp_path, files, standing):
    write_week(tmp_path, NAMES[1], files(NAMES[1], b"single"))
    at = write_weeks(tmp_path, block(files, b"block"))
    assert at == [week_folder(tmp_path, name) for name in NAMES]
    assert sheets(tmp_path) == [b"block"] * 3
    assert (at[1] / "v1" / "sheets.pdf").read_bytes() == b"single"
    assert sorted(path.name for path in (tmp_path / "weeks").iterdir()) == list(NAMES)


def test_a_wrong_week_is_refused_before_anything_is_written(tmp_path, files, standing):
    with pytest.raises(ValueError, match=r"week\.json"):
        write_weeks(tmp_path, {NAMES[0]: files(NAMES[0]), NAMES[1]: {"sheets.pdf": b""}})
    assert standing(tmp_path) == []


@pytest.mark.parametrize("before", [False, True])
@pytest.mark.parametrize("fails_at", range(1, 7))
def test_a_rename_that_fails_undoes_all(fails_at, before, tmp_path, faults_of, monkeypatch, files, standing):
    if before:
        write_weeks(tmp_path, block(files, b"old"))
    stood, rename, left = standing(tmp_path), Path.rename, [fails_at]

    def fail_once(self, target):
        left[0] -= 1
        if left[0] == 0:
            raise OSError(5, "Input/output error")
        return rename(self, target)

    with monkeypatch.context() as broken:
        broken.setattr(Path, "rename", fail_once)
        if fails_at > 3 and not before:  # three new folders take three renames
            write_weeks(tmp_path, block(files, b"new"))
            return
        (fault,) = faults_of(lambda: write_weeks(tmp_path, block(files, b"new")))
    assert "Input/output error" in fault.read and "--out" in fault.remedy
    assert standing(tmp_path) == stood
    assert sheets(tmp_path) == [b"old"] * 3 * before


def test_a_full_disk_changes_nothing(tmp_path, faults_of, monkeypatch, files, standing):
    left = [8]  # in the middle of the third week

    def full(handle):
        left[0] -= 1
        if left[0] <= 0:
            raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr("os.fsync", full)
        (fault,) = faults_of(lambda: write_weeks(tmp_path, block(files, b"new")))
    assert "No space left on device" in fault.read
    assert standing(tmp_path) == []


@needs_fork
@pytest.mark.parametrize("before", [False, True])
def test_a_kill_at_any_moment_leaves_all_old_weeks_or_all_new_ones(before, tmp_path, files):
    moment, ends = 1, set()
    while True:
        folder = tmp_path / str(moment)
        folder.mkdir()
        if before:
            write_weeks(folder, block(files, b"old"))
        died = killed_at(moment, lambda folder=folder: write_weeks(folder, block(files, b"new")))
        found = sheets(folder)
        assert found in ([b"old"] * 3 * before, [b"new"] * 3)
        ends.add(tuple(found))
        assert not (folder / "weeks" / LIST_FILE).exists()
        write_weeks(folder, block(files, b"next"))  # and the next run finds its way as if nothing had been
        assert sheets(folder) == [b"next"] * 3
        assert sorted(path.name for path in (folder / "weeks").iterdir()) == list(NAMES)
        if not died:
            break
        moment += 1
    assert moment > 20 and len(ends) == 2  # it was killed often enough, and both ends were seen
