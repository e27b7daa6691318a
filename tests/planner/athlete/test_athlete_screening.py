"""Screening and history: what is warned about, what stops planning, what each joint region allows."""

import datetime

import pytest

from library.errors import NotCleared
from planner.athlete.brief import Brief
from planner.athlete.targets import joint_allowances, require_clearance, screening_warnings
from planner.method import AthleteSettings

WEEK = datetime.date(2026, 11, 30)
DONE = {"date": datetime.date(2026, 9, 14), "outcome": "clear"}


def brief(history=None, joints=None):
    session = [{"day": "Mon", "minutes": 40, "gym": "club"}]
    parts = {"history": {"questionnaire": DONE} if history is None else history, "joints": joints or {}}
    return Brief.model_validate({"athlete": {"name": "Ada"}, "session": session, **parts})


def warnings(library, week=WEEK, **parts):
    return screening_warnings(brief(**parts), library, week, AthleteSettings())


def test_a_missing_questionnaire(library):
    assert warnings(library) == []
    (text,) = warnings(library, history={})
    assert text.startswith("No readiness questionnaire is recorded. Ask for one before the first session")


@pytest.mark.parametrize(("date", "week", "said"), [
    ("2025-11-30", WEEK, None),  # twelve months to the day
    ("2025-11-29", WEEK, "of 2025-11-29 is older than 12 months"),
    ("2024-02-29", datetime.date(2025, 2, 28), None), ("2024-02-29", datetime.date(2025, 3, 1), "older than"),
    ("2026-12-06", WEEK, None),  # filled in during the week
    ("2026-12-07", WEEK, "dated 2026-12-07, after this week"),
])  # fmt: skip
def test_age_of_the_questionnaire(date, week, said, library):
    done = {"date": datetime.date.fromisoformat(date), "outcome": "clear"}
    texts = warnings(library, week, history={"questionnaire": done})
    assert len(texts) == (said is not None)
    assert said is None or said in texts[0]


def test_an_operation_without_clearance_stops_planning_and_says_what_to_record():
    surgery = {"date": datetime.date(2026, 5, 4)}
    with pytest.raises(NotCleared, match="until the doctor or physiotherapist in charge") as error:
        require_clearance(brief(history={"surgery": surgery}))
    assert error.value.exit_code == 3
    assert "surgery = { date = 2026-05-04, cleared = true }" in str(error.value)
    require_clearance(brief(history={"surgery": surgery | {"cleared": True}}))
    require_clearance(brief())


@pytest.mark.parametrize(("flags", "written", "allowed", "said"), [
    (["subacromial"], None, "careful", None), ([], "avoid", "avoid", None), ([], "clear", "clear", None),
    (["subacromial"], "avoid", "avoid", None), (["subacromial", "after_surgery"], None, "avoid", None),
    (["after_surgery", "subacromial"], None, "avoid", None),
    (["after_surgery"], "careful", "avoid", 'The stricter counts: "avoid". Only "clear" overrules a flag'),
    (["subacromial"], "clear", "clear", "The coach's word counts"),
])  # fmt: skip
def test_the_stricter_of_flag_and_word_counts_save_an_explicit_clear(flags, written, allowed, said, library):
    parts = {"history": {"questionnaire": DONE, "flags": flags}}
    parts["joints"] = {"subacromial": written} if written else {}
    assert joint_allowances(brief(**parts), library)["subacromial"] == allowed
    texts = [text for text in warnings(library, **parts) if "(subacromial)" in text]
    assert len(texts) == (said is not None)
    assert said is None or said in texts[0]


def test_every_flag_of_the_library_makes_its_regions_so_strict_and_no_other(library):
    clear = dict.fromkeys(library.regions, "clear")
    assert joint_allowances(brief(), library) == clear
    for key, flag in library.flags.items():
        assert joint_allowances(brief(history={"flags": [key]}), library) == clear | dict(flag.regions)
