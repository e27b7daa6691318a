"""Which exercises the evidence ties together: a chain of shared groups leads from one to the other."""

from __future__ import annotations

from collections.abc import Hashable, Iterable


def tied_to(anchor: Hashable, groups: Iterable[Iterable[Hashable]]) -> set[Hashable]:
    """Return everything that chains of groups tie to `anchor`, the anchor with it; linear time."""
    members = [set(group) for group in groups]
    groups_of: dict[Hashable, list[int]] = {}
    for place, group in enumerate(members):
        for item in group:
            groups_of.setdefault(item, []).append(place)
    tied, open_ends, used = {anchor}, [anchor], set[int]()
    while open_ends:
        for place in groups_of.get(open_ends.pop(), ()):
            if place not in used:
                used.add(place)
                open_ends += members[place] - tied
                tied |= members[place]
    return tied
