"""Progress as a person reads it at the terminal, and as one JSON document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from planner.train.loads import percent
from planner.train.look_back import Track
from planner.train.pain_report import pain_document
from planner.train.progress import Progress, ProgressWeek

NOTHING = "Nothing is logged and nothing was planned yet."
SAID = (
    "Estimates come from repetitions and those in reserve; raises have none, because no formula was made for them. "
    "Delivered dose counts sets and says nothing of growth."
)


def progress_document(progress: Progress) -> dict[str, Any]:
    """Return progress as data: doses in direct sets, loads and maxima in `unit`, pain 0-10, shares 0-1."""
    block = progress.block
    return {
        "athlete": progress.brief.athlete.name,
        "weeks": [_week_document(progress, week) for week in progress.weeks],
        "block": None
        if block is None
        else {
            "weeks": list(block.weeks),
            "planned_sets": block.planned_sets,
            "done_as_planned": block.done_as_planned,
            "other_sets": block.other_sets,
            "adherence": round(block.adherence, 4),
            "heads": [
                {"head": item.head, "planned": round(item.planned, 3), "delivered": round(item.delivered, 3)}
                for item in block.heads
            ],
        },
        "maxima": [_track_document(track, progress) for track in progress.tracks],
        "pain": pain_document(progress.pain),
    }


def _week_document(progress: Progress, week: ProgressWeek) -> dict[str, Any]:
    plan = week.against_plan
    return {
        "week": week.week,
        "sets": week.sets,
        "planned_sets": plan.planned_sets if plan else None,
        "done_as_planned": plan.done_as_planned if plan else None,
        "adherence": round(plan.adherence, 4) if plan else None,
        "pain": week.pain,
        "heads": [
            {"head": head, "planned": _rounded(week.planned(head)), "delivered": round(week.dose[head], 3)}
            for head in progress.heads
        ],
        "skipped": [
            {"session": item.session, "exercise": item.exercise, "planned": item.planned, "done": item.done}
            for item in (plan.skipped if plan else ())
        ],
    }


def _track_document(track: Track, progress: Progress) -> dict[str, Any]:
    return {
        "exercise": track.exercise,
        "gym": track.gym,
        "unit": track.unit,
        "weeks": list(track.weeks),
        "loads": list(track.loads),
        "reps": list(track.reps),
        "maxima": [_rounded(value) for value in track.maxima],
        "formula": progress.settings.formula,
        "error_share": progress.settings.maximum_error_share,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def progress_text(progress: Progress) -> str:
    """Return the tables for the terminal."""
    if not progress.weeks:
        return NOTHING
    names = [progress.library.heads[head].name for head in progress.heads]
    rows = [["week", "sets done", *names, "pain"], *(_week_row(progress, week) for week in progress.weeks)]
    parts = [f"{progress.brief.athlete.name}: delivered of planned, direct sets", *_table(rows)]
    if progress.block:
        parts.append(
            f"Over {len(progress.block.weeks)} planned weeks {percent(progress.block.adherence)} of the sets."
        )
    if progress.tracks:
        rows = [["exercise", "gym", "first best set", "latest best set", "estimated maximum"]]
        rows += [track_row(track, progress) for track in progress.tracks]
        parts += ["", "Best sets of the first and the latest week", *_table(rows), SAID]
    if progress.pain.sheet_lines:
        parts += ["", "Pain", *progress.pain.sheet_lines]
    return "\n".join(parts)


def _week_row(progress: Progress, week: ProgressWeek) -> list[str]:
    plan = week.against_plan
    sets = f"{plan.done_as_planned + plan.other_sets} of {plan.planned_sets}" if plan else f"{week.sets}"
    heads = [dose_text(week.dose[head], week.planned(head)) for head in progress.heads]
    return [week.week, sets, *heads, "" if week.pain is None else f"{week.pain:g}"]


def dose_text(delivered: float, planned: float | None) -> str:
    """Write a delivered dose beside the planned one: "11.2 of 14"."""
    return f"{delivered:.1f}" if planned is None else f"{delivered:.1f} of {planned:.1f}"


def track_row(track: Track, progress: Progress) -> list[str]:
    """Write one exercise in one gym: names, first and latest best set, estimated maximum with its error."""
    exercise = progress.library.exercises.get(track.exercise)
    name = exercise.name if exercise else track.exercise
    best = [f"{load:g} {track.unit} × {reps}" for load, reps in zip(track.loads, track.reps, strict=True)]
    return [name, track.gym, best[0], best[-1] if len(best) > 1 else "", _maximum_text(track, progress)]


def _maximum_text(track: Track, progress: Progress) -> str:
    known = [value for value in track.maxima if value is not None]
    if not known:
        return ""
    first = f"{known[0]:.3g} → " if len(known) > 1 else ""
    return f"{first}{known[-1]:.3g} {track.unit} ± {percent(progress.settings.maximum_error_share)}"


def _table(rows: Iterable[list[str]]) -> list[str]:
    """Set cells in columns, the first to the left and numbers to the right."""
    rows = list(rows)
    wide = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip()
        for row in rows
    ]
