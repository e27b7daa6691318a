"""From library, brief and gyms to the week's problem: what may be planned, what it is worth, what is wanted."""

from __future__ import annotations

from dataclasses import replace

from library.credit import movers_credit, set_credit
from library.schema import Exercise, with_included
from planner.athlete.brief import DAYS, Brief, Session
from planner.athlete.screening import joint_allowances
from planner.athlete.targets import HeadTarget
from planner.document import Plan
from planner.method import WeekSettings
from planner.model.inputs import Inputs
from planner.model.limits.admission import lacks, out_reason
from planner.model.problem import Candidate, HeadGoal, JointBudget, Problem, SessionKind


def build_problem(inputs: Inputs) -> Problem:
    """Turn the inputs into the model's problem; sessions in the order of the week, candidates in library order."""
    brief, settings = inputs.brief, week_settings(inputs)
    plannable, trained = plannable_candidates(inputs), {key for key, _ in inputs.trained}
    known = {candidate.key: candidate for candidate in plannable}
    candidates = tuple(
        known.get(key) or make_candidate(inputs, exercise, place)
        for place, (key, exercise) in enumerate(inputs.library.exercises.items())
        if key in known or key in trained  # what was trained counts, even if it is out by now
    )
    variety = brief.variety
    return Problem(
        candidates=candidates,
        sessions=tuple(make_session(inputs, plannable, session) for session in in_week_order(brief)),
        heads=tuple(make_goal(inputs, target) for target in inputs.targets.values()),
        joints=tuple(make_budget(inputs, region) for region in inputs.library.regions),
        settings=settings,
        implements_wanted=settings.variety_implements if variety.implements is None else variety.implements,
        families_wanted=variety.families,
        variety_must=variety.must,
        keep=len(inputs.last_week) if variety.keep is None else variety.keep,
        last_week=inputs.last_week & {candidate.key for candidate in candidates},
        preferred=tuple(key for key in brief.preferences.prefer if key not in brief.preferences.exclude),
        pins=pinned_sets(inputs),
        quiet_trapezius=brief.preferences.trapezius,
        paired=brief.preferences.paired,
    )


def plannable_candidates(inputs: Inputs) -> tuple[Candidate, ...]:
    """Give what may be planned, in library order: worth something to a head, or wanted by name."""
    by_name = {*inputs.brief.preferences.pin, *inputs.brief.preferences.prefer}
    return tuple(
        candidate
        for place, exercise in enumerate(inputs.library.exercises.values())
        if not reason_out(inputs, exercise)
        for candidate in [make_candidate(inputs, exercise, place)]
        if candidate.credits or exercise.key in by_name
    )


def pinned_sets(inputs: Inputs) -> Plan:
    """Give the coach's pins on days still to come, and the sets of what was done."""
    pins: dict[tuple[str, str], int] = {
        (key, pin.day): inputs.part_of(pin.sets)
        for key, pin in sorted(inputs.brief.preferences.pin.items())
        if pin.day not in inputs.states
    }
    return {**pins, **inputs.trained}


def week_settings(inputs: Inputs) -> WeekSettings:
    """Give the week's settings with the brief's own share of a target, if it names one."""
    share = inputs.brief.variety.share
    return inputs.week if share is None else replace(inputs.week, share_of_target=share)


def in_week_order(brief: Brief) -> list[Session]:
    """Sessions from Monday to Sunday, whatever the order in the file."""
    return sorted(brief.session, key=lambda session: DAYS.index(session.day))


def reason_out(inputs: Inputs, exercise: Exercise) -> str:
    """Say why an exercise may not be planned for this athlete in any room; an empty text if it may."""
    if exercise.key in inputs.barred:
        return inputs.barred[exercise.key]
    return out_reason(
        exercise,
        joint_allowances(inputs.brief, inputs.library),
        inputs.week,
        preferred=inputs.brief.preferences.prefer,
        excluded=inputs.brief.preferences.exclude,
    )


def credits_of(inputs: Inputs, exercise: Exercise, counting: str | None = None) -> dict[str, float]:
    """Direct sets that one set of an exercise is worth to each trained head (DESIGN §3.2); zeros left out."""
    worth = {}
    for head in inputs.targets:
        ratio = inputs.ratios.get(head, {}).get(exercise.key, 0.0)
        if (counting or inputs.week.counting) == "movers":
            credit = movers_credit(ratio, inputs.credit)
        else:
            share, weight = exercise.eccentric_share.value, inputs.credit.eccentric_weight
            credit = set_credit(ratio, share, weight, inputs.credit)
        if credit > 0:
            worth[head] = round(credit, 4)
    return worth


def make_candidate(inputs: Inputs, exercise: Exercise, place: int) -> Candidate:
    """Give an exercise as the model sees it."""
    credits = credits_of(inputs, exercise)
    watched = [head.key for head in inputs.library.heads.values() if head.role == "watched"]
    return Candidate(
        key=exercise.key,
        place=place,
        family=exercise.family,
        implement=exercise.implement,
        station=exercise.needs,
        credits=credits,
        direct=frozenset(head for head, credit in credits.items() if credit >= inputs.credit.direct_set),
        grades={region: stress.grade for region, stress in exercise.stress.items()},
        trapezius=sum(inputs.ratios.get(head, {}).get(exercise.key, 0.0) for head in watched),
        set_seconds=exercise.work_seconds * exercise.sides + exercise.rest_seconds,
        block_seconds=exercise.setup_seconds
        + exercise.warmup_sets * inputs.week.warmup_set_seconds * exercise.sides
        - exercise.rest_seconds,
        multi_joint=exercise.multi_joint,
        rest_seconds=exercise.rest_seconds,
        warmup_sets=exercise.warmup_sets,
    )


def make_session(inputs: Inputs, candidates: tuple[Candidate, ...], session: Session) -> SessionKind:
    """Give a session with the seconds left after the warm-up and the candidates that its gym can hold."""
    state = inputs.states.get(session.day, "planned")
    equipment = with_included(inputs.gyms[session.gym].equipment)
    allowed = frozenset(
        candidate.key
        for candidate in candidates
        if not lacks(inputs.library.exercises[candidate.key], equipment)
    )
    seconds = 60 * (session.minutes - inputs.week.general_warmup_minutes)
    return SessionKind(session.day, session.day, session.gym, max(0, seconds), allowed, state)


def make_goal(inputs: Inputs, target: HeadTarget) -> HeadGoal:
    """Give a head's goal with what is done elsewhere taken into account."""
    return HeadGoal(
        head=target.head,
        floor=target.floor,
        target=target.target,
        ceiling=target.ceiling,
        elsewhere=elsewhere_dose(inputs, target),
        elsewhere_direct=elsewhere_dose(inputs, target, direct_only=True),
        priority=target.priority,
        sessions=inputs.week.spread_sessions if target.sessions is None else target.sessions,
        must=target.must,
    )


def elsewhere_dose(
    inputs: Inputs, target: HeadTarget, *, direct_only: bool = False, counting: str | None = None
) -> float:
    """Direct sets from elsewhere: whole where the coach says so, the others together at most half of the target."""
    whole = part = 0.0
    for key, done in inputs.brief.elsewhere.items():
        credit = credits_of(inputs, inputs.library.exercises[key], counting).get(target.head, 0.0)
        if direct_only and credit < inputs.credit.direct_set:
            continue
        if done.whole:
            whole += credit * done.sets
        else:
            part += credit * done.sets
    return round(whole + min(part, inputs.week.elsewhere_share * target.target), 4)


def careful_regions(inputs: Inputs) -> frozenset[str]:
    """Give the joint regions that are not clear."""
    allowances = joint_allowances(inputs.brief, inputs.library)
    return frozenset(region for region, word in allowances.items() if word != "clear")


def make_budget(inputs: Inputs, region: str) -> JointBudget:
    """Give a region's weekly budget by its allowance, and what sets done elsewhere on a named day use of it."""
    allowance = joint_allowances(inputs.brief, inputs.library).get(region, "clear")
    allowed = {
        "clear": inputs.week.joint_budget_clear,
        "careful": inputs.week.joint_budget_careful,
        "avoid": inputs.week.joint_budget_avoid,
    }[allowance]
    used = sum(
        stress.grade * done.sets
        for key, done in inputs.brief.elsewhere.items()
        if done.day and (stress := inputs.library.exercises[key].stress.get(region))
    )
    return JointBudget(region, allowed, float(used))
