"""Notes for the coach: what is different from last week and why, what a block asks, what could be asked for."""

from collections import Counter
from collections.abc import Iterator

from library.schema import Exercise
from planner.document import Plan, WeekDocument, exercise_names, plan_of
from planner.method import TOLD
from planner.model.admission import Admission, lacks, skill_of
from planner.model.aims import dose_value, rest_value
from planner.model.build import careful_regions
from planner.model.days import exercises_wanted
from planner.model.doses import shortfall
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import Problem, exercises_in
from planner.model.variety import is_of
from planner.plain import UNSHOWN_OF_TWO, WORTH, below_target, counted, day_name, joined, number
from planner.week.keeping import Keeping

ROTATION = "external_rotation"


def notes(inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument | None) -> Iterator[str]:
    """Say what the block asks, what is different from the week `before`, and what the brief asks for in vain."""
    yield from block_notes(inputs, plan)
    if before is not None and (inputs.hard is None or exercises_in(plan) != inputs.last_week):
        yield from since_last_week(inputs, problem, plan, before)
    if before is not None and inputs.hard is None and not inputs.returning:  # else other notes say it
        yield from moved_since(inputs, problem, plan, before)
    if inputs.barred and not problem.rooms:
        yield "No work on any day: what would train waits until it is cleared. So should the same movements elsewhere."
        return
    yield from asked_in_vain(inputs, problem)
    yield from without_lift(inputs, problem)
    yield from without_rotation(inputs, plan)
    yield from enough_elsewhere(inputs, problem)
    yield from empty_days(inputs, problem, plan)
    yield from new_equipment(inputs, problem, plan, before) if before else ()
    if not (inputs.barred or inputs.returning or (inputs.block and inputs.block.lighter)):
        yield from minutes_left(problem, plan, before)


def asked_in_vain(inputs: Inputs, problem: Problem) -> Iterator[str]:
    """Say of each preferred exercise that cannot be planned why, and of each head without a movement of its own."""
    admission = Admission(inputs)
    for key in inputs.brief.preferences.prefer:
        if key not in problem.rooms:
            exercise = inputs.library.exercises[key]
            reason = why_not(admission, problem, exercise)
            yield f"Preferred, but not possible this week: {exercise.name} ({reason})."
    for family in inputs.brief.variety.families:
        if not any(is_of(one, family) for one in problem.candidates if one.key in problem.rooms):
            kin = inputs.library.families.get(family)
            yield f"Asked for, but not possible this week: any {kin.name.lower() if kin else family}."
    for goal in problem.heads:
        if not goal.has_own and goal.target > goal.elsewhere_own:
            name, most = inputs.library.heads[goal.head].name, ""
            if goal.aside_most < goal.target:
                most = (
                    f", up to the {number(goal.aside_most)} sets that come with the other heads' own targets"
                )
            yield f"No movement that is chosen for {name} is possible in any room: what helps it counts in full{most}."


def why_not(admission: Admission, problem: Problem, exercise: Exercise) -> str:
    """Say why no session can hold an exercise."""
    if reason := admission.reason(exercise):
        return reason
    if not any(not lacks(exercise, room) for room in admission.rooms):
        return "no session's gym has what it needs"
    least = problem.settings.smallest_block_sets
    if admission.inputs.capped.get(exercise.key, least) < least:
        return "the log leaves it no sets: pain, or its lightest load is too heavy now"
    if not any(exercise.key in session.allowed for session in problem.open_sessions):
        return "more usual movements are there"
    return "no session can hold it"


def without_lift(inputs: Inputs, problem: Problem) -> Iterator[str]:
    """Say why a head gets none of its main lifts: the reason of most of those that coaches reach for."""
    admission = Admission(inputs)
    for goal in problem.heads:
        every, families = inputs.library.exercises.values(), inputs.library.families
        own = (one for one in every if one.trains == goal.head and not one.compare_only)
        lifts = [one for one in own if families[one.family].main_lift]
        # what pain takes out the lines of pain have said
        if not lifts or any(one.key in problem.rooms or one.key in inputs.barred for one in lifts):
            continue
        here = [one for one in lifts if any(not lacks(one, room) for room in admission.rooms)] or lifts
        here = [one for one in here if one.skill <= skill_of(inputs)] or here
        reasons = Counter(why_not(admission, problem, one) for one in here)
        family = inputs.library.families[lifts[0].family].name
        name = inputs.library.heads[goal.head].name
        yield f"No {family.lower()} for {name}: {reasons.most_common(1)[0][0]}."


def without_rotation(inputs: Inputs, plan: Plan) -> Iterator[str]:
    """Say how to ask for outward rotation, which trains no head, where a region of the shoulder is not clear."""
    tender = {region for region in careful_regions(inputs) if inputs.library.regions[region].shoulder}
    known = [one for one in inputs.library.exercises.values() if one.family == ROTATION]
    admit = Admission(inputs)
    able = [one for one in known if not (admit.reason(one) or all(lacks(one, room) for room in admit.rooms))]
    asked = exercises_in(plan) | {*inputs.brief.preferences.prefer}
    if tender and able and not asked & {one.key for one in known}:
        first = min(able, key=lambda one: not one.needs)  # what is held before the bare floor
        asks = f'prefer = ["{first.key}"]'
        yield f"No outward rotation is in the week, since it trains no head: where it is wanted, ask for it ({asks})."


def enough_elsewhere(inputs: Inputs, problem: Problem) -> Iterator[str]:
    """Say of a head that what is done elsewhere gives it more than counts here."""
    for goal in problem.heads:
        over = goal.elsewhere_helping - goal.aside_most
        if over >= problem.settings.spread_sets:  # as much as trains a head on one more day
            name = inputs.library.heads[goal.head].name
            yield (
                f"What is done elsewhere gives {name} {number(over)} sets beyond what counts beside its own movements: "
                f"a lower target, or `whole = true` there, would ask for less here."
            )


def new_equipment(inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument) -> Iterator[str]:
    """Say of each room which kinds of equipment it did not have in the week `before`, and what needs them: of this week, else
    the most usual exercise that may be planned there."""
    library, gyms = inputs.library, {one.id: one.gym for one in problem.sessions}
    usual = sorted(
        (one for one in problem.candidates if one.trains), key=lambda one: (one.choice, one.skill, one.place)
    )
    for gym, there in before.made_with.rooms.items():
        new = [key for key in inputs.gyms[gym].equipment if key not in there] if gym in inputs.gyms else []
        here = dict.fromkeys(key for key, day in plan if gyms.get(day) == gym)
        able = {key for of in problem.sessions if of.gym == gym for key in of.allowed}
        said = []
        for item in new:
            users = [library.exercises[key].name for key in here if item in library.exercises[key].needs]
            fits = (one.key for one in usual if one.key in able and item in library.exercises[one.key].needs)
            name = next(fits, "")
            asks = f'not used this week: prefer = ["{name}"] would' if name else "nothing here needs it"
            said.append(f"{library.equipment[item].name} ({joined(users) or asks})")
        if said:
            yield f"New in {gym}: {joined(said)}."


def minutes_left(problem: Problem, plan: Plan, before: WeekDocument | None) -> Iterator[str]:
    """Say that the targets are met long before the booked minutes are used, and what would fill them; once, not week after
    week: not where that was so `before` with as many minutes."""
    warm_up = problem.settings.general_warmup_minutes
    days = {day for _, day in plan}
    booked = sum(one.seconds / 60 + warm_up for one in problem.open_sessions)
    used = sum(
        seconds_used(problem, plan, one.id) / 60 + warm_up * (one.id in days) for one in problem.open_sessions
    )
    short = any(shortfall(problem, plan, goal) >= TOLD.short_from for goal in problem.heads)
    share, was = problem.settings.minutes_left_share, [of.minutes for of in before.sessions] if before else []
    booked_before, short_before = sum(of.allowed for of in was), bool(before and below_target(before))
    early = sum(of.used for of in was) < share * booked_before and not short_before
    said = early and abs(booked - booked_before) < 1
    if not (short or said) and problem.anything_needed and used < share * booked:
        yield (
            f"The targets are met in {used:.0f} of {booked:.0f} booked minutes: shorter or fewer sessions would do, "
            f"higher targets would fill them."
        )


def empty_days(inputs: Inputs, problem: Problem, plan: Plan) -> Iterator[str]:
    """Say why a booked session has no work."""
    for session in problem.open_sessions:
        if any(day == session.id for _, day in plan):
            continue
        reason = "the targets are met without it"
        if not problem.anything_needed:
            reason = "nothing is left to train"
        elif not exercises_wanted(problem, session):
            fits = f"nothing that {session.gym} allows fits into its minutes"
            reason = "what could be trained there waits until it is cleared" if inputs.barred else fits
        elif any(shortfall(problem, plan, goal) >= TOLD.short_from for goal in problem.heads):
            reason = "nothing that is still allowed would fill it"
        yield f"No work on {day_name(session.id)}: {reason}."


def since_last_week(inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument) -> Iterator[str]:
    """Say what was kept, what is new and what was dropped against the week `before`."""
    names = names_in(inputs, before)
    then, now = (dict.fromkeys(key for key, _ in sets) for sets in (plan_of(before), plan))
    kept = [names[key] for key in now if key in then]
    if then.keys() == now.keys():
        yield f"The same {counted(len(kept), 'exercise')} as in week {before.week}."
        return
    yield f"Against week {before.week}: kept {', '.join(kept) or 'nothing'}."
    if new := [names[key] for key in now if key not in then]:
        yield f"New: {', '.join(new)}."
    admission, dropped = Admission(inputs), dict[str, list[str]]()
    for key in (key for key in then if key not in now and key not in inputs.barred):  # pain's lines say those
        dropped.setdefault(why_dropped(inputs, admission, problem, key), []).append(names[key])
    if dropped:
        reasons = (f"{joined(gone)} ({reason})" for reason, gone in dropped.items())
        yield f"Not planned again: {'; '.join(reasons)}."


def why_dropped(inputs: Inputs, admission: Admission, problem: Problem, key: str) -> str:
    """Say why an exercise of last week is not planned again."""
    exercise = inputs.library.exercises.get(key)
    if exercise is None:
        return "the library no longer has it"
    if key not in problem.rooms or inputs.capped.get(key) == 0:
        return why_not(admission, problem, exercise)
    return "the week is better without it: see the goals missed"


def moved_since(inputs: Inputs, problem: Problem, plan: Plan, before: WeekDocument) -> Iterator[str]:
    """Say which exercises that stayed have other sets or other days than in the week `before`, and why."""
    names = names_in(inputs, before)
    moved = [f"{names[key]}, {places}" for key, places in moves(plan_of(before), plan)]
    if moved:
        yield f"Other sets or days: {'; '.join(moved)}."
        yield why_moved(problem, plan, before)


def names_in(inputs: Inputs, before: WeekDocument) -> dict[str, str]:
    """Give printed names, of exercises that left the library too."""
    return exercise_names(before) | {key: exercise.name for key, exercise in inputs.library.exercises.items()}


def moves(before: Plan, plan: Plan) -> Iterator[tuple[str, str]]:
    """Give each exercise that stayed with other sets or on other days: "4 sets on Monday (3 before)"."""
    for key in dict.fromkeys(key for key, _ in plan):
        days = dict.fromkeys(day for name, day in (*before, *plan) if name == key)
        changed = [day for day in days if before.get((key, day), 0) != plan.get((key, day), 0)]
        if changed and key in exercises_in(before):
            yield (
                key,
                ", ".join(_place(before.get((key, day), 0), plan.get((key, day), 0), day) for day in changed),
            )


def _place(was: int, now: int, day: str) -> str:
    return f"{counted(now, 'set') if now else 'none'} on {day_name(day)} ({was or 'none'} before)"


def why_moved(problem: Problem, plan: Plan, before: WeekDocument) -> str:
    """Say why last week did not stay as it was: what it would break now, or what it would come to beside this one."""
    old = plan_of(before)
    if Keeping(problem).broken(old):
        what = "what the log says of pain, illness or loads" if problem.capped else "what must hold this week"
        return f"Week {before.week} cannot stay as it was: {what} rules it out."
    doses, rests = ([value(problem, sets) for sets in (old, plan)] for value in (dose_value, rest_value))
    if doses[0] - doses[1] >= UNSHOWN_OF_TWO:
        return (
            f"Why: as it was, week {before.week} would come to {doses[0]:.2f} missed sets now, this one comes "
            f"to {doses[1]:.2f}."
        )
    if rests[0] - rests[1] < UNSHOWN_OF_TWO:
        return f"Week {before.week} as it was would be as good: the two lie within the gap of the proof."
    return (
        f"Why: the dose is as good, and as it was week {before.week} would come to {rests[0]:.2f} {WORTH}, "
        f"this one comes to {rests[1]:.2f}."
    )


def block_notes(inputs: Inputs, plan: Plan) -> Iterator[str]:
    """Say where the week stands in its block and what differs from the block's last hard week, exercise by exercise."""
    mark, hard = inputs.block, inputs.hard
    if mark is None:
        return
    lighter = ", a lighter one" if mark.lighter else ""
    rir, named = inputs.week.reps_in_reserve, inputs.brief.block.reserve[mark.number - 1 :][:1]
    more = (
        f", not {named[0]}: for who has not practised no set is that near failure"
        if rir > min(named, default=rir)
        else ""
    )
    yield (
        f"Week {mark.number} of {mark.of} of the block that begins with {mark.first}{lighter}: "
        f"every set stops with {rir} in reserve{more if not mark.lighter else ''}."
    )
    if hard is None:
        return
    before = {dose.head: dose.target for dose in hard.dose}
    for head, target in inputs.targets.items():
        was = before.get(head, target.target)
        if target.target > was:
            name = inputs.library.heads[head].name
            yield f"Target of {name}: {number(target.target)} direct sets ({number(was)} before)."
    old = plan_of(hard)
    if mark.lighter:
        same = (
            "the same exercises on the same days" if set(old) == set(plan) else "what changed is named below"
        )
        total = counted(sum(plan.values()), "set")
        yield f"Lighter week: {total} instead of {sum(old.values())} in {hard.week}, {same}. It decides no load."
        return
    changed = [pair for pair in dict.fromkeys((*old, *plan)) if old.get(pair, 0) != plan.get(pair, 0)]
    if not changed:
        yield f"The same sets on the same days as in {hard.week}."
    for key, day in changed:
        exercise = inputs.library.exercises.get(key)
        name = exercise.name if exercise else key
        now, was_sets = plan.get((key, day), 0), old.get((key, day), 0)
        yield f"{day_name(day)}, {name}: {counted(now, 'set')} ({was_sets} in {hard.week})."
