"""What one set is worth to a head, computed anew (DESIGN §3.2), and the doses that follow."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.document import PlannedSession
    from planner.verify.case import Case


def profile(case: Case, exercise: str, head: str) -> float:
    """Activation against the head's anchor: the athlete's own, else the library's, else 0."""
    own = (case.own or {}).get(head, {}).get(exercise)
    if own is not None:
        return own
    pooled = case.library.profiles.get(head, {}).get(exercise)
    return pooled.ratio if pooled else 0.0


def lowering_weight(case: Case, exercise: str) -> float:
    """w = ((1 − q) + k·q) / ((1 − n) + k·n): q eccentric share, k its weight, n the neutral share."""
    k, neutral = case.number("eccentric_weight"), case.number("neutral_share")
    known = case.library.exercises.get(exercise)
    q = known.eccentric_share.value if known else neutral
    return ((1 - q) + k * q) / ((1 - neutral) + k * neutral)


def by_activation(case: Case, exercise: str, head: str) -> float:
    """c = 0 below the credit floor, else min(1, profile)·w, in direct sets a set."""
    ratio = profile(case, exercise, head)
    return 0.0 if ratio < case.number("credit_floor") else min(1.0, ratio) * lowering_weight(case, exercise)


def by_movers(case: Case, exercise: str, head: str) -> float:
    """1 from a profile of 0.70, 0.5 from 0.40, else 0: the published counting rule."""
    ratio = profile(case, exercise, head)
    if ratio >= case.number("movers_direct"):
        return 1.0
    return case.number("movers_part") if ratio >= case.number("movers_indirect") else 0.0


def credit(case: Case, exercise: str, head: str) -> float:
    """Worth of one set in the counting that the document was made with."""
    count = by_movers if case.document.made_with.counting == "movers" else by_activation
    return count(case, exercise, head)


def is_direct(case: Case, exercise: str, head: str) -> bool:
    """Whether a set of the exercise is a direct set: credit ≥ 0.70."""
    return credit(case, exercise, head) >= case.number("direct_set") - 1e-9  # 0.7 is not exact in binary


def session_dose(case: Case, session: PlannedSession, head: str) -> float:
    """Σe c[e,h]·x[e,d] of one session."""
    return sum(credit(case, planned.exercise, head) * planned.sets for planned in session.exercises)


def planned_dose(case: Case, head: str) -> float:
    """Σd Σe c[e,h]·x[e,d] of the week's sessions."""
    return sum(session_dose(case, session, head) for session in case.document.sessions)
