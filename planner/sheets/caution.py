"""What is said of a cautious week beside the plain one: the same rows on paper and in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from planner.document import Caution, HeadBets, WeekDocument
from planner.plain import WORTH, columns
from planner.sheets import say

GROWTH = "Uncertainty of activation ratios; it says nothing about growth."


@dataclass(frozen=True)
class BetsRow:
    """One head under one of the two plans, as printed."""

    head: str
    plan: str
    dose: str
    mean: str
    bad: str
    chance_floor: str
    chance_target: str
    exercises: str
    largest: str

    @property
    def cells(self) -> tuple[str, ...]:
        """Return all cells in order."""
        facts = (self.head, self.plan, self.dose, self.mean, self.bad, self.chance_floor, self.chance_target)
        return (*facts, self.exercises, self.largest)


def heading(caution: Caution) -> tuple[str, ...]:
    """Return the headings of the rows."""
    return (
        *("head", "week", "dose", "mean", f"worst {worst(caution)}", "floor met", "90 % of target"),
        *("exercises", "largest gives"),
    )


def worst(caution: Caution) -> str:
    """Say the part of the draws that counts as the bad case: 20 %."""
    return f"{say.number(100 * (1 - caution.level))} %"


def bets_rows(caution: Caution, names: Mapping[str, str] | None = None) -> Iterator[BetsRow]:
    """Write two rows a head, the plain week's and the cautious one's."""
    for head in caution.heads:
        for plan, bets in (("plain", head.plain), ("cautious", head.cautious)):
            yield _row((names or {}).get(head.head, head.head), plan, bets)


def _row(head: str, plan: str, bets: HeadBets) -> BetsRow:
    return BetsRow(
        head=head,
        plan=plan,
        dose=f"{bets.dose:.1f}",
        mean=f"{bets.mean:.1f}",
        bad=f"{bets.bad:.1f}",
        chance_floor=say.share(bets.chance_floor),
        chance_target=say.share(bets.chance_target90),
        exercises=str(bets.exercises),
        largest=f"{round(100 * bets.largest_share)} %",
    )


def sentences(caution: Caution) -> Iterator[str]:
    """Say what the caution brings and what it costs."""
    plain, cautious = caution.plain, caution.cautious
    yield (
        f"Missed sets of all heads, priced, in the worst {worst(caution)} of {caution.judged_draws:,} other draws: "
        f"{cautious.judged_shortfall:.1f} instead of {plain.judged_shortfall:.1f} "
        f"(of the {caution.draws} draws that it was planned on: {cautious.own_shortfall:.1f} instead of "
        f"{plain.own_shortfall:.1f})."
    )
    yield (
        f"The price: {say.number(cautious.minutes)} min instead of {say.number(plain.minutes)}, "
        f"{cautious.sets} sets instead of {plain.sets}, {cautious.exercises} exercises instead of {plain.exercises}; "
        f"all that is not dose: {say.number(cautious.priced_minutes)} {WORTH} instead of "
        f"{say.number(plain.priced_minutes)}."
    )


def plain_week(caution: Caution) -> Iterator[tuple[str, str]]:
    """Say what the plain week would have been: day, sets and exercises."""
    for day in dict.fromkeys(block.session for block in caution.plain_blocks):
        blocks = [block for block in caution.plain_blocks if block.session == day]
        yield say.day(day), ", ".join(f"{block.sets} × {say.plain(block.name)}" for block in blocks)


def caution_lines(document: WeekDocument) -> list[str]:
    """Write the comparison for the terminal; nothing for a week that was planned plainly."""
    caution = document.cautious
    if caution is None:
        return []
    title = f"cautious at {caution.level:g}, beside the plain week ({GROWTH.removesuffix('.')}):"
    rows = columns([heading(caution), *(row.cells for row in bets_rows(caution))])
    plain = [f"plain week, {day}: {text.replace('×', 'x')}" for day, text in plain_week(caution)]
    return [title, *rows, *sentences(caution), *plain]
