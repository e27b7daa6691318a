"""The next load: double progression, in the loads that the gym can make.

All sets at the top of the range at the asked effort: the next load, 2-10 % up. Where the smallest step is
more than 10 %, repetitions come first. Effort off what was asked: 4 % a point. Raises (single-joint lifts)
progress by repetitions: no formula was made for them. What was done counts in the same gym and unit only.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.log.blank import WITHOUT_NUMBER
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import ROUNDING
from planner.train.last_time import NOTHING_ELSE, Asked, LastTime, last_time
from planner.train.load_case import Case, NextLoad
from planner.train.loads import MEANING, available_loads, heaviest_within, percent
from planner.train.steps import after_easy_sets, found_anew, step_down, step_up

AFTER_PAIN = "same range of motion or less."


def next_load(
    history: Iterable[LoggedSet],
    exercise: Exercise,
    gym: Gym,
    asked_reps: tuple[int, int],
    asked_rir: float,
    *,
    pain_share: float = 1.0,
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> NextLoad:
    """Decide the next load of one exercise in one gym.

    `history` holds that exercise's sets in that gym alone (`sets_of`), without those of lighter weeks: they
    were easy on purpose. `pain_share` below 1 is the share of the last load that pain allows
    (planner/train/pain.py). `asked_then`: reserve that past weeks asked, where it was another (blocks).
    """
    asked = Asked(*asked_reps, asked_rir)
    if exercise.load_is in WITHOUT_NUMBER:
        last = last_time(history, asked, None, asked_then)
        return _without_number(last, exercise, asked, pain_share, settings)
    last = last_time(history, asked, gym.unit, asked_then)
    if last is None or last.load is None:
        return NextLoad(None, gym.unit, first_time_text(exercise, asked), asked_reps, first_time=True)
    case = Case(exercise, gym.unit, available_loads(gym, exercise), last, last.load, asked, settings)
    return _after_pain(case, pain_share) if pain_share < 1 else _decided(case)


def sets_of(history: Iterable[LoggedSet], exercise: str, gym: str) -> list[LoggedSet]:
    """Return the sets of one exercise in one gym: loads never carry over between stations or gyms."""
    return [
        line for line in history if line.exercise == exercise and line.gym == gym and not line.is_clearance
    ]


def first_time_text(exercise: Exercise, asked: Asked) -> str:
    """Say how to find the load of an exercise that has no history in this gym."""
    return (
        f"First time here: begin plainly light ({MEANING[exercise.load_is]}), do {asked.low}, rest, go up. "
        f"The first set of {asked.low}–{asked.high} that leaves {asked.rir:g} in reserve has the load: "
        "three tries are enough."
    )


def _decided(case: Case) -> NextLoad:
    anew = found_anew(case)
    if anew is not None:
        return anew
    if case.last.all_reached(case.asked.high):
        return step_up(case)
    points = case.last.points_too_hard
    if points >= case.settings.points_to_act:
        return step_down(case)
    if points <= -case.settings.points_to_act:
        return after_easy_sets(case)
    if case.last.eased:
        fewer = f"{case.last.eased:g} fewer, so that {case.asked.rir:g} stay in reserve."
        return case.answer(case.working, f"{case.last.shown} last time: same load, {fewer}")
    more = f"same load, a repetition more where below {case.asked.high}."
    return case.answer(case.working, f"{case.last.shown} last time: {more}")


def _after_pain(case: Case, share: float) -> NextLoad:
    """A share of the last load, or sets left out where nothing so light is here."""
    wanted = case.working * share
    load = round(wanted, 1) if case.loads is None else heaviest_within(case.loads, wanted)
    if load is None:
        fewer = case.settings.pain_fewer_sets
        return case.answer(case.working, f"Pain last time: {fewer} set less, {AFTER_PAIN}", fewer_sets=fewer)
    return case.answer(load, f"Pain last time: {_lighter(case, load, wanted, share)}, {AFTER_PAIN}")


def _lighter(case: Case, load: float, wanted: float, share: float) -> str:
    """Say a load after pain, and why it is more than the share less, where the gym's steps make it so."""
    if load > wanted - ROUNDING or case.loads is None:
        return case.text(load)
    less = f"{percent(1 - share)} less would be {wanted:.4g} {case.unit}"
    return f"{less}, the next lighter here is {case.text(load)}"


def _without_number(
    last: LastTime | None, exercise: Exercise, asked: Asked, pain_share: float, settings: TrainSettings
) -> NextLoad:
    """Body weight and bands: repetitions progress; at the top a harder version or band."""
    fewer = 0
    harder = "a stronger band" if exercise.load_is == "band" else "a harder version"
    if pain_share < 1:
        fewer = settings.pain_fewer_sets
        reason = f"Pain last time: {fewer} set less, {AFTER_PAIN}"
    elif last is None:
        reason = f"First time: stop with {asked.rir:g} in reserve and write the repetitions."
    elif last.all_reached(asked.high):
        reason = f"Every set reached {asked.high} at {asked.rir:g} in reserve: {harder}."
    else:
        reason = f"{last.shown} last time: a repetition more where below {asked.high}."
    return NextLoad(None, None, reason, (asked.low, asked.high), first_time=last is None, fewer_sets=fewer)
