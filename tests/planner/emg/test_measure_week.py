"""A week planned with an athlete's own recordings: credits, plan and doses follow what was measured."""

import datetime

import pytest
from folders import DEMO, copy_of

from planner.emg.evidence import add_to_athlete, rows_of
from planner.publish import check_sound
from planner.week.gather import gather
from planner.week.plan import plan_week


@pytest.mark.slow
def test_the_next_week_uses_what_was_measured(demo, library, tmp_path):
    copy_of(DEMO, tmp_path)
    before = plan_week(gather(tmp_path, "2026-W49", datetime.date(2026, 11, 25)))
    added = add_to_athlete(tmp_path, library, demo, rows_of(demo)[0])
    own = gather(tmp_path, "2026-W49", datetime.date(2026, 11, 25))
    after = plan_week(own)
    check_sound(after, own)
    assert after.sessions != before.sessions
    moved = {(move.head, move.exercise): move for move in added.moves}
    y_raise = moved["front", "incline_cable_y_raise"]
    assert y_raise.after < y_raise.before  # this athlete's front head works little in it
    seen = 0
    for session in after.sessions:
        for line in session.exercises:
            for head, credit in line.credits.items():
                if (head, line.exercise) in moved:
                    assert credit == pytest.approx(moved[head, line.exercise].after, abs=0.006)
                    seen += 1
    assert seen > 0
