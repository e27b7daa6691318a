"""Weekly targets: defaults by status, what the coach wrote, and the step up from today's sets."""

from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.athlete.brief import Brief, Card, Session, Target
from planner.athlete.targets import weekly_targets
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
    ({"target": 12, "now": 10}, (4, 12, 20), ""),  # within one step
    # a capped target takes its ceiling down, unless that is written, and its floor
    ({"target": 30, "now": 10}, (4, 12, 15), "goes to 12"),
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
    targets, _ = weekly_targets(brief("advanced", ("Mon",), side=9), library, AthleteSettings())
    assert {goal.target for goal in targets.values()} == {6, 9}  # what is written is obeyed


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
