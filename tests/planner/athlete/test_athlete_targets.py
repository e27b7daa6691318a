"""Weekly targets: defaults by status, what the coach wrote, and the step up from today's sets."""

import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_athlete import BRIEF, make_folder

from library.errors import NotCleared, PlannerError
from library.method import CreditSettings, method, setting_rows
from library.pool import pool_library
from planner.athlete.brief import Brief, Card, Session, Target
from planner.athlete.reading import method_faults, method_of, read_brief
from planner.athlete.targets import joint_allowances, require_clearance, screening_warnings, weekly_targets
from planner.method import OVERRIDABLE, AthleteSettings, MeasureSettings, WeekSettings
from planner.publish import check_sound
from planner.week.gather import gather
from planner.week.plan import plan_week

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


def test_priority_sessions_and_must_are_handed_on_and_one_session_asks_for_what_it_holds(library):
    asked = brief(side={"target": 9, "priority": 3, "sessions": 2, "must": True}, rear=0)
    targets, _ = weekly_targets(asked, library, AthleteSettings())
    assert set(targets) == {"front", "side"}
    found = targets["side"]
    assert (found.priority, found.sessions, found.must) == (3, 2, True)
    targets, told = weekly_targets(brief("advanced", ("Mon",), side=9), library, AthleteSettings())
    assert {goal.target for goal in targets.values()} == {6, 9}  # what is written is obeyed
    assert [line.partition(":")[0] for line in told] == ["front, rear"]


@pytest.mark.parametrize(
    ("status", "doses"), [("novice", (4, 8, 12)), ("intermediate", (4, 10, 20)), ("advanced", (6, 12, 20))]
)
def test_a_head_that_is_not_named_takes_the_default_of_its_status(status, doses, library):
    targets, warnings = weekly_targets(brief(status), library, AthleteSettings())
    assert list(targets) == ["front", "side", "rear"]  # trained heads, in library order; no watched one
    assert {(goal.floor, goal.target, goal.ceiling) for goal in targets.values()} == {doses}
    assert {(goal.priority, goal.sessions, goal.must) for goal in targets.values()} == {(1, None, False)}
    assert warnings == []


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


def test_a_missing_questionnaire_is_asked_for_and_flags_make_their_regions_so_strict(library):
    assert warnings(library) == []
    (text,) = warnings(library, history={})
    assert text.startswith("No readiness questionnaire is recorded. Ask for one before the first session")
    clear = dict.fromkeys(library.regions, "clear")
    assert joint_allowances(screened(), library) == clear
    for key, flag in library.flags.items():
        assert joint_allowances(screened(history={"flags": [key]}), library) == clear | dict(flag.regions)


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


# --- [method]: a brief's own values reach the settings records, with their types, and nothing else does
RECORDS = (WeekSettings, MeasureSettings)


def test_values_of_the_brief_stand_unless_the_record_refuses_them_together():
    said = {"joint_easy_share": 1, "smallest_block_sets": 3, "counting": "movers", "price_empty_session": 5}
    asked = Brief(athlete=Card(name="Ada"), session=(Session(day="Mon", minutes=40, gym="a"),), method=said)
    assert method_of(asked, WeekSettings) == WeekSettings().but(**said)
    assert isinstance(method_of(asked, WeekSettings).joint_easy_share, float)
    assert method_of(asked, CreditSettings) == CreditSettings()
    (fault,) = method_faults({"smallest_block_sets": 5, "counting": "movers"}, Path("brief.toml"), RECORDS)
    assert (fault.where, fault.read) == ("method", 'counting = "movers", smallest_block_sets = 5')
    assert fault.remedy == "Write `smallest_block_sets` from 1 up to `largest_block_sets`"


@pytest.mark.parametrize(("name", "value", "remedy"), [
    ("joint_easy_share", -0.1, "from 0 to 1 (share of the budget)"), ("joint_easy_share", 1.1, "from 0 to 1"),
    ("joint_easy_share", float("nan"), "from 0 to 1"), ("joint_easy_share", "0.5", "a number from 0 to 1"),
    ("joint_easy_share", True, "a number from 0 to 1"), ("clear_grade", 4, "a whole number from 0 to 3"),
    ("smallest_block_sets", 2.5, "a whole number from 0"), ("smallest_block_sets", float("inf"), "a whole number from 0"),
    ("smallest_block_sets", 10**12, "to 200"), ("counting", "three", 'one of "activation", "movers"'),
    ("notch", 1, "true or false"), ("tie_break", [], "a number from 0"), ("tie_brake", 3, 'did you mean "tie_break"?'),
])  # fmt: skip
def test_names_types_and_ranges(name, value, remedy):
    (fault,) = method_faults({name: value}, Path("brief.toml"), RECORDS)
    assert fault.where == f"method.{name}"
    assert remedy in fault.remedy


@pytest.mark.parametrize("absurd", [
    {"draws": 0}, {"smallest_block_sets": 0}, {"smallest_block_sets": 5}, {"exercises_per_session": 0},
    {"booked_minutes_each": 0}, {"spread_sets": 0.0}, {"dose_price_below": 1.5}, {"price_minute": 1000.0},
    {"short_block_sets_novice": 0}, {"credit_floor": 0.0}, {"least_credit": 1.0},
    {"neutral_share": 1.0, "eccentric_weight": 0.0},
], ids=str)  # fmt: skip
def test_values_that_nothing_can_be_planned_with_are_refused(absurd):
    assert method_faults(absurd, Path("brief.toml"), OVERRIDABLE)


def ends():
    """Each number that a brief may set with the smallest and the largest value that is believed, and some between."""
    rows = [row for record in OVERRIDABLE for row in setting_rows(record())]
    numbers = [row for row in rows if isinstance(row.value, int | float) and not isinstance(row.value, bool)]
    return [
        (row.name, value)
        for row in numbers
        for value in dict.fromkeys(type(row.value)(row.value * by) for by in (0, 0.01, 0.5, 10, 100))
        if not method_faults({row.name: value}, Path("brief.toml"), OVERRIDABLE)
    ]


@pytest.mark.soak
def test_whatever_is_accepted_of_a_setting_is_planned(tmp_path, library, monkeypatch):
    day, every, pooled = datetime.date(2026, 11, 25), ends(), pool_library(library)
    monkeypatch.setattr("planner.week.gather.read_library", lambda: library)
    monkeypatch.setattr("library.pool.pool_library", lambda _: pooled)
    faults = []
    for name, value in every:
        asked = gather(make_folder(tmp_path, f"{BRIEF}\n[method]\n{name} = {value!r}\n"), "2026-W49", day)
        try:
            check_sound(plan_week(asked), asked)
        except Exception as error:
            if not isinstance(error, PlannerError) or error.exit_code not in (2, 3):
                faults.append((name, value, repr(error)[:500]))
    settings = len({name for name, _ in every})
    print(f"{len(every)} values of {settings} settings planned or refused in words", flush=True)
    assert not faults


def test_every_default_may_be_written_down_as_it_is_under_a_name_of_its_own(write, library):
    every = [item for record in OVERRIDABLE for item in method()[record.table].values()]
    assert len({item.name for item in every}) == len(every)
    lines = "".join(f"{item.name} = {item.value!r}\n" for item in every)
    asked = read_brief(write(f"{BRIEF}[method]\n{lines}"), library)
    assert all(method_of(asked, record) == record() for record in OVERRIDABLE)
