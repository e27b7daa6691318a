"""Orderings that published papers report without amplitudes, and whether the pooled numbers honour them.

They pool nothing: an order has no size. They are a check on the pooled numbers, shown on an exercise's page.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from library.errors import Fault, FaultyInput
from library.evidence_files import ORDERINGS, read_csv
from library.faults import unknown
from library.method import OrderingSettings
from library.schema import Key, Record

if TYPE_CHECKING:
    from library.pooled_head import PooledHead
    from library.tables import Tables

NAMED_MOST = 3  # rows named as the loudest: one line of print
DECISIVE = 0.5  # of a contrast's weight: rows that hold so much of it decide it
ROUNDING = 1e-9  # a log ratio this small is no difference, only arithmetic


DEFAULTS = OrderingSettings()


class Ordering(Record):
    """One reported order of two exercises in one head; `equal`: the paper found no difference."""

    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_.-]*$")]
    study: str
    citation: str
    head: Key
    phase: str
    greater: Key
    lesser: Key
    relation: Literal["greater", "equal"]
    note: str = ""
    address: str = ""


@dataclass(frozen=True)
class Verdict:
    """Whether the pooled numbers honour one ordering (None: they cannot tell), and why."""

    ordering: Ordering
    honoured: bool | None
    why: str

    def __str__(self) -> str:
        """Return the verdict as the library page prints it."""
        words = {True: "honoured", False: "not honoured", None: "cannot be judged"}[self.honoured]
        return f"{words}: {self.why}"


def read_orderings(folder: Traversable, tables: Tables) -> tuple[Ordering, ...]:
    """Read evidence/orderings.csv of a library folder (no file: no orderings).

    Raises FaultyInput with all faults.
    """
    file = folder / "evidence" / ORDERINGS
    if not file.is_file():
        return ()
    faults: list[Fault] = []
    rows = list(read_csv(file, Ordering, faults))
    seen: set[str] = set()
    for place, row in rows:
        for column in ("greater", "lesser"):
            if (word := getattr(row, column)) not in tables.exercises:
                faults.append(
                    unknown(str(file), f"{place}, column {column}", "exercise", word, tables.exercises)
                )
        if row.head not in tables.heads:
            faults.append(unknown(str(file), f"{place}, column head", "head", row.head, tables.heads))
        if row.greater == row.lesser or row.id in seen:
            read = f'"{row.id}" stands twice, or orders one exercise against itself'
            faults.append(Fault(str(file), place, read, "Give it an id of its own and two exercises"))
        seen.add(row.id)
    if faults:
        raise FaultyInput(faults)
    return tuple(row for _, row in rows)


def concerning(orderings: Iterable[Ordering], exercise: str) -> list[Ordering]:
    """Return the orderings that name an exercise."""
    return [ordering for ordering in orderings if exercise in (ordering.greater, ordering.lesser)]


def judge(ordering: Ordering, pooled: PooledHead, settings: OrderingSettings = DEFAULTS) -> Verdict:
    """Hold one ordering against the pooled log ratios of its head and their covariance."""
    missing = [name for name in (ordering.greater, ordering.lesser) if name not in pooled.exercises]
    if missing:
        return Verdict(ordering, None, f"the evidence gives {' and '.join(missing)} no number in this head")
    contrast = pooled.contrast(ordering.greater, ordering.lesser)
    half = settings.equal_within * contrast.standard_error
    low, high = math.exp(contrast.log_ratio - half), math.exp(contrast.log_ratio + half)
    why = f"pooled ratio {math.exp(contrast.log_ratio):.2f} (90 % interval {low:.2f} to {high:.2f})"
    equal, difference = ordering.relation == "equal", contrast.log_ratio
    honoured = abs(difference) <= half if equal else difference > ROUNDING
    return Verdict(ordering, honoured, why if honoured else f"{why}, by {_loudest(contrast.shares)}")


def _loudest(shares: dict[str, float]) -> str:
    """Name the rows that decide a contrast, as many as make `DECISIVE` of its weight, `NAMED_MOST` at most."""
    named, whole = [], 0.0
    for row, share in sorted(shares.items(), key=lambda item: -item[1])[:NAMED_MOST]:
        named.append(f"{row} ({share:.0%})")
        whole += share
        if whole >= DECISIVE:
            break
    return ", ".join(named)
