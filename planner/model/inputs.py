"""All that a week is made from, as read: nothing of the model yet."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from library.method import CreditSettings
from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import HeadTarget
from planner.document import BlockMark, Plan, State, WeekDocument, plan_of
from planner.method import WeekSettings

Ratios = Mapping[str, Mapping[str, float]]  # head -> exercise -> activation against the head's anchor


@dataclass(frozen=True)
class Inputs:
    """All that a week is made from. `ratios` are the library's profiles, or the athlete's own where measured."""

    library: Library
    brief: Brief
    gyms: Mapping[str, Gym]
    targets: Mapping[str, HeadTarget]
    ratios: Ratios
    week: WeekSettings
    credit: CreditSettings
    last_week: frozenset[str] = frozenset()
    own_ratios: Ratios | None = (
        None  # the athlete's own profiles, where measured; they are in `ratios` already
    )
    barred: Mapping[str, str] = field(default_factory=dict)  # exercise -> reason, from the log's pain rules
    states: Mapping[str, State] = field(default_factory=dict)  # day -> what became of it, where it is over
    trained: Plan = field(default_factory=dict)  # the sets of the sessions that were done
    block: BlockMark | None = None  # its numbers are in `targets` and `week` already
    hard: WeekDocument | None = None  # the last hard week of the same block: its exercises stay
    share_left: float = 1.0  # share of an exercise's sets that a lighter week leaves

    def part_of(self, sets: int) -> int:
        """Sets that this week leaves of an exercise's sets, rounded up."""
        return max(1, math.ceil(sets * self.share_left))

    def digest(self) -> str:
        """Fingerprint of brief, gyms and last week (12 hexadecimal digits): same digest, same plan."""
        content: dict[str, object] = {
            "brief": self.brief.model_dump(mode="json"),
            "gyms": {
                name: gym.model_dump(mode="json", by_alias=True) for name, gym in sorted(self.gyms.items())
            },
            "ratios": {head: dict(sorted(of.items())) for head, of in sorted(self.ratios.items())},
            "last_week": sorted(self.last_week),
            "barred": sorted(self.barred),
        }
        if self.block:
            content["block"] = [
                self.block.model_dump(),
                sorted(plan_of(self.hard).items()) if self.hard else [],
            ]
        if self.states:
            content["over"] = [sorted(self.states.items()), sorted(self.trained.items())]
        text = json.dumps(content, sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()[:12]
