"""What stands in a week's way and could be eased: minutes, days, equipment, joints, wishes and counts."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial

from library.schema import with_included
from planner.athlete.brief import DAYS, Brief, Day, Session
from planner.change.why.easing import BRIEF, GYM, SWAP, Easing, built, with_brief, with_method
from planner.change.why.freer_joints import freer_joints
from planner.document import MadeChange
from planner.model.build import build_problem, credits_of, reason_out, week_settings
from planner.model.inputs import Inputs
from planner.model.limits.admission import lacks
from planner.plain import day_name

Changes = tuple[MadeChange, ...]


def limit_easings(inputs: Inputs, changes: Changes, binding: Collection[str]) -> Iterator[Easing]:
    """Give every limit eased by one step.

    `changes` are those of this week alone, which stand in no file; `binding` the limits that the plan fills.
    """
    yield from more_minutes(inputs, changes)
    yield from one_more_session(inputs)
    yield from more_equipment(inputs, changes)
    yield from freer_joints(inputs)
    yield from allowed_again(inputs, changes)
    yield from quieter_no_more(inputs)
    yield from more_exercises(inputs, binding)


def more_minutes(inputs: Inputs, changes: Changes) -> Iterator[Easing]:
    """+10 and +5 minutes in each session still to come."""
    settings = week_settings(inputs)
    changed = {change.name for change in changes if change.kind == "minutes"}
    longest = longest_session()
    for session in inputs.brief.session:
        for more in (2 * settings.why_minutes, settings.why_minutes):
            if session.day in inputs.states or session.minutes + more > longest:
                continue
            minutes, told = session.minutes + more, session.day in changed
            yield Easing(
                name=f"minutes:{session.day}:{more}",
                words=f"{more} minutes more on {day_name(session.day)}",
                file=SWAP if told else BRIEF,
                where=f"--minutes {session.day}={minutes}"
                if told
                else f"session {session.day}: minutes = {minutes}",
                problem=built(longer, inputs, session.day, minutes),
                less_than=f"minutes:{session.day}:{2 * settings.why_minutes}"
                if more == settings.why_minutes
                else "",
            )


def longest_session() -> int:
    """Most minutes that a brief may give a session."""
    limits = Session.model_fields["minutes"].metadata
    return int(next(limit.le for limit in limits if hasattr(limit, "le")))


def longer(inputs: Inputs, day: Day, minutes: int) -> Inputs:
    """Give a session other minutes."""
    return with_brief(
        inputs,
        session=tuple(
            one.model_copy(update={"minutes": minutes}) if one.day == day else one
            for one in inputs.brief.session
        ),
    )


def one_more_session(inputs: Inputs) -> Iterator[Easing]:
    """One more session on the emptiest day still to come, like the longest one there is."""
    day = emptiest_day(inputs.brief, set(inputs.states))
    if day is None:
        return
    model = max(inputs.brief.session, key=lambda session: session.minutes)
    extra = model.model_copy(update={"day": day})
    sessions = tuple(sorted((*inputs.brief.session, extra), key=lambda one: DAYS.index(one.day)))
    yield Easing(
        name=f"session:{day}",
        words=f"one more session on {day_name(day)}, {extra.minutes} minutes in {extra.gym}",
        file=BRIEF,
        where=f'[[session]] day = "{day}", minutes = {extra.minutes}, gym = "{extra.gym}"',
        problem=built(lambda: with_brief(inputs, session=sessions)),
    )


def emptiest_day(brief: Brief, over: set[str]) -> Day | None:
    """Give the free day farthest from its nearest session, then from the next, the earliest of equals; or None."""
    taken = [DAYS.index(session.day) for session in brief.session]
    last_over = max((DAYS.index(day) for day in DAYS if day in over), default=-1)
    free = [number for number in range(len(DAYS)) if number not in taken and number > last_over]
    if not free:
        return None
    return DAYS[max(free, key=lambda number: (sorted(apart(number, other) for other in taken), -number))]


def apart(one: int, other: int) -> int:
    """Days between two days of the week, over its end too."""
    days = abs(one - other)
    return min(days, len(DAYS) - days)


def more_equipment(inputs: Inputs, changes: Changes) -> Iterator[Easing]:
    """Each piece that a gym lacks and that alone would let some exercise be planned there."""
    gone = {(change.name, change.gym) for change in changes if change.kind == "without"}
    useful = [
        exercise
        for exercise in inputs.library.exercises.values()
        if not reason_out(inputs, exercise) and credits_of(inputs, exercise)
    ]
    for name in dict.fromkeys(
        session.gym for session in inputs.brief.session if session.day not in inputs.states
    ):
        has = with_included(inputs.gyms[name].equipment)
        for key, item in inputs.library.equipment.items():
            room = has | with_included([key])
            if key in has or not any(lacks(e, has) and not lacks(e, room) for e in useful):
                continue
            told = bool({(key, ""), (key, name)} & gone)
            yield Easing(
                name=f"equipment:{name}:{key}",
                words=f"in {name}: {item.name}",
                file=SWAP if told else GYM,
                where=f"--with {name}:{key}" if told else f'{name}.equipment: "{key}"',
                problem=built(furnished, inputs, name, key),
            )


def furnished(inputs: Inputs, name: str, key: str) -> Inputs:
    """Give a gym one more piece of equipment."""
    gym = inputs.gyms[name]
    more = gym.model_copy(update={"equipment": (*gym.equipment, key)}).with_what_follows()
    return replace(inputs, gyms={**inputs.gyms, name: more})


def allowed_again(inputs: Inputs, changes: Changes) -> Iterator[Easing]:
    """Each excluded exercise allowed, where some room could hold it."""
    preferences = inputs.brief.preferences
    told = {change.name for change in changes if change.kind == "without"}
    rooms = [with_included(inputs.gyms[session.gym].equipment) for session in inputs.brief.session]
    for key in preferences.exclude:
        exercise = inputs.library.exercises[key]
        others = tuple(other for other in preferences.exclude if other != key)
        freed = with_brief(inputs, preferences=preferences.model_copy(update={"exclude": others}))
        possible = not reason_out(freed, exercise) and any(not lacks(exercise, room) for room in rooms)
        if possible and credits_of(inputs, exercise):
            yield Easing(
                name=f"exclude:{key}",
                words=f"{exercise.name} allowed",
                file=SWAP if key in told else BRIEF,
                where=f"--with {key}" if key in told else f'preferences.exclude: "{key}"',
                problem=partial(build_problem, freed),
            )


def quieter_no_more(inputs: Inputs) -> Iterator[Easing]:
    """The watched trapezius may be as loud as it is."""
    preferences = inputs.brief.preferences
    if preferences.trapezius:
        louder = preferences.model_copy(update={"trapezius": False})
        yield Easing(
            name="trapezius",
            words="no limit on the upper trapezius",
            file=BRIEF,
            where="preferences.trapezius = false",
            problem=built(lambda: with_brief(inputs, preferences=louder)),
        )


def more_exercises(inputs: Inputs, binding: Collection[str]) -> Iterator[Easing]:
    """One exercise more a session and a week, where the plan is full of them."""
    full = {limit == "exercises:week" for limit in binding if limit.startswith("exercises:")}
    for name, span, week in (
        ("exercises_per_session", "a session", False),
        ("exercises_per_week", "a week", True),
    ):
        if week not in full:
            continue
        most = getattr(inputs.week, name) + 1
        yield Easing(
            name=name,
            words=f"{most} exercises {span}",
            file=BRIEF,
            where=f"method.{name} = {most}",
            problem=partial(build_problem, with_method(inputs, **{name: most})),
        )
