"""What is said of a cautious week beside the plain one: the same rows on paper and in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.document import Caution, HeadBets, WeekDocument
from planner.plain import WORTH, columns, number
from planner.sheets import say


def heading(caution: Caution) -> tuple[str, ...]:
    """Return the headings of the rows."""
    draws = ("dose", "mean", f"worst {worst(caution)}", "floor met", "90 % of target")
    return ("head", "week", *draws, "exercises", "largest gives")


def worst(caution: Caution) -> str:
    """Say the part of the draws that counts as the bad case: 20 %."""
    return f"{number(100 * (1 - caution.level))} %"


def bets_rows(caution: Caution, names: Mapping[str, str] | None = None) -> Iterator[tuple[str, ...]]:
    """Write two rows a head, the plain week's and the cautious one's, in the order of the headings."""
    for head in caution.heads:
        for plan, bets in (("plain", head.plain), ("cautious", head.cautious)):
            yield ((names or {}).get(head.head, head.head), plan, *_figures(bets))


def _figures(bets: HeadBets) -> tuple[str, ...]:
    sets = (f"{value:.1f}" for value in (bets.dose, bets.mean, bets.bad))
    chances = (say.share(bets.chance_floor), say.share(bets.chance_target90))
    return (*sets, *chances, str(bets.exercises), f"{round(100 * bets.largest_share)} %")


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
        f"The price: {number(cautious.minutes)} min instead of {number(plain.minutes)}, "
        f"{cautious.sets} sets instead of {plain.sets}, {cautious.exercises} exercises instead of {plain.exercises}; "
        f"all that is not dose: {number(cautious.priced_minutes)} {WORTH} instead of "
        f"{number(plain.priced_minutes)}."
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
    growth = say.read_words().coach["chances"].removesuffix(".")
    title = f"cautious at {caution.level:g}, beside the plain week ({growth}):"
    plain = [f"plain week, {day}: {text.replace('×', 'x')}" for day, text in plain_week(caution)]
    return [title, *columns([heading(caution), *bets_rows(caution)]), *sentences(caution), *plain]
