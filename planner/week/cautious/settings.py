"""Defaults of cautious weeks (DESIGN §3.4)."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class CautiousSettings:
    """How a cautious week is planned; it is judged on the draws that judge how sure any week is."""

    cautious_draws: int = setting(
        200, unit="draws", source=OUR_CHOICE, text="seeded draws that a cautious week is planned on"
    )
    cautious_seed: int = setting(20260102, unit="", source=OUR_CHOICE, text="seed of those draws")
    cautious_gap_sets: float = setting(
        0.1, unit="missed sets", source=OUR_CHOICE, text="gap at which an expected shortfall is proven"
    )
    cautious_steps: int = setting(
        60, unit="exchanges", source=OUR_CHOICE, text="exchanges by which each aim is improved, at most"
    )
    cautious_looks: int = setting(
        200, unit="weeks", source=OUR_CHOICE, text="weeks looked at closely before each exchange"
    )
    cautious_likely_rounds: int = setting(
        4,
        unit="rounds",
        source=OUR_CHOICE,
        text="searches for a cheaper week of exercises that good weeks had",
    )
    cautious_likely_nodes: int = setting(
        10, unit="nodes", source=OUR_CHOICE, text="nodes of each of those searches"
    )
    cautious_bound_rounds: int = setting(
        6, unit="rounds", source=OUR_CHOICE, text="tangents that sharpen the bound of each aim"
    )
    cautious_effort: int = setting(
        5_000,
        unit="blocks squared",
        source=OUR_CHOICE,
        text="over the square of the blocks to choose from: searches for a proof of each aim",
    )
    cautious_node_budget: int = setting(
        200, unit="nodes", source=OUR_CHOICE, text="nodes of the searches for a proof, of each aim"
    )
