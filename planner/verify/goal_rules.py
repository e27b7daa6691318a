"""By how much each goal of a head is missed, recomputed from the printed plan (DESIGN §3.3)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from planner.athlete.brief import DAYS
from planner.verify.asked import asked, elsewhere_dose, total_dose, wanted
from planner.verify.blocks import smallest_block
from planner.verify.worth import credit, is_direct, session_dose

if TYPE_CHECKING:
    from planner.verify.case import Case

Span = tuple[float, float]  # least and most of one reading


@dataclass(frozen=True)
class Goal:
    """A goal that is missed by something, in the unit of the goal.

    The words of the method leave a few amounts open (are two heavy days side by side one pair, or sets too
    many?): each reading is a span from least to most, and a printed amount must lie in one of them.
    """

    name: str
    spans: tuple[Span, ...]

    def is_missed(self, tolerance: float) -> bool:
        """Whether every reading says that the goal is missed by more than the tolerance."""
        return all(least > tolerance for least, _ in self.spans)

    def accepts(self, by: float, tolerance: float) -> bool:
        """Whether a printed amount agrees with one reading."""
        return any(least - tolerance <= by <= most + tolerance for least, most in self.spans)


Rule = Callable[["Case"], Iterator[Goal]]


def missed(name: str, *spans: Span) -> Iterator[Goal]:
    """Yield the goal unless every reading says that it is reached."""
    if any(most > 0 for _, most in spans):
        yield Goal(name, spans)


def dose(case: Case) -> Iterator[Goal]:
    """Σ c·x + elsewhere[h] + short[h] ≥ T[h]."""
    for head in wanted(case):
        short = asked(case, head).target - total_dose(case, head)
        yield from missed(f"dose:{head}", (short, short))


def ceiling(case: Case) -> Iterator[Goal]:
    """Σ c·x + elsewhere[h] − over[h] ≤ U[h]."""
    for head in wanted(case):
        over = total_dose(case, head) - asked(case, head).ceiling
        yield from missed(f"ceiling:{head}", (over, over))


def direct(case: Case) -> Iterator[Goal]:
    """Σ over direct sets of c·x ≥ half of T[h]; those elsewhere may be counted in or not."""
    for head in wanted(case):
        sets = case.sets_in_week().items()
        here = sum(credit(case, key, head) * n for key, n in sets if is_direct(case, key, head))
        target = asked(case, head).target
        most = case.number("direct_share") * target - here
        left = target - elsewhere_dose(case, head) > 0
        least = most - elsewhere_dose(case, head, direct_only=True) if left else 0.0
        yield from missed(f"direct:{head}", (least, most))


def session_cap(case: Case) -> Iterator[Goal]:
    """Σe c·x[e,d] ≤ 11 a head and session."""
    for session in case.document.sessions:
        for head in wanted(case):
            over = session_dose(case, session, head) - case.number("session_cap_sets")
            yield from missed(f"session_cap:{head}:{session.id}", (over, over))


def spread(case: Case) -> Iterator[Goal]:
    """Sessions with Σe c·x[e,d] ≥ 2 are at least min(2, sessions not missed), where there is so much to train."""
    least_sets, slack = case.number("spread_sets"), case.tolerance.dose
    for head in wanted(case):
        wish, sessions = asked(case, head), [s for s in case.document.sessions if s.state != "missed"]
        want = min(wish.sessions, len(sessions))
        doses = [session_dose(case, session, head) for session in sessions]
        surely = sum(amount >= least_sets + slack for amount in doses)
        maybe = sum(amount >= least_sets - slack for amount in doses)
        enough = wish.target - elsewhere_dose(case, head) >= want * least_sets
        yield from missed(f"spread:{head}", (want - maybe if enough else 0, want - surely))


def heavy_days(case: Case) -> Iterator[Goal]:
    """Not both Σ c·x[e,d] > 6 and Σ c·x[e,d'] > 6 on days next to each other, Sunday to Monday too.

    The pair is named in the order of the week, so the turn of the week is "Mon-Sun".
    """
    in_week_order = sorted(case.document.sessions, key=lambda session: DAYS.index(session.day))
    for one, other in combinations(in_week_order, 2):
        if DAYS.index(other.day) - DAYS.index(one.day) not in (1, len(DAYS) - 1):
            continue
        for head in wanted(case):
            lighter = min(session_dose(case, one, head), session_dose(case, other, head))
            over = lighter - case.number("heavy_day_sets")
            if over > 0:
                # read as one pair of days, or as the sets that are too many on the lighter of them
                yield Goal(f"heavy_days:{head}:{one.id}-{other.id}", ((1, 1), (over, over)))


def share(case: Case) -> Iterator[Goal]:
    """c·Σd x ≤ max(s·T, smallest block·c) for heads where e is direct."""
    part = case.brief.variety.share or case.number("share_of_target")
    for key, sets in case.sets_in_week().items():
        for head in wanted(case):
            if is_direct(case, key, head):
                worth, target = credit(case, key, head), asked(case, head).target
                over = worth * sets - max(part * target, smallest_block(case) * worth)
                yield from missed(f"share:{key}:{head}", (over, over))


RULES: tuple[Rule, ...] = (dose, ceiling, direct, session_cap, spread, heavy_days, share)
