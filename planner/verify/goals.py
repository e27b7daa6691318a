"""By how much each goal is missed, recomputed from the printed plan, and the printed list of misses (DESIGN §3.3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from planner.athlete.brief import DAYS
from planner.verify.asked import asked, may_be_planned, smallest_block, wanted
from planner.verify.case import Case, Check, Finding, once
from planner.verify.sums import credit, elsewhere_dose, is_direct, session_dose, total_dose

if TYPE_CHECKING:
    from library.schema import Exercise

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


Rule = Callable[[Case], Iterator[Goal]]


def _missed(name: str, least: float, most: float | None = None) -> Iterator[Goal]:
    """Yield the goal unless every reading says that it is reached."""
    most = least if most is None else most
    if most > 0:
        yield Goal(name, ((least, most),))


def dose(case: Case) -> Iterator[Goal]:
    """Σ c·x + elsewhere[h] + short[h] ≥ T[h]."""
    for head in wanted(case):
        yield from _missed(f"dose:{head}", asked(case, head).target - total_dose(case, head))


def ceiling(case: Case) -> Iterator[Goal]:
    """Σ c·x + elsewhere[h] − over[h] ≤ U[h]."""
    for head in wanted(case):
        yield from _missed(f"ceiling:{head}", total_dose(case, head) - asked(case, head).ceiling)


def direct(case: Case) -> Iterator[Goal]:
    """Σ over direct sets of c·x ≥ half of T[h]; those elsewhere may be counted in or not."""
    for head in wanted(case):
        sets = case.sets().items()
        here = sum(credit(case, key, head) * n for key, n in sets if is_direct(case, key, head))
        target = asked(case, head).target
        most = case.number("direct_share") * target - here
        left = target - elsewhere_dose(case, head) > 0
        least = most - elsewhere_dose(case, head, True) if left else 0.0
        yield from _missed(f"direct:{head}", least, most)


def session_cap(case: Case) -> Iterator[Goal]:
    """Σe c·x[e,d] ≤ 11 a head and session."""
    for session in case.document.sessions:
        for head in wanted(case):
            over = session_dose(case, session, head) - case.number("session_cap_sets")
            yield from _missed(f"session_cap:{head}:{session.id}", over)


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
        yield from _missed(f"spread:{head}", want - maybe if enough else 0, want - surely)


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
    for key, sets in case.sets().items():
        for head in wanted(case):
            if is_direct(case, key, head):
                worth, target = credit(case, key, head), asked(case, head).target
                over = worth * sets - max(part * target, smallest_block(case) * worth)
                yield from _missed(f"share:{key}:{head}", over)


@once
def _candidates(case: Case, that_count: bool) -> list[Exercise]:
    """Exercises that some session held or may hold; `that_count`: only those worth something to a wanted head."""
    done = case.sets("done")
    open_to_us = [e for e in case.library.exercises.values() if e.key in done or may_be_planned(case, e)]
    if not that_count:
        return open_to_us
    return [e for e in open_to_us if any(credit(case, e.key, head) > 0 for head in wanted(case))]


def implements(case: Case) -> Iterator[Goal]:
    """Different implements ≥ min(i, those that the rooms offer); an empty week owes none."""
    want = case.brief.variety.implements or int(case.number("variety_implements"))
    used = len({case.library.exercises[key].implement for key in case.sets()})
    narrow, wide = (len({e.implement for e in _candidates(case, count)}) for count in (True, False))
    yield from _missed("implements", min(want, narrow) - used if used else 0, min(want, wide) - used)


def families(case: Case) -> Iterator[Goal]:
    """Each asked family has an exercise in the week, where the rooms have one; an empty week owes none."""
    used = {case.library.exercises[key].family for key in case.sets()}
    for family in case.brief.variety.families:
        if family not in used:
            yield from _owed(case, f"family:{family}", lambda e, wish=family: e.family == wish)  # type: ignore[misc]


def prefer(case: Case) -> Iterator[Goal]:
    """Each preferred exercise that the rooms and joints allow is in the week; an empty week owes none."""
    for key in case.brief.preferences.prefer:
        if key not in case.sets():
            yield from _owed(case, f"prefer:{key}", lambda e, wish=key: e.key == wish)  # type: ignore[misc]


def _owed(case: Case, name: str, fits: Callable[[Exercise], bool]) -> Iterator[Goal]:
    narrow, wide = (float(any(map(fits, _candidates(case, count)))) for count in (True, False))
    yield from _missed(name, narrow if case.sets() else 0.0, wide)


def rotation(case: Case) -> Iterator[Goal]:
    """Kept exercises of last week ≥ r; every change may be counted (at most one a head, in a block none)."""
    if case.last_week is None:
        return
    before = {planned.exercise for session in case.last_week.sessions for planned in session.exercises}
    kept = len(before & case.sets().keys())
    still_open = sum(e.key in before for e in _candidates(case, True))
    yield from _missed("rotation", min(case.brief.variety.keep or 0, still_open) - kept, len(before) - kept)


RULES: tuple[Rule, ...] = (
    dose,
    ceiling,
    direct,
    session_cap,
    spread,
    heavy_days,
    share,
    implements,
    families,
    rotation,
    prefer,
)


@once
def missed_goals(case: Case) -> dict[str, Goal]:
    """Every goal that is or may be called missed, by name."""
    return {goal.name: goal for rule in RULES for goal in rule(case)}


def _spans(goal: Goal) -> str:
    return " or ".join(f"{a:.4g}" if a == b else f"{a:.4g} to {b:.4g}" for a, b in goal.spans)


def misses_stated(case: Case) -> Iterator[Finding]:
    """Printed goals = missed goals, each once and by what is missing."""
    known, slack = missed_goals(case), case.tolerance.goal
    stated = Counter(row.goal for row in case.document.missed)
    for name, goal in known.items():
        if goal.is_missed(slack) and name not in stated:
            yield Finding("misstates", f"goal {name}, missed by", _spans(goal), "nothing")
    for name, times in stated.items():
        if name not in known:
            yield Finding("misstates", f"goal {name}", "no such goal, or reached", "missed")
        elif times > 1:
            yield Finding("misstates", f"goal {name}", "once", f"{times} times")
    for row in case.document.missed:
        if row.goal in known and not known[row.goal].accepts(row.by, slack):
            what = f"goal {row.goal}, missed by"
            yield Finding("misstates", what, _spans(known[row.goal]), row.by, row.unit)


def musts_hold(case: Case) -> Iterator[Finding]:
    """A goal with `must = true` is not missed: a head's dose, implements, families."""
    hard = {f"dose:{head}" for head in wanted(case) if asked(case, head).must}
    if case.brief.variety.must:
        hard |= {"implements", *(f"family:{family}" for family in case.brief.variety.families)}
    for name, goal in missed_goals(case).items():
        if name in hard and goal.is_missed(case.tolerance.goal):
            yield Finding("breaks", f"goal {name} that must hold, missed by", _spans(goal), 0.0)


CHECKS: tuple[Check, ...] = (misses_stated, musts_hold)
