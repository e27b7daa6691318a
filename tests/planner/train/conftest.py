"""Exercises, a gym and logged sets for the tests of training; invented."""

import datetime
from collections.abc import Callable, Sequence

import pytest

from library.schema import EccentricShare, Exercise, Stress, Tempo
from planner.athlete.gym import Gym
from planner.log.record import LoggedSet

MONDAY = datetime.date(2026, 11, 2)


def make_exercise(key: str = "seated_dumbbell_overhead_press", **changes: object) -> Exercise:
    values: dict[str, object] = {
        "key": key,
        "name": key.replace("_", " "),
        "family": "overhead_press",
        "implement": "dumbbell",
        "needs": ("dumbbells",),
        "position": "seated",
        "multi_joint": True,
        "load_is": "each_hand",
        "load_from": "dumbbells",
        "tempo": Tempo(lift=1, lower=3),
        "reps": (8, 12),
        "rest_seconds": 120,
        "setup_seconds": 60,
        "warmup_sets": 1,
        "eccentric_share": EccentricShare(value=0.5, basis="not measured"),
        "cues": ("Ribs down.",),
        "stress": {
            "subacromial": Stress(grade=2, reason="overhead", source="coaching convention, no source")
        },
    }
    return Exercise.model_validate(values | changes)


def make_gym(step: float = 2.0, to: float = 60.0, start: float = 2.0) -> Gym:
    return Gym.model_construct(
        unit="kg",
        equipment=("dumbbells",),
        loads=Gym.model_validate({"loads": {"dumbbells": {"from": start, "to": to, "step": step}}}).loads,
    )


def make_sets(
    load: float | None,
    reps: Sequence[int | None],
    rirs: Sequence[float | None],
    date: datetime.date = MONDAY,
    **changes: object,
) -> list[LoggedSet]:
    fields: dict[str, object] = {
        "date": date,
        "session": "Mon",
        "exercise": "seated_dumbbell_overhead_press",
        "load": load,
        "load_unit": None if load is None else "kg",
        "gym": "club",
    }
    return [
        LoggedSet(**(fields | {"set_number": number, "reps": done, "rir": rir} | changes))  # type: ignore[arg-type]
        for number, (done, rir) in enumerate(zip(reps, rirs, strict=True), start=1)
    ]


@pytest.fixture(scope="session")
def exercise() -> Callable[..., Exercise]:
    return make_exercise


@pytest.fixture(scope="session")
def gym() -> Callable[..., Gym]:
    return make_gym


@pytest.fixture(scope="session")
def sets() -> Callable[..., list[LoggedSet]]:
    return make_sets
