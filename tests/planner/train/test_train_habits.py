"""What weeks in a row ask a coach."""

import datetime

from small_document import line, small_document

from planner.document import ExerciseWarning
from planner.log.record import LoggedSet
from planner.method import TRAIN
from planner.plain import FIRST_BACK_AFTER
from planner.train.notes import habits, weaker

PRESS = "seated_dumbbell_overhead_press"
RAISE = "standing_dumbbell_lateral_raise"
MONDAY = datetime.date(2026, 11, 2)


def a_set(day, load=20.0, reps=10, rir=2.0, key=PRESS, gym="club"):
    return LoggedSet(MONDAY + datetime.timedelta(days=day), "", key, 1, load, "kg", reps, rir, gym=gym)


def week(number):
    return small_document({"Mon": [line(PRESS, 3)], "Wed": [line(RAISE, 3)]}, f"2026-W{45 + number}")


def test_a_day_that_is_missed_or_trained_elsewhere_again_and_again_is_asked_about():
    weeks = [week(0), week(1), week(2)]

    def said(*rows):
        sets = [a_set(day, reps=10 + day, gym=gym) for day, gym in rows]
        return [*habits(weeks, sets, TRAIN)]

    assert said() == [] and said((0, "club"), (2, "club"), (7, "club")) == []
    (missed,) = said((0, "club"), (7, "club"), (14, "club"))
    assert missed.startswith("Wednesday") and "3 weeks" in missed
    (other,) = said((0, "club"), (2, "home"), (7, "club"), (9, "home"))  # the third week is not trained yet
    assert other.startswith("Wednesday") and "home" in other
    assert said((0, "club"), (2, "home"), (7, "club"), (9, "club")) == []


def test_a_load_that_stands_still_three_weeks_is_asked_about():
    weeks = [week(0), week(1), week(2)]

    def said(reps=(7, 7, 7), rir=2.0, load=30.0, of=weeks):
        first = [a_set(7 * at, load if at else 30.0, n, rir) for at, n in enumerate(reps)]
        return [line for line in habits(of, first, TRAIN) if "sleep" in line]

    (still,) = said()
    assert "30 kg × 7" in still and said(reps=(7, 6, 6))
    assert said(reps=(7, 7, 8)) == said(rir=6.0) == said(load=32.0) == said(reps=(7, 7)) == []
    sore = ExerciseWarning(exercise=PRESS, text="It hurt.", kind="eased")
    assert said(of=[*weeks[:2], weeks[2].model_copy(update={"exercise_warnings": (sore,)})]) == []
    back = weeks[1].model_copy(update={"notes": (f"{FIRST_BACK_AFTER} illness",)})
    assert said(of=[weeks[0], back, weeks[2]]) == []


def test_strength_that_is_gone_from_one_week_to_the_next_is_asked_about(library):
    def said(*rows):
        return [said for _, said in weaker({(rows[0].exercise, "club"): rows}, library, TRAIN)]

    (drop,) = said(a_set(0, 18, 10, 3), a_set(7, 20, 2, 0), a_set(7, 20, 1, 0))
    places = {(PRESS, "club"): [a_set(0, 18), a_set(7, 18, 2, 0)]}
    for key, head in (("machine_shoulder_press", True), ("barbell_bench_press", False)):
        both = {**places, (key, "club"): [a_set(0, key=key), a_set(7, key=key)]}
        ((_, said_too),) = weaker(both, library, TRAIN)
        assert (f"not so {library.exercises[key].name}" in said_too) is head
    assert "18 kg × 10" in drop and "20 kg × 2" in drop and "Ask" in drop
    assert said(a_set(0, 18, 10, 3), a_set(7, 18, 9, 0)) == []
    assert said(a_set(0, 18, 10, 3), a_set(7, 12, 10, 4)) == []  # far from failure
    assert said(a_set(0, 18, 10, 3, RAISE), a_set(7, 20, 2, 0, RAISE)) == []  # no formula was made for raises
