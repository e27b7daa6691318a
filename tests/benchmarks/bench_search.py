"""The search for a week: 40 seeded weeks of one shape, 60 of wide shape from the shipped library, one hard brief by
the minute. Seconds are processor time of one thread, building the program included."""

import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median, quantiles
from typing import TypeVar

sys.path.append(str(Path(__file__).parents[1] / "builders"))
from folders import BRIEFS
from processes import Row
from week_cases import random_problem
from wide_weeks import wide_inputs

from library.read import read_library
from planner.model.aims import dose_value, misses, rest_value
from planner.model.build import build_problem
from planner.model.problem import Problem, counted_of, own_of
from planner.plain import UNSHOWN
from planner.solve.solve import Solved, solve_week
from planner.week.gather import read_filed

T = TypeVar("T")
SEEDS, WIDE_SEEDS = range(40), range(60)
MINUTES = range(25, 33)  # of rear_first, whose own are 25
SIZES = (60, 250, 1000)
SIZE_SEEDS = range(5)
INSIDE = 1e-4
OWN_LEAST = 0.6  # of a met target, by movements that are chosen for the head
DEAR = 200.0  # minute-equivalents: dearer than any reason to repeat a movement
NEAR = 1.0  # minute-equivalents: a week without repeats that costs no more is the better one
REPEATS = ("twins", "next_day")


@dataclass(frozen=True)
class Measured:
    """One solved week: processor seconds, and the gaps of both aims as parts of those allowed."""

    problem: Problem
    solved: Solved
    seconds: float
    dose_gap: float
    rest_gap: float

    @property
    def proven(self):
        return max(self.dose_gap, self.rest_gap) <= 1


def weeks():
    for seed in SEEDS:
        yield f"seeded {seed}", random_problem(seed)
    library = read_library()
    for seed in WIDE_SEEDS:
        yield f"wide {seed}", build_problem(wide_inputs(seed, library))
    inputs = read_filed(BRIEFS / "rear_first").inputs
    for minutes in MINUTES:
        sessions = tuple(one.model_copy(update={"minutes": minutes}) for one in inputs.brief.session)
        brief = inputs.brief.model_copy(update={"session": sessions})
        yield f"rear_first {minutes}", build_problem(replace(inputs, brief=brief))


def measure(problem):
    began = time.process_time()
    solved = solve_week(problem)
    spent, settings = time.process_time() - began, problem.settings
    rest = rest_value(problem, solved.plan) - solved.rest_bound
    dose = min(solved.dose_best, dose_value(problem, solved.plan)) - solved.dose_bound
    gaps = dose / (settings.dose_gap_sets + INSIDE), rest / (settings.rest_gap_minutes + INSIDE)
    return Measured(problem, solved, spent, *gaps)


def rows() -> list[Row]:
    """Measure how sure and how soon weeks are found, whether a coach would sign them, and how time grows with exercises."""
    solved = {name: measure(problem) for name, problem in weeks()}
    half_hours = {"sessions": (3, 3), "minutes": (30, 30), "gyms": (1, 1)}

    def seconds(count, seed):
        return measure(random_problem(seed, exercises=(count, count), **half_hours)).seconds

    first, *others = (median(seconds(count, seed) for seed in SIZE_SEEDS) for count in SIZES)
    grown = zip(SIZES[1:], others, (2.5, 8), strict=True)
    larger = (Row(f"{n} exercises / {SIZES[0]}", s / first, most, note=f"{s:.2f} s") for n, s, most in grown)
    return [*proofs(solved), *coach(solved), *larger]


def proofs(solved):
    """How many weeks are proven, and how long they took."""
    each, seconds = list(solved.values()), sorted((one.seconds, name) for name, one in solved.items())
    open_dose = [name for name, one in solved.items() if one.dose_gap > 1]
    unproven = [name for name, one in solved.items() if not one.proven]
    spent = [one for one, _ in seconds]
    return [
        Row("weeks with a proven dose", share(each, lambda one: one.dose_gap <= 1), 100, "%", at_least=True,
            note=", ".join(open_dose)),
        Row("weeks with both aims within their gaps", share(each, lambda one: one.proven), 95, "%", at_least=True,
            note=", ".join(unproven)),
        Row("median", median(spent), 0.3, "s"),
        Row("95th percentile", quantiles(spent, n=20)[-1], 2, "s"),
        Row("slowest", spent[-1], 25, "s", note=seconds[-1][1]),
    ]  # fmt: skip


def coach(solved):
    """What a coach looks at first: own movements, empty days, repeats that cost nothing to avoid."""
    own = {(name, head): value for name, one in solved.items() for head, value in own_shares(one).items()}
    low = [f"{name} {head} {value:.2f}" for (name, head), value in own.items() if value < OWN_LEAST - INSIDE]
    empty = [name for name, one in solved.items() if is_empty_though_short(one)]
    repeats = [name for name, one in solved.items() if one.proven and spares_repeats(one)]
    met = share(list(own.values()), lambda value: value >= OWN_LEAST - INSIDE)
    return [
        Row("met targets with enough own movements", met, 100, "%", at_least=True, note=", ".join(low)),
        Row("weeks with an empty day and a target unmet", len(empty), 0, "", note=", ".join(empty)),
        Row("weeks with needless repeats", len(repeats), 0, "", note=", ".join(repeats)),
    ]


def share(many, holds):
    """Per cent of many for which something holds."""
    return 100 * sum(map(holds, many)) / len(many)


def own_shares(one):
    """Own share of each met target, of heads with own movements in some room."""
    problem, plan = one.problem, one.solved.plan
    goals = (goal for goal in problem.heads if goal.target > 0 and goal.aside_share < 1)
    met = (goal for goal in goals if counted_of(problem, plan, goal) >= goal.target - UNSHOWN)
    return {of.head: (own_of(problem, plan, of.head) + of.elsewhere_own) / of.target for of in met}


def is_empty_though_short(one):
    """Whether a session that could hold work is empty while a target is unmet."""
    missed = [miss for miss in misses(one.problem, one.solved.plan) if miss.by > UNSHOWN]
    names = [miss.goal for miss in missed]
    return all(any(map(str.startswith, names, [of] * len(names))) for of in ("booked:empty", "dose:"))


def spares_repeats(one):
    """Whether a week with fewer twins or next days costs at most one minute-equivalent more, other prices alike."""
    problem, plan = one.problem, one.solved.plan
    if not any(miss.goal.split(":")[0] in REPEATS for miss in misses(problem, plan)):
        return False
    other = solve_week(replace(problem, settings=problem.settings.but(price_twins=DEAR, price_next_day=DEAR)))
    fewer = repeats_in(problem, other.plan) < repeats_in(problem, plan)
    return fewer and rest_value(problem, other.plan) <= rest_value(problem, plan) + NEAR


def repeats_in(problem, plan):
    return sum(miss.by for miss in misses(problem, plan) if miss.goal.split(":")[0] in REPEATS)
