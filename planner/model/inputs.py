"""All that a week is made from, as read: nothing of the model yet."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from library.credit import expected_credit, movers_credit
from library.method import CreditSettings
from library.read import Library
from library.schema import Exercise
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import HeadTarget
from planner.document import BlockMark, Plan, State, WeekDocument, plan_of
from planner.method import WeekSettings

if TYPE_CHECKING:
    from library.pool import PooledHead

DIGITS = 4  # of credits, and of the ratios in the fingerprint


@dataclass(frozen=True)
class Inputs:
    """All that a week is made from. `profiles`: this athlete's activation ratios by head, spread and own rows in them."""

    library: Library
    brief: Brief
    gyms: Mapping[str, Gym]
    targets: Mapping[str, HeadTarget]
    profiles: Mapping[str, PooledHead] = field(compare=False)
    week: WeekSettings
    credit: CreditSettings
    last_week: frozenset[str] = frozenset()
    last_plan: Plan = field(default_factory=dict)  # what last week planned
    known: frozenset[str] = frozenset()  # exercises of the log
    recorded: frozenset[str] = frozenset()  # exercises of the athlete's own recordings
    barred: Mapping[str, str] = field(default_factory=dict)  # exercise -> reason, from the log's pain rules
    capped: Mapping[str, int] = field(default_factory=dict)  # exercise -> most sets, kin of what hurts
    returning: Plan = field(
        default_factory=dict
    )  # with how many sets what was cleared comes back, on its days
    lessened: Plan = field(default_factory=dict)  # how many sets are left of what hurts a little, on its days
    states: Mapping[str, State] = field(default_factory=dict)  # day -> what became of it, where it is over
    trained: Plan = field(default_factory=dict)  # the sets of the sessions that were done
    block: BlockMark | None = None  # its numbers are in `targets` and `week` already
    hard: WeekDocument | None = None  # the last hard week of the same block: its exercises stay
    share_left: float = 1.0  # share of an exercise's sets that a lighter week leaves

    def part_of(self, sets: int) -> int:
        """Sets that this week leaves of an exercise's sets, rounded up."""
        return max(1, math.ceil(sets * self.share_left))

    @cached_property
    def log_ratios(self) -> Mapping[str, Mapping[str, tuple[float, float]]]:
        """Head -> exercise -> mean and standard deviation of the logarithm of its ratio, for this athlete."""
        return {
            head: {
                key: (float(one.theta[at]), math.sqrt(max(0.0, float(one.covariance[at, at]))))
                for at, key in enumerate(one.exercises)
            }
            for head, one in self.profiles.items()
        }

    def ratio(self, head: str, key: str) -> float:
        """Likeliest activation ratio of an exercise to the head's anchor; 0 where nothing is known."""
        known = self.log_ratios.get(head, {}).get(key)
        return math.exp(known[0]) if known else 0.0

    def credit_of(self, exercise: Exercise, head: str, counting: str | None = None) -> float:
        """Direct sets that one set of an exercise is worth to a head: expected, or by the count that is named."""
        known = self.log_ratios.get(head, {}).get(exercise.key)
        if known is None:
            return 0.0
        if (counting or self.week.counting) == "movers":
            return movers_credit(round(math.exp(known[0]), DIGITS), self.credit)
        return round(expected_credit(*known, exercise.eccentric_share.value, self.credit), DIGITS)

    def credits_of(self, exercise: Exercise, counting: str | None = None) -> dict[str, float]:
        """Credits to every trained head; zeros left out."""
        worth = {head: self.credit_of(exercise, head, counting) for head in self.targets}
        return {head: credit for head, credit in worth.items() if credit > 0}

    def digest(self) -> str:
        """Fingerprint of all that decides the plan (12 hexadecimal digits): same digest, same plan."""
        content: dict[str, object] = {
            "brief": self.brief.model_dump(mode="json"),
            "gyms": {
                name: gym.model_dump(mode="json", by_alias=True, exclude={"stations"})
                for name, gym in sorted(self.gyms.items())
            },
            "ratios": {
                head: {key: [round(value, DIGITS) for value in known] for key, known in sorted(of.items())}
                for head, of in sorted(self.log_ratios.items())
            },
            "last_week": [*sorted(self.last_week), *sorted(self.last_plan.items())],
            "known": sorted(self.known),
            "barred": sorted(self.barred),
            "capped": sorted(self.capped.items()),
        }
        if self.block:
            hard = sorted(plan_of(self.hard).items()) if self.hard else []
            content["block"] = [self.block.model_dump(), hard]
        if self.states:
            content["over"] = [sorted(self.states.items()), sorted(self.trained.items())]
        text = json.dumps(content, sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()[:12]
