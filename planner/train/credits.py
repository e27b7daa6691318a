"""What a set of any exercise is worth to each trained head: the plans' own credits first, else the library's."""

from __future__ import annotations

from collections.abc import Iterable

from library.credit import movers_credit, set_credit
from library.method import CreditSettings
from library.read import Library
from planner.document import WeekDocument


def library_credits(
    library: Library, settings: CreditSettings, counting: str = "activation"
) -> dict[str, dict[str, float]]:
    """Return exercise → head → direct sets a set, for trained heads, zeros left out."""
    credits: dict[str, dict[str, float]] = {}
    for head in library.heads.values():
        if head.role != "trained":
            continue
        for key, profile in library.profiles.get(head.key, {}).items():
            exercise = library.exercises.get(key)
            if exercise is None:
                continue
            if counting == "movers":
                worth = movers_credit(profile.ratio, settings)
            else:
                share = exercise.eccentric_share.value
                worth = set_credit(profile.ratio, share, settings.eccentric_weight, settings)
            if worth > 0:
                credits.setdefault(key, {})[head.key] = worth
    return credits


def planned_credits(documents: Iterable[WeekDocument]) -> dict[str, dict[str, float]]:
    """Return the credits that plans were made with; of several plans the last one's."""
    return {
        item.exercise: dict(item.credits)
        for document in documents
        for session in document.sessions
        for item in session.exercises
    }
