"""All parts looked at, one after the other, and the exit code they come to."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.doctor.data import look_at_data
from planner.doctor.fonts import look_at_fonts
from planner.doctor.interpreter import look_at_python
from planner.doctor.paper import look_at_paper
from planner.doctor.part import INSTALL_AGAIN, Finding, Need, Part
from planner.doctor.recordings import look_at_c3d
from planner.doctor.solver import look_at_solver, look_for_banner
from planner.doctor.terminal import look_at_terminal

Look = Callable[[], Finding]

LOOKS: tuple[tuple[str, Need, Look], ...] = (
    ("Python", "week", look_at_python),
    ("solver", "week", look_at_solver),
    ("quiet output", "week", look_for_banner),
    ("library data", "week", look_at_data),
    ("PDF", "paper", look_at_paper),
    ("fonts", "paper", look_at_fonts),
    ("C3D reader", "extra", look_at_c3d),
    ("terminal", "extra", look_at_terminal),
)
EXIT_CODES: tuple[tuple[Need, int], ...] = (
    ("week", 1),
    ("paper", 4),
)  # the graver first; extras cost nothing


def examine(looks: Sequence[tuple[str, Need, Look]] = LOOKS) -> list[Part]:
    """Look at every part, in order."""
    return [Part(name, need, look_safely(look)) for name, need, look in looks]


def look_safely(look: Look) -> Finding:
    """Look at one part; a look that itself fails tells of that part alone and never ends the others."""
    try:
        return look()
    except Exception as error:
        return Finding("broken", f"{type(error).__name__}: {error}", (INSTALL_AGAIN,))


def exit_code(parts: Sequence[Part]) -> int:
    """Give 0 if weeks and paper can be made, 4 if only the paper cannot, 1 if weeks cannot."""
    failing = {part.need for part in parts if part.finding.state != "works"}
    return next((code for need, code in EXIT_CODES if need in failing), 0)
