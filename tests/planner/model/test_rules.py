"""Nothing of the model goes untested, unsaid or unused: every rule its test and words, every price its use."""

import runpy
from pathlib import Path

import pytest

from planner.model.aims import GOALS
from planner.model.limits import LIMITS
from planner.plain import rule_words


def cases(file, table):
    """The table of cases of a test file beside this one."""
    return runpy.run_path(str(Path(__file__).with_name(file)))[table]


@pytest.mark.parametrize(
    ("file", "table", "rules"), [("test_limits.py", "USES", LIMITS), ("test_goals.py", "MISSES", GOALS)]
)
def test_every_rule_has_its_cases(file, table, rules):
    assert {row[0] for row in cases(file, table)} == {one.name for one in rules}


def test_every_goal_is_missed_by_some_plan_and_reached_by_another():
    missed = {(rule, bool(misses)) for rule, _, _, misses in cases("test_goals.py", "MISSES")}
    assert missed == {(one.name, by) for one in GOALS for by in (True, False)}


def test_every_rule_has_words_and_no_words_are_without_a_rule():
    words = rule_words()
    assert set(words) == {"limit", "goal"}
    assert set(words["limit"]) == {one.name for one in LIMITS}
    parts = {name for name in words["goal"] if ":" in name}
    assert set(words["goal"]) - parts == {one.name for one in GOALS}
    written = (Path(__file__).parent / "test_goals.py").read_text(encoding="utf-8")
    assert all(f'"{name}:' in written for name in parts)  # a part is a miss that some plan has
