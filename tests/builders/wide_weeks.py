"""Seeded weeks of wide shape from the shipped library: 1 to 7 sessions, 10 to 120 minutes, up to three gyms.
`odd_brief` has short ones, and over it everything else that a coach may write: seldom wise, always allowed."""

import random

from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.athlete.targets import weekly_targets
from planner.method import AthleteSettings, WeekSettings
from planner.model.inputs import Inputs

ROOMS = {
    "club": ("dumbbells", "barbell", "plates", "rack", "flat_bench", "adjustable_bench", "cable_station",
        "pulldown_station", "seated_row_station", "shoulder_press_machine", "lateral_raise_machine",
        "rear_fly_machine"),
    "home": ("dumbbells", "bands"),
    "hotel": ("dumbbells", "adjustable_bench", "cable_station"),
    "circuit": ("shoulder_press_machine", "lateral_raise_machine", "rear_fly_machine", "chest_press_machine"),
    "garage": ("barbell", "plates", "rack", "flat_bench", "dumbbells"),
    "bands": ("bands", "band_anchor"),
}  # fmt: skip
ELSEWHERE = {"barbell_bench_press": 10, "front_pulldown": 8}  # at most so many sets


def wide_brief(seed, library):
    """The brief of one seed as brief.toml has it, and its gyms."""
    dice = random.Random(f"wide {seed}")
    rooms = dice.sample(sorted(ROOMS), dice.choice((1, 1, 2, 3)))
    days = sorted(dice.sample(range(7), dice.choice((1, 2, 2, 3, 3, 4, 4, 5, 6, 7))))
    minutes = dice.choice((10, 15, 20, 25, 30, 40, 45, 60, 75, 90, 120))
    status = dice.choice(("novice", "intermediate", "advanced"))
    brief = {"athlete": {"name": "Somebody", "training_status": status}}
    spans = (-5, 0, 0, 5)
    brief["session"] = [
        {"day": DAYS[day], "minutes": max(10, minutes + dice.choice(spans)), "gym": dice.choice(rooms)} for day in days
    ]  # fmt: skip
    heads = [key for key, head in library.heads.items() if head.role == "trained"]
    if dice.random() < 0.6:
        brief["target"] = {head: target(dice) for head in dice.sample(heads, dice.randint(1, 3))}
    if dice.random() < 0.3:
        brief["elsewhere"] = {key: dice.randint(2, most) for key, most in ELSEWHERE.items()}
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


def target(dice):
    """A head's target: any size, sometimes with a priority or several days."""
    wish = {"target": dice.choice((4, 6, 8, 10, 12, 14, 16, 20, 24))}
    wish |= {"ceiling": 30}
    wish |= {"priority": dice.choice((2, 3))} if dice.random() < 0.4 else {}
    return wish | ({"sessions": dice.randint(2, 4)} if dice.random() < 0.3 else {})


METHOD = {
    "counting": ("movers",), "general_warmup_minutes": (8,), "eccentric_weight": (1.25,),
    "smallest_block_sets": (1, 3), "largest_block_sets": (3, 6), "clear_grade": (1,),
    "careful_grade": (0, 2), "avoid_grade": (0,), "dose_price_low": (3,), "dose_tolerance_sets": (0,),
    "trapezius_level": (0.7,), "variety_implements": (3,), "spread_sessions": (3,), "session_cap_sets": (5,),
    "session_hard_cap_sets": (8,), "aside_share": (0.2, 0.6), "booked_exercises": (1, 3),
    "usual_choice": (1, 3), "elsewhere_share": (0.8,), "exercises_per_session": (3,),
    "joint_budget_careful": (12,), "joint_easy_share": (0,),
}  # fmt: skip


def odd_brief(seed, library):
    """The tables of brief.toml and gym.toml of one seed; its hardest weeks are stopped early."""
    brief, gyms = wide_brief(seed, library)
    dice = random.Random(f"odd {seed}")
    planned = [key for key, one in library.exercises.items() if not one.compare_only]
    method = {"node_budget": 200, "emergency_seconds": 1}
    if dice.random() < 0.6:
        name = dice.choice(list(METHOD))
        method[name] = dice.choice(METHOD[name])
    brief |= {"session": brief["session"][:3], "method": method}
    for session in brief["session"]:
        session["minutes"] = dice.choice((15, 20, 30))
    for wish in brief.get("target", {}).values():
        wish |= {"target": dice.choice((0, 2, 6, 10, 14, 30)), "now": dice.randint(0, 15), "ceiling": 45}
    if dice.random() < 0.4:
        done = {"sets": dice.randint(0, 20), "whole": dice.random() < 0.4, "day": dice.choice(DAYS)}
        brief["elsewhere"] = dict.fromkeys(dice.sample(planned, 3), done)
    if dice.random() < 0.3:
        brief["athlete"]["skill"] = dice.randint(1, 3)
        brief["history"] = {"flags": dice.sample(list(library.flags), 2)}
        brief.setdefault("joints", {})["arm_at_most_degrees"] = dice.choice((60, 90, 120))
    if dice.random() < 0.5:
        families = dice.sample(list(library.families), 2)
        brief["variety"] = {"implements": dice.randint(1, 5), "share": dice.choice((0.3, 0.8))}
        brief["variety"] |= {"families": families}
    if dice.random() < 0.6:
        keys = dice.sample([key for key in planned if key != "push_up"], 23)
        pin = {"day": dice.choice(brief["session"])["day"], "sets": dice.choice((1, 2, 2, 3, 3, 4))}
        brief["preferences"] |= {"prefer": keys[:3], "exclude": keys[3 : dice.choice((3, 6, 23))]}
        brief["preferences"]["pin"] = {"push_up": pin}
    return brief, {name: {"equipment": list(gym.equipment)} for name, gym in gyms.items()}


def wide_inputs(seed, library):
    """The inputs of one seed."""
    raw, gyms = wide_brief(seed, library)
    brief = Brief.model_validate(raw)
    targets, _ = weekly_targets(brief, library, AthleteSettings())
    week = WeekSettings(**brief.method)
    return Inputs(library, brief, gyms, targets, profiles_of(library), week, CreditSettings())


def profiles_of(library):
    """The ratios of an athlete without recordings, pooled once a library."""
    if library.digest not in _POOLED:
        _POOLED[library.digest] = for_athlete(pool_library(library), library)
    return _POOLED[library.digest]


_POOLED = {}
