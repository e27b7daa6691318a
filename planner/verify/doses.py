"""Set credits and weekly doses: what is printed for every head, against sums done anew (DESIGN §3.2)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.verify.asked import asked, elsewhere_dose, wanted
from planner.verify.finding import Check, Finding
from planner.verify.worth import by_movers, credit, planned_dose

if TYPE_CHECKING:
    from planner.verify.case import Case

NINE_TENTHS = 0.9  # chance_target90 is the chance of nine tenths of the target


def credits_stated(case: Case) -> Iterator[Finding]:
    """Printed credit = c[e,h]; a head with a target that is not printed is worth 0."""
    for session, planned in case.planned():
        for head in dict.fromkeys((*wanted(case), *planned.credits)):
            found, stated = credit(case, planned.exercise, head), planned.credits.get(head, 0.0)
            if abs(found - stated) > case.tolerance.credit:
                what = f"{session.id}: credit of {planned.exercise} for {head}"
                yield Finding("misstates", what, found, stated, "direct sets a set")


def heads_stated(case: Case) -> Iterator[Finding]:
    """Every head with a target above 0 has exactly one line of dose, a watched one has none."""
    lines = Counter(line.head for line in case.document.dose)
    for head in wanted(case):
        if lines[head] != 1:
            yield Finding("misstates", f"dose of {head}", "1 line", f"{lines[head]} lines")
    for head in lines:
        if head not in case.trained:
            yield Finding("misstates", f"dose of {head}", "a head that is only watched", "a dose")


def planned_stated(case: Case) -> Iterator[Finding]:
    """Printed planned dose = Σ c·x, both with printed and with recomputed credits."""
    for line in case.document.dose:
        printed = sum(p.credits.get(line.head, 0.0) * p.sets for _, p in case.planned())
        for found in (printed, planned_dose(case, line.head)):
            if abs(found - line.planned) > case.tolerance.dose:
                yield Finding("misstates", f"planned dose of {line.head}", found, line.planned, "sets")
                break


def movers_stated(case: Case) -> Iterator[Finding]:
    """Printed movers' count = Σ {1, 0.5, 0}·x."""
    for line in case.document.dose:
        found = sum(
            by_movers(case, planned.exercise, line.head) * planned.sets for _, planned in case.planned()
        )
        if abs(found - line.by_movers) > case.tolerance.dose:
            yield Finding("misstates", f"movers' count of {line.head}", found, line.by_movers, "sets")


def elsewhere_stated(case: Case) -> Iterator[Finding]:
    """Printed elsewhere = Σ whole c·sets + min(Σ other c·sets, half of the target)."""
    for line in case.document.dose:
        found = elsewhere_dose(case, line.head)
        if abs(found - line.elsewhere) > case.tolerance.dose:
            yield Finding("misstates", f"dose of {line.head} from elsewhere", found, line.elsewhere, "sets")


def asked_stated(case: Case) -> Iterator[Finding]:
    """Printed floor, target, ceiling = the brief's, else the status's."""
    for line in case.document.dose:
        wish = asked(case, line.head)
        for word in ("floor", "target", "ceiling"):
            found, stated = getattr(wish, word), getattr(line, word)
            if abs(found - stated) > case.tolerance.dose:
                yield Finding("misstates", f"{word} of {line.head}", found, stated, "sets")


def intervals_hold(case: Case) -> Iterator[Finding]:
    """0 ≤ low90 ≤ planned + elsewhere ≤ high90."""
    for line in case.document.dose:
        total, slack = line.planned + line.elsewhere, case.tolerance.goal
        if line.low90 < 0 or not line.low90 - slack <= total <= line.high90 + slack:
            stated = f"{line.low90:.4g} to {line.high90:.4g}"
            yield Finding("misstates", f"90 % interval of {line.head}", f"total {total:.4g}", stated, "sets")


def chances_hold(case: Case) -> Iterator[Finding]:
    """0 ≤ chance ≤ 1; of floor and 90 % of target, the nearer is reached at least as often."""
    for line in case.document.dose:
        for chance in (line.chance_floor, line.chance_target90):
            if not 0 <= chance <= 1:
                yield Finding("misstates", f"chance for {line.head}", "a chance from 0 to 1", chance)
        floor_first = line.floor <= NINE_TENTHS * line.target
        near, far = line.chance_floor, line.chance_target90
        near, far = (near, far) if floor_first else (far, near)
        if near < far - case.tolerance.full:
            what = f"chances of {line.head}: the farther dose is no likelier than the nearer"
            yield Finding("misstates", what, far, near)


CHECKS: tuple[Check, ...] = (
    credits_stated,
    heads_stated,
    planned_stated,
    movers_stated,
    elsewhere_stated,
    asked_stated,
    intervals_hold,
    chances_hold,
)
