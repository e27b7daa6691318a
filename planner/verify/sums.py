"""What one set is worth to a head, the doses and the minutes that follow, computed anew (DESIGN §3.2, §3.3)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.verify.asked import asked
from planner.verify.case import Case, once

if TYPE_CHECKING:
    from planner.document import PlannedExercise, PlannedSession

SECONDS_PER_MINUTE = 60
PAIR = 2


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


@once
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


def elsewhere_dose(case: Case, head: str, direct_only: bool = False) -> float:
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


def set_seconds(planned: PlannedExercise) -> int:
    """t = work·sides + rest."""
    return planned.work_s * planned.sides + planned.rest_s


def exercise_seconds(case: Case, planned: PlannedExercise) -> float:
    """t·sets + set-up + warm-up sets·65·sides − rest: no rest follows the last set."""
    warm_up = planned.warmup_sets * case.number("warmup_set_seconds") * planned.sides
    return planned.sets * set_seconds(planned) + planned.setup_s + warm_up - planned.rest_s


def blocks(session: PlannedSession) -> list[list[PlannedExercise]]:
    """Exercises of a session by their block letter: one alone, or two that are done in turns."""
    by_letter: dict[str, list[PlannedExercise]] = {}
    for planned in session.exercises:
        by_letter.setdefault(planned.block, []).append(planned)
    return list(by_letter.values())


def block_seconds(case: Case, block: Sequence[PlannedExercise]) -> float:
    """One alone: t·sets + u. Two in turns: both set-ups and warm-ups, then every round t₁ + swap + t₂ + rest.

    The rest of a round is the longer of the two; none follows the last round. Sets that one has more than the
    other are done by themselves.
    """
    if len(block) != PAIR:
        return sum(exercise_seconds(case, planned) for planned in block)
    rounds, rest = min(planned.sets for planned in block), max(planned.rest_s for planned in block)
    before = sum(exercise_seconds(case, planned) - planned.sets * set_seconds(planned) for planned in block)
    ready = before + sum(planned.rest_s for planned in block)
    working = sum(planned.work_s * planned.sides for planned in block)
    left_over = sum((planned.sets - rounds) * set_seconds(planned) for planned in block)
    return ready + rounds * (working + case.number("pair_swap_seconds") + rest) + left_over - rest


def session_minutes(case: Case, session: PlannedSession) -> float:
    """General warm-up + Σ blocks / 60; an empty session takes no time at all."""
    if not session.exercises:
        return 0.0
    seconds = sum(block_seconds(case, block) for block in blocks(session))
    return case.number("general_warmup_minutes") + seconds / SECONDS_PER_MINUTE
