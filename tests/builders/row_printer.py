"""Prints what a limit or a goal adds to a program: new columns with bounds and price, rows with sense and limit.

A block's columns (one for each count of sets) are printed as one term, their coefficients joined by bars:
`400|550 press:Mon` is 400 for two sets and 550 for three. Long lines go on below, indented.
"""

from __future__ import annotations

from collections.abc import Callable
from inspect import cleandoc
from itertools import groupby
from textwrap import fill

from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row

WIDTH = 100
TIED = "\u00a0"  # keeps what belongs together on one line


def added(rows: Callable[[Program], None], problem: Problem) -> str:
    """Lines for every column and row that a limit or goal adds, columns first."""
    program = Program(problem)
    first = len(program.variables)
    rows(program)
    lines = [column_line(program, number) for number in range(first, len(program.variables))]
    lines += [row_line(program, row) for row in program.rows]
    text = "\n".join(
        fill(line, WIDTH, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False)
        for line in lines
    )
    return text.replace(TIED, " ")


def written(text: str) -> str:
    """Take the indentation of the test from a snapshot."""
    return cleandoc(text)


def column_line(program: Program, number: int) -> str:
    """`miss:spread:side in 0..inf at 15 min`."""
    one = program.variables[number]
    prices = [
        f" at {prices[number]:g} {unit}"
        for prices, unit in ((program.dose_price, "missed sets"), (program.rest_price, "min"))
        if number in prices
    ]
    return f"{one.name} in {one.low:g}..{one.high:g}{' whole' if one.whole else ''}{''.join(prices)}"


def row_line(program: Program, row: Row) -> str:
    """`time:Mon: 400|550 press:Mon + 180|300 raise:Mon <= 1200 s`."""
    low = f"{row.low:g} <= " if row.low > -INFINITE else ""
    high = f" <= {row.high:g}" if row.high < INFINITE else ""
    terms = sorted(row.terms.items())
    shown = [
        f"{'|'.join(number(value) for _, value in group)}{TIED}{label}"
        for label, group in groupby(terms, key=lambda term: short(program.variables[term[0]].name))
    ]
    end = f"{high} {row.unit}".replace(" ", TIED)
    return f"{row.name}: {low}{' + '.join(shown) or '0'}{end}"


def number(value: float) -> str:
    """Four decimals are enough to tell coefficients apart."""
    return f"{round(value, 4):g}"


def short(name: str) -> str:
    """`press:Mon` of every count of sets in that block."""
    kind, *rest = name.split(":")
    return ":".join(rest[:2]) if kind == "block" else name
