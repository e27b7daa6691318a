"""What an athlete's credits do when a session's rows are added: before, after, and against measurement error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from library.credit import set_credit
from library.method import CreditSettings, OwnRowSettings
from library.read import Library
from planner.athlete.evidence import OwnEvidence

if TYPE_CHECKING:
    from library.pooled_head import PooledHead

SHOWN = 0.005  # direct sets a set, our choice: smaller moves are not shown
NORMAL_95 = 1.96
LISTED = 12  # lines of exercises that were not measured themselves


@dataclass(frozen=True)
class CreditMove:
    """One exercise's credit in one head before and after, in direct sets a set.

    `error` is how far the measurement error of the new rows alone could move it (95 %).
    """

    head: str
    exercise: str
    name: str
    before: float
    after: float
    error: float

    @property
    def change(self) -> float:
        """After less before."""
        return self.after - self.before

    @property
    def beyond_error(self) -> bool:
        """Tell whether the move is more than the measurement error of the rows could make."""
        return abs(self.change) > self.error


def credit_moves(
    library: Library,
    before: Sequence[OwnEvidence],
    after: Sequence[OwnEvidence],
    credit: CreditSettings | None = None,
    own: OwnRowSettings | None = None,
) -> tuple[list[CreditMove], list[str]]:
    """Return the credits that moved, largest first, and the measured exercises that nothing ties to the anchor.

    `before` and `after` are the athlete's rows without and with the new session. Credits are at the exercise's
    own eccentric share. Only heads that are trained earn credit.
    """
    from library.pool import pool_library
    from library.pooled_head import update_with_own_rows

    credit, own = credit or CreditSettings(), own or OwnRowSettings()
    moves: list[CreditMove] = []
    untied: list[str] = []
    for head, pooled in pool_library(library).items():
        if library.heads[head].role != "trained":
            continue
        old = update_with_own_rows(pooled, before, own)
        new = update_with_own_rows(pooled, after, own)
        untied += [f"{exercise} ({head})" for exercise in new.untied]
        errors = _errors(new, after, own)
        ratios_before, ratios_after = _ratios(old), _ratios(new)
        for exercise, ratio in ratios_after.items():
            share = library.exercises[exercise].eccentric_share.value
            earlier = ratios_before.get(exercise)
            was = 0.0 if earlier is None else set_credit(earlier, share, credit.eccentric_weight, credit)
            now = set_credit(ratio, share, credit.eccentric_weight, credit)
            if abs(now - was) >= SHOWN:
                error = NORMAL_95 * errors[exercise] * ratio
                name = library.exercises[exercise].name
                moves.append(CreditMove(head, exercise, name, was, now, error))
    return sorted(moves, key=lambda move: -abs(move.change)), untied


def _ratios(pooled: PooledHead) -> dict[str, float]:
    import numpy as np

    return dict(zip(pooled.exercises, np.exp(pooled.theta).tolist(), strict=True))


def _errors(pooled: PooledHead, rows: Sequence[OwnEvidence], settings: OwnRowSettings) -> dict[str, float]:
    """Return per exercise the SD of its log ratio that the own rows' measurement error alone gives it."""
    import numpy as np

    from library.pooled_head import own_row_variance

    untied = set(pooled.untied)
    mine = [row for row in rows if row.head == pooled.head and row.exercise not in untied]
    if not mine:
        return dict.fromkeys(pooled.exercises, 0.0)
    variance = np.array([own_row_variance(row, settings) for row in mine])
    influence = pooled.influence[:, -len(mine) :]
    spread = np.sqrt(np.square(influence) @ variance)
    return dict(zip(pooled.exercises, spread.tolist(), strict=True))


def moves_text(
    moves: list[CreditMove], untied: list[str], heads: dict[str, str], measured: set[tuple[str, str]]
) -> str:
    """Write the moves as lines for people: measured exercises first, then the largest of those pulled along.

    `heads` maps a head to its printed name, `measured` holds (head, exercise) of the new rows.
    """
    own = [move for move in moves if (move.head, move.exercise) in measured]
    along = [move for move in moves if move not in own]
    lines = [_line(move, heads) for move in own]
    if not moves:
        lines.append(f"No credit moved by as much as {SHOWN:g} of a direct set.")
    else:
        lines.insert(0, "Credits of this athlete that moved (direct sets a set; nobody else's change):")
    if along:
        lines.append(f"Pulled along, because their numbers rest on the measured ones ({len(along)}):")
        lines += [_line(move, heads) for move in along[:LISTED]]
    if len(along) > LISTED:
        lines.append(f"  and {len(along) - LISTED} more, each by {abs(along[LISTED].change):.2f} or less")
    lines += [f"  Not tied to the head's anchor, so without a number: {what}" for what in untied]
    return "\n".join(lines)


def _line(move: CreditMove, heads: dict[str, str]) -> str:
    against = "beyond measurement error" if move.beyond_error else "within measurement error"
    return (
        f"  {heads[move.head]:<12} {move.name:<42} {move.before:.2f} -> {move.after:.2f} "
        f"({move.change:+.2f}, error ±{move.error:.2f}: {against})"
    )
