"""How the search is carried out: none of these changes what a plan is worth, only how soon it is proven."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting

TRIED = f"{OUR_CHOICE}, tried on 40 seeded weeks"


@dataclass(frozen=True)
class SolveSettings:
    """Defaults of the fast search; gaps are those at which an aim counts as proven."""

    totals_near: float = setting(
        0.2,
        unit="gaps",
        source=TRIED,
        text="a week is looked for first among exercises that make it dearer by no more",
    )
    totals_share: float = setting(
        0.3, unit="of the gap", source=TRIED, text="how far that search over weekly totals is carried"
    )
    totals_enough: float = setting(
        0.9, unit="gaps", source=TRIED, text="it ends at totals that are no farther above the bound"
    )
    totals_rounds: int = setting(
        4, unit="rounds", source=TRIED, text="searches over weekly totals, that one and those that prove"
    )
    totals_first: int = setting(100, unit="nodes", source=TRIED, text="how long the first of them may take")
    totals_nodes: int = setting(200, unit="nodes", source=TRIED, text="how long each of the others may take")
    totals_patience: int = setting(
        2000, unit="nodes", source=TRIED, text="how long one of them may take that is near its end"
    )
    totals_far: float = setting(
        2.0,
        unit="gaps",
        source=TRIED,
        text="a plan farther above the bound of the totals is left to session patterns",
    )
    spread_nodes: int = setting(
        200,
        unit="nodes",
        source=TRIED,
        text="how long the exercises of the best totals are spread over the days",
    )
    hurry_nodes: int = setting(
        200,
        unit="nodes",
        source=TRIED,
        text="how long a search over blocks starts from the best plan before all else is tried",
    )
    few_patterns: int = setting(
        800,
        unit="session patterns",
        source=TRIED,
        text="above it the program over blocks is searched instead",
    )
    look_nearness: tuple[float, ...] = setting(
        (0.2, 0.5, 1.0),
        unit="gaps",
        source=TRIED,
        text="looks for a good plan: how near to the bound its blocks lie",
    )
    look_nodes: tuple[int, ...] = setting(
        (1, 20, 200), unit="nodes", source=TRIED, text="how long each of those looks may take"
    )
    pair_node_weight: int = setting(
        20, unit="nodes", source=TRIED, text="as many nodes take as long as one where sets may be paired"
    )
    far_gaps: float = setting(
        1.5,
        unit="gaps",
        source=TRIED,
        text="a plan farther above the bound is improved before anything is proven",
    )
    sharp_share: float = setting(
        0.1,
        unit="of the gap",
        source=TRIED,
        text="how far a search over patterns, which is cheap, is carried",
    )
    block_share: float = setting(
        0.9, unit="of the gap", source=TRIED, text="how far a search over blocks is carried"
    )


SEARCH = SolveSettings()
