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
    """Return the pooled heads with the athlete's rows taken in, and the ratios that come of it.

    Without rows the heads come back as they were, and None. Raises FaultyInput where evidence.csv is wrong.
    """
    import numpy as np

    from library.own_rows import update_with_own_rows

    rows = read_own_rows(folder, library)
    if not rows:
        return dict(pooled), None
    own = {head: update_with_own_rows(of_head, rows) for head, of_head in pooled.items()}
    ratios = {
        head: dict(zip(one.exercises, np.exp(one.theta).tolist(), strict=True)) for head, one in own.items()
    }
    return own, ratios
