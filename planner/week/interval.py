"""How sure the dose is: seeded draws of this athlete's activation ratios, the plan held fixed (DESIGN §3.4).

It speaks of the uncertainty of activation ratios; it says nothing about growth. What of the helping credits and of
elsewhere counts is a fixed share of them in every draw, so that the printed dose is the mean of its draws.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.method import TOLD
from planner.model.build import elsewhere_doses
from planner.model.doses import steps
from planner.model.inputs import Inputs
from planner.model.problem import HeadGoal, Problem
from planner.plain import LAST_DIGITS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from library.pool import PooledHead

    Numbers = NDArray[np.float64]


DIGITS = 6  # what a last digit does, which differs from machine to machine, must not choose a plan


@dataclass(frozen=True)
class Sureness:
    """A head's counted dose (direct sets a week): 90 % interval, chance of the floor and of 90 % of the target."""

    low90: float
    high90: float
    chance_floor: float
    chance_target90: float


def how_sure(inputs: Inputs, problem: Problem, sets: Mapping[str, int]) -> dict[str, Sureness]:
    """Judge a plan (`sets` a week by exercise) on seeded draws of every head's ratios, anchors fixed."""
    import numpy as np

    ends, result = (TOLD.interval_low, TOLD.interval_high), {}
    for goal in problem.heads:
        doses = draw_doses(inputs, goal, sets)
        # linear quantiles; numpy's own load masked arrays first, which takes longer than all the draws
        low, high = np.interp(ends, np.linspace(0.0, 1.0, doses.size), np.sort(doses))
        result[goal.head] = Sureness(
            low90=float(low),
            high90=float(high),
            chance_floor=float(np.mean(doses >= goal.floor - LAST_DIGITS)),
            chance_target90=float(np.mean(doses >= TOLD.near_target * goal.target - LAST_DIGITS)),
        )
    return result


def weights_of(inputs: Inputs, goal: HeadGoal, sets: Mapping[str, float]) -> dict[str, float]:
    """Sets a week by exercise, each times the share of its credits that counts: own 1, helping a·T of all that helps.

    The weighted sum of the credits is the counted dose, elsewhere included.
    """
    exercises, head = inputs.library.exercises, goal.head
    counted: dict[str, float] = {}
    target = inputs.targets[head]
    own_elsewhere, _ = elsewhere_doses(inputs, target)
    whole = {key: float(done.sets) for key, done in inputs.brief.elsewhere.items() if done.whole}
    own_part = {
        key: float(done.sets)
        for key, done in inputs.brief.elsewhere.items()
        if not done.whole and exercises[key].trains == head
    }
    helping = {
        key: float(done.sets)
        for key, done in inputs.brief.elsewhere.items()
        if not done.whole and exercises[key].trains != head
    }
    own = {key: float(count) for key, count in sets.items() if exercises[key].trains == head}
    for key, count in sets.items():
        if key not in own:
            helping[key] = helping.get(key, 0.0) + count

    def credits(of: Mapping[str, float]) -> float:
        return sum(inputs.credit_of(exercises[key], head) * count for key, count in of.items())

    part = share_of(own_elsewhere - credits(whole), credits(own_part))
    aside = share_of(goal.aside_most, credits(helping))
    for share, of in ((1.0, own), (1.0, whole), (part, own_part), (aside, helping)):
        for key, count in of.items():
            counted[key] = counted.get(key, 0.0) + share * count
    return counted


def share_of(most: float, dose: float) -> float:
    """Share of a dose that counts where at most `most` does."""
    return 1.0 if dose <= most or dose <= 0 else most / dose


def draw_doses(inputs: Inputs, goal: HeadGoal, sets: Mapping[str, float]) -> Numbers:
    """Counted doses (draws,) of one head in direct sets a week: drawn ratios through the same set credit."""
    import numpy as np

    profile, weights = inputs.profiles[goal.head], weights_of(inputs, goal, sets)
    keys = drawn_keys(inputs, goal, weights)
    ratios = draw_ratios(profile, keys, inputs.week.draws, inputs.week.seed)
    total = np.zeros(inputs.week.draws)
    for at, key in enumerate(keys):
        total += weights[key] * drawn_credit(inputs, key, ratios[:, at])
    return total


def drawn_keys(inputs: Inputs, goal: HeadGoal, keys: Container[str]) -> list[str]:
    """Exercises among `keys` whose sets count for a head; what is expected to give next to nothing gives nothing in any draw."""
    known = (key for key in inputs.profiles[goal.head].exercises if key in keys)
    return [key for key in known if inputs.credit_of(inputs.library.exercises[key], goal.head) > 0]


def draw_ratios(profile: PooledHead, keys: list[str], draws: int, seed: int) -> Numbers:
    """Draw activation ratios (draws, keys) from the log ratios and their covariance."""
    import numpy as np

    at = [profile.exercises.index(key) for key in keys]
    values, vectors = np.linalg.eigh(profile.covariance[np.ix_(at, at)])
    # the symmetric root: the signs of eigenvectors, which machines choose, fall out of it
    root = (vectors * np.sqrt(np.clip(values, 0.0, None))) @ vectors.T
    noise = np.random.default_rng(seed).standard_normal((draws, len(at)))
    drawn: Numbers = np.exp(profile.theta[at] + noise @ root)
    return drawn


def drawn_credit(inputs: Inputs, key: str, ratios: Numbers) -> Numbers:
    """Set credit (draws,) of drawn ratios: R·1(floor ≤ R < 1) + 1(R ≥ 1), or the movers rule, whichever plans."""
    import numpy as np

    rule = inputs.credit
    if inputs.week.counting == "movers":
        steps = [ratios >= rule.movers_direct, ratios >= rule.movers_indirect]
        counted: Numbers = np.select(steps, [1.0, rule.movers_part], 0.0)
        return counted
    share, k = inputs.library.exercises[key].eccentric_share.value, rule.eccentric_weight
    weight = ((1 - share) + k * share) / ((1 - rule.neutral_share) + k * rule.neutral_share)
    return np.where(ratios < rule.credit_floor, 0.0, np.minimum(1.0, ratios) * weight)


@dataclass(frozen=True)
class HeadDraws:
    """One head: credits (draws, exercises) in direct sets a set, and what elsewhere gives: own and helping (draws,)."""

    exercises: tuple[str, ...]
    credits: Numbers
    own: Numbers
    helping: Numbers

    def priced(self, problem: Problem, goal: HeadGoal, sets: Mapping[str, int]) -> Numbers:
        """Priced missed sets (draws,) of so many sets a week of each exercise."""
        import numpy as np

        own, helping = self.own.copy(), self.helping.copy()
        for at, key in enumerate(self.exercises):
            total = own if problem.by_key[key].trains == goal.head else helping
            total += self.credits[:, at] * sets.get(key, 0)
        missed = np.maximum(0.0, goal.target - own - np.minimum(goal.aside_most, helping))
        price, start = np.zeros_like(missed), 0.0
        for width, each in steps(problem, goal):
            price += each * np.clip(missed - start, 0.0, width)
            start += width
        weighted: Numbers = price * goal.priority
        return weighted


Draws = Mapping[str, HeadDraws]


def draw(inputs: Inputs, problem: Problem, count: int, seed: int, stream: int) -> dict[str, HeadDraws]:
    """Draw `count` times from this athlete's ratios, heads apart from each other; same seed and stream, same draws."""
    import numpy as np

    elsewhere, drawn = inputs.brief.elsewhere, {}
    for number, goal in enumerate(problem.heads):
        profile = inputs.profiles[goal.head]
        keys = drawn_keys(inputs, goal, {*problem.by_key, *elsewhere})
        head_seed = int(np.random.SeedSequence([seed, stream, number]).generate_state(1)[0])
        ratios = draw_ratios(profile, keys, count, head_seed)
        credits = {key: drawn_credit(inputs, key, ratios[:, at]) for at, key in enumerate(keys)}
        whole, own, helping = np.zeros(count), np.zeros(count), np.zeros(count)
        for key, done in elsewhere.items():
            if key in credits:
                exercise = inputs.library.exercises[key]
                of = whole if done.whole else own if exercise.trains == goal.head else helping
                of += credits[key] * done.sets
        own = whole + np.minimum(own, inputs.week.elsewhere_share * goal.target)
        planned = tuple(key for key in keys if key in problem.by_key)
        table = np.array([credits[key] for key in planned]).reshape(len(planned), count).T
        drawn[goal.head] = HeadDraws(planned, table.round(DIGITS), own.round(DIGITS), helping.round(DIGITS))
    return drawn


def expected_shortfall(values: Numbers, level: float) -> float:
    """Mean of the worst 1 − level of the values; larger is worse. 0 ≤ level < 1; at 0 it is the plain mean."""
    import numpy as np

    worst = (1.0 - level) * len(values)
    ranked = np.sort(values)[::-1]
    whole = min(int(worst), len(values) - 1)
    return float((ranked[:whole].sum() + (worst - whole) * ranked[whole]) / worst)
