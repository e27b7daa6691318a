"""`planner library` and `planner pool`: table, page, document and picture; what moved, and what is never written."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from folders import SMALL_LIBRARY
from in_process import planner, printed

from library.errors import nearest
from planner.commands import library as command


def run(*words):
    return printed("library", *words, "--library", SMALL_LIBRARY)


def test_the_table_the_page_and_the_document_and_the_nearest_of_unknown_names():
    lines = run().splitlines()
    head = ["exercise", "front", "side", "upper", "trapezius", "joints"]
    assert (lines[0].split(), len(lines)) == (head, 7)
    assert "\x1b" not in run() and "below the acromion 2" in "".join(lines)
    sorted_by_head = run("--head", "upper_trapezius").splitlines()[1:]
    names = ["dumbbell_shrug", "standing_dumbbell_lateral_raise"]
    assert [line.split()[0] for line in sorted_by_head] == names
    assert sorted_by_head[1].split()[1:] == ["0.51", "1.00", "0.90"]
    text = run("lying_two_cable_lateral_raise", "--head", "side")
    assert "side: 0.92" in text and "front: " not in text
    assert len(json.loads(run("--json"))["exercises"]) == 6
    assert [item["key"] for item in json.loads(run(names[0], "--json"))["exercises"]] == names[:1]
    refused = planner("library", "lying_cable_raise", "--head", "sid", "--library", SMALL_LIBRARY)
    told = refused.stderr
    assert refused.returncode == 2 and 'did you mean "lying_two_cable_lateral_raise"?' in told
    assert '--head: "sid". No head has this name; did you mean "side"? Known: "front", "side"' in told


@pytest.mark.parametrize(("word", "offered"), [
    # its parts, not its letters, which are nearer to incline_dumbbell_fly
    ("incline_y", "incline_cable_y_raise"),
    ("y raise", "band_y_raise"),  # the shortest that has them all
    ("dumbell_shrug", "dumbbell_shrug"),  # a slip of the pen: its letters
    ("zzz", ""),
])  # fmt: skip
def test_the_nearest_name_has_the_parts_that_were_written(word, offered):
    names = ("incline_cable_y_raise", "incline_dumbbell_fly", "band_y_raise", "dumbbell_shrug")
    assert nearest(word, names) == (f'; did you mean "{offered}"?' if offered else "")


def test_no_heavy_package_is_loaded():
    """What the table and the document need is pydantic and typer; everything else would cost the blink."""
    code = f"""
import sys, typer; from planner.commands import library as c
app = typer.Typer(); app.command()(c.library)
for words in (["--json"], [], ["--head", "side"]): app([*words, "--library", {str(SMALL_LIBRARY)!r}], standalone_mode=False)
heavy = {{"numpy", "pandas", "pulp", "scipy", "jinja2", "weasyprint", "highspy"}} & set(sys.modules)
print(sorted(heavy), file=sys.stderr)"""
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stderr.strip() == "[]"


def test_a_picture_is_written_of_one_exercise_and_refused_for_a_table(tmp_path):
    file = tmp_path / "raise.svg"
    assert planner("library", "standing_dumbbell_lateral_raise", "--picture", file).returncode == 0
    assert file.read_text(encoding="utf-8").startswith("<svg")
    assert "one exercise" in planner("library", "--picture", tmp_path / "all.svg").stderr


# --- `planner pool`
@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(SMALL_LIBRARY, tmp_path / "copy"))


def pool(folder, *words):
    done = planner("pool", "--library", folder, *words)
    assert done.returncode == 0, done.stderr
    return done.stdout, done.stderr


def refused(*words):
    done = planner("pool", *words)
    assert done.returncode == 2
    return done.stderr


def spoil(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_what_moved_is_printed_and_written(folder):
    before = (folder / "profiles.csv").read_bytes()
    assert pool(folder) == ("", "10 numbers, 0 moved\n")
    assert (folder / "profiles.csv").read_bytes() == before
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    told, aside = pool(folder)
    assert told == "side  swung_dumbbell_lateral_raise  0.800 (±0.220) → 0.880 (±0.220)  +10.0%\n"
    assert aside == "10 numbers, 1 moved\n"
    text = (folder / "profiles.csv").read_text(encoding="utf-8")
    assert "swung_dumbbell_lateral_raise,side,0.880000" in text
    assert pool(folder)[0] == ""


def test_a_moved_scale_is_warned_of(folder):
    """The anchor's own rows fall: every ratio of the head rises, which is news of the scale."""
    rows = folder / "evidence" / "published.csv"
    spoil(rows, "percent_MVIC,60,18", "percent_MVIC,50,15")
    spoil(rows, "percent_MVIC,90,,,,intra", "percent_MVIC,80,,,,intra")
    aside = pool(folder)[1]
    assert "front: the scale has moved." in aside and "seated_dumbbell_overhead_press" in aside
    assert "side: the scale" not in aside


def test_check_writes_nothing_and_refuses_a_file_that_does_not_match(folder):
    pool(folder, "--check")
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    before = (folder / "profiles.csv").read_bytes()
    assert "1 numbers differ" in refused("--library", folder, "--check")
    assert (folder / "profiles.csv").read_bytes() == before


def test_a_profile_file_that_cannot_be_read_is_written_anew(folder):
    (folder / "profiles.csv").write_bytes(b"\xff\xff")
    told, aside = pool(folder)
    assert len(told.splitlines()) == 10
    assert "is no UTF-8" in aside and "It is written anew." in aside
    assert pool(folder)[0] == ""


def test_an_untied_exercise_stops_the_pooling_and_names_it(folder):
    file, swung = folder / "evidence" / "practice.csv", "swung_dumbbell_lateral_raise"
    spoil(file, "practice-side-swung", "practice-side-lost")
    spoil(file, f"{swung},standing_dumbbell_lateral_raise", f"{swung},dumbbell_shrug")
    before = (folder / "profiles.csv").read_bytes()
    assert f'ties "{swung}" to the anchor' in refused("--library", folder)
    assert (folder / "profiles.csv").read_bytes() == before


def test_an_installed_library_is_not_written_and_a_checkout_is_without_naming_it(folder, monkeypatch):
    before = (folder / "profiles.csv").read_bytes()
    monkeypatch.setattr(command, "shipped_folder", lambda: folder)
    assert "belongs to an installed program" in refused()
    assert planner("pool", "--check").returncode == 0
    assert (folder / "profiles.csv").read_bytes() == before
    (folder.parent / "pyproject.toml").touch()
    (folder / "profiles.csv").unlink()
    assert planner("pool").returncode == 0
    assert (folder / "profiles.csv").read_bytes() == before
