"""The demo and ten more briefs: each week is sound, proven, and what a coach would expect."""

import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mutant import toml_file
from wide_weeks import odd_brief

from library.errors import NoWeekPossible
from library.read import read_library
from planner.athlete.targets import joint_allowances
from planner.verify.recheck import recheck
from planner.week.gather import gather
from planner.week.plan import plan_week

HERE = Path(__file__).parent
BRIEFS = sorted(path.parent.name for path in HERE.glob("*/brief.toml"))
ALL = ["demo_athlete", *BRIEFS]
PROVEN_TO = 0.05  # missed sets


@pytest.mark.parametrize("name", ALL)
def test_the_recheck_finds_nothing(name, planned):
    made = planned(name)
    inputs = made.asked.inputs
    assert recheck(made.week, inputs.library, inputs.brief, inputs.gyms, made.asked.before) == []


@pytest.mark.parametrize("name", ALL)
def test_the_dose_is_proven(name, planned):
    """The best dose is proven to 0.05 set (else the status says so); the plan as printed may use up the tolerance
    of 0.25 set a head that the second aim has."""
    made = planned(name)
    settings = made.asked.inputs.week
    assert settings.dose_gap_sets == PROVEN_TO
    dose = next(row for row in made.week.proof if row.aim == "dose")
    assert dose.gap <= PROVEN_TO + settings.dose_tolerance_sets * len(made.week.dose) + 1e-9
    rest = made.week.proof[1]
    if made.week.status == "stopped":  # by the clock, on a machine that is busy: the gap says so
        assert rest.gap > 0


@pytest.mark.parametrize("name", ALL)
def test_replacements_can_be_done_there_and_train_the_same_head(name, planned):
    made = planned(name)
    for session in made.week.sessions:
        room = set(made.asked.inputs.gyms[session.gym].with_what_follows().equipment)
        for one in session.exercises:
            main = max(one.credits, key=lambda head: one.credits[head], default=None)
            for other in one.instead:
                assert set(made.library.exercises[other.exercise].needs) <= room
                assert made.library.profiles[main][other.exercise].ratio >= 0.30
                assert other.exercise not in {planned_too.exercise for planned_too in session.exercises}


def test_rooms_and_units_of_a_brief_are_kept(planned):
    made = planned("dumbbells_at_home")
    needed = {key for one in made.lines() for key in made.library.exercises[one.exercise].needs}
    assert needed <= {"dumbbells", "flat_bench"}
    assert "dumbbells" in needed
    assert not [goal for goal in made.missed() if goal.startswith("dose")]
    made = planned("machines_only")
    implements = {made.library.exercises[one.exercise].implement for one in made.lines()}
    assert implements <= {"machine", "cable", "bodyweight"}
    assert "machine" in implements
    made = planned("no_equipment")
    assert made.lines()
    for one in made.lines():
        assert made.library.exercises[one.exercise].needs == ()
        assert one.load_is == "body"
        assert one.instead == ()  # nobody can take the floor
    made = planned("pounds")
    assert made.week.units == "lb"
    assert {one.load_unit for one in made.lines()} <= {"lb", None}


def test_one_session_fills_its_minutes_and_four_reach_every_target(planned):
    made = planned("one_short_session")
    (session,) = made.week.sessions
    assert session.minutes.used > 23
    assert {goal for goal in made.missed() if goal.startswith("dose")}
    assert all(line.planned > line.floor for line in made.week.dose)  # floors before targets
    (time,) = (row for row in made.week.limits if row.limit == "time:Thu")
    assert time.binds
    made = planned("four_sessions")
    assert all(line.planned >= line.target - 0.26 for line in made.week.dose)
    assert not [goal for goal in made.missed() if goal.startswith("heavy_days")]
    for line in made.week.dose:
        days = (session.exercises for session in made.week.sessions)
        doses = [sum(one.credits.get(line.head, 0.0) * one.sets for one in day) for day in days]
        assert sum(dose >= 2 for dose in doses) >= 2


def test_a_sore_shoulder_does_nothing_above_its_grades(planned):
    made = planned("sore_shoulder")
    allowances = joint_allowances(made.asked.inputs.brief, made.library)
    assert allowances["acromioclavicular"] == "careful"  # from the flag alone
    assert set(allowances.values()) == {"clear", "careful", "avoid"}
    for one in made.lines():
        for key in (one.exercise, *(other.exercise for other in one.instead)):
            for region, stress in made.library.exercises[key].stress.items():
                highest = {"clear": 2, "careful": 2 if stress.change else 1, "avoid": 1}[allowances[region]]
                assert stress.grade <= highest, (key, region)


def test_the_first_head_is_served_first(planned):
    made = planned("rear_first")
    tolerance = made.asked.inputs.week.dose_tolerance_sets
    rear, front = made.dose("rear"), made.dose("front")
    assert rear.planned >= rear.target - tolerance
    assert front.planned < front.target - tolerance  # there is not time for everything
    for session in made.week.sessions:
        lifts = [made.library.exercises[line.exercise].warmup_sets > 0 for line in session.exercises]
        first = session.exercises[lifts.index(False) if False in lifts else 0]
        assert first.credits.get("rear", 0.0) >= 0.5  # and it comes first after the heavy lifts


def test_trained_elsewhere_needs_nothing_and_out_of_reach_names_the_shortfall(planned):
    made = planned("trained_elsewhere")
    assert made.lines() == []
    assert any("Nothing is left to train" in text for text in made.week.warnings)
    assert made.week.status == "proven"
    assert [(row.value, row.gap) for row in made.week.proof if row.aim == "dose"] == [(0.0, 0.0)]
    assert set(made.missed()) <= {"ceiling:front", "ceiling:side", "ceiling:rear"}
    made = planned("out_of_reach")
    side = made.dose("side")
    assert made.missed()["dose:side"] == pytest.approx(40 - side.planned, abs=1e-3)
    assert side.planned > side.floor
    assert side.chance_target90 == 0.0
    assert all(row.binds for row in made.week.limits if row.limit.startswith("time:"))


def test_the_demo_keeps_to_its_brief(planned):
    made = planned("demo_athlete")
    brief = made.asked.inputs.brief
    used = {one.exercise for one in made.lines()}
    assert not used & set(brief.preferences.exclude)
    families = {made.library.exercises[key].family for key in used}
    for family in brief.variety.families:
        assert family in families or f"family:{family}" in made.missed()
    assert made.dose("front").elsewhere > 0  # Thursday's bench press
    assert all(made.missed().get(f"dose:{line.head}", 0.0) <= 0.25 for line in made.week.dose)


# --- any brief that may be written gives a week that the recheck has nothing against, or says why there is none
TODAY = datetime.date(2026, 11, 25)
LIBRARY = read_library()


@given(seed=st.integers(0, 1_000_000))
@settings(max_examples=10)
def test_any_brief_passes_its_recheck(seed, tmp_path_factory):
    folder = tmp_path_factory.mktemp("any")
    for name, tree in zip(("brief.toml", "gym.toml"), odd_brief(seed, LIBRARY), strict=True):
        (folder / name).write_bytes(toml_file(tree))
    asked = gather(folder, None, TODAY)
    try:
        week = plan_week(asked)
    except NoWeekPossible as told:
        assert "pin" in str(told)  # nothing else that these briefs ask for must hold
        return
    inputs = asked.inputs
    assert recheck(week, inputs.library, inputs.brief, inputs.gyms, asked.before) == [], folder
    assert {row.aim for row in week.proof} == {"dose", "rest"}
