"""What one set is worth to a head, the doses and the minutes that follow, computed anew."""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from library.method import OWN
from planner.document import PlannedExercise, PlannedSession
from planner.verify.asked import WHOLE, asked, may_be_planned, wanted
from planner.verify.case import Case, once

SECONDS_PER_MINUTE = 60
PAIR = 2
SLICES = 400  # of the integral: exact to 2e-6 for a spread of 0.1 and more
NO_SPREAD = 1e-3  # log ratio: an anchor's, or a number that is as good as sure
DIGITS = 4  # of a ratio: what a file rounds decides no count


@once
def log_ratio(case: Case, exercise: str, head: str) -> tuple[float, float] | None:
    """theta and s of ln R ~ N(theta, s²), R activation against the head's anchor; None where nothing is known. The
    athlete's own pooled ratios, else the library's with the spread between persons; an anchor is 1."""
    pooled = (case.pooled or {}).get(head)
    if pooled is not None:
        if exercise not in pooled.exercises:
            return None
        at = pooled.exercises.index(exercise)
        return float(pooled.theta[at]), math.sqrt(max(0.0, float(pooled.covariance[at, at])))
    filed = case.library.profiles.get(head, {}).get(exercise)
    if filed is None:
        return None
    sure = exercise == case.library.heads[head].anchor
    spread = 0.0 if sure else math.hypot(filed.standard_error, OWN.person_spread)
    return math.log(filed.ratio), spread


def profile(case: Case, exercise: str, head: str) -> float:
    """Likeliest activation against the head's anchor; 0 where nothing is known."""
    known = log_ratio(case, exercise, head)
    return math.exp(known[0]) if known else 0.0


def expected(theta: float, s: float, floor: float) -> float:
    """E[R·1(floor ≤ R < 1) + 1(R ≥ 1)] = floor·P(R ≥ floor) + ∫ P(R ≥ r) dr from floor to 1, by the midpoint rule."""
    if s < NO_SPREAD:
        return min(1.0, math.exp(theta)) if theta >= math.log(floor) - WHOLE else 0.0
    step = (1 - floor) / SLICES
    ratios = (floor, *(floor + step * (place + 0.5) for place in range(SLICES)))
    at_floor, *middles = (math.erfc((math.log(ratio) - theta) / (s * math.sqrt(2))) / 2 for ratio in ratios)
    return floor * at_floor + step * sum(middles)


def by_activation(case: Case, exercise: str, head: str) -> float:
    """c = w·E[…] over what is not known of the ratio, 0 below the least credit, in direct sets a set.
    w = ((1 − q) + k·q) / ((1 − n) + k·n): q eccentric share, k its weight, n the neutral share."""
    known = log_ratio(case, exercise, head)
    if known is None:
        return 0.0
    k, n = case.number("eccentric_weight"), case.number("neutral_share")
    q = case.library.exercises[exercise].eccentric_share.value
    worth = ((1 - q) + k * q) / ((1 - n) + k * n) * expected(*known, case.number("credit_floor"))
    return worth if worth >= case.number("least_credit") else 0.0


def by_movers(case: Case, exercise: str, head: str) -> float:
    """1 from a likeliest ratio of 0.70, 0.5 from 0.40, else 0: the published counting rule."""
    ratio = round(profile(case, exercise, head), DIGITS)
    if ratio >= case.number("movers_direct"):
        return 1.0
    return case.number("movers_part") if ratio >= case.number("movers_indirect") else 0.0


@once
def credit(case: Case, exercise: str, head: str) -> float:
    """Worth of one set in the counting that the document was made with."""
    count = by_movers if case.document.made_with.counting == "movers" else by_activation
    return count(case, exercise, head)


def is_own(case: Case, exercise: str, head: str) -> bool:
    """Whether an exercise is chosen for a head; every other one only helps it."""
    return case.library.exercises[exercise].trains == head


@once
def aside_most(case: Case, head: str) -> float:
    """a·T: what helps counts up to it; without own movements of the head, what others bring when trained to their targets."""
    known, target = case.library.exercises, asked(case, head).target
    if has_own(case, head):
        return case.number("aside_share") * target
    brings = {other: 0.0 for other in wanted(case) if other != head}
    for key, one in known.items():
        if one.trains in brings and credit(case, key, one.trains) > 0 and may_be_planned(case, key, True):
            share = credit(case, key, head) / credit(case, key, one.trains)
            brings[one.trains] = max(brings[one.trains], share)
    done = ((key, of.sets) for key, of in case.brief.elsewhere.items() if not of.whole)
    elsewhere = sum(credit(case, key, head) * sets for key, sets in done if not is_own(case, key, head))
    most = elsewhere + sum(asked(case, other).target * part for other, part in brings.items())
    return min(target, max(case.number("aside_share") * target, most))


def has_own(case: Case, head: str) -> bool:
    """Whether a room of the week has an own movement of the head, or pain has taken one."""
    keys = (key for key in case.library.exercises if is_own(case, key, head) and credit(case, key, head) > 0)
    return any(key in case.barred or may_be_planned(case, key, True) for key in keys)


class Dose(NamedTuple):
    """One head's week in direct sets: own and helping, of these sessions and elsewhere. `aside`: what helps and is
    counted. `counted`: own + aside, elsewhere included. `elsewhere`: counted from there alone, the least, where these
    sessions' helping sets come first, and the most."""

    own: float
    helping: float
    own_elsewhere: float
    helping_elsewhere: float
    aside: float
    counted: float
    elsewhere: tuple[float, float]


def dose(case: Case, head: str) -> Dose:
    """Add up a head's week as printed. Own sets elsewhere cover at most half of the target, whole ones all of it."""
    here, there, whole, most = {True: 0.0, False: 0.0}, {True: 0.0, False: 0.0}, 0.0, aside_most(case, head)
    for key, sets in case.sets().items():
        here[is_own(case, key, head)] += credit(case, key, head) * sets
    for key, done in case.brief.elsewhere.items():
        whole += credit(case, key, head) * done.sets * done.whole
        there[is_own(case, key, head)] += credit(case, key, head) * done.sets * (not done.whole)
    own = whole + min(there[True], case.number("elsewhere_share") * asked(case, head).target)
    aside, least = min(most, here[False] + there[False]), max(0.0, most - here[False])
    bounds = own + min(there[False], least), own + min(there[False], most)
    return Dose(here[True], here[False], own, there[False], aside, here[True] + own + aside, bounds)


def own_wanted(case: Case, head: str) -> float:
    """(1 − a)·T or the named share of T, another one for the head with the highest priority, − own sets elsewhere, ≥ 0."""
    target, most = asked(case, head).target, aside_most(case, head)
    others = [asked(case, other).priority for other in wanted(case) if other != head]
    first = bool(others) and asked(case, head).priority > max(others)
    lifted = any(one.main_lift and one.trains == head for one in case.library.families.values())
    asks_more = has_own(case, head) and (first or not lifted)
    share = case.number("own_share_first" if first else "own_share") if asks_more else 0.0
    rest = max((target - most) * has_own(case, head), share * target)
    return max(0.0, rest - dose(case, head).own_elsewhere)


def leading(case: Case) -> str:
    """The head whose priority is so many times the next; else empty."""
    ranks = sorted(((asked(case, head).priority, head) for head in wanted(case)), reverse=True)
    leads = len(ranks) > 1 and ranks[0][0] >= case.number("leading_priority") * ranks[1][0]
    return ranks[0][1] if leads else ""


def session_dose(case: Case, session: PlannedSession, head: str) -> float:
    """Σe c[e,h]·x[e,d] of one session, helping credits included."""
    return sum(credit(case, planned.exercise, head) * planned.sets for planned in session.exercises)


def replaced(case: Case, key: str, sets: int) -> PlannedExercise:
    """Give an exercise as the library has it, as far as its time and dose go."""
    known = case.library.exercises[key]
    facts: dict[str, Any] = {"exercise": key, "sets": sets, "block": key, "sides": known.sides}
    facts |= {"work_s": known.work_seconds, "rest_s": known.rest_seconds, "setup_s": known.setup_seconds}
    return PlannedExercise.model_construct(**facts, warmup_sets=known.warmup_sets)


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
    """One alone: t·sets + u. Two in turns: both set-ups and warm-ups, then every round t₁ + swap + t₂ + the longer
    rest, none after the last round. Sets that one has more than the other are done by themselves."""
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
