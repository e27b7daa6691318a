"""Writing a week, or several as one: replaced plans kept, failures that leave nothing behind, a kill at any moment."""

from pathlib import Path

import pytest
from killed import killed_at, needs_fork

from planner.athlete.folder import in_force, week_folder, weeks
from planner.athlete.writing import LIST_FILE, write_week, write_weeks

WEEK = "2026-W49"


def test_replaced_plans_are_kept_one_by_one(tmp_path, files, standing):
    at = week_folder(tmp_path, WEEK)
    (at / "photos").mkdir(parents=True)  # nothing of a folder without week.json is lost
    (at / "photos" / "one.jpg").write_bytes(b"jpg")
    for sheet in (b"first", b"second"):
        write_week(tmp_path, WEEK, files(WEEK, sheet))
    (at / "v2" / "note.txt").write_text("the coach's own")
    write_week(tmp_path, WEEK, files(WEEK, b"third"))
    sheets = [(at / name / "sheets.pdf").read_bytes() for name in ("v2", "v3", ".")]
    assert sheets == [b"first", b"second", b"third"]
    assert (at / "v2" / "note.txt").read_text() == "the coach's own"
    both = ("sheets.pdf", "week.json")
    assert standing(at) == sorted(
        [*both, "v1", "v1/photos", "v1/photos/one.jpg", "v2", "v2/note.txt", "v3"]
        + [f"{version}/{name}" for version in ("v2", "v3") for name in both]
    )


def test_a_disk_that_knows_no_second_names_gets_copies(tmp_path, monkeypatch, files):
    monkeypatch.setattr("os.link", failing(OSError("no links here")))
    for sheet in (b"first", b"second"):
        at = write_week(tmp_path, WEEK, files(WEEK, sheet))
    assert (at / "v1" / "sheets.pdf").read_bytes() == b"first"


@pytest.mark.parametrize("out", [None, "out", "out/deeper"])
def test_a_folder_that_cannot_be_written_leaves_nothing(out, tmp_path, faults_of, files, standing):
    blocked = tmp_path / ("weeks" if out is None else "out")
    blocked.write_text("a file stands here")
    where = None if out is None else tmp_path / out
    (fault,) = faults_of(lambda: write_week(tmp_path, WEEK, files(WEEK), where))
    assert fault.file == (where or blocked)
    assert "cannot be written" in fault.read and "--out" in fault.remedy
    assert standing(tmp_path) == [blocked.name] and blocked.read_text() == "a file stands here"


@pytest.mark.parametrize("before", [False, True])
@pytest.mark.parametrize("step", ["os.fsync", "pathlib.Path.mkdir", "pathlib.Path.rename"])
def test_a_failing_disk_changes_nothing(step, before, tmp_path, faults_of, monkeypatch, files, standing):
    if before:
        write_week(tmp_path, WEEK, files(WEEK, b"old"))
    stood = standing(tmp_path)
    with monkeypatch.context() as broken:
        broken.setattr(step, failing(FULL))
        (fault,) = faults_of(lambda: write_week(tmp_path, WEEK, files(WEEK, b"new")))
    assert "No space left on device" in fault.read and standing(tmp_path) == stood
    assert not before or (week_folder(tmp_path, WEEK) / "sheets.pdf").read_bytes() == b"old"


def test_a_week_needs_its_document_and_plain_names(tmp_path, files, standing):
    for wrong in ({"sheets.pdf": b""}, {**files(WEEK), "../x": b""}):
        with pytest.raises(ValueError, match=r"week\.json"):
            write_weeks(tmp_path, {NAMES[1]: files(NAMES[1]), WEEK: wrong})
    assert standing(tmp_path) == []


FULL = OSError(28, "No space left on device")


def failing(error, after=1, work=None):
    """Do `work` until the call of this number and from it on fail; with `work` that one call alone fails."""
    left = [after]

    def call(*words, **named):
        left[0] -= 1
        if left[0] == 0 or (left[0] < 0 and work is None):
            raise error
        return work(*words, **named) if work else None

    return call


def whole(folder):
    """Return the sheet of the week in force, having read its document."""
    document = in_force(folder)
    assert document.week == WEEK
    return (week_folder(folder, WEEK) / "sheets.pdf").read_bytes()


def moments(run, most=500):
    """Run with every moment in turn until one is past the end; return how many there were."""
    return next(moment for moment in range(1, most) if not run(moment))


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


NAMES = (WEEK, "2026-W50", "2026-W51")


def block(files, sheet):
    """The files of three weeks."""
    return {name: files(name, sheet) for name in NAMES}


def sheets(folder):
    """The sheet of every week that stands."""
    return [(week_folder(folder, name) / "sheets.pdf").read_bytes() for name in weeks(folder)]


# three new folders take three renames
@pytest.mark.parametrize(("before", "fails_at"), [(b, n) for b in (0, 1) for n in range(1, 7 if b else 4)])
def test_a_rename_that_fails_undoes_all(fails_at, before, tmp_path, faults_of, monkeypatch, files, standing):
    if before:
        write_weeks(tmp_path, block(files, b"old"))
    stood, rename = standing(tmp_path), Path.rename
    with monkeypatch.context() as broken:
        call = failing(OSError(5, "Input/output error"), fails_at, rename)
        broken.setattr(Path, "rename", lambda *words: call(*words))
        (fault,) = faults_of(lambda: write_weeks(tmp_path, block(files, b"new")))
    assert "Input/output error" in fault.read and "--out" in fault.remedy
    assert standing(tmp_path) == stood and sheets(tmp_path) == [b"old"] * 3 * before


@needs_fork
@pytest.mark.parametrize("before", [False, True])
def test_a_kill_at_any_moment_leaves_all_old_weeks_or_all_new_ones(before, tmp_path, files):
    ends = set()

    def run(moment):
        folder = tmp_path / str(moment)
        folder.mkdir()
        if before:
            write_weeks(folder, block(files, b"old"))
        died = killed_at(moment, lambda: write_weeks(folder, block(files, b"new")))
        end = sheets(folder)
        assert end in ([b"old"] * 3 * before, [b"new"] * 3)
        ends.add(tuple(end))
        assert not (folder / "weeks" / LIST_FILE).exists()
        write_weeks(folder, block(files, b"next"))  # and the next run finds its way as if nothing had been
        assert sheets(folder) == [b"next"] * 3
        assert sorted(path.name for path in (folder / "weeks").iterdir()) == list(NAMES)
        return died

    assert moments(run) > 20 and len(ends) == 2  # it was killed often enough, and both ends were seen
