"""Which recordings would narrow an athlete's next week most: greedy, on the ratios as they are known today.

    dose[h] ~ sum over exercises e of a[e,h]·theta[e,h]    a: sets that count, times the slope of what a set is worth
    aim: sum over heads of priority²·var(dose[h])          after the recordings, everything linear and normal

The level of a session is free, as it is when its rows are pooled (library/pooled_head.py): one exercise alone says
nothing of a ratio, so the first two are chosen together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from math import exp, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from library.credit import expected_credit
from library.errors import Fault, FaultyInput
from library.pooled_head import error_variance
from library.read import Library
from library.schema import Exercise, OwnRow
from planner.document import Plan
from planner.emg.references import ReferenceTest, read_tests, tables
from planner.emg.settings import MeasureSettings, RecordingPlanSettings
from planner.method import TOLD
from planner.model.inputs import Inputs
from planner.model.problem import HeadGoal, Problem, sets_a_week
from planner.week.gather import Asked
from planner.week.interval import weights_of
from planner.week.plan import solve_asked

if TYPE_CHECKING:
    from library.pooled_head import Floats

DIGITS = 9  # of variances: what differs by less is a tie, and the library's order decides

DEFAULTS = RecordingPlanSettings()
Sets = Mapping[str, int]  # exercise -> how often it is recorded


@dataclass(frozen=True, eq=False)
class Uncertain:
    """What is not known of one head's dose: covariance (n, n) of ratios, slopes (n,), error variance (n,) of one set."""

    places: Mapping[str, int]
    covariance: Floats
    slopes: Floats
    errors: Floats
    price: float  # of its variance: priority²

    def variance(self, recorded: Sets) -> float:
        """Variance of the week's dose (direct sets²) once these are recorded in one session of free level."""
        import numpy as np

        known = [key for key in recorded if key in self.places]
        at = [self.places[key] for key in known]
        precision = np.array([recorded[key] for key in known]) / self.errors[at]
        weight = np.diag(precision) - np.outer(precision, precision) / (precision.sum() or 1.0)
        moved = self.covariance[at] @ self.slopes
        inner = np.eye(len(at)) + weight @ self.covariance[np.ix_(at, at)]
        told = float(moved @ np.linalg.solve(inner, weight @ moved))
        return max(0.0, float(self.slopes @ self.covariance @ self.slopes) - told)

    def half_range(self, recorded: Sets) -> float:
        """Half of the range that is printed of a dose, in direct sets a week."""
        return NormalDist().inv_cdf(TOLD.interval_high) * sqrt(self.variance(recorded))


@dataclass(frozen=True)
class RecordingPlan:
    """What to record in one session in one gym: sets in order, tests, and the ranges (±) before and after by head."""

    athlete: str
    week: str
    monday: str
    gym: str
    rir: int
    library: Library
    sets: tuple[Exercise, ...]  # those recorded twice come first and last
    sensors: tuple[str, ...]  # heads, trained and watched
    tests: tuple[ReferenceTest, ...]
    ranges: Mapping[str, tuple[float, float]]

    def document(self) -> dict[str, Any]:
        """Return the plan, ready for JSON."""
        ranges = {head: {"before": was, "after": then} for head, (was, then) in self.ranges.items()}
        return {
            "version": 1,
            "athlete": self.athlete,
            "week": self.week,
            "gym": self.gym,
            "sets": [exercise.key for exercise in self.sets],
            "sensors": list(self.sensors),
            "tests": [test.key for test in self.tests],
            "half_ranges_90": ranges,
        }


def plan_recordings(asked: Asked, settings: RecordingPlanSettings = DEFAULTS) -> RecordingPlan:
    """Plan the week, and propose what to record before it in the gym that allows most.

    Only what the athlete may be trained with is proposed. Raises FaultyInput where no recording could tell anything,
    NoWeekPossible where there is no week.
    """
    inputs = asked.inputs
    problem, solved = solve_asked(inputs)
    heads = {goal.head: uncertain(inputs, goal, solved.plan, settings) for goal in problem.heads}
    gyms = {day.gym: _allowed(problem, day.gym) for day in problem.open_sessions}
    proposals = {gym: greedy(heads, keys, settings) for gym, keys in gyms.items() if len(keys) > 1}
    gym = min(proposals, key=lambda name: _left(heads, proposals[name]), default="")
    if not gym or _left(heads, proposals[gym]) >= _left(heads, {}):
        read = f"nothing that can be recorded would tell more of week {asked.week}"
        raise FaultyInput([Fault(asked.filed.folder, "--plan", read, "Plan recordings for a week with sets")])
    recorded, library = proposals[gym], inputs.library
    twice = [key for key, count in recorded.items() if count > 1]
    order = [*twice, *(key for key in recorded if key not in twice), *twice]
    watched = [key for key, head in library.heads.items() if head.role == "watched"]
    sensors = (*heads, *watched)
    return RecordingPlan(
        athlete=inputs.brief.athlete.name,
        week=asked.week,
        monday=asked.start.isoformat(),
        gym=gym,
        rir=inputs.week.reps_in_reserve,
        library=asked.library,
        sets=tuple(asked.library.exercises[key] for key in order),
        sensors=sensors,
        tests=fewest_tests(sensors),
        ranges={head: (one.half_range({}), one.half_range(recorded)) for head, one in heads.items()},
    )


def uncertain(inputs: Inputs, goal: HeadGoal, plan: Plan, settings: RecordingPlanSettings) -> Uncertain:
    """Give what is not known of a planned dose, and what one recorded set of each exercise would tell."""
    import numpy as np

    profile, weights = inputs.profiles[goal.head], weights_of(inputs, goal, sets_a_week(plan))
    ratios = inputs.log_ratios[goal.head]
    rows = [
        OwnRow(
            session="planned",
            exercise=key,
            head=goal.head,
            metric="mean activation",
            unit="percent_MVIC",
            mean=settings.anchor_level * exp(theta),
            repetitions=inputs.library.exercises[key].reps[0],
        )
        for key, (theta, _) in ratios.items()
    ]
    slopes = [weights.get(key, 0.0) * _slope(inputs, key, *known, settings) for key, known in ratios.items()]
    return Uncertain(
        places={key: at for at, key in enumerate(profile.exercises)},
        covariance=profile.covariance,
        slopes=np.array(slopes),
        errors=np.array([error_variance(row) for row in rows]),
        price=goal.priority**2,
    )


def _slope(inputs: Inputs, key: str, theta: float, error: float, settings: RecordingPlanSettings) -> float:
    """Direct sets a set, per unit of the log ratio: of what a set is worth on average, so true of wide errors too."""
    if not error:
        return 0.0
    step, rule = settings.derivative_step * error, inputs.credit.but(least_credit=0.0)
    share = inputs.library.exercises[key].eccentric_share.value
    above, below = (expected_credit(theta + sign * step, error, share, rule) for sign in (1, -1))
    slope: float = (above - below) / (2 * step)
    return slope


def _allowed(problem: Problem, gym: str) -> list[str]:
    """Exercises that this athlete may do in a gym, in the library's order."""
    days = [day for day in problem.open_sessions if day.gym == gym]
    return [one.key for one in problem.candidates if any(problem.choices(one.key, day) for day in days)]


def _left(heads: Mapping[str, Uncertain], recorded: Sets) -> float:
    return round(sum(one.price * one.variance(recorded) for one in heads.values()), DIGITS)


def greedy(heads: Mapping[str, Uncertain], keys: list[str], settings: RecordingPlanSettings) -> Sets:
    """Choose exercises in the order in which they tell most, the first two together; then which to record twice."""
    chosen: dict[str, int] = dict.fromkeys(
        min(combinations(keys, 2), key=lambda pair: _left(heads, dict.fromkeys(pair, 1))), 1
    )
    while len(chosen) < min(settings.exercises, len(keys)):
        others = [key for key in keys if key not in chosen]
        chosen[min(others, key=lambda key: _left(heads, {**chosen, key: 1}))] = 1
    for _ in range(min(settings.repeated, len(chosen))):
        single = [key for key, count in chosen.items() if count == 1]
        chosen[min(single, key=lambda key: _left(heads, {**chosen, key: 2}))] = 2
    return chosen


def fewest_tests(heads: tuple[str, ...]) -> tuple[ReferenceTest, ...]:
    """Return the shortest known set of tests that is enough for every head; all wanted ones where none is known to be.

    The level of a reference falls out of ratios, so no more maximal efforts than needed are asked of a shoulder.
    """
    enough = MeasureSettings().long_set_per_cent
    known = [one for one in tables()["set"] if all(one["reaches"].get(head, 0) >= enough for head in heads)]
    keys = min((one["tests"] for one in known), key=len, default=tables()["wanted"])
    return tuple(read_tests()[key] for key in keys)
