"""A tiny library, a brief and a sound week of theirs. Every number of the week was worked out by hand."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from typing import Any

import pytest
from cautious_week import sure_heads

from library.pooled_head import PooledHead
from library.profiles import Profile
from library.read import Library
from library.schema import Equipment, EvidenceRow, Exercise, Family, Flag, Head, Implement, Region
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.document import WeekDocument
from planner.verify.case import Case, Finding
from planner.verify.recheck import recheck

SLOW = {"lift": 1, "top": 0, "lower": 3, "bottom": 0}  # 4 s a repetition
QUICK = {"lift": 1, "top": 0, "lower": 2, "bottom": 0}  # 3 s a repetition


def _exercise(key: str, family: str, implement: str, needs: tuple[str, ...], **more: Any) -> Exercise:
    facts: dict[str, Any] = {
        "name": key.replace("_", " "),
        "position": "standing",
        "multi_joint": False,
        "load_is": "each_hand",
        "tempo": SLOW,
        "reps": (8, 12),
        "rest_seconds": 60,
        "setup_seconds": 30,
        "warmup_sets": 0,
        "eccentric_share": {"value": 0.5, "basis": "not measured"},
        "cues": ("ribs down",),
        "stress": {},
    }
    facts |= {"key": key, "family": family, "implement": implement, "needs": needs} | more
    return Exercise.model_validate(facts)


def _stress(grade: int, change: str = "") -> dict[str, Any]:
    keeps = {"change": change, "change_keeps": bool(change)}
    return {"grade": grade, "reason": "arm above the shoulder", "source": "ungraded"} | keeps


EXERCISES = (
    # work 40 s; a set 160 s; 4 sets: 4·160 + 60 + 65 − 120 = 645 s = 10.75 min (training facts §14)
    _exercise(
        "press",
        "overhead_press",
        "dumbbell",
        ("dumbbells", "adjustable_bench"),
        trains="front",
        top_angle_degrees=170,
        multi_joint=True,
        load_from="dumbbells",
        rest_seconds=120,
        setup_seconds=60,
        warmup_sets=1,
        stress={"subacromial": _stress(2, "stop at ear height")},
    ),
    # work 12.5·4 = 50 s; a set 140 s; 3 sets: 3·140 + 30 − 90 = 360 s = 6 min
    _exercise(
        "raise",
        "lateral_raise",
        "dumbbell",
        ("dumbbells",),
        trains="side",
        top_angle_degrees=90,
        reps=(10, 15),
        rest_seconds=90,
        load_from="dumbbells",
        stress={"subacromial": _stress(1)},
    ),
    # work ⌈13.5·3⌉ = 41 s a side; a set 2·41 + 60 = 142 s; 3 sets: 426 + 54 − 60 = 420 s = 7 min
    _exercise(
        "cable_fly",
        "rear_fly",
        "cable",
        ("cable_station",),
        trains="rear",
        reps=(12, 15),
        tempo=QUICK,
        sides=2,
        setup_seconds=54,
        load_is="stack",
        load_from="cable_station",
    ),
    _exercise("front_lift", "front_raise", "dumbbell", ("dumbbells",), trains="front"),
    # milder than the press, where there is a barbell
    _exercise("landmine", "overhead_press", "barbell", ("barbell",), stress={"subacromial": _stress(1)}),
    _exercise("push_up", "push_up", "bodyweight", (), reps=(8, 15), load_is="body"),
    _exercise(
        "high_pull",
        "upright_pull",
        "barbell",
        ("barbell",),
        trains="side",
        stress={"subacromial": _stress(3)},
    ),
    _exercise("swung_raise", "lateral_raise", "dumbbell", ("dumbbells",), trains="side", compare_only=True),
    _exercise(
        "bench_press", "horizontal_press", "barbell", ("barbell",), stress={"anterior_capsule": _stress(2)}
    ),
    # lowering gives 0.7 of its activation: at k = 1.25 a set weighs (0.3 + 0.875) / 1.125 = 1.0444
    _exercise(
        "slow_raise",
        "lateral_raise",
        "machine",
        ("lateral_raise_machine",),
        trains="side",
        skill=3,
        eccentric_share={"value": 0.7, "basis": "measured"},
    ),
)
RATIOS = {
    "front": {
        "press": 1.0,
        "raise": 0.35,
        "cable_fly": 0.1,
        "front_lift": 0.8,
        "push_up": 0.72,
        "bench_press": 0.6,
    },
    "side": {
        "press": 0.5,
        "raise": 1.0,
        "cable_fly": 0.4,
        "high_pull": 0.9,
        "swung_raise": 0.8,
        "slow_raise": 0.9,
    },
    "rear": {"press": 0.2, "raise": 0.25, "cable_fly": 1.0},
    "trap": {"press": 0.6, "raise": 0.8, "cable_fly": 0.3, "high_pull": 1.5},
}
SURE = {head: RATIOS[head] for head in ("front", "side", "rear")}


def _row(row: str, exercise: str, head: str) -> EvidenceRow:
    return EvidenceRow(
        id=row,
        kind="published",
        study="s",
        citation="a study",
        exercise=exercise,
        head=head,
        phase="both",
        metric="mean",
        unit="percent_MVIC",
        mean=30,
        status="read",
    )


def tiny_library() -> Library:
    """Ten exercises, three trained heads, one watched."""
    equipment = ("dumbbells", "adjustable_bench", "cable_station", "dual_cable_station", "barbell")
    rows = [_row(f"{head}.{key}", key, head) for head, keys in RATIOS.items() for key in keys]
    anchors = {"front": "press", "side": "raise", "rear": "cable_fly", "trap": "high_pull"}
    return Library(
        exercises={exercise.key: exercise for exercise in EXERCISES},
        heads={
            head: Head(
                key=head,
                name=head,
                muscle="deltoid",
                role="watched" if head == "trap" else "trained",
                anchor=anchor,
            )
            for head, anchor in anchors.items()
        },
        equipment={key: Equipment(key=key, name=key, has_loads=True) for key in equipment},
        implements={e.implement: Implement(key=e.implement, name=e.implement) for e in EXERCISES},
        families={e.family: Family(key=e.family, name=e.family) for e in EXERCISES},
        regions={key: Region(key=key, name=key) for key in ("subacromial", "anterior_capsule")},
        flags={"arch": Flag(key="arch", name="arch", regions={"subacromial": "avoid"}, source="proposal")},
        folder="",
        digest="0123456789ab",
        evidence=tuple(rows),
        profiles={
            head: {key: Profile(ratio, 0.1, (f"{head}.{key}",)) for key, ratio in keys.items()}
            for head, keys in RATIOS.items()
        },
    )


BRIEF: dict[str, Any] = {
    "athlete": {"name": "Test Athlete", "training_status": "novice", "unit": "kg"},
    "session": [{"day": "Mon", "minutes": 30, "gym": "club"}, {"day": "Thu", "minutes": 35, "gym": "club"}],
    "target": {"front": {"target": 10, "ceiling": 20}, "side": {"ceiling": 9}, "rear": {"priority": 1.5}},
    "elsewhere": {"bench_press": {"sets": 4, "day": "Tue"}},
    "joints": {"subacromial": "careful"},
    "variety": {"implements": 2, "families": ["rear_fly"]},
    "preferences": {"trapezius": True},
    "method": {"joint_budget_careful": 40},
}
GYMS: dict[str, Any] = {
    "club": {
        "unit": "kg",
        "equipment": ["dumbbells", "adjustable_bench", "dual_cable_station"],
        "loads": {
            "dumbbells": {"from": 2, "to": 40, "step": 2},
            "cable_station": [2.5, 5, 7.5, 10],
        },
    }
}


def _planned(
    order: int, key: str, sets: int, minutes: float, credits: dict[str, float], **more: Any
) -> dict[str, Any]:
    exercise = next(exercise for exercise in EXERCISES if exercise.key == key)
    work = {"press": 40, "raise": 50, "cable_fly": 41}[key]
    return {
        "order": order,
        "block": "ABC"[order - 1],
        "exercise": key,
        "name": exercise.name,
        "sets": sets,
        "reps": list(exercise.reps),
        "tempo": exercise.tempo.model_dump(),
        "rir": 2,
        "rest_s": exercise.rest_seconds,
        "work_s": work,
        "setup_s": exercise.setup_seconds,
        "warmup_sets": exercise.warmup_sets,
        "sides": exercise.sides,
        "minutes": minutes,
        "credits": credits,
        "trains": exercise.trains or "",
        "load_is": exercise.load_is,
        "load_unit": "kg",
        "load": 10,
        "instead": [{"exercise": "push_up", "sets": 4, "reps": [8, 15]}] if key == "press" else [],
    } | more


def _session(day: str, allowed: int) -> dict[str, Any]:
    # 5 + 10.75 + 6 + 7 = 28.75 min
    return {
        "id": day,
        "day": day,
        "gym": "club",
        "minutes": {"allowed": allowed, "used": 28.8},
        "exercises": [
            _planned(1, "press", 4, 10.8, {"front": 1.0, "side": 0.5}),
            _planned(2, "raise", 3, 6.0, {"front": 0.35, "side": 1.0}),
            _planned(3, "cable_fly", 3, 7.0, {"side": 0.4, "rear": 1.0}),
        ],
    }


def _dose(
    head: str, planned: float, target: float, ceiling: float, movers: float, **more: Any
) -> dict[str, Any]:
    total = planned + more.get("elsewhere", 0)
    return {
        "head": head,
        "elsewhere": 0.0,
        "planned": planned,
        "floor": 4,
        "target": target,
        "ceiling": ceiling,
        "by_movers": movers,
        "low90": total - 1,
        "high90": total + 1,
        "chance_floor": 0.99,
        "chance_target90": 0.6,
    } | more


def _limit(name: str, used: float, allowed: float, unit: str) -> dict[str, Any]:
    return {"limit": name, "used": used, "allowed": allowed, "unit": unit, "binds": False}


DOCUMENT: dict[str, Any] = {
    "version": 1,
    "athlete": "Test Athlete",
    "week": "2026-W49",
    "week_start": "2026-11-30",
    "units": "kg",
    "status": "proven",
    "made_with": {
        "tool": "0.1.0",
        "library": "0123456789ab",
        "inputs": "abc",
        "counting": "activation",
        "method": {
            "smallest_block_sets": 2,
            "largest_block_sets": 4,
            "exercises_per_session": 6,
            "aside_share": 0.4,
            "eccentric_weight": 1.0,
            "joint_budget_careful": 40,
            "joint_budget_clear": 60,
        },
    },
    "sessions": [_session("Mon", 30), _session("Thu", 35)],
    "dose": [
        # 8·1 own; 6·0.35 and elsewhere 4·0.6 help, of 4.5 sets 0.4·10 are counted; movers 8·1
        _dose("front", 9.6, 10, 20, 8, elsewhere=2.4, own=8.0, helping=4.0, beyond=0.5),
        # 6·1 own; 8·0.5 + 6·0.4 help, of 6.4 sets 0.4·8 are counted; movers 8·0.5 + 6·1 + 6·0.5
        _dose("side", 9.2, 8, 9, 13, own=6.0, helping=3.2, beyond=3.2),
        _dose("rear", 6.0, 8, 12, 6, own=6.0),
    ],
    "limits": [
        _limit("time:Mon", 28.8, 30, "minutes"),
        _limit("time:Thu", 28.8, 35, "minutes"),
        _limit("exercises:Mon", 3, 6, "exercises"),
        _limit("exercises:Thu", 3, 6, "exercises"),
        _limit("exercises:week", 3, 9, "exercises"),
        _limit("joints:subacromial", 22, 40, "grade-sets"),  # 8·2 + 6·1
        _limit("joints:anterior_capsule", 8, 60, "grade-sets"),  # Tuesday's bench press: 4·2
        _limit("trapezius", 0.57, 0.8, "of a shrug"),  # (8·0.6 + 6·0.8 + 6·0.3) / 20
        _limit("session_hard_cap:side:Mon", 6.2, 24, "sets"),
    ],
    "missed": [
        {"goal": "dose:rear", "by": 2.0, "unit": "sets"},
        {"goal": "ceiling:side", "by": 0.2, "unit": "sets"},
        {"goal": "share:press:front", "by": 3.0, "unit": "sets"},  # 8 of at most 0.5·10
        {"goal": "share:raise:side", "by": 2.0, "unit": "sets"},  # 6 of at most 0.5·8
        {"goal": "share:cable_fly:rear", "by": 2.0, "unit": "sets"},
        {"goal": "own_families:front", "by": 1, "unit": "families"},  # the front lift is of another one
    ],
    "proof": [
        # rear misses 2 of 8, all above midway to 4: 2·1·priority 1.5
        {"aim": "dose", "value": 3.0, "bound": 3.0, "gap": 0.0, "unit": "missed sets", "seconds": 0.1},
        {"aim": "rest", "value": 7.5, "bound": 7.0, "gap": 0.5, "unit": "price", "seconds": 0.2},
    ],
    "sources": [
        f"{head}.{key}" for head in ("front", "side", "rear") for key in ("press", "raise", "cable_fly")
    ],
}
LIBRARY = tiny_library()


def _change(holder: Any, steps: list[str], value: Any) -> None:
    for step in steps[:-1]:
        holder = holder[int(step)] if isinstance(holder, list) else holder.setdefault(step, {})
    if steps[-1] == "+":
        holder.append(value)
        return
    last = int(steps[-1]) if isinstance(holder, list) else steps[-1]
    if value == "<gone>":
        holder.pop(last)
    else:
        holder[last] = value


@dataclass
class Week:
    """A week as plain data, to be changed by a test and then rechecked."""

    document: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(DOCUMENT))
    brief: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(BRIEF))
    gyms: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(GYMS))
    last_week: dict[str, Any] | None = None
    ratios: dict[str, dict[str, float]] = field(default_factory=lambda: copy.deepcopy(SURE))
    pooled: dict[str, PooledHead] | None = None  # None: the ratios, as sure as can be
    barred: dict[str, str] = field(default_factory=dict)
    capped: dict[str, int] = field(default_factory=dict)

    def first(self, key: str, day: int = 0) -> dict[str, Any]:
        """Return the planned exercise of that key in the first (or another) session."""
        return next(p for p in self.document["sessions"][day]["exercises"] if p["exercise"] == key)

    def row(self, table: str, **facts: Any) -> dict[str, Any]:
        """Return the row of a table of the document with these facts."""
        return next(r for r in self.document[table] if all(r[name] == value for name, value in facts.items()))

    def change(self, changes: dict[str, Any]) -> Week:
        """Change entries at paths: "document.sessions.0.id"; "<gone>" takes one away, a path ending in + appends."""
        for path, value in changes.items():
            first, *steps = path.split(".")
            if steps:
                _change(getattr(self, first), steps, value)
            else:  # `{"last_week": "document"}`: last week was as this one
                setattr(self, first, copy.deepcopy(self.document) if value == "document" else value)
        return self

    def case(self) -> Case:
        """Return the week as the checks take it."""
        last = self.last_week and WeekDocument.model_validate(self.last_week)
        return Case(
            document=WeekDocument.model_validate(self.document),
            library=LIBRARY,
            brief=Brief.model_validate(self.brief),
            gyms={name: Gym.model_validate(gym) for name, gym in self.gyms.items()},
            last_week=last or None,
            pooled=self.pooled or (sure_heads(self.ratios) if self.ratios else None),
            barred=self.barred,
            capped=self.capped,
        )

    def recheck(self) -> list[Finding]:
        """Return what the whole recheck finds."""
        c = self.case()
        return recheck(c.document, c.library, c.brief, c.gyms, c.last_week, c.pooled, c.barred, c.capped)

    def texts(self) -> list[str]:
        """Return what the whole recheck finds, in words."""
        return [str(finding) for finding in self.recheck()]


@pytest.fixture(scope="session")
def make_week() -> type[Week]:
    """Make a fresh sound week at every call."""
    return Week
