"""What a recheck finds: one sentence of disagreement between a plan and the sums done again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from planner.verify.case import Case

Kind = Literal["breaks", "misstates"]


@dataclass(frozen=True)
class Finding:
    """One disagreement: a hard rule broken, or something printed that is not so.

    `found` is what the recheck reads or computes, `stated` what the rule allows or the plan prints; both in
    `unit` (empty for words).
    """

    kind: Kind
    what: str
    found: float | str
    stated: float | str
    unit: str = ""

    def __str__(self) -> str:
        """Return the finding as one sentence."""
        against = "the rule allows" if self.kind == "breaks" else "the plan states"
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.what}: found {_words(self.found)}{unit}, {against} {_words(self.stated)}{unit}"


Check = Callable[["Case"], Iterator[Finding]]


def _words(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.4g}"
