"""Which recordings would narrow an athlete's next week most: greedy, on the ratios as they are known today.

    dose[h] ~ sum over exercises e of a[e,h]·theta[e,h]    a: sets that count, times the slope of what a set is worth
    aim: sum over heads of priority²·var(dose[h])          after the recordings, everything linear and normal

The level of a session is free, as it is when its rows are pooled (library/pool.py): one exercise alone says
nothing of a ratio, so the first two are chosen together.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from math import exp, sqrt
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np

from library import credit, files, schema
from library.errors import refuse
from library.method import Settings
from library.pool import Floats, error_variance
from planner.athlete.writing import write_through
from planner.document import Plan
from planner.emg.report import TEMPLATES, html_of
from planner.emg.session import NAME, ReferenceTest, read_tests, tables
from planner.method import RECORDING_PLAN, TOLD, MeasureSettings, QualitySettings
from planner.model.inputs import Inputs
from planner.model.problem import HeadGoal, sets_a_week
from planner.sheets.page import fill
from planner.sheets.render import write_pdf_safely
from planner.week import gather, interval
from planner.week.plan import solve_asked

DIGITS = 9  # of variances: what differs by less is a tie, and the library's order decides
FOLDER = SHEET = "recordings_to_make"
TRIALS = MeasureSettings().trials_per_test
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

    asked: gather.Asked
    gym: str
    sets: tuple[schema.Exercise, ...]  # those recorded twice come first and last
    names: Mapping[str, str]  # of the sensors' heads, trained and watched
    tests: tuple[ReferenceTest, ...]
    ranges: Mapping[str, tuple[float, float]]

    @property
    def athlete(self) -> str:
        """The athlete's name."""
        return self.asked.inputs.brief.athlete.name

    def document(self) -> dict[str, Any]:
        """Return the plan, ready for JSON."""
        keys = {"sets": [exercise.key for exercise in self.sets], "tests": [test.key for test in self.tests]}
        ranges = {head: {"before": was, "after": then} for head, (was, then) in self.ranges.items()}
        about = {"version": 1, "athlete": self.athlete, "week": self.asked.week, "gym": self.gym}
        return {**about, **keys, "sensors": list(self.names), "half_ranges_90": ranges}

    def text(self) -> str:
        """Return the sets in order, the tests, and what they would narrow."""
        return fill("recordings.txt", TEMPLATES, planned=self).rstrip()


def plan_recordings(asked: gather.Asked, settings: Settings = RECORDING_PLAN) -> RecordingPlan:
    """Plan the week, and propose what to record before it in the gym that allows most, of what the athlete may train.
    Raises FaultyInput where no recording could tell anything, NoWeekPossible where there is no week."""
    inputs, library = asked.inputs, asked.inputs.library
    problem, solved = solve_asked(inputs)
    heads = {goal.head: uncertain(inputs, goal, solved.plan, settings) for goal in problem.heads}
    days = problem.open_sessions
    gyms = {day.gym: [other for other in days if other.gym == day.gym] for day in days}
    allowed = {
        gym: [one.key for one in problem.candidates if any(problem.choices(one.key, day) for day in of_gym)]
        for gym, of_gym in gyms.items()
    }  # in the library's order
    proposals = {gym: greedy(heads, keys, settings) for gym, keys in allowed.items() if len(keys) > 1}
    gym = min(proposals, key=lambda name: _left(heads, proposals[name]), default="")
    if not gym or _left(heads, proposals[gym]) >= _left(heads, {}):
        read = f"nothing that can be recorded would tell more of week {asked.week}"
        raise refuse(asked.filed.folder, "--plan", read, "Plan recordings for a week with sets")
    recorded = proposals[gym]
    twice = [key for key, count in recorded.items() if count > 1]
    order = [*twice, *(key for key in recorded if key not in twice), *twice]
    watched = [key for key, head in library.heads.items() if head.role == "watched"]
    names = {head: library.heads[head].name for head in (*heads, *watched)}
    # the shortest set of tests known to be enough for every head, else all wanted: a shoulder makes no effort in vain
    enough, every = MeasureSettings().long_set_per_cent, tables()
    reached = ((one["tests"], one["reaches"]) for one in every["set"])
    known = [of for of, reaches in reached if all(reaches.get(head, 0) >= enough for head in names)]
    tests = tuple(read_tests()[key] for key in min(known, key=len, default=every["wanted"]))
    ranges = {head: (one.half_range({}), one.half_range(recorded)) for head, one in heads.items()}
    sets = tuple(library.exercises[key] for key in order)
    return RecordingPlan(asked, gym, sets, names, tests, ranges)


def uncertain(inputs: Inputs, goal: HeadGoal, plan: Plan, settings: Settings) -> Uncertain:
    """Give what is not known of a planned dose, and what one recorded set of each exercise would tell."""
    profile, weights = inputs.profiles[goal.head], interval.weights_of(inputs, goal, sets_a_week(plan))
    about: dict[str, Any] = {"session": "planned", "head": goal.head, "metric": "mean activation"}
    slopes, errors = [], []
    for key, (theta, error) in inputs.log_ratios[goal.head].items():
        exercise, mean = inputs.library.exercises[key], settings.anchor_level * exp(theta)
        about |= {"exercise": key, "mean": mean, "repetitions": exercise.reps[0]}
        row = schema.OwnRow(unit="percent_MVIC", **about)
        errors.append(error_variance(row))
        # direct sets a set, per unit of the log ratio: of what a set is worth on average, so true of wide errors too
        step, rule = settings.derivative_step * error, inputs.credit.but(least_credit=0.0)
        ends = (theta + step, theta - step) if error else ()
        worth = [credit.expected_credit(end, error, exercise.eccentric_share.value, rule) for end in ends]
        slopes.append(weights.get(key, 0.0) * (worth[0] - worth[1]) / (2 * step) if worth else 0.0)
    places = {key: place for place, key in enumerate(profile.exercises)}
    return Uncertain(places, profile.covariance, np.array(slopes), np.array(errors), goal.priority**2)


def _left(heads: Mapping[str, Uncertain], recorded: Sets) -> float:
    return round(sum(one.price * one.variance(recorded) for one in heads.values()), DIGITS)


def greedy(heads: Mapping[str, Uncertain], keys: list[str], settings: Settings) -> Sets:
    """Choose exercises in the order in which they tell most, the first two together; then which to record twice."""
    first = min(combinations(keys, 2), key=lambda pair: _left(heads, dict.fromkeys(pair, 1)))
    chosen: dict[str, int] = dict.fromkeys(first, 1)
    while len(chosen) < min(settings.exercises, len(keys)):
        others = [key for key in keys if key not in chosen]
        chosen[min(others, key=lambda key: _left(heads, {**chosen, key: 1}))] = 1
    for _ in range(min(settings.repeated, len(chosen))):
        single = [key for key, count in chosen.items() if count == 1]
        chosen[min(single, key=lambda key: _left(heads, {**chosen, key: 2}))] = 2
    return chosen


def write_plan(planned: RecordingPlan, folder: Path) -> tuple[Path, Path]:
    """Write a session.toml to fill in and the sheet, where neither is yet. Raises FaultyInput, PaperNotMade."""
    session = folder / NAME
    for file in (session, folder / f"{SHEET}.pdf", folder / f"{SHEET}.html"):
        if files.is_there(file):
            raise refuse(file, "", "is there already and stays as it is", "Name another folder with --out")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_through(session, blank_session(planned))
    except OSError as fault:
        read = f"cannot be written ({fault.strerror})"
        raise refuse(session, "", read, "Name a folder with --out") from None
    return session, write_pdf_safely(folder / f"{SHEET}.pdf", sheet_html(planned))


def blank_session(planned: RecordingPlan) -> str:
    """Write the session.toml to fill in."""
    athlete = json.dumps(planned.athlete, ensure_ascii=False)
    return fill("session.toml.txt", TEMPLATES, planned=planned, athlete=athlete, trials=TRIALS)


def sheet_html(planned: RecordingPlan) -> str:
    """Write the sheet for whoever records."""
    values = {"title": f"Recordings to make: {planned.athlete}", "planned": planned, "trials": TRIALS}
    values |= {"rest": f"{QualitySettings().heart_rest_seconds:g}", "common": tables()["common"]}
    return html_of("recordings.html", **values)
