import shutil
from pathlib import Path

import pytest
import typer
from folders import SMALL_LIBRARY
from typer.testing import CliRunner

from library.errors import FaultyInput
from planner.commands import library as command

APP = typer.Typer()
APP.command()(command.pool)


@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(SMALL_LIBRARY, tmp_path / "copy"))


def run(*arguments):
    result = CliRunner().invoke(APP, list(arguments))
    if result.exception:
        raise result.exception
    return result.stdout, result.stderr


def spoil(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_what_moved_is_printed_and_written(folder):
    before = (folder / "profiles.csv").read_bytes()
    assert run("--library", str(folder)) == ("", "10 numbers, 0 moved\n")
    assert (folder / "profiles.csv").read_bytes() == before
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    told, aside = run("--library", str(folder))
    assert told == "side  swung_dumbbell_lateral_raise  0.800 (±0.220) → 0.880 (±0.220)  +10.0%\n"
    assert aside == "10 numbers, 1 moved\n"
    text = (folder / "profiles.csv").read_text(encoding="utf-8")
    assert "swung_dumbbell_lateral_raise,side,0.880000" in text
    assert run("--library", str(folder))[0] == ""


def test_a_moved_scale_is_warned_of(folder):
    """The anchor's own rows fall: every ratio of the head rises, which is news of the scale."""
    rows = folder / "evidence" / "published.csv"
    spoil(rows, "percent_MVIC,60,18", "percent_MVIC,50,15")
    spoil(rows, "percent_MVIC,90,,,,intra", "percent_MVIC,80,,,,intra")
    aside = run("--library", str(folder))[1]
    assert "front: the scale has moved." in aside and "seated_dumbbell_overhead_press" in aside
    assert "side: the scale" not in aside


def test_check_writes_nothing_and_refuses_a_file_that_does_not_match(folder):
    run("--library", str(folder), "--check")
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    before = (folder / "profiles.csv").read_bytes()
    with pytest.raises(FaultyInput, match="1 numbers differ"):
        run("--library", str(folder), "--check")
    assert (folder / "profiles.csv").read_bytes() == before


def test_a_profile_file_that_cannot_be_read_is_written_anew(folder):
    (folder / "profiles.csv").write_bytes(b"\xff\xff")
    told, aside = run("--library", str(folder))
    assert len(told.splitlines()) == 10
    assert "is no UTF-8" in aside and "It is written anew." in aside
    assert run("--library", str(folder))[0] == ""


def test_an_untied_exercise_stops_the_pooling_and_names_it(folder):
    file, swung = folder / "evidence" / "practice.csv", "swung_dumbbell_lateral_raise"
    spoil(file, "practice-side-swung", "practice-side-lost")
    spoil(file, f"{swung},standing_dumbbell_lateral_raise", f"{swung},dumbbell_shrug")
    before = (folder / "profiles.csv").read_bytes()
    with pytest.raises(FaultyInput, match=f'ties "{swung}" to the anchor'):
        run("--library", str(folder))
    assert (folder / "profiles.csv").read_bytes() == before


def test_an_installed_library_is_not_written_and_a_checkout_is_without_naming_it(folder, monkeypatch):
    before = (folder / "profiles.csv").read_bytes()
    monkeypatch.setattr(command, "shipped_folder", lambda: folder)
    with pytest.raises(FaultyInput, match="belongs to an installed program"):
        run()
    run("--check")
    assert (folder / "profiles.csv").read_bytes() == before
    (folder.parent / "pyproject.toml").touch()
    (folder / "profiles.csv").unlink()
    run()
    assert (folder / "profiles.csv").read_bytes() == before
