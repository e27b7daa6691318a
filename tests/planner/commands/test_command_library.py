import json
import subprocess
import sys

import pytest
import typer
from folders import SMALL_LIBRARY
from typer.testing import CliRunner

from library.errors import FaultyInput, nearest
from planner.commands import library as command

APP = typer.Typer()
APP.command()(command.library)


def run(*arguments):
    result = CliRunner().invoke(APP, [*arguments, "--library", str(SMALL_LIBRARY)])
    if result.exception:
        raise result.exception
    return result.stdout


def test_the_table_the_page_and_the_document():
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


def test_unknown_names_offer_the_nearest():
    with pytest.raises(FaultyInput) as caught:
        run("lying_cable_raise", "--head", "sid")
    told = str(caught.value)
    assert caught.value.exit_code == 2 and 'did you mean "lying_two_cable_lateral_raise"?' in told
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
    app = CliRunner().invoke(APP, ["standing_dumbbell_lateral_raise", "--picture", str(file)])
    assert app.exit_code == 0 and file.read_text(encoding="utf-8").startswith("<svg")
    with pytest.raises(FaultyInput, match="one exercise"):
        run("--picture", str(tmp_path / "all.svg"))
