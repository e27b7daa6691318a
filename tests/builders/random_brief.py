"""Seeded random briefs and gyms as TOML, over everything that a coach may write: seldom wise, always allowed."""

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from library.read import Library
from planner.athlete.brief import DAYS

NODES = 200  # the hardest weeks are stopped early: they must pass the recheck all the same
METHOD: dict[str, tuple[Any, ...]] = {
    "counting": ("movers",), "general_warmup_minutes": (8,), "eccentric_weight": (1.25,),
    "smallest_block_sets": (1, 3), "largest_block_sets": (3, 6), "clear_grade": (1,),
    "careful_grade": (0, 2), "avoid_grade": (0,), "dose_price_low": (3,), "dose_tolerance_sets": (0,),
    "trapezius_level": (0.7,), "variety_implements": (3,), "spread_sessions": (3,), "session_cap_sets": (5,),
    "session_hard_cap_sets": (8,), "aside_share": (0.2, 0.6), "booked_exercises": (1, 3),
    "usual_choice": (1, 3), "elsewhere_share": (0.8,), "exercises_per_session": (3,),
    "joint_budget_careful": (12,), "joint_easy_share": (0,),
}  # fmt: skip


def write_random(folder: Path, seed: int, library: Library) -> Path:
    """Write brief.toml and gym.toml of one seed."""
    dice = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "brief.toml").write_text("\n".join(brief(dice, library)) + "\n", encoding="utf-8")
    gyms = {name: dice.sample(list(library.equipment), dice.randint(0, 10)) for name in ("a", "b")}
    text = "\n".join(f"[{name}]\nequipment = {json.dumps(held)}" for name, held in gyms.items())
    (folder / "gym.toml").write_text(text + "\n", encoding="utf-8")
    return folder


def brief(dice: random.Random, library: Library) -> Iterator[str]:
    """Lines of a brief: sessions always, every other table now and then."""
    planned = [key for key, one in library.exercises.items() if not one.compare_only]
    yield "[athlete]\nname = 'Somebody'"
    yield f"training_status = '{dice.choice(('novice', 'intermediate', 'advanced'))}'"
    if dice.random() < 0.3:
        yield f"skill = {dice.randint(1, 3)}"
    days = [DAYS[day] for day in sorted(dice.sample(range(7), dice.randint(1, 3)))]
    for day in days:
        yield f"[[session]]\nday = '{day}'\nminutes = {dice.choice((15, 20, 30))}\ngym = '{dice.choice('ab')}'"
    if dice.random() < 0.3:
        yield f"[history]\nflags = {json.dumps(dice.sample(list(library.flags), 2))}"
    if dice.random() < 0.6:
        yield "[target]"
        for head in dice.sample(("front", "side", "rear"), 2):
            yield f"{head} = {table(target(dice))}"
    if dice.random() < 0.4:
        yield "[elsewhere]"
        for key in dice.sample(list(library.exercises), 3):
            when = {"day": dice.choice(DAYS)} if dice.random() < 0.5 else {}
            yield f"{key} = {table({'sets': dice.randint(0, 20), 'whole': dice.random() < 0.4} | when)}"
    if dice.random() < 0.5:
        yield "[joints]"
        for region in dice.sample(list(library.regions), 2):
            yield f"{region} = '{dice.choice(('clear', 'careful', 'avoid'))}'"
        yield from [f"arm_at_most_degrees = {dice.choice((60, 90, 120))}"] if dice.random() < 0.4 else ()
    if dice.random() < 0.5:
        yield f"[variety]\nimplements = {dice.randint(1, 5)}\nshare = {dice.choice((0.3, 0.8))}"
        yield f"families = {json.dumps(dice.sample(list(library.families), 2))}"
    if dice.random() < 0.6:
        yield f"[preferences]\ntrapezius = {json.dumps(dice.random() < 0.4)}"
        preferred = dice.sample(planned, 3)
        yield f"prefer = {json.dumps(preferred)}"
        others = [key for key in planned if key not in (*preferred, "push_up")]
        yield f"exclude = {json.dumps(dice.sample(others, dice.choice((0, 3, 20))))}"
        yield f"pin = {table({'push_up': {'day': dice.choice(days), 'sets': dice.randint(1, 4)}})}"
    yield f"[method]\nnode_budget = {NODES}"
    if dice.random() < 0.6:
        name = dice.choice(list(METHOD))
        yield f"{name} = {json.dumps(dice.choice(METHOD[name]))}"


def target(dice: random.Random) -> dict[str, Any]:
    """A head's target: any size, sometimes with today's sets and a priority."""
    wish: dict[str, Any] = {"target": dice.choice((0, 2, 6, 10, 14, 30))}
    wish |= {"priority": dice.choice((0.5, 3))} if dice.random() < 0.3 else {}
    wish |= {"now": dice.randint(0, 15)} if dice.random() < 0.3 else {}
    return wish | ({"sessions": dice.randint(1, 4)} if dice.random() < 0.3 else {})


def table(values: dict[str, Any]) -> str:
    """An inline table."""
    written = (
        f"{key} = {table(one) if isinstance(one, dict) else json.dumps(one)}" for key, one in values.items()
    )
    return "{ " + ", ".join(written) + " }"
