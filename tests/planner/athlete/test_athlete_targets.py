"""Weekly targets: defaults by status, what the coach wrote, and the step up from today's sets."""

import datetime
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import NotCleared
from planner.athlete.brief import Brief, Card, Session, Target
from planner.athlete.targets import joint_allowances, require_clearance, screening_warnings, weekly_targets
from planner.method import AthleteSettings

STATUSES = ("novice", "intermediate", "advanced")


def brief(status="intermediate", days=("Mon", "Thu"), **target):
    asked = {head: Target.model_validate(value) for head, value in target.items()}
    card = Card.model_validate({"name": "Ada", "training_status": status})
    sessions = tuple(Session(day=day, minutes=40, gym="club") for day in days)
    return Brief(athlete=card, session=sessions, target=asked)


@pytest.mark.parametrize(("asked", "doses", "said"), [
    (14, (4, 14, 20), ""),
    (25, (4, 25, 31.25), ""),  # a high target: a quarter more than it
    (3, (3, 3, 20), ""),  # below the default floor: the floor follows
    ({"floor": 12}, (12, 12, 20), ""), ({"ceiling": 8}, (4, 8, 8), ""),
    ({"floor": 2, "target": 5, "ceiling": 6}, (2, 5, 6), ""),
    ({"target": 12, "now": 10}, (4, 12, 13), ""),  # within one step
    # a capped target takes its ceiling down, unless that is written, and its floor
    ({"target": 30, "now": 10}, (4, 12, 13), "goes to 12"),
    ({"target": 30, "now": 10, "ceiling": 36}, (4, 12, 36), "goes to 12"),
    ({"floor": 8, "now": 3}, (4, 4, 5), "the target is lowered to that, the floor from 8 with it"),
])  # fmt: skip
def test_what_the_coach_wrote_stands_and_the_rest_follows(asked, doses, said, library):
    targets, warnings = weekly_targets(brief(side=asked), library, AthleteSettings())
    found = targets["side"]
    assert (found.floor, found.target, found.ceiling) == doses
    assert len(warnings) == bool(said) and said in "".join(warnings)


def test_priority_sessions_and_must_are_handed_on_and_a_target_of_0_is_not_trained(library):
    asked = brief(side={"target": 9, "priority": 3, "sessions": 2, "must": True}, rear=0)
    targets, _ = weekly_targets(asked, library, AthleteSettings())
    assert set(targets) == {"front", "side"}
    found = targets["side"]
    assert (found.priority, found.sessions, found.must) == (3, 2, True)


@pytest.mark.parametrize(
    ("status", "doses"), [("novice", (4, 8, 12)), ("intermediate", (4, 10, 20)), ("advanced", (6, 12, 20))]
)
def test_a_head_that_is_not_named_takes_the_default_of_its_status(status, doses, library):
    targets, warnings = weekly_targets(brief(status), library, AthleteSettings())
    assert list(targets) == ["front", "side", "rear"]  # trained heads, in library order; no watched one
    assert {(goal.floor, goal.target, goal.ceiling) for goal in targets.values()} == {doses}
    assert {(goal.priority, goal.sessions, goal.must) for goal in targets.values()} == {(1, None, False)}
    assert warnings == []


def test_one_session_asks_for_no_more_than_it_should_hold(library):
    targets, told = weekly_targets(brief("advanced", ("Mon",), side=9), library, AthleteSettings())
    assert {goal.target for goal in targets.values()} == {6, 9}  # what is written is obeyed
    assert [line.partition(":")[0] for line in told] == ["front, rear"]


SETS = st.none() | st.floats(0, 60)


@given(st.sampled_from(STATUSES), SETS, SETS, SETS, SETS)
def test_floor_target_and_ceiling_never_cross_and_no_step_is_too_large(status, floor, target, ceiling, now):
    named = [value for value in (floor, target, ceiling) if value is not None]
    if named != sorted(named):
        return  # refused on reading: planner.athlete.reading
    asked = Target(floor=floor, target=target, ceiling=ceiling, now=now)
    library = SimpleNamespace(heads={"side": SimpleNamespace(role="trained")})
    found = weekly_targets(brief(status, side=asked), library, AthleteSettings())[0].get("side")
    if found is None:
        return
    assert found.floor <= found.target <= found.ceiling
    assert now is None or found.target <= max(now + 1, 1.2 * now) + 1e-6
    if now is None:  # nothing the coach wrote is changed
        pairs = ((target, found.target), (floor, found.floor), (ceiling, found.ceiling))
        assert all(written in (None, stands) for written, stands in pairs)


# --- screening and history: what is warned about, what stops planning, what each joint region allows
WEEK = datetime.date(2026, 11, 30)
DONE = {"date": datetime.date(2026, 9, 14), "outcome": "clear"}


def screened(history=None, joints=None):
    session = [{"day": "Mon", "minutes": 40, "gym": "club"}]
    parts = {"history": {"questionnaire": DONE} if history is None else history, "joints": joints or {}}
    return Brief.model_validate({"athlete": {"name": "Ada"}, "session": session, **parts})


def warnings(library, week=WEEK, **parts):
    return screening_warnings(screened(**parts), library, week, AthleteSettings())


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
        require_clearance(screened(history={"surgery": surgery}))
    assert error.value.exit_code == 3
    assert "surgery = { date = 2026-05-04, cleared = true }" in str(error.value)
    require_clearance(screened(history={"surgery": surgery | {"cleared": True}}))
    require_clearance(screened())


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
    assert joint_allowances(screened(**parts), library)["subacromial"] == allowed
    texts = [text for text in warnings(library, **parts) if "(subacromial)" in text]
    assert len(texts) == (said is not None)
    assert said is None or said in texts[0]


def test_every_flag_of_the_library_makes_its_regions_so_strict_and_no_other(library):
    clear = dict.fromkeys(library.regions, "clear")
    assert joint_allowances(screened(), library) == clear
    for key, flag in library.flags.items():
        assert joint_allowances(screened(history={"flags": [key]}), library) == clear | dict(flag.regions)
