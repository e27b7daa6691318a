"""An athlete's own profiles: the library's pooled numbers, pulled by what was measured on this athlete."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from library.read import Library
from planner.athlete.evidence import read_own_rows

if TYPE_CHECKING:
    from library.pooled_head import PooledHead

Ratios = dict[str, dict[str, float]]  # head -> exercise -> activation against the head's anchor


def own_profiles(
    folder: Path, library: Library, pooled: Mapping[str, PooledHead]
) -> tuple[dict[str, PooledHead], Ratios | None]:
    """Return this athlete's heads (spread between persons and own rows taken in), and the ratios of own rows.

    Without rows there are no ratios of the athlete's own: None. Raises FaultyInput where evidence.csv is wrong.
    """
    import numpy as np

    from library.pool import for_athlete

    rows = read_own_rows(folder, library)
    own = for_athlete(pooled, library, rows)
    if not rows:
        return own, None
    ratios = {
        head: dict(zip(one.exercises, np.exp(one.theta).tolist(), strict=True)) for head, one in own.items()
    }
    return own, ratios
