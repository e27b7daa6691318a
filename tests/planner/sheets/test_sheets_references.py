"""Ratios, credits and numbered references behind the week's exercises."""

from sample_week import PRESS, REAR

from library.profiles import Profile
from planner.sheets.desk import Desk
from planner.sheets.references import _runs, evidence


def test_each_exercise_stands_once_with_its_sets_of_the_week(desk):
    found = {one.name: one.sets for one in evidence(desk).exercises}
    assert len(found) == 9
    assert found[desk.library.exercises[REAR].name] == 6


def test_references_are_listed_once_with_their_status(desk):
    assert evidence(desk).references == (
        ("Campos et al. 2020, J Hum Kinet 75:5-14", "read"),
        (
            "Botton et al. 2013, Deltoid activation in presses and raises, J Strength Cond Res 27(8):1-9",
            "second-hand",
        ),
        ("Reinold et al. 2007, J Athl Train 42(4):464-469", "remembered"),
        ("common practice, no source", "practice"),
    )


def test_the_error_is_that_of_the_ratio_and_the_anchor_has_none(desk):
    profiles = {"front": {PRESS: Profile(0.5, 0.2, ())}, "side": {PRESS: Profile(1.0, 0.0, ())}}
    other = type(desk.library)(**{**vars(desk.library), "profiles": profiles})
    press = evidence(Desk(desk.document, other, desk.brief, desk.settings)).exercises[0]
    assert [(one.head, one.ratio, one.rows) for one in press.ratios] == [
        ("front", "0.50 ± 0.10", ""),
        ("side", "1, anchor", ""),
        ("rear", "no row", ""),
    ]


def test_numbers_in_a_row_are_said_as_a_range():
    assert _runs([1, 2, 3, 5, 7, 8]) == ["1–3", "5", "7", "8"]
    assert _runs([]) == []
