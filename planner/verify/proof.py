"""How good the plan is said to be: values recomputed, bounds below values, gaps as printed (DESIGN §3.3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from planner.verify.asked import Asked, asked, total_dose, wanted
from planner.verify.finding import Check, Finding

if TYPE_CHECKING:
    from planner.verify.case import Case

DOSE_UNIT = "missed sets"
Aim = Literal["dose", "shortfall"]


def missed_price(case: Case, total: float, wish: Asked) -> float:
    """Price of a dose: a missed set costs 1 down to midway to the floor, 2 down to it, 4 below."""
    missed = max(0.0, wish.target - total)
    half = (wish.target - wish.floor) / 2
    near = min(missed, half)
    lower = min(missed - near, half)
    below = missed - near - lower
    prices = zip((near, lower, below), ("near", "low", "below"), strict=True)
    return wish.priority * sum(sets * case.number(f"dose_price_{where}") for sets, where in prices)


def dose_value(case: Case) -> float:
    """Σh price of what is missing from T[h], times the head's priority."""
    return sum(missed_price(case, total_dose(case, head), asked(case, head)) for head in wanted(case))


def first_aims(case: Case) -> tuple[Aim, Aim]:
    """Name the aim that a week is solved for first, and the one that it is not."""
    return ("shortfall", "dose") if case.document.cautious else ("dose", "shortfall")


def aims_stated(case: Case) -> Iterator[Finding]:
    """One row for the first aim, in missed sets (dose, of a cautious week shortfall), and at most one for the rest."""
    rows = Counter(row.aim for row in case.document.proof)
    first, other = first_aims(case)
    if rows[first] != 1 or rows[other] or rows["rest"] > 1:
        stated = ", ".join(f"{aim} {count}" for aim, count in rows.items())
        yield Finding("misstates", "rows of proof", f"{first} 1, rest 0 or 1", stated)
    for row in case.document.proof:
        if row.aim == first and row.unit != DOSE_UNIT:
            yield Finding("misstates", f"unit of the {first} aim", DOSE_UNIT, row.unit)


def dose_value_stated(case: Case) -> Iterator[Finding]:
    """Printed value of the dose aim = Σ price of missed sets."""
    found = dose_value(case)
    for row in case.document.proof:
        if row.aim == "dose" and abs(row.value - found) > case.tolerance.value:
            yield Finding("misstates", "value of the dose aim", found, row.value, DOSE_UNIT)


def bounds_hold(case: Case) -> Iterator[Finding]:
    """bound ≤ value: no plan is better than the best."""
    for row in case.document.proof:
        if row.bound > row.value + case.tolerance.value:
            yield Finding(
                "misstates", f"bound of the {row.aim} aim", f"at most {row.value:.4g}", row.bound, row.unit
            )


def gaps_stated(case: Case) -> Iterator[Finding]:
    """gap = value − bound ≥ 0."""
    for row in case.document.proof:
        found = max(0.0, row.value - row.bound)
        if abs(found - row.gap) > case.tolerance.value:
            yield Finding("misstates", f"gap of the {row.aim} aim", found, row.gap, row.unit)


def no_time_runs_backwards(case: Case) -> Iterator[Finding]:
    """Printed seconds ≥ 0."""
    for row in case.document.proof:
        if row.seconds < 0:
            yield Finding("misstates", f"seconds of the {row.aim} aim", "0 or more", row.seconds, "s")


CHECKS: tuple[Check, ...] = (aims_stated, dose_value_stated, bounds_hold, gaps_stated, no_time_runs_backwards)
