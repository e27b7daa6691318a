"""Writing several weeks as one: all stand or none, after a failure and after a kill at any moment."""

from pathlib import Path

import pytest
from killed import killed_at, needs_fork

from planner.athlete.folder import week_folder, weeks
from planner.athlete.writing import LIST_FILE, write_week, write_weeks

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
