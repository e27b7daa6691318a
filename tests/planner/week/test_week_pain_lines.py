"""What pain asks of an exercise comes into the week's document with the exercise's key, so that its sheets find it."""

from __future__ import annotations

from pathlib import Path

import small_athlete

from planner.log.record import COLUMNS

RAISE = "standing_dumbbell_lateral_raise"


def test_the_document_says_which_warning_is_about_which_exercise(tmp_path: Path) -> None:
    folder = small_athlete.make_folder(tmp_path / "kim")
    cells = {"date": "2026-11-20", "session": "Fri", "exercise": RAISE, "set": "1", "reps": "12", "pain": "4"}
    cells |= {"load": "6", "load_unit": "kg", "rir": "2", "kind": "joint", "gym": "club"}
    row = ",".join(cells.get(name, "") for name in COLUMNS)
    (folder / "log.csv").write_text(",".join(COLUMNS) + f"\n{row}\n", encoding="utf-8")
    _, document = small_athlete.planned(folder)
    (warning,) = document.exercise_warnings
    assert (warning.exercise, warning.first_sheet) == (RAISE, False)
    assert "pain 4 on 2026-11-20" in warning.text
    assert document.warnings.count(warning.text) == 1
