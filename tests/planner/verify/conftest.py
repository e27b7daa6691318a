"""The tiny library, brief and sound week of tiny_week.toml; every number there was worked out by hand."""

import copy
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from cautious_week import sure_heads

from library.credit import Profile
from library.pool import PooledHead
from library.read import Library
from library.schema import Equipment, EvidenceRow, Exercise, Family, Flag, Head, Named, Region
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.document import WeekDocument
from planner.verify.case import Case
from planner.verify.recheck import recheck

TINY = tomllib.loads((Path(__file__).parent / "tiny_week.toml").read_text(encoding="utf-8"))
SURE = {head: TINY["ratios"][head] for head in ("front", "side", "rear")}


def _exercise(key, facts):
    whole = TINY["defaults"] | {"key": key, "name": key.replace("_", " ")} | facts
    stress = {region: TINY["stress"] | grade for region, grade in whole["stress"].items()}
    return Exercise.model_validate(whole | {"stress": stress})


def _row(head, exercise):
    facts = {"kind": "published", "study": "s", "citation": "a study", "phase": "both", "metric": "mean"}
    facts |= {"id": f"{head}.{exercise}", "exercise": exercise, "head": head, "unit": "percent_MVIC"}
    return EvidenceRow.model_validate(facts | {"mean": 30, "status": "read"})


def _head(key, anchor):
    role = "watched" if key == "trap" else "trained"
    return Head.model_validate({"key": key, "name": key, "muscle": "deltoid", "role": role, "anchor": anchor})


def tiny_library():
    """Ten exercises, three trained heads, one watched."""
    exercises = {key: _exercise(key, facts) for key, facts in TINY["exercises"].items()}
    equipment = ("dumbbells", "adjustable_bench", "cable_station", "dual_cable_station", "barbell")
    return Library(
        exercises=exercises, heads={key: _head(key, anchor) for key, anchor in TINY["anchors"].items()},
        equipment={key: Equipment(key=key, name=key, has_loads=True) for key in equipment},
        implements={e.implement: Named(key=e.implement, name=e.implement) for e in exercises.values()},
        families={e.family: Family(key=e.family, name=e.family) for e in exercises.values()},
        regions={key: Region(key=key, name=key) for key in ("subacromial", "anterior_capsule")},
        flags={"arch": Flag(key="arch", name="arch", regions={"subacromial": "avoid"}, source="proposal")},
        folder="", digest="0123456789ab",
        evidence=tuple(_row(head, key) for head, keys in TINY["ratios"].items() for key in keys),
        profiles={
            head: {key: Profile(ratio, 0.1, (f"{head}.{key}",)) for key, ratio in keys.items()}
            for head, keys in TINY["ratios"].items()
        },
    )  # fmt: skip


LIBRARY = tiny_library()


def _line(order, key, facts):
    """Write a line of a session: what the library says of the exercise, and the facts worked out by hand."""
    exercise = LIBRARY.exercises[key]
    line = {"order": order, "block": "ABC"[order - 1], "exercise": key, "name": exercise.name, "rir": 2}
    line |= {"reps": list(exercise.reps), "tempo": exercise.tempo.model_dump(), "sides": exercise.sides}
    line |= {"rest_s": exercise.rest_seconds, "setup_s": exercise.setup_seconds, "load_is": exercise.load_is}
    line |= {"warmup_sets": exercise.warmup_sets, "trains": exercise.trains or ""}
    return copy.deepcopy(line | {"load_unit": "kg", "load": 10, "instead": []} | facts)


def _document():
    document = copy.deepcopy(TINY["document"])
    for session in document["sessions"]:
        lines = enumerate(TINY["lines"].items(), start=1)
        session["exercises"] = [_line(order, key, facts) for order, (key, facts) in lines]
    for line in document["dose"]:
        line |= {"floor": 4, "chance_floor": 0.99, "chance_target90": 0.6}
    return document


def _change(holder, steps, value):
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

    document: dict[str, Any] = field(default_factory=_document)
    brief: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(TINY["brief"]))
    gyms: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(TINY["gyms"]))
    last_week: dict[str, Any] | None = None
    ratios: dict[str, dict[str, float]] = field(default_factory=lambda: copy.deepcopy(SURE))
    pooled: dict[str, PooledHead] | None = None  # None: the ratios, as sure as can be
    barred: dict[str, str] = field(default_factory=dict)
    capped: dict[str, int] = field(default_factory=dict)
    last_sets: dict[tuple[str, str], int] = field(default_factory=dict)

    def first(self, key, day=0):
        return next(p for p in self.document["sessions"][day]["exercises"] if p["exercise"] == key)

    def row(self, table, **facts):
        return next(r for r in self.document[table] if all(r[name] == value for name, value in facts.items()))

    def change(self, changes):
        """Change entries at paths: "document.sessions.0.id"; "<gone>" takes one away, a path ending in + appends."""
        for path, value in changes.items():
            first, *steps = path.split(".")
            if steps:
                _change(getattr(self, first), steps, value)
            else:  # `{"last_week": "document"}`: last week was as this one
                setattr(self, first, copy.deepcopy(self.document) if value == "document" else value)
        return self

    def case(self):
        last = self.last_week and WeekDocument.model_validate(self.last_week)
        return Case(
            document=WeekDocument.model_validate(self.document), library=LIBRARY,
            brief=Brief.model_validate(self.brief),
            gyms={name: Gym.model_validate(gym) for name, gym in self.gyms.items()}, last_week=last or None,
            pooled=self.pooled or (sure_heads(self.ratios) if self.ratios else None), barred=self.barred,
            capped=self.capped, last_sets=self.last_sets,
        )  # fmt: skip

    def recheck(self):
        c = self.case()
        return recheck(c.document, c.library, c.brief, c.gyms, c.last_week, c.pooled, c.barred, c.capped)

    def texts(self):
        return [str(finding) for finding in self.recheck()]


@pytest.fixture(scope="session")
def make_week():
    return Week
