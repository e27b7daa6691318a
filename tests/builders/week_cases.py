"""Seeded random weeks for tests and benches: problems of every size without any file."""

import random
from dataclasses import replace

from planner.athlete.brief import DAYS
from planner.method import WeekSettings
from planner.model.problem import Candidate, HeadGoal, JointBudget, Problem, SessionKind

HEADS = ("front", "side", "rear")
REGIONS = ("subacromial", "neck", "lumbar", "wrist")
IMPLEMENTS = ("dumbbell", "cable", "barbell", "machine", "band", "bodyweight")
TRAINS = dict.fromkeys(("overhead_press", "front_raise"), "front") | {"rear_fly": "rear"}
TRAINS |= dict.fromkeys(("lateral_raise", "upright_pull"), "side")
FAMILIES = {  # usual credits (front, side, rear)
    "overhead_press": (1.0, 0.85, 0.0), "front_raise": (0.9, 0.45, 0.0), "lateral_raise": (0.6, 1.0, 0.35),
    "rear_fly": (0.0, 0.7, 1.0), "row": (0.0, 0.45, 0.85), "upright_pull": (0.4, 0.85, 0.35),
    "push_up": (0.7, 0.0, 0.0),
}  # fmt: skip


def random_problem(seed, exercises=(25, 120), sessions=(2, 6), minutes=(20, 60), gyms=(1, 3), settings=None):
    """A random but lifelike week; the same seed gives the same problem."""
    dice, settings = random.Random(seed), settings or WeekSettings()
    candidates = tuple(random_candidate(dice, place) for place in range(dice.randint(*exercises)))
    rooms = [
        frozenset(c.key for c in candidates if c.implement in dice.sample(IMPLEMENTS, dice.randint(3, 6)))
        for _ in range(dice.randint(*gyms))
    ]
    count = dice.randint(*sessions)
    days = sorted(dice.sample(range(7), count))
    net = [60 * (dice.randint(*minutes) - settings.general_warmup_minutes) for _ in days]
    kinds = tuple(
        SessionKind(DAYS[day], DAYS[day], f"room{i % len(rooms)}", seconds, rooms[i % len(rooms)])
        for i, (day, seconds) in enumerate(zip(days, net, strict=True))
    )
    return Problem(
        candidates=candidates, sessions=kinds, heads=tuple(random_goal(dice, head, count) for head in HEADS),
        joints=tuple(JointBudget(region, dice.choice((30.0, 60.0)), 0.0) for region in REGIONS),
        settings=settings, implements_wanted=dice.randint(1, 3),
        families_wanted=tuple(sorted(dice.sample(sorted(FAMILIES), dice.randint(0, 2)))),
    )  # fmt: skip


def random_candidate(dice, place):
    family = dice.choice(sorted(FAMILIES))
    scattered = {
        head: round(min(1.0, usual * dice.uniform(0.75, 1.1)), 3)
        for head, usual in zip(HEADS, FAMILIES[family], strict=True)
    }
    credits = {head: value for head, value in scattered.items() if value >= 0.30}
    press = family in ("overhead_press", "push_up", "row")
    rest, work, sides = dice.choice((60, 75, 90, 120)), dice.randint(24, 50), dice.choice((1, 1, 1, 2))
    warmups = dice.randint(0, 2) if press else dice.randint(0, 1)
    implement = dice.choice(IMPLEMENTS)
    return Candidate(
        key=f"{family}_{place:03d}", place=place, family=family, implement=implement, station=(implement,),
        credits=credits or {"front": 0.4}, trains=TRAINS.get(family, ""),
        grades={region: dice.choice((0, 0, 1, 1, 2)) for region in REGIONS},
        trapezius=round(dice.uniform(0.1, 1.1), 2), set_seconds=work * sides + rest,
        block_seconds=dice.randint(30, 90) + 65 * warmups * sides - rest, multi_joint=press,
        rest_seconds=rest, warmup_sets=warmups, main_lift=family == "overhead_press",
    )  # fmt: skip


def random_goal(dice, head, sessions):
    """A head's target between 6 and 18 sets with floor and ceiling around it."""
    target = dice.randint(6, 18)
    return HeadGoal(
        head=head, floor=float(dice.randint(3, max(3, target - 3))), target=float(target),
        ceiling=float(target + dice.randint(2, 8)), elsewhere_helping=dice.choice((0.0, 0.0, 2.5)),
        priority=dice.choice((1.0, 1.0, 2.0)), sessions=min(2, sessions),
    )  # fmt: skip


# --- random weeks that are small enough for a slow and plain way too
CLOSELY = WeekSettings().but(dose_gap_sets=1e-5, rest_gap_minutes=1e-3)


def any_week(seed, exercises=(5, 9), **more):
    """Whatever a brief may bring: pins, a session over, wishes, last week's exercises, pairs, a plan in force."""
    dice = random.Random(seed)
    sizes = {"sessions": (2, 3), "minutes": (15, 30), "gyms": (1, 2)}
    problem = random_problem(seed, exercises=exercises, **sizes, **more)
    keys = [candidate.key for candidate in problem.candidates]
    first, second, *others = problem.sessions
    over = dice.choice(("planned", "planned", "done", "missed"))
    done = {}
    if over == "done":
        done = {(key, first.id): dice.randint(1, 4) for key in sorted(first.allowed)[:2]}
    pinned = {(key, second.id): 2 for key in sorted(second.allowed)[:1]} if dice.random() < 0.3 else {}
    problem = replace(
        problem, sessions=(replace(first, state=over), second, *others), pins={**done, **pinned},
        keep=dice.randint(0, 3),
        last_week=frozenset(dice.sample(keys, 3)) if dice.random() < 0.7 else frozenset(),
        preferred=tuple(dice.sample(keys, 2)), quiet_trapezius=dice.random() < 0.3,
        capped={dice.choice(keys): 2} if dice.random() < 0.3 else {}, paired=dice.random() < 0.3,
        heads=tuple(
            replace(one, elsewhere_own=dice.choice((0.0, 0.0, 3.0)), aside_share=dice.choice((0.4, 0.4, 1.0)))
            for one in problem.heads
        ),
    )  # fmt: skip
    if dice.random() >= 0.3:
        return problem
    # some blocks in force, one of them of an exercise that is out by now
    pairs = [(key, day.id) for day in problem.sessions for key in sorted(day.allowed)]
    blocks = [*dice.sample(pairs, min(4, len(pairs))), ("gone", problem.sessions[-1].id)]
    return replace(problem, in_force=dict.fromkeys(blocks, 3))


def small_week(seed):
    """Three exercises in two short sessions: few enough plans to count them all."""
    return any_week(seed, exercises=(4, 5), settings=CLOSELY.but(largest_block_sets=3))
