"""What the doctor says of one part of the installation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["works", "missing", "broken"]
Need = Literal["week", "paper", "extra"]  # what cannot be done without it; nothing depends on an extra

INSTALL_AGAIN = (
    "Install the planner again with its locked packages (in a checkout: make clean, then make demo)."
)


@dataclass(frozen=True)
class Finding:
    """Whether a part works, what was found, and where it does not, what would do (one line an entry)."""

    state: State
    found: str
    remedy: tuple[str, ...] = ()


@dataclass(frozen=True)
class Part:
    """One part of the installation as printed: its name, what needs it, and the finding."""

    name: str
    need: Need
    finding: Finding
