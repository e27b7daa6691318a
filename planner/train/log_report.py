"""What `planner log` says after the log has grown: counts, pain, next loads; as text or as one JSON document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planner.log.intake import Taken
from planner.train.next_loads import PlannedLoad
from planner.train.pain import PainState
from planner.train.pain_report import pain_document

NO_LOAD = "find it"


@dataclass(frozen=True)
class LogReport:
    """What was taken in, what pain changes from tomorrow on, and the next loads of the week in force."""

    taken: Taken
    pain: PainState
    loads: tuple[PlannedLoad, ...]


def log_document(report: LogReport) -> dict[str, Any]:
    """Return the report as data for --json; loads in `unit`."""
    taken = report.taken
    return {
        "added": len(taken.added),
        "known": taken.known,
        "left_empty": taken.empty,
        "left_out": [str(fault) for fault in taken.left_out],
        "pain": pain_document(report.pain),
        "next_loads": [
            {
                "exercise": item.exercise,
                "gym": item.gym,
                "load": item.next.load,
                "unit": item.next.unit,
                "reps": list(item.next.reps),
                "fewer_sets": item.next.fewer_sets,
                "reason": item.next.reason,
            }
            for item in report.loads
        ],
    }


def log_text(report: LogReport) -> str:
    """Return the report as a person reads it."""
    taken = report.taken
    counts = f"{_sets(len(taken.added))} added, {taken.known} known already"
    if taken.empty:
        counts += f", {taken.empty} planned and left empty"
    parts = [f"{counts}."]
    if report.pain.sheet_lines:
        parts += ["", "Pain", *(f"  {line}" for line in report.pain.sheet_lines)]
    if report.loads:
        parts += ["", "Next loads", *load_lines(report.loads)]
    return "\n".join(parts)


def load_lines(loads: tuple[PlannedLoad, ...]) -> list[str]:
    """Return the table of next loads, one exercise and gym a line, the reason below it."""
    name = max(len(item.name) for item in loads)
    gym = max(len(item.gym) for item in loads)
    return [
        f"  {item.name:<{name}}  {item.gym:<{gym}}  {_load(item):>9}  × {item.next.reps[0]}–{item.next.reps[1]}"
        f"\n      {item.next.reason}"
        for item in loads
    ]


def _load(item: PlannedLoad) -> str:
    if item.next.load is not None:
        return f"{item.next.load:g} {item.next.unit}"
    return NO_LOAD if item.next.unit else "-"


def _sets(count: int) -> str:
    return "1 set" if count == 1 else f"{count} sets"
