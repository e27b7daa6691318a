"""The first guess of roominess, and tightening."""

import pytest
import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st

from planner.method import SheetSettings
from planner.sheets import client
from planner.sheets import paper as fit

SETTINGS = SheetSettings()
STEPS = len(SETTINGS.text_points)
LAST = fit.tightest(SETTINGS)


def pages(library, week, paper="A4"):
    return client.pages(weeks.sample_desk(library, week, paper))


def test_every_step_has_all_its_sizes():
    for sizes in (
        SETTINGS.box_millimetres, SETTINGS.number_points, SETTINGS.tell_per_cent, SETTINGS.rules_most,
    ):  # fmt: skip
        assert len(sizes) == STEPS
    assert min(SETTINGS.number_points) >= 16
    assert SETTINGS.name_points >= 14
    assert min(SETTINGS.text_points) >= SETTINGS.fine_points >= 9
    assert SETTINGS.safe_points >= 10


def test_a_short_session_is_roomy_and_the_longest_takes_two_pages(library):
    short = weeks.sample_page(library, weeks.planned(weeks.PRESS, 1))
    assert fit.guess(short, "A4", SETTINGS) == 0
    long = pages(library, weeks.longest_week())[0]
    level = fit.guess(long, "A4", SETTINGS)
    assert level >= STEPS
    parts = fit.laid_out(long, level, SETTINGS)
    assert [len(part.cards) for part, _ in parts] == [3, 3]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_one_exercise_less_is_never_tighter(library, paper):
    exercises = weeks.longest_week().sessions[0].exercises
    steps = [
        fit.guess(
            pages(library, weeks.sample_week(sessions=(weeks.session("Mon", exercises[:n]),)))[0],
            paper,
            SETTINGS,
        )
        for n in range(1, len(exercises) + 1)
    ]
    assert steps == sorted(steps)


@given(
    st.dictionaries(st.sampled_from(["Mon", "Tue", "Wed"]), st.integers(0, LAST), min_size=1),
    st.lists(st.sampled_from(["Mon", "Tue", "Wed"])),
)
def test_tightening_moves_what_ran_over_by_one_step_until_there_is_none(levels, too_long):
    closer = fit.tighter(levels, too_long, SETTINGS)
    if closer is None:
        assert all(levels[key] == LAST for key in too_long if key in levels)
    else:
        for key, step in levels.items():
            assert closer[key] == (min(LAST, step + 1) if key in too_long else step)
