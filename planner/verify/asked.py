"""What the coach asked for, resolved anew: doses a head, allowed grades, what may be planned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.athlete.brief import Target
from planner.method import GradeLimits
from planner.verify.blocks import risen, share_left
from planner.verify.case import once
from planner.verify.worth import credit, planned_dose

if TYPE_CHECKING:
    from library.schema import Exercise
    from planner.verify.case import Case

ALSO_THERE = {"dual_cable_station": ("cable_station",)}  # what a listed piece of equipment can do besides
STRICTNESS = {"clear": 0, "careful": 1, "avoid": 2}


@dataclass(frozen=True)
class Asked:
    """One head's week as asked, in direct sets; `target` 0: not trained."""

    floor: float
    target: float
    ceiling: float
    priority: float
    sessions: int
    must: bool


@once
def asked(case: Case, head: str) -> Asked:
    """Return what the brief asks, else the status's doses; floor ≤ target ≤ ceiling, a step up capped.

    Inside a block the target rises if it was asked to, and a lighter week halves it with the floor.
    """
    status, wish = case.brief.athlete.training_status, case.brief.target.get(head, Target())
    floor = _or(wish.floor, case.number(f"{status}_floor"))
    wished = _wished(wish, case.number(f"{status}_target"))
    target = wished if wish.now is None else min(wished, _step(case, wish.now))
    ceiling, left = max(_or(wish.ceiling, case.number(f"{status}_ceiling")), wished), share_left(case)
    return Asked(
        floor=min(floor, target) * left,
        target=(risen(case, target, ceiling) if target > 0 else target) * left,
        ceiling=ceiling,
        priority=wish.priority,
        sessions=wish.sessions or int(case.number("spread_sessions")),
        must=wish.must,
    )


def _or(written: float | None, default: float) -> float:
    return default if written is None else written


def _wished(wish: Target, default: float) -> float:
    """T as written, else the default, moved between the floor and the ceiling that are written."""
    if wish.target is not None:
        return wish.target
    raised = max(default, _or(wish.floor, default))
    return min(raised, _or(wish.ceiling, raised))


def _step(case: Case, now: float) -> float:
    """max(now + 1, 1.2·now): how far today's sets may rise at once."""
    return max(now + case.number("now_step_sets"), case.number("now_step_factor") * now)


@once
def wanted(case: Case) -> tuple[str, ...]:
    """Trained heads with a target above 0."""
    return tuple(head for head in case.trained if asked(case, head).target > 0)


def elsewhere_dose(case: Case, head: str, *, direct_only: bool = False) -> float:
    """Σ c·sets done elsewhere: whole entries in full, the others at most half of the target together."""
    whole = part = 0.0
    for exercise, done in case.brief.elsewhere.items():
        worth = credit(case, exercise, head)
        if direct_only and worth < case.number("direct_set"):
            continue
        whole += worth * done.sets if done.whole else 0.0
        part += 0.0 if done.whole else worth * done.sets
    return whole + min(part, case.number("elsewhere_share") * asked(case, head).target)


def total_dose(case: Case, head: str) -> float:
    """Σ c·x + elsewhere[h]."""
    return planned_dose(case, head) + elsewhere_dose(case, head)


def allowance(case: Case, region: str) -> str:
    """Return the stricter of brief and history flags for a region; a written "clear" overrules a flag."""
    written = case.brief.joints.get(region)
    words = [written or "clear"]
    if written == "clear":
        return written
    for key in case.brief.history.flags:
        flag = case.library.flags.get(key)
        if flag and region in flag.regions:
            words.append(flag.regions[region])
    return max(words, key=lambda word: STRICTNESS[word])


def grade(case: Case, exercise: str, region: str) -> int:
    """Joint-stress grade of an exercise in a region; 0 where the library names none."""
    known = case.library.exercises.get(exercise)
    return known.stress[region].grade if known and region in known.stress else 0


def allowed_grade(case: Case, exercise: Exercise, region: str) -> int:
    """Clear 2, or 3 if named in prefer; careful 1, or 2 with a printed change; avoid 1 (avoid_grade)."""
    limits = GradeLimits()
    word = allowance(case, region)
    if word == "clear":
        preferred = exercise.key in case.brief.preferences.prefer
        return limits.preferred if preferred else int(case.number("clear_grade"))
    if word == "careful":
        stress = exercise.stress.get(region)
        return limits.changed if stress and stress.change else int(case.number("careful_grade"))
    return int(case.number("avoid_grade"))


def over_grade(case: Case, exercise: Exercise) -> Iterator[tuple[str, int, int]]:
    """Every region where an exercise stands above the allowed grade: region, grade, allowed."""
    for region, stress in exercise.stress.items():
        allowed = allowed_grade(case, exercise, region)
        if stress.grade > allowed:
            yield region, stress.grade, allowed


def missing_equipment(case: Case, exercise: Exercise, gym: str) -> list[str]:
    """Return what an exercise needs and a gym lacks; two adjustable pulleys are also one."""
    listed = case.gyms[gym].equipment if gym in case.gyms else ()
    room = {*listed, *(also for key in listed for also in ALSO_THERE.get(key, ()))}
    return [key for key in exercise.needs if key not in room]


def barred(case: Case, exercise: Exercise) -> str:
    """Return why an exercise is never planned for this athlete ("" where it may be)."""
    if exercise.compare_only:
        return "kept for comparison only"
    return "excluded by the coach" if exercise.key in case.brief.preferences.exclude else ""


def may_be_planned(case: Case, exercise: Exercise) -> bool:
    """Whether nothing bars an exercise and the gym of some session still to come has what it needs."""
    if barred(case, exercise) or any(over_grade(case, exercise)):
        return False
    return any(not missing_equipment(case, exercise, session.gym) for session in case.open_sessions)
