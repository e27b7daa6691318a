"""What a goal's miss looks like before it is printed: a name, an amount, its unit and its price."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plain import ROUNDING


@dataclass(frozen=True)
class Miss:
    """One goal missed by `by` (in `unit`), costing `price_minutes` priced minutes in the second aim."""

    goal: str
    by: float
    unit: str
    price_minutes: float


def miss(goal: str, by: float, unit: str, price_each: float) -> list[Miss]:
    """Give the miss as a list of one, or an empty list if the goal is reached."""
    return [Miss(goal, by, unit, by * price_each)] if by > ROUNDING else []
