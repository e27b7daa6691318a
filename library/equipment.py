"""What stands in a room when a piece of equipment is listed: some pieces do the work of another."""

from __future__ import annotations

from collections.abc import Iterable

# two adjustable pulleys are also one adjustable pulley
INCLUDES = {"dual_cable_station": ("cable_station",)}


def with_included(listed: Iterable[str]) -> frozenset[str]:
    """Return the equipment keys a room offers: those listed and those that they include."""
    keys = frozenset(listed)
    return keys.union(*(INCLUDES.get(key, ()) for key in keys))
