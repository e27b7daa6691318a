"""Pain as data for --json: the same wherever it is told."""

from __future__ import annotations

from typing import Any

from planner.train.pain import PainState


def pain_document(pain: PainState) -> dict[str, Any]:
    """Return what pain changes: exercises out and eased, regions lowered, what rises."""
    return {
        "out": [
            {"exercise": item.exercise, "since": item.since.isoformat(), "reason": item.reason}
            for item in pain.out
        ],
        "regions_lowered": dict(pain.regions),
        "eased": [item.exercise for item in pain.eased],
        "rising": [{"what": item.key, "weekly_maxima": list(item.maxima)} for item in pain.rising],
    }
