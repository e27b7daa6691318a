"""Names: nothing else can be computed while a plan names what neither library nor gyms know."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.athlete.brief import DAYS
from planner.verify.finding import Check, Finding

if TYPE_CHECKING:
    from planner.verify.case import Case


def exercises_known(case: Case) -> Iterator[Finding]:
    """Every planned exercise and every replacement ∈ library."""
    for session, planned in case.planned():
        for key in (planned.exercise, *(other.exercise for other in planned.instead)):
            if key not in case.library.exercises:
                yield Finding("misstates", f"{session.id}: exercise", "no such exercise in the library", key)


def heads_known(case: Case) -> Iterator[Finding]:
    """Heads of credits and doses ∈ library."""
    named = {line.head for line in case.document.dose}
    named |= {head for _, planned in case.planned() for head in planned.credits}
    for head in sorted(named - set(case.library.heads)):
        yield Finding("misstates", "head", "no such head in the library", head)


def gyms_known(case: Case) -> Iterator[Finding]:
    """The gym of every session ∈ gyms."""
    for session in case.document.sessions:
        if session.gym not in case.gyms:
            yield Finding("misstates", f"{session.id}: gym", "no such gym", session.gym)


def days_known(case: Case) -> Iterator[Finding]:
    """The day of every session ∈ Mon … Sun."""
    for session in case.document.sessions:
        if session.day not in DAYS:
            yield Finding("misstates", f"{session.id}: day", "no such day", session.day)


CHECKS: tuple[Check, ...] = (exercises_known, heads_known, gyms_known, days_known)
