"""What `planner roster` says of each athlete: one line, one record of --json, and the exit code of them all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from planner.plain import UNSHOWN, counted, number

# the worst first: a fault of ours, a file that is wrong, no week, a week without its PDF
WORST_FIRST = (1, 2, 3, 4)


@dataclass(frozen=True)
class HeadTotal:
    """One head's week in direct sets: `total` is these sessions and what is done elsewhere."""

    head: str
    total: float
    target: float

    @property
    def short(self) -> float:
        """Sets that are missing to the target; 0 if none that one decimal shows."""
        missing = self.target - self.total
        return round(missing, 3) if missing >= UNSHOWN else 0.0


@dataclass(frozen=True)
class Row:
    """How one athlete's week came out. `exit`: as `planner week` would end; `sheets`: where they lie, empty if nowhere.

    `name` is the folder's where the brief could not be read; `error` empty if nothing went wrong.
    """

    folder: str
    name: str
    week: str
    status: str = ""  # proven or stopped; empty: no week
    heads: tuple[HeadTotal, ...] = ()
    warnings: tuple[str, ...] = ()
    sheets: str = ""
    exit: int = 0
    error: str = ""

    @property
    def short(self) -> tuple[HeadTotal, ...]:
        """Heads that miss their target."""
        return tuple(head for head in self.heads if head.short)

    def document(self) -> dict[str, Any]:
        """Give the record of --json; doses in direct sets a week."""
        return {**asdict(self), "short": {head.head: head.short for head in self.short}}


def row_line(row: Row) -> str:
    """Write an athlete's line: name, week, status, heads against targets, what is short, where the sheets lie."""
    if not row.status:
        first, *more = row.error.splitlines() or ["no reason given"]
        others = f" (and {counted(len(more), 'line')} more)" if more else ""
        return f"{row.name}, {row.week}: NO WEEK, {row.folder}, exit {row.exit}: {first}{others}"
    doses = ", ".join(f"{one.head} {one.total:.1f} of {number(one.target)}" for one in row.heads)
    short = ", ".join(f"{one.head} by {number(one.short)}" for one in row.short)
    parts = [row.status, doses or "nothing to train", f"SHORT: {short}" if short else "nothing short"]
    parts += [f"{counted(len(row.warnings), 'warning')}"] if row.warnings else []
    parts += [row.sheets or "not written"]
    parts += [f"exit {row.exit}: no PDF"] if row.exit else []
    return f"{row.name}, {row.week}: {'; '.join(parts)}"


def totals_line(rows: Sequence[Row]) -> str:
    """Count the weeks that are there, short of a target, and not there."""
    made = [row for row in rows if row.status]
    short = sum(bool(row.short) for row in made)
    counts = f"{len(made)} planned, {short} short of a target, {len(rows) - len(made)} without a week"
    return f"{counted(len(rows), 'athlete')}: {counts}"


def exit_code(rows: Sequence[Row]) -> int:
    """Give the exit code of the worst athlete; 0 if all are done."""
    codes = {row.exit for row in rows}
    return next((code for code in WORST_FIRST if code in codes), 0)
