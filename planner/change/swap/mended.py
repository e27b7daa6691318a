"""A plan mended by single moves: one that breaks nothing and misses little, found without any search.

Before a swap looks for the least change it must know the best dose. A plan that meets every target shows it: none
can do better. The plan in force with some sets more, or other exercises for those that are gone, mostly is one. Not
to find one proves nothing.
"""

from __future__ import annotations

from planner.change.swap.single_moves import Moves
from planner.document import Plan
from planner.model.aims import dose_value
from planner.plain import ROUNDING
from planner.week.best_dose import BestDose


def mended(moves: Moves, enough: float) -> Plan | None:
    """Move sets until nothing is broken and `enough` priced sets are missed at most, then take back what can be.

    None: single moves, each the best of its turn, do not lead there. Where sets may be paired only a plan that is good
    already is found: what pairs save hangs on the whole session.
    """
    holding, found = moves.holding, {**moves.before, **moves.holding.problem.pins}
    while not holding.program.turns.of and (move := moves.best(found, enough)):
        pair, sets = move
        found.pop(pair, None)
        if sets:
            found[pair] = sets
    missed = dose_value(holding.problem, found)
    return found if missed <= enough and not holding.broken(found) else None


def whole_dose(moves: Moves) -> BestDose | None:
    """Give the best dose where a mended plan meets every target, which needs no search to prove it; else None."""
    found = mended(moves, ROUNDING)
    return (
        None
        if found is None
        else BestDose(found, dose_value(moves.holding.problem, found), 0.0, stopped=False)
    )
