"""The printed list of missed goals: complete, without inventions, with the right amounts (DESIGN §3.3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.verify import goal_rules, variety_rules
from planner.verify.asked import asked, wanted
from planner.verify.case import once
from planner.verify.finding import Check, Finding

if TYPE_CHECKING:
    from planner.verify.case import Case
    from planner.verify.goal_rules import Goal

RULES = (*goal_rules.RULES, *variety_rules.RULES)


@once
def missed_goals(case: Case) -> dict[str, Goal]:
    """Every goal that is or may be called missed, by name."""
    return {goal.name: goal for rule in RULES for goal in rule(case)}


def _span(goal: Goal) -> str:
    return " or ".join(
        f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}" for low, high in goal.spans
    )


def none_hidden(case: Case) -> Iterator[Finding]:
    """Missed goals ⊆ printed goals."""
    stated = {row.goal for row in case.document.missed}
    for name, goal in missed_goals(case).items():
        if goal.is_missed(case.tolerance.goal) and name not in stated:
            yield Finding("misstates", f"goal {name}, missed by", _span(goal), "nothing")


def none_invented(case: Case) -> Iterator[Finding]:
    """Printed goals ⊆ missed goals, each printed once."""
    known = missed_goals(case)
    for name, times in Counter(row.goal for row in case.document.missed).items():
        if name not in known:
            yield Finding("misstates", f"goal {name}", "no such goal, or reached", "missed")
        elif times > 1:
            yield Finding("misstates", f"goal {name}", "once", f"{times} times")


def amounts(case: Case) -> Iterator[Finding]:
    """Printed amount = what is missing."""
    known = missed_goals(case)
    for row in case.document.missed:
        goal = known.get(row.goal)
        if goal and not goal.accepts(row.by, case.tolerance.goal):
            yield Finding("misstates", f"goal {row.goal}, missed by", _span(goal), row.by, row.unit)


def musts_hold(case: Case) -> Iterator[Finding]:
    """A goal with `must = true` is not missed: a head's dose, implements, families."""
    hard = {f"dose:{head}" for head in wanted(case) if asked(case, head).must}
    if case.brief.variety.must:
        hard |= {"implements", *(f"family:{family}" for family in case.brief.variety.families)}
    for name, goal in missed_goals(case).items():
        if name in hard and goal.is_missed(case.tolerance.goal):
            yield Finding("breaks", f"goal {name} that must hold, missed by", _span(goal), 0.0)


CHECKS: tuple[Check, ...] = (none_hidden, none_invented, amounts, musts_hold)
