"""What stands in a week's way and could be eased by one step, and every goal that could be dropped: edits for `planner why`."""

import json
from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from library.schema import with_included
from planner.athlete.brief import DAYS, Allowance, Brief, Day, History, Session
from planner.athlete.screening import STRICTNESS, joint_allowances
from planner.document import MadeChange
from planner.model.admission import Admission, lacks, room_of
from planner.model.aims import GOALS
from planner.model.build import week_settings
from planner.model.inputs import Inputs
from planner.plain import day_name
from planner.week.edits import (
    BRIEF,
    GYM,
    SWAP,
    Edit,
    with_brief,
    with_equipment,
    with_method,
    with_minutes,
    with_preferences,
    with_target,
    with_variety,
)

Changes = tuple[MadeChange, ...]


def all_easings(inputs: Inputs, changes: Changes, binding: Collection[str]) -> list[Edit]:
    """Every limit eased by one step, then every goal dropped. `changes`: of this week alone; `binding`: limits that are full."""
    return [
        *more_minutes(inputs, changes),
        *one_more_session(inputs),
        *more_equipment(inputs, changes),
        *freer_joints(inputs),
        *allowed_again(inputs, changes),
        *wishes_taken_back(inputs),
        *more_exercises(inputs, binding),
        *doses_dropped(inputs),
        *variety_dropped(inputs),
        *prices_dropped(inputs),
    ]


def more_minutes(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """+10 and +5 minutes in each session still to come."""
    settings = week_settings(inputs)
    changed = {change.name for change in changes if change.kind == "minutes"}
    longest = longest_session()
    for session in inputs.brief.session:
        for more in (2 * settings.why_minutes, settings.why_minutes):
            if session.day in inputs.states or session.minutes + more > longest:
                continue
            minutes, told = session.minutes + more, session.day in changed
            brief = f"session {session.day}: minutes = {minutes}"
            yield Edit(
                name=f"minutes:{session.day}:{more}",
                words=f"{more} minutes more on {day_name(session.day)}",
                file=SWAP if told else BRIEF,
                where=f"--minutes {session.day}={minutes}" if told else brief,
                apply=partial(with_minutes, day=session.day, minutes=minutes),
                less_than=f"minutes:{session.day}:{2 * more}" if more == settings.why_minutes else "",
            )


def longest_session() -> int:
    """Most minutes that a brief may give a session."""
    limits = Session.model_fields["minutes"].metadata
    return int(next(limit.le for limit in limits if hasattr(limit, "le")))


def one_more_session(inputs: Inputs) -> Iterator[Edit]:
    """One more session on the emptiest day still to come, like the longest one there is."""
    day = emptiest_day(inputs.brief, set(inputs.states))
    if day is None:
        return
    model = max(inputs.brief.session, key=lambda session: session.minutes)
    extra = model.model_copy(update={"day": day})
    sessions = tuple(sorted((*inputs.brief.session, extra), key=lambda one: DAYS.index(one.day)))
    yield Edit(
        name=f"session:{day}",
        words=f"one more session on {day_name(day)}, {extra.minutes} minutes in {extra.gym}",
        file=BRIEF,
        where=f'[[session]] day = "{day}", minutes = {extra.minutes}, gym = "{extra.gym}"',
        apply=partial(with_brief, session=sessions),
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


def more_equipment(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """Each piece that a gym lacks and that alone would let some exercise be planned there."""
    gone = {(change.name, change.gym) for change in changes if change.kind == "without"}
    admission = Admission(inputs)
    useful = [
        exercise
        for exercise in inputs.library.exercises.values()
        if not admission.reason(exercise) and inputs.credits_of(exercise)
    ]
    for name in dict.fromkeys(
        session.gym for session in inputs.brief.session if session.day not in inputs.states
    ):
        has = room_of(inputs, name)
        for key, item in inputs.library.equipment.items():
            room = has | with_included([key])
            if key in has or not any(lacks(e, has) and not lacks(e, room) for e in useful):
                continue
            told = bool({(key, ""), (key, name)} & gone)
            yield Edit(
                name=f"equipment:{name}:{key}",
                words=f"in {name}: {item.name}",
                file=SWAP if told else GYM,
                where=f"--with {name}:{key}" if told else f'{name}.equipment: "{key}"',
                apply=partial(with_equipment, gym=name, names=(key,)),
            )


def allowed_again(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """Each excluded exercise, family or implement allowed, where some room could hold what it takes out."""
    wishes, library = inputs.brief.preferences, inputs.library
    told = {change.name for change in changes if change.kind == "without"}
    rooms = [room_of(inputs, session.gym) for session in inputs.brief.session]
    now = Admission(inputs)
    for key in wishes.exclude:
        freed = with_preferences(inputs, exclude=tuple(other for other in wishes.exclude if other != key))
        then = Admission(freed)
        back = (
            exercise
            for exercise in library.exercises.values()
            if key in (exercise.key, exercise.family, exercise.implement)
            if now.reason(exercise) and not then.reason(exercise) and inputs.credits_of(exercise)
        )
        if any(not lacks(exercise, room) for exercise in back for room in rooms):
            named = library.exercises[key].name if key in library.exercises else key.replace("_", " ")
            yield Edit(
                name=f"exclude:{key}",
                words=f"{named} allowed",
                file=SWAP if key in told else BRIEF,
                where=f"--with {key}" if key in told else f'preferences.exclude: "{key}"',
                apply=partial(with_preferences, exclude=freed.brief.preferences.exclude),
            )


def wishes_taken_back(inputs: Inputs) -> Iterator[Edit]:
    """A loud trapezius allowed, and implements beside those that alone are allowed."""
    wishes = inputs.brief.preferences
    if wishes.trapezius:
        where, louder = "preferences.trapezius = false", partial(with_preferences, trapezius=False)
        yield Edit("trapezius", "no limit on the upper trapezius", BRIEF, where, louder)
    if wishes.only:
        where, freed = "preferences.only = []", partial(with_preferences, only=())
        yield Edit("only", "any implement allowed", BRIEF, where, freed)


def more_exercises(inputs: Inputs, binding: Collection[str]) -> Iterator[Edit]:
    """One exercise more a session and a week, where the plan is full of them."""
    full = {limit == "exercises:week" for limit in binding if limit.startswith("exercises:")}
    for name, span, week in (
        ("exercises_per_session", "a session", False),
        ("exercises_per_week", "a week", True),
    ):
        if week not in full:
            continue
        most = getattr(inputs.week, name) + 1
        yield Edit(
            name=name,
            words=f"{most} exercises {span}",
            file=BRIEF,
            where=f"method.{name} = {most}",
            apply=partial(with_method, **{name: most}),
        )


def freer_joints(inputs: Inputs) -> Iterator[Edit]:
    """Each joint region that is not clear, one step freer."""
    for region, word in joint_allowances(inputs.brief, inputs.library).items():
        if word == "clear":
            continue
        freer = STRICTNESS[STRICTNESS.index(word) - 1]
        history, joints = freed_of(inputs, region, freer)
        changed = {key: value for key, value in joints.items() if inputs.brief.joints.get(key) != value}
        edits = [f'joints.{key} = "{value}"' for key, value in changed.items()]
        if history.flags != inputs.brief.history.flags:
            edits.insert(0, f"history.flags = {json.dumps(history.flags)}")
        yield Edit(
            name=f"joints:{region}",
            words=f'{inputs.library.regions[region].name} "{freer}" instead of "{word}"',
            file=BRIEF,
            where="; ".join(edits),
            apply=partial(with_brief, history=history, joints=joints),
            medical=True,
        )


def freed_of(inputs: Inputs, region: str, freer: Allowance) -> tuple[History, dict[str, Allowance]]:
    """Give history and joints of a brief that differs in one region alone.

    Only "clear" overrules a flag. For any other word the flags that ask for more have to go, and what they ask of
    other regions has to be written down.
    """
    brief, flags = inputs.brief, inputs.library.flags
    joints = {**brief.joints, region: freer}
    if freer == "clear":
        return brief.history, joints
    stricter = STRICTNESS[STRICTNESS.index(freer) + 1 :]
    gone = {key for key in brief.history.flags if flags[key].regions.get(region) in stricter}
    others = {other for key in gone for other in flags[key].regions} - {region}
    now = joint_allowances(brief, inputs.library)
    joints |= {other: now[other] for other in sorted(others)}
    left = tuple(key for key in brief.history.flags if key not in gone)
    return brief.history.model_copy(update={"flags": left}), joints


def doses_dropped(inputs: Inputs) -> Iterator[Edit]:
    """Each head not trained, while another is; each target that must be met, met as far as it can."""
    for head, target in inputs.targets.items():
        name = inputs.library.heads[head].name
        if len(inputs.targets) > 1:
            yield Edit(
                name=f"goal:dose:{head}",
                words=f"no target for {name}",
                file=BRIEF,
                where=f"target.{head} = 0",
                apply=partial(without_head, head=head),
                forgets=(head,),
            )
        if target.must:
            yield Edit(
                name=f"must:{head}",
                words=f"the target of {name} wanted, not a must",
                file=BRIEF,
                where=f"target.{head}.must = false",
                apply=partial(with_target, head=head, must=False),
            )


def without_head(inputs: Inputs, head: str) -> Inputs:
    """Give inputs in which a head is not trained."""
    return replace(inputs, targets={key: of for key, of in inputs.targets.items() if key != head})


def variety_dropped(inputs: Inputs) -> Iterator[Edit]:
    """One implement is enough, no family asked for, all of last week may change, nothing preferred: where asked."""
    variety, wishes = inputs.brief.variety, inputs.brief.preferences
    rows: list[tuple[str, str, str, Any, dict[str, Any]]] = [
        ("implements", "one implement is enough", "variety.implements = 1", with_variety, {"implements": 1})
    ]
    if variety.families:
        where = "variety.families = []"
        rows.append(("family", "no movement family asked for", where, with_variety, {"families": ()}))
    if inputs.last_week:
        words = "all of last week's exercises may change"
        rows.append(("rotation", words, "variety.keep = 0", with_variety, {"keep": 0}))
    if wishes.prefer:  # those that could be planned only because of it are out then
        where = "preferences.prefer = []"
        rows.append(("prefer", "no exercise preferred", where, with_preferences, {"prefer": ()}))
    for goal, words, where, change, values in rows:
        must = variety.must and goal in ("implements", "family")
        apply = partial(change, **values)
        yield Edit(f"goal:{goal}", words, BRIEF, where, apply, forgets=(goal,), loosens_dose=must)


def prices_dropped(inputs: Inputs) -> Iterator[Edit]:
    """Each goal that is nothing but its price; new exercises are counted against last week's, where there was one."""
    for goal in GOALS:
        price, words = goal.words.price, goal.words.dropped
        if words and (goal.name != "new" or inputs.last_week):
            where, apply = f"method.{price} = 0", partial(with_method, **{price: 0.0})  # type: ignore[arg-type]
            name, forgets = f"goal:{goal.name}", (goal.name,)
            yield Edit(name, words, BRIEF, where, apply, forgets=forgets, loosens_dose=False)
