"""Where the demo, the briefs and the small library lie, and copies of athletes' folders that a test may write to."""

import re
import shutil
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_athlete"
BRIEFS = ROOT / "tests" / "briefs"
SMALL_LIBRARY = ROOT / "tests" / "library" / "small_library"


def copy_of(source, folder, *more):
    """Copy brief and gyms, files named besides, and nothing that was ever planned; return the new folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("brief.toml", "gym.toml", *more):
        shutil.copy(source / name, folder / name)
    return folder


def copy_of_demo(folder):
    """Copy all of the demo athlete but weeks that somebody planned there; return the new folder."""
    return Path(shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("weeks", ".*")))


def contents(folder):
    """Give each visible file below a folder by its name; the seconds that a solver took are no part of a result."""
    files = [file for file in folder.rglob("*") if file.is_file() and not file.name.startswith(".")]
    written = {file.relative_to(folder).as_posix(): file.read_bytes() for file in files}
    return {name: re.sub(rb'"seconds": [\d.e-]+', b"", content) for name, content in written.items()}


def spoil(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
