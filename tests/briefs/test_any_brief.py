"""Any brief that may be written gives a week that the recheck has nothing against, or says why there is none."""

import datetime

from hypothesis import given, settings
from hypothesis import strategies as st
from mutant import toml_file
from wide_weeks import odd_brief

from library.errors import NoWeekPossible
from library.read import read_library
from planner.verify.recheck import recheck
from planner.week.gather import gather
from planner.week.plan import plan_week

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
    assert recheck(week, inputs.library, inputs.brief, inputs.gyms, asked.before) == [], told_of(folder)
    assert {row.aim for row in week.proof} == {"dose", "rest"}


def told_of(folder):
    """What was asked, for the one who reads the failure."""
    return "\n".join((folder / name).read_text(encoding="utf-8") for name in ("brief.toml", "gym.toml"))
