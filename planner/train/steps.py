"""Steps of a load: up when the range is full, down or up when the effort was not as asked."""

from __future__ import annotations

from statistics import fmean

from planner.plain import ROUNDING
from planner.train.formulas import TooManyRepetitions, load_for, repetitions_at
from planner.train.load_case import Case, NextLoad
from planner.train.loads import heaviest_within, lightest_from, percent


def step_up(case: Case) -> NextLoad:
    """Every set is at the top: the next load of 2-10 %, or repetitions first where the step is coarser."""
    least, most = case.step_window
    reached = f"Every set reached {case.asked.high} at {case.asked.rir:g} in reserve"
    if case.loads is None:
        window = f"between {least:.4g} and {most:.4g} {case.unit}"
        return case.answer(None, f"{reached}: up by the station's smallest step, {window}.")
    step = lightest_from(case.loads, least)
    if step is not None and step <= most + ROUNDING:
        further = _as_easy_as_it_was(case, step)
        return case.answer(further, f"{reached}: {case.text(further)}.")
    return _coarse_step(case, step, reached)


def _coarse_step(case: Case, step: float | None, reached: str) -> NextLoad:
    """The next load is more than 10 % away: repetitions first, until they have earned it."""
    high, limit = case.asked.high, case.settings.earned_reps_most
    needed = limit + 1 if step is None else case.earning_reps(step)
    if needed > limit:
        far = "nothing heavier is here" if step is None else f"{case.text(step)} is too far a step"
        more = "more repetitions, or lower more slowly; a load between would help."
        return case.answer(case.working, f"{reached}, and {far}: {more}", (high, max(limit, high)))
    if step is not None and case.last.all_reached(needed):
        return case.answer(step, f"Every set reached {needed}: the coarse step is earned, {case.text(step)}.")
    return case.answer(case.working, _repetitions_first(case, step or case.working, needed), (high, needed))


def _as_easy_as_it_was(case: Case, step: float) -> float:
    """Go beyond the smallest step where the sets were easier than asked: 4 % a point, 10 % at most."""
    if not case.exercise.multi_joint or case.loads is None:
        return step
    share = -case.last.points_too_hard * case.settings.load_share_per_rpe_point
    wanted = heaviest_within(case.loads, min(case.working * (1 + share), case.step_window[1]))
    return step if wanted is None else max(step, wanted)


def _repetitions_first(case: Case, step: float, needed: int) -> str:
    text = f"The next load is {case.text(step)}: repetitions first, "
    text += f"{case.text(case.working)} until every set reaches {needed}."
    maximum = case.estimated_maximum
    if maximum is not None:
        expected = max(0.0, repetitions_at(step, maximum, case.settings.formula))
        text += f" By the estimate {step:g} {case.unit} would be {expected:.0f} repetitions to failure now."
    return text


def step_down(case: Case) -> NextLoad:
    """Harder than asked: 4 % a point, to the nearest load; none nearer: the same load, stopped earlier."""
    points = case.last.points_too_hard
    wanted = case.working * (1 - points * case.settings.load_share_per_rpe_point)
    said = f"{case.last.shown} last time, {points:.2g} points harder than was asked"
    if case.loads is None:
        return case.answer(round(wanted, 1), f"{said}: about {case.text(round(wanted, 1))}.")
    load = min(case.loads, key=lambda load: (abs(load - wanted), load))
    if load < case.working:
        return case.answer(load, f"{said}: {case.text(load)}.")
    earlier = f"same load, stop with {case.asked.rir:g} in reserve."
    return case.answer(case.working, f"{said}; no lighter load is nearer: {earlier}")


def after_easy_sets(case: Case) -> NextLoad:
    """Easier than asked, not at the top: use the reserve for repetitions; past the top, go up 4 % a point."""
    said = f"{case.last.shown} last time, {-case.last.points_too_hard:.2g} points easier than asked"
    past_the_top = all(reps >= case.asked.high for reps in case.last.reps_at_asked_effort)
    if past_the_top and case.loads is not None:
        least, most = case.step_window
        step = lightest_from(case.loads, least)
        if step is not None and step <= most + ROUNDING:
            load = _as_easy_as_it_was(case, step)
            return case.answer(load, f"{said}: {case.text(load)}.")
    go_on = f"same load, go on until {case.asked.rir:g} are in reserve."
    return case.answer(case.working, f"{said}: {go_on}")


def found_anew(case: Case) -> NextLoad | None:
    """Find the load from the estimated maximum and the chart where other repetitions are asked than done.

    None where they are not, or where the estimate cannot be trusted so far.
    """
    done, far = fmean(case.last.reps_at_asked_effort), case.settings.points_far_off
    maximum = case.estimated_maximum
    if case.asked.low - far <= done <= case.asked.high + far or maximum is None or case.loads is None:
        return None
    try:
        wanted = load_for(maximum, (case.asked.low + case.asked.high) / 2, case.asked.rir)
    except TooManyRepetitions:
        return None
    load = heaviest_within(case.loads, wanted)
    if load is None:
        return None
    reason = (
        f"{case.last.shown} last time is far from {case.asked.low}–{case.asked.high}: {case.text(load)}, "
    )
    reason += f"from an estimated maximum of {maximum:.3g} {case.unit} "
    return case.answer(load, f"{reason}(± {percent(case.settings.maximum_error_share)}).")
