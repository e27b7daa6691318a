"""No number hides: every default of method.toml belongs to a record that something reads."""

import re
from pathlib import Path

import library
import planner
import planner.method
from library.method import Settings, method

WORDS = {
    word
    for package in (library, planner)
    for kind in ("*.py", "templates/*.txt", "templates/*.html")  # what is printed reads some too
    for path in Path(str(package.__file__)).parent.rglob(kind)
    for word in re.findall(r"\w+", path.read_text(encoding="utf-8"))
}


def test_every_table_has_its_record_and_every_record_its_table():
    ours = (record for record in Settings.__subclasses__() if "test" not in record.__module__)
    assert {record.table for record in ours} == set(method())


def test_every_default_says_what_it_is_and_is_read_somewhere():
    for rows in method().values():
        for name, row in rows.items():
            assert row.source.strip() and row.text.strip(), name
            by_status = name.split("_")[0] in ("novice", "intermediate", "advanced")
            assert name in WORDS or by_status, f"nothing reads {name}"
