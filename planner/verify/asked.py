"""What the coach asked for, resolved anew: doses a head, grades, what may be planned, and what a block changes."""

import datetime
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from library.schema import Exercise
from planner.athlete.brief import Target
from planner.document import week_name, week_start
from planner.method import GRADES
from planner.verify.case import Case, once

HELD = {"dumbbells", "kettlebells", "plates", "bands"}  # lie ready for two exercises in turns
ALSO_THERE = {"dual_cable_station": ("cable_station",)}  # what a listed piece of equipment can do besides
STRICTNESS = {"clear": 0, "careful": 1, "avoid": 2}
WHOLE = 1e-9  # 1.2 × 15 is 18


class Asked(NamedTuple):
    """One head's week as asked, in direct sets; `target` 0: not trained."""

    floor: float
    target: float
    ceiling: float
    priority: float
    sessions: int
    must: bool


@once
def asked(case: Case, head: str) -> Asked:
    """Return what the brief asks, else the status's doses; floor ≤ target ≤ ceiling, a step up capped. Inside a block
    the target rises if it was asked to, and a lighter week halves it with the floor; so does pain that bars half of a
    head's own movements or more."""
    status, wish = case.brief.athlete.training_status, case.brief.target.get(head, Target())
    floor, wished, most = (case.number(f"{status}_{word}") for word in ("floor", "target", "ceiling"))
    floor = floor if wish.floor is None else wish.floor
    if wish.target is not None:
        wished = wish.target
    else:  # the default, moved between the floor and the ceiling that are written
        wished = min(wished, case.number("default_share_a_session") * len(case.brief.session) * wished)
        wished = max(wished, wish.floor or 0.0)
        wished = wished if wish.ceiling is None else min(wished, wish.ceiling)
    target, above = wished, case.number("ceiling_of_target")
    ceiling = max(max(most, above * wished) if wish.ceiling is None else wish.ceiling, wished)
    if wish.now is not None:  # how far today's sets may rise at once: max(now + 1, 1.2·now)
        step = max(wish.now + case.number("now_step_sets"), case.number("now_step_factor") * wish.now)
        target = min(wished, step)
        ceiling = min(ceiling, step + case.number("now_step_sets")) if wish.ceiling is None else ceiling
    left = share_left(case) * (case.number("lighter_share") if head in waiting(case) else 1.0)
    return Asked(
        floor=min(floor, target) * left,
        target=(risen(case, target, ceiling) if target > 0 else target) * left, ceiling=ceiling,
        priority=wish.priority, sessions=wish.sessions or int(case.number("spread_sessions")), must=wish.must,
    )  # fmt: skip


@once
def waiting(case: Case) -> frozenset[str]:
    """Heads of which pain bars at least half of the own movements: of the library's, or of those that were planned
    last week or wait for a doctor themselves."""
    lately = {key for key, _ in case.last_sets}
    lately |= {key for key, reason in case.barred.items() if reason.startswith("waits for clearance")}
    every = [e for e in case.library.exercises.values() if not e.compare_only]
    own = [(head, {e.key for e in every if e.trains == head}) for head in case.trained]
    groups = [(head, keys) for head, mine in own for keys in (mine, mine & lately)]
    return frozenset(head for head, keys in groups if keys and 2 * len(keys & {*case.barred}) >= len(keys))


@once
def wanted(case: Case) -> tuple[str, ...]:
    """Trained heads with a target above 0."""
    return tuple(head for head in case.trained if asked(case, head).target > 0)


def allowance(case: Case, region: str) -> str:
    """Return the stricter of brief and history flags for a region; a written "clear" overrules a flag."""
    written = case.brief.joints.get(region)
    if written == "clear":
        return written
    flags = (case.library.flags.get(key) for key in case.brief.history.flags)
    words = [flag.regions.get(region, "clear") for flag in flags if flag]
    return max([written or "clear", *words], key=lambda word: STRICTNESS[word])


def grade(case: Case, exercise: str, region: str) -> int:
    """Joint-stress grade of an exercise in a region; 0 where the library names none."""
    known = case.library.exercises.get(exercise)
    return known.stress[region].grade if known and region in known.stress else 0


def over_grade(case: Case, exercise: Exercise, gym: str, plain: bool) -> Iterator[str]:
    """Every region where an exercise stands above its grade: clear 2 (3 if in prefer), careful 1, avoid 1. Careful
    admits 2 (not `plain`) by a change that leaves the exercise what it is, where the gym has no milder one of its
    family that may be done as it is."""
    for region, stress in exercise.stress.items():
        word = allowance(case, region)
        allowed = int(case.number(f"{word}_grade"))
        if word == "clear" and exercise.key in case.brief.preferences.prefer:
            allowed = GRADES.preferred
        elif word == "careful" and stress.grade == GRADES.changed and stress.change_keeps and not plain:
            kin = (e.key for e in case.library.exercises.values() if e.family == exercise.family)
            milder = (key for key in kin if grade(case, key, region) < stress.grade)
            allowed = allowed if any(not faults(case, key, gym, True) for key in milder) else stress.grade
        if stress.grade > allowed:
            yield f"{region} grade {stress.grade} above {allowed}"


@once
def faults(case: Case, key: str, gym: str, plain: bool = False) -> tuple[str, ...]:
    """Why this athlete may not do an exercise in this gym, `plain`: without the change that a careful joint asks."""
    exercise = case.library.exercises[key]
    listed = case.gyms[gym].equipment if gym in case.gyms else ()
    room = {*listed, *(also for item in listed for also in ALSO_THERE.get(item, ()))}
    reasons = [*_barred(case, exercise), *(f"lacks {item}" for item in exercise.needs if item not in room)]
    return (*reasons, *over_grade(case, exercise, gym, plain))


def _barred(case: Case, exercise: Exercise) -> Iterator[str]:
    """Why an exercise is never planned for this athlete, wherever: pain, wishes, skill, height of the arm."""
    wishes, most = case.brief.preferences, case.brief.arm_at_most_degrees
    groups = set(wishes.exclude) - set(case.library.exercises)  # a word that names an exercise means it alone
    able = skill(case)
    if exercise.compare_only:
        yield "kept for comparison only"
    if exercise.key in case.barred:
        yield case.barred[exercise.key]
    if exercise.key in wishes.exclude or {exercise.family, exercise.implement} & groups:
        yield "excluded by the coach"
    if wishes.only and exercise.implement not in wishes.only:
        yield f"{exercise.implement}, not one of {', '.join(wishes.only)}"
    if exercise.skill > able:
        yield f"skill {exercise.skill} above {able}"
    named = exercise.key in {*wishes.prefer, *wishes.pin}
    if exercise.trains and exercise.trains not in wanted(case) and not named:
        yield f"chosen for {exercise.trains}, which is not trained"
    if most is not None and (exercise.top_angle_degrees or 0) > most:
        yield f"arm at {exercise.top_angle_degrees} degrees, at most {most}"


@once
def may_be_planned(case: Case, key: str, over: bool = False) -> bool:
    """Whether some session still to come (`over`: any session, whatever pain leaves of it) may hold an exercise."""
    sessions = case.document.sessions if over else case.open_sessions
    fewest = smallest_block(case)
    if not over and case.capped.get(key, fewest) < fewest:
        days = [pin.day for of, pin in case.brief.preferences.pins if of == key]
        sessions = tuple(session for session in sessions if session.day in days)
    not_on = case.brief.preferences.not_on.get(key, ())
    return any(not faults(case, key, session.gym) and session.day not in not_on for session in sessions)


def block_weeks(case: Case) -> list[datetime.date]:
    """Mondays of the block's weeks up to the document's; weeks away are passed over."""
    weeks: list[datetime.date] = []
    mark = case.document.block
    day = week_start(mark.first) if mark else datetime.date.max
    while mark and len(weeks) < mark.number:
        weeks += [day] if week_name(day) not in case.brief.block.away else []
        day += datetime.timedelta(days=7)
    return weeks


def lighter_weeks(case: Case) -> list[bool]:
    """Which weeks of the block, up to the document's, are lighter: named in the brief, or every so many."""
    every, named = int(case.number("lighter_every_weeks")), case.brief.block.lighter
    weeks = enumerate(block_weeks(case), start=1)
    return [week_name(day) in named or (every > 0 and number % every == 0) for number, day in weeks]


def in_lighter_week(case: Case) -> bool:
    """Whether the document's week is a lighter one of its block."""
    return lighter_weeks(case)[-1:] == [True]


def share_left(case: Case) -> float:
    """Half of floor, target, smallest block and pinned sets in a lighter week, else all."""
    return case.number("lighter_share") if in_lighter_week(case) else 1.0


def risen(case: Case, target: float, ceiling: float) -> float:
    """T after n steps of ⌊max(T + 1, T·(1 + r))⌋, up to 1 below the ceiling: one step for every two hard weeks
    behind. A lighter week stays where the hard week before it was."""
    mark = case.document.block
    if mark is None or not mark.ramp_share:
        return target
    behind = lighter_weeks(case)[:-1].count(False) - in_lighter_week(case)
    rise = min(mark.ramp_share, case.number("ramp_share_most"))
    top = max(target, ceiling - case.number("ramp_below_ceiling_sets"))
    for _ in range(max(0, behind) // int(case.number("ramp_step_weeks"))):
        stepped = max(target + case.number("ramp_sets_least"), target * (1 + rise))
        target = min(top, float(math.floor(stepped + WHOLE)))
    return target


def smallest_block(case: Case) -> float:
    """Fewest sets of an exercise in a session: the method's, half of it in a lighter week, one at least."""
    return max(1, math.floor(case.number("smallest_block_sets") * share_left(case)))


def pinned(case: Case, sets: int) -> int:
    """Sets that a pin asks this week: half of it in a lighter week, rounded up."""
    return max(1, math.ceil(sets * share_left(case)))


def skill(case: Case) -> int:
    """Most demanding skill that may be asked: the brief's, else the status's."""
    card = case.brief.athlete
    return int(case.number(f"skill_{card.training_status}")) if card.skill is None else card.skill


def is_careful(case: Case) -> bool:
    """Whether skill 1 may be asked at most, or some region is not clear."""
    before_pain, regions = replace(case, brief=case.written or case.brief), case.library.regions
    return skill(case) == 1 or any(allowance(before_pain, region) != "clear" for region in regions)


def reserve(case: Case) -> int:
    """RIR asked: the brief's for this week of its block, else the method's; 2 more if lighter or if pain bars much."""
    mark, named, lighter = case.document.block, case.brief.block.reserve, in_lighter_week(case)
    more = "_careful" if is_careful(case) and "reps_in_reserve" not in case.brief.method else ""
    rir = case.number(f"reps_in_reserve{more}") + case.number("lighter_rir_more") * lighter
    if mark is not None and named:
        rir = max(named[mark.number - 1], rir if lighter else 0)
    rir = max(rir, case.number("rir_least_unpractised")) if skill(case) == 1 else rir
    return int(rir + case.number("lighter_rir_more") * bool(waiting(case)))
