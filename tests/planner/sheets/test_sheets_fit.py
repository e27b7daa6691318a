"""The first guess of roominess, and tightening."""

import pytest
import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st

from planner.method import SheetSettings
from planner.sheets import client, fit
from planner.sheets.desk import Desk

SETTINGS = SheetSettings()
LAST = len(SETTINGS.text_points) - 1


def pages(library, week, paper="A4"):
    return client.pages(Desk(week, library, weeks.sample_brief(paper), SETTINGS))


def test_every_step_has_all_its_sizes():
    for sizes in (
        SETTINGS.box_millimetres,
        SETTINGS.number_points,
        SETTINGS.tell_per_cent,
        SETTINGS.rules_most,
        SETTINGS.stop_millimetres,
    ):
        assert len(sizes) == LAST + 1
    assert min(SETTINGS.number_points) >= 16
    assert SETTINGS.name_points >= 14
    assert min(SETTINGS.text_points) >= SETTINGS.fine_points


def test_a_short_session_is_roomy_and_the_longest_is_tight(library):
    _, _, empty = pages(library, weeks.sample_week())
    assert fit.guess(empty, "A4", SETTINGS) == 0
    assert fit.guess(pages(library, weeks.longest_week())[0], "A4", SETTINGS) >= SETTINGS.tight_from


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_one_exercise_less_is_never_tighter(library, paper):
    exercises = weeks.longest_week().sessions[0].exercises
    steps = [
        fit.guess(
            pages(library, weeks.sample_week(sessions=(weeks.session("Mon", exercises[:n]),)))[0],
            paper,
            SETTINGS,
        )
        for n in range(len(exercises) + 1)
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
