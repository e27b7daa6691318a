"""How sure the dose is: seeded draws of the activation ratios, the plan held fixed (DESIGN §3.4).

It speaks of the uncertainty of activation ratios; it says nothing about growth.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.method import TOLD
from planner.model.inputs import Inputs
from planner.plain import LAST_DIGITS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from library.pooled_head import PooledHead


@dataclass(frozen=True)
class Sureness:
    """A head's total dose (direct sets a week): 90 % interval, chance of the floor and of 90 % of the target."""

    low90: float
    high90: float
    chance_floor: float
    chance_target90: float


def how_sure(
    inputs: Inputs, pooled: Mapping[str, PooledHead], sets: Mapping[str, int]
) -> dict[str, Sureness]:
    """Judge a plan (`sets` a week by exercise) on seeded draws from the pooled covariance, anchors fixed."""
    import numpy as np

    ends = (TOLD.interval_low, TOLD.interval_high)
    result = {}
    for head, target in inputs.targets.items():
        doses = draw_doses(inputs, pooled[head], sets)
        # linear quantiles; numpy's own load masked arrays first, which takes longer than all the draws
        low, high = np.interp(ends, np.linspace(0.0, 1.0, doses.size), np.sort(doses))
        result[head] = Sureness(
            low90=float(low),
            high90=float(high),
            chance_floor=float(np.mean(doses >= target.floor - LAST_DIGITS)),
            chance_target90=float(np.mean(doses >= TOLD.near_target * target.target - LAST_DIGITS)),
        )
    return result


def draw_doses(inputs: Inputs, pooled: PooledHead, sets: Mapping[str, int]) -> NDArray[np.float64]:
    """Total doses (draws,) of one head in direct sets a week: drawn ratios through the same set credit."""
    import numpy as np

    elsewhere = inputs.brief.elsewhere
    keys = [key for key in pooled.exercises if key in sets or key in elsewhere]
    ratios = draw_ratios(pooled, keys, inputs.week.draws, inputs.week.seed)
    credits = {key: drawn_credit(inputs, key, ratios[:, at]) for at, key in enumerate(keys)}
    nothing = np.zeros(inputs.week.draws)
    planned = sum((credits[key] * sets[key] for key in keys if key in sets), nothing)
    whole = sum(
        (credits[k] * elsewhere[k].sets for k in keys if k in elsewhere and elsewhere[k].whole), nothing
    )
    part = sum(
        (credits[k] * elsewhere[k].sets for k in keys if k in elsewhere and not elsewhere[k].whole), nothing
    )
    most = inputs.week.elsewhere_share * inputs.targets[pooled.head].target
    total: NDArray[np.float64] = planned + whole + np.minimum(part, most)
    return total


def draw_ratios(pooled: PooledHead, keys: list[str], draws: int, seed: int) -> NDArray[np.float64]:
    """Draw activation ratios (draws, keys) from the pooled log ratios and their covariance."""
    import numpy as np

    at = [pooled.exercises.index(key) for key in keys]
    covariance = pooled.covariance[np.ix_(at, at)]
    values, vectors = np.linalg.eigh(covariance)
    # the symmetric root: the signs of eigenvectors, which machines choose, fall out of it
    root = (vectors * np.sqrt(np.clip(values, 0.0, None))) @ vectors.T
    noise = np.random.default_rng(seed).standard_normal((draws, len(at)))
    drawn: NDArray[np.float64] = np.exp(pooled.theta[at] + noise @ root)
    return drawn


def drawn_credit(inputs: Inputs, key: str, ratios: NDArray[np.float64]) -> NDArray[np.float64]:
    """Set credit (draws,) of drawn ratios: the rule of DESIGN §3.2, or the movers rule, whichever plans."""
    import numpy as np

    rule = inputs.credit
    if inputs.week.counting == "movers":
        counted: NDArray[np.float64] = np.select(
            [ratios >= rule.movers_direct, ratios >= rule.movers_indirect], [1.0, rule.movers_part], 0.0
        )
        return counted
    share, k = inputs.library.exercises[key].eccentric_share.value, rule.eccentric_weight
    weight = ((1 - share) + k * share) / ((1 - rule.neutral_share) + k * rule.neutral_share)
    return np.where(ratios < rule.credit_floor, 0.0, np.minimum(1.0, ratios) * weight)
