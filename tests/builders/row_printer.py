"""Prints what a limit or a goal adds to a program: new columns with bounds and price, rows with sense and limit.

A block's columns (one for each count of sets) are printed as one term, their coefficients joined by bars:
`400|550 press:Mon` is 400 for two sets and 550 for three. `press` alone says that it is used; columns that the rule
adds are numbered `#1`, `#2`.
"""

from inspect import cleandoc
from itertools import groupby

from planner.model.aims import GOALS
from planner.model.limits import LIMITS
from planner.model.problem import Problem
from planner.model.program import INFINITE, Goal, Limit, Program, Row

RULES: dict[str, Limit | Goal] = {rule.name: rule for rule in (*LIMITS, *GOALS)}


def added(rule: str, problem: Problem) -> str:
    """Lines for every column and row that a rule adds, columns first."""
    program = Program(problem)
    first = len(program.variables)
    RULES[rule].rows(program)
    names = {at: f"{key}:{day}" for (key, day), counts in program.blocks.items() for at in counts.values()}
    names |= {at: key for key, at in program.used.items()}
    names |= {at: f"#{at - first + 1}" for at in range(first, len(program.variables))}
    columns = [column_line(program, at, names) for at in range(first, len(program.variables))]
    return "\n".join(columns + [row_line(row, names) for row in program.rows])


def written(text: str) -> str:
    """Take the indentation of the test from a snapshot; a line that begins with a plus goes on from the one before."""
    return cleandoc(text).replace("\n    +", " +").replace("\n+", " +")


def column_line(program: Program, at: int, names: dict[int, str]) -> str:
    """`#1 in 0..inf at 15 min`."""
    one = program.variables[at]
    prices = [(program.dose_price, "missed sets"), (program.rest_price, "min")]
    cost = [f" at {price[at]:g} {unit}" for price, unit in prices if at in price]
    return f"{names[at]} in {one.low:g}..{one.high:g}{' whole' if one.whole else ''}{''.join(cost)}"


def row_line(row: Row, names: dict[int, str]) -> str:
    """`time:Mon: 400|550 press:Mon + 180|300 raise:Mon <= 1200 s`."""
    low = f"{row.low:g} <= " if row.low > -INFINITE else ""
    high = f" <= {row.high:g}" if row.high < INFINITE else ""
    terms = groupby(sorted(row.terms.items()), key=lambda term: names[term[0]])
    shown = [f"{'|'.join(f'{round(v, 4):g}' for _, v in group)} {name}" for name, group in terms]
    return f"{row.name}: {low}{' + '.join(shown) or '0'}{high} {row.unit}"
