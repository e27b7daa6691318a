"""Seeded weeks of wide shape from the shipped library: 1 to 7 sessions, 10 to 120 minutes, up to three gyms."""

import random
from dataclasses import replace
from typing import Any

from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from library.read import Library
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import weekly_targets
from planner.method import AthleteSettings, WeekSettings
from planner.model.inputs import Inputs

ROOMS: dict[str, tuple[str, ...]] = {
    "club": ("dumbbells", "barbell", "plates", "rack", "flat_bench", "adjustable_bench", "cable_station",
        "pulldown_station", "seated_row_station", "shoulder_press_machine", "lateral_raise_machine",
        "rear_fly_machine"),
    "home": ("dumbbells", "bands"),
    "hotel": ("dumbbells", "adjustable_bench", "cable_station"),
    "circuit": ("shoulder_press_machine", "lateral_raise_machine", "rear_fly_machine", "chest_press_machine"),
    "garage": ("barbell", "plates", "rack", "flat_bench", "dumbbells"),
    "bands": ("bands", "band_anchor"),
}  # fmt: skip


def wide_brief(seed: int, library: Library) -> tuple[dict[str, Any], dict[str, Gym]]:
    """The brief of one seed as brief.toml has it, and its gyms."""
    dice = random.Random(f"wide {seed}")
    rooms = dice.sample(sorted(ROOMS), dice.choice((1, 1, 2, 3)))
    days = sorted(dice.sample(range(7), dice.choice((1, 2, 2, 3, 3, 4, 4, 5, 6, 7))))
    minutes = dice.choice((10, 15, 20, 25, 30, 40, 45, 60, 75, 90, 120))
    brief: dict[str, Any] = {
        "athlete": {
            "name": "Somebody",
            "training_status": dice.choice(("novice", "intermediate", "advanced")),
        },
        "session": [
            {
                "day": DAYS[day],
                "minutes": max(10, minutes + dice.choice((-5, 0, 0, 5))),
                "gym": dice.choice(rooms),
            }
            for day in days
        ],
    }
    heads = [key for key, head in library.heads.items() if head.role == "trained"]
    if dice.random() < 0.6:
        brief["target"] = {head: target(dice) for head in dice.sample(heads, dice.randint(1, 3))}
    if dice.random() < 0.3:
        brief["elsewhere"] = {
            "barbell_bench_press": dice.randint(2, 10),
            "front_pulldown": dice.randint(2, 8),
        }
    if dice.random() < 0.4:
        regions = dice.sample(sorted(library.regions), dice.randint(1, 2))
        brief["joints"] = {region: dice.choice(("careful", "careful", "avoid")) for region in regions}
    if dice.random() < 0.3:
        brief["variety"] = {"implements": dice.randint(1, 4), "families": ["overhead_press"]}
    brief["preferences"] = {"paired": dice.random() < 0.2, "trapezius": dice.random() < 0.15}
    if dice.random() < 0.2:
        brief["preferences"]["prefer"] = ["machine_lateral_raise"]
    if dice.random() < 0.2:
        brief["method"] = {dice.choice(("exercises_per_session", "largest_block_sets")): dice.choice((4, 5))}
    return brief, {name: Gym.model_validate({"equipment": ROOMS[name]}) for name in rooms}


def target(dice: random.Random) -> dict[str, Any]:
    """A head's target: any size, sometimes with a priority or several days."""
    wish: dict[str, Any] = {"target": dice.choice((4, 6, 8, 10, 12, 14, 16, 20, 24))}
    wish |= {"ceiling": 30}
    wish |= {"priority": dice.choice((2, 3))} if dice.random() < 0.4 else {}
    return wish | ({"sessions": dice.randint(2, 4)} if dice.random() < 0.3 else {})


def wide_inputs(seed: int, library: Library) -> Inputs:
    """The inputs of one seed."""
    raw, gyms = wide_brief(seed, library)
    brief = Brief.model_validate(raw)
    targets, _ = weekly_targets(brief, library, AthleteSettings())
    week = replace(WeekSettings(), **brief.method)
    return Inputs(library, brief, gyms, targets, profiles_of(library), week, CreditSettings())


def profiles_of(library: Library) -> Any:
    """The ratios of an athlete without recordings, pooled once a library."""
    if library.digest not in _POOLED:
        _POOLED[library.digest] = for_athlete(pool_library(library), library)
    return _POOLED[library.digest]


_POOLED: dict[str, Any] = {}
