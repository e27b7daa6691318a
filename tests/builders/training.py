"""Exercises, a gym and logged sets for the tests of training; invented."""

import datetime
from itertools import count

from library.schema import EccentricShare, Exercise, Stress, Tempo
from planner.athlete.gym import Gym
from planner.log.record import LoggedSet

MONDAY = datetime.date(2026, 11, 2)


def make_exercise(key="seated_dumbbell_overhead_press", **changes):
    values = {
        "key": key, "name": key.replace("_", " "), "family": "overhead_press", "implement": "dumbbell",
        "needs": ("dumbbells",), "position": "seated", "multi_joint": True, "load_is": "each_hand",
        "load_from": "dumbbells", "tempo": Tempo(lift=1, lower=3), "reps": (8, 12), "rest_seconds": 120,
        "setup_seconds": 60, "warmup_sets": 1,
        "eccentric_share": EccentricShare(value=0.5, basis="not measured"), "cues": ("Ribs down.",),
        "stress": {"subacromial": Stress(grade=2, reason="overhead", source="coaching convention, no source")},
    }  # fmt: skip
    return Exercise.model_validate(values | changes)


def make_gym(step=2.0, to=60.0, start=2.0):
    loads = {"dumbbells": {"from": start, "to": to, "step": step}}
    return Gym.model_validate({"equipment": ["dumbbells"], "loads": loads})


def make_sets(load, reps, rirs, date=MONDAY, **changes):
    fields = {
        "date": date, "session": "Mon", "exercise": "seated_dumbbell_overhead_press", "load": load,
        "load_unit": None if load is None else "kg", "gym": "club",
    }  # fmt: skip
    three = zip(count(1), reps, rirs, strict=False)
    rows = ({"set_number": number, "reps": done, "rir": rir} for number, done, rir in three)
    return [LoggedSet(**(fields | row | changes)) for row in rows]
