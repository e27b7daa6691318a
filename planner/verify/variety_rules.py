"""By how much the goals of variety and rotation are missed: implements, families, last week's exercises."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.verify.asked import may_be_planned, wanted
from planner.verify.case import once
from planner.verify.goal_rules import Goal, Rule, missed
from planner.verify.worth import credit

if TYPE_CHECKING:
    from library.schema import Exercise
    from planner.verify.case import Case


@once
def _candidates(case: Case, *, that_count: bool) -> list[Exercise]:
    """Exercises that some session held or may hold; `that_count`: only those worth something to a wanted head."""
    done = case.sets_done()
    open_to_us = [e for e in case.library.exercises.values() if e.key in done or may_be_planned(case, e)]
    if not that_count:
        return open_to_us
    return [e for e in open_to_us if any(credit(case, e.key, head) > 0 for head in wanted(case))]


def _planned(case: Case) -> list[Exercise]:
    return [case.library.exercises[key] for key in case.sets_in_week()]


def implements(case: Case) -> Iterator[Goal]:
    """Different implements ≥ min(i, those that the rooms offer); an empty week owes none."""
    asked_for = case.brief.variety.implements or int(case.number("variety_implements"))
    used = len({exercise.implement for exercise in _planned(case)})
    narrow, wide = (
        min(asked_for, len({exercise.implement for exercise in _candidates(case, that_count=count)})) - used
        for count in (True, False)
    )
    yield from missed("implements", (narrow if used else 0, wide))


def families(case: Case) -> Iterator[Goal]:
    """Each asked family has an exercise in the week, where the rooms have one; an empty week owes none."""
    planned = _planned(case)
    for family in case.brief.variety.families:
        if any(exercise.family == family for exercise in planned):
            continue
        narrow, wide = (
            float(any(exercise.family == family for exercise in _candidates(case, that_count=count)))
            for count in (True, False)
        )
        yield from missed(f"family:{family}", (narrow if planned else 0.0, wide))


def rotation(case: Case) -> Iterator[Goal]:
    """Kept exercises of last week ≥ r; every change may be counted (at most one a head, in a block none)."""
    if case.last_week is None:
        return
    before = dict.fromkeys(p.exercise for session in case.last_week.sessions for p in session.exercises)
    kept = [key for key in before if key in case.sets_in_week()]
    still_open = [e.key for e in _candidates(case, that_count=True) if e.key in before]
    asked_for = case.brief.variety.keep or 0
    least = min(asked_for, len(still_open)) - len(kept)
    most = len(before) - len(kept)
    yield from missed("rotation", (least, most))


def prefer(case: Case) -> Iterator[Goal]:
    """Each preferred exercise that the rooms and joints allow is in the week; an empty week owes none."""
    sets = case.sets_in_week()
    for key in case.brief.preferences.prefer:
        if key not in sets:
            narrow, wide = (
                float(any(exercise.key == key for exercise in _candidates(case, that_count=count)))
                for count in (True, False)
            )
            yield from missed(f"prefer:{key}", (narrow if sets else 0.0, wide))


RULES: tuple[Rule, ...] = (implements, families, rotation, prefer)
