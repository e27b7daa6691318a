"""Defaults of the set credit (DESIGN §3.2)."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting

# the half is a heuristic of its authors
FRACTIONAL_SETS = "Pelland 2026, doi 10.1007/s40279-025-02344-w"


@dataclass(frozen=True)
class CreditSettings:
    """From an activation ratio to what one set is worth."""

    credit_floor: float = setting(
        0.30,
        unit="ratio to the anchor",
        source=OUR_CHOICE,
        text="below it a set earns nothing: the signal of a neighbouring muscle could make it",
    )
    direct_set: float = setting(
        0.70, unit="set credit", source=OUR_CHOICE, text="from here on a set counts as direct"
    )
    eccentric_weight: float = setting(
        1.0,
        unit="times lifting",
        source=OUR_CHOICE,
        text="what lowering is worth beside lifting; published work does not price it",
    )
    neutral_share: float = setting(
        0.5,
        unit="share",
        source=OUR_CHOICE,
        text="eccentric share at which the eccentric weight changes nothing",
    )
    movers_direct: float = setting(
        0.70, unit="ratio to the anchor", source=OUR_CHOICE, text="counting by movers: from here on 1 set"
    )
    movers_indirect: float = setting(
        0.40,
        unit="ratio to the anchor",
        source=OUR_CHOICE,
        text="counting by movers: from here on a part of a set",
    )
    movers_part: float = setting(
        0.5, unit="set", source=FRACTIONAL_SETS, text="counting by movers: what an indirect set counts"
    )
