"""What stands in a week's way and could be eased by one step, and every goal that could be dropped: edits for `planner why`."""

import json
from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from library.schema import with_included
from planner import document, plain
from planner.athlete.brief import DAYS, Allowance, Brief, Day, History, Session
from planner.athlete.targets import STRICTNESS, joint_allowances
from planner.model import aims, build
from planner.model.admission import Admission, lacks, room_of
from planner.model.inputs import Inputs
from planner.week import edits
from planner.week.edits import BRIEF, GYM, SWAP, Edit

Changes = tuple[document.MadeChange, ...]


def all_easings(inputs: Inputs, changes: Changes, binding: Collection[str]) -> list[Edit]:
    """Every limit eased by one step, then every goal dropped. `changes`: of this week alone; `binding`: limits that are full."""
    return [
        *more_minutes(inputs, changes), *one_more_session(inputs), *more_equipment(inputs, changes),
        *freer_joints(inputs), *allowed_again(inputs, changes), *wishes_taken_back(inputs),
        *more_exercises(inputs, binding), *doses_dropped(inputs), *variety_dropped(inputs),
        *prices_dropped(inputs),
    ]  # fmt: skip


def more_minutes(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """+10 and +5 minutes in each session still to come."""
    step, limits = build.week_settings(inputs).why_minutes, Session.model_fields["minutes"].metadata
    longest = next(limit.le for limit in limits if hasattr(limit, "le"))
    changed = {change.name for change in changes if change.kind == "minutes"}
    for session in inputs.brief.session:
        for more in (2 * step, step):
            day, minutes = session.day, session.minutes + more
            if day in inputs.states or minutes > longest:
                continue
            file = SWAP if day in changed else BRIEF
            where = f"--minutes {day}={minutes}" if file == SWAP else f"session {day}: minutes = {minutes}"
            apply = partial(edits.with_minutes, day=day, minutes=minutes)
            words = f"{more} minutes more on {plain.day_name(day)}"
            less_than = f"minutes:{day}:{2 * more}" if more == step else ""
            yield Edit(f"minutes:{day}:{more}", words, file, where, apply, less_than=less_than)


def one_more_session(inputs: Inputs) -> Iterator[Edit]:
    """One more session on the emptiest day still to come, like the longest one there is."""
    day = emptiest_day(inputs.brief, set(inputs.states))
    if day is None:
        return
    extra = max(inputs.brief.session, key=lambda session: session.minutes).model_copy(update={"day": day})
    sessions = tuple(sorted((*inputs.brief.session, extra), key=lambda one: DAYS.index(one.day)))
    words = f"one more session on {plain.day_name(day)}, {extra.minutes} minutes in {extra.gym}"
    where = f'[[session]] day = "{day}", minutes = {extra.minutes}, gym = "{extra.gym}"'
    yield Edit(f"session:{day}", words, BRIEF, where, partial(edits.with_brief, session=sessions))


def emptiest_day(brief: Brief, over: set[str]) -> Day | None:
    """Give the free day farthest from its nearest session, then from the next, the earliest of equals; or None."""
    taken = [DAYS.index(session.day) for session in brief.session]
    last_over = max((DAYS.index(day) for day in DAYS if day in over), default=-1)
    free = [number for number in range(len(DAYS)) if number not in taken and number > last_over]

    def emptiness(number: int) -> tuple[list[int], int]:  # days apart are counted over the week's end too
        days = (abs(number - other) for other in taken)
        return sorted(min(apart, len(DAYS) - apart) for apart in days), -number

    return DAYS[max(free, key=emptiness)] if free else None


def more_equipment(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """Each piece that a gym lacks and that alone would let some exercise be planned there."""
    gone = {(change.name, change.gym) for change in changes if change.kind == "without"}
    admission, library, sessions = Admission(inputs), inputs.library, inputs.brief.session
    useful = [e for e in library.exercises.values() if not admission.reason(e) and inputs.credits_of(e)]
    for name in dict.fromkeys(session.gym for session in sessions if session.day not in inputs.states):
        has = room_of(inputs, name)
        for key, item in library.equipment.items():
            room = has | with_included([key])
            if key in has or not any(lacks(e, has) and not lacks(e, room) for e in useful):
                continue
            file = SWAP if {(key, ""), (key, name)} & gone else GYM
            where = f"--with {name}:{key}" if file == SWAP else f'{name}.equipment: "{key}"'
            apply = partial(edits.with_equipment, gym=name, names=(key,))
            yield Edit(f"equipment:{name}:{key}", f"in {name}: {item.name}", file, where, apply)


def allowed_again(inputs: Inputs, changes: Changes) -> Iterator[Edit]:
    """Each excluded exercise, family or implement allowed, where some room could hold what it takes out."""
    wishes, library = inputs.brief.preferences, inputs.library
    told = {change.name for change in changes if change.kind == "without"}
    rooms = [room_of(inputs, session.gym) for session in inputs.brief.session]
    now = Admission(inputs)
    for key in wishes.exclude:
        kept = tuple(other for other in wishes.exclude if other != key)
        freed = edits.with_preferences(inputs, exclude=kept)
        then = Admission(freed)
        back = (
            exercise
            for exercise in library.exercises.values()
            if key in (exercise.key, exercise.family, exercise.implement)
            if now.reason(exercise) and not then.reason(exercise) and inputs.credits_of(exercise)
        )
        if any(not lacks(exercise, room) for exercise in back for room in rooms):
            named = library.exercises[key].name if key in library.exercises else key.replace("_", " ")
            file = SWAP if key in told else BRIEF
            where = f"--with {key}" if file == SWAP else f'preferences.exclude: "{key}"'
            apply = partial(edits.with_preferences, exclude=kept)
            yield Edit(f"exclude:{key}", f"{named} allowed", file, where, apply)


def wishes_taken_back(inputs: Inputs) -> Iterator[Edit]:
    """A loud trapezius allowed, and implements beside those that alone are allowed."""
    wishes = inputs.brief.preferences
    if wishes.trapezius:
        where, louder = "preferences.trapezius = false", partial(edits.with_preferences, trapezius=False)
        yield Edit("trapezius", "no limit on the upper trapezius", BRIEF, where, louder)
    if wishes.only:
        where, freed = "preferences.only = []", partial(edits.with_preferences, only=())
        yield Edit("only", "any implement allowed", BRIEF, where, freed)


def more_exercises(inputs: Inputs, binding: Collection[str]) -> Iterator[Edit]:
    """One exercise more a session and a week, where the plan is full of them."""
    full = {limit == "exercises:week" for limit in binding if limit.startswith("exercises:")}
    for span, week in (("session", False), ("week", True)):
        if week in full:
            name = f"exercises_per_{span}"
            most, words = getattr(inputs.week, name) + 1, f"exercises a {span}"
            apply = partial(edits.with_method, **{name: most})
            yield Edit(name, f"{most} {words}", BRIEF, f"method.{name} = {most}", apply)


def freer_joints(inputs: Inputs) -> Iterator[Edit]:
    """Each joint region that is not clear, one step freer; none while pain is open."""
    for region, word in joint_allowances(inputs.brief, inputs.library).items():
        if word == "clear" or inputs.barred or inputs.capped:
            continue
        freer = STRICTNESS[STRICTNESS.index(word) - 1]
        history, joints = freed_of(inputs, region, freer)
        changed = {key: value for key, value in joints.items() if inputs.brief.joints.get(key) != value}
        texts = [f'joints.{key} = "{value}"' for key, value in changed.items()]
        if history.flags != inputs.brief.history.flags:
            texts.insert(0, f"history.flags = {json.dumps(history.flags)}")
        words = f'{inputs.library.regions[region].name} "{freer}" instead of "{word}"'
        apply = partial(edits.with_brief, history=history, joints=joints)
        yield Edit(f"joints:{region}", words, BRIEF, "; ".join(texts), apply, medical=True)


def freed_of(inputs: Inputs, region: str, freer: Allowance) -> tuple[History, dict[str, Allowance]]:
    """Give history and joints of a brief that differs in one region alone. Only "clear" overrules a flag. For any
    other word the flags that ask for more have to go, and what they ask of other regions has to be written down."""
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
        name, where = inputs.library.heads[head].name, f"target.{head}"
        if len(inputs.targets) > 1:
            dropped = partial(without_head, head=head)
            of, words = f"goal:dose:{head}", f"no target for {name}"
            yield Edit(of, words, BRIEF, f"{where} = 0", dropped, forgets=(head,))
        if target.must:
            wanted = partial(edits.with_target, head=head, must=False)
            words = f"the target of {name} wanted, not a must"
            yield Edit(f"must:{head}", words, BRIEF, f"{where}.must = false", wanted)


def without_head(inputs: Inputs, head: str) -> Inputs:
    """Give inputs in which a head is not trained."""
    return replace(inputs, targets={key: of for key, of in inputs.targets.items() if key != head})


def variety_dropped(inputs: Inputs) -> Iterator[Edit]:
    """One implement is enough, no family asked for, all of last week may change, nothing preferred: where asked."""
    variety, named = inputs.brief.variety, edits.with_variety
    of: dict[str, tuple[str, Any, str, Any]]
    of = {"implements": ("one implement is enough", named, "implements", 1)}
    if variety.families:
        of["family"] = ("no movement family asked for", named, "families", ())
    if inputs.last_week:
        of["rotation"] = ("all of last week's exercises may change", named, "keep", 0)
    if inputs.brief.preferences.prefer:  # those that could be planned only because of it are out then
        of["prefer"] = ("no exercise preferred", edits.with_preferences, "prefer", ())
    for goal, (words, change, key, value) in of.items():
        table, written = ("preferences" if key == "prefer" else "variety"), "[]" if value == () else value
        must, apply = variety.must and goal in ("implements", "family"), partial(change, **{key: value})
        where = f"{table}.{key} = {written}"
        yield Edit(f"goal:{goal}", words, BRIEF, where, apply, forgets=(goal,), loosens_dose=must)


def prices_dropped(inputs: Inputs) -> Iterator[Edit]:
    """Each goal that is nothing but its price; new exercises are counted against last week's, where there was one."""
    for goal in aims.GOALS:
        price, words = goal.words.price, goal.words.dropped
        if words and (goal.name != "new" or inputs.last_week):
            where, apply = f"method.{price} = 0", partial(edits.with_method, **{price: 0.0})  # type: ignore[arg-type]
            name, forgets = f"goal:{goal.name}", (goal.name,)
            yield Edit(name, words, BRIEF, where, apply, forgets=forgets, loosens_dose=False)
