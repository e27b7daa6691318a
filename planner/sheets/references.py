"""The evidence behind each planned exercise: library ratios with their error, and numbered references."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from library.profiles import Profile
from library.read import Library
from library.schema import EvidenceRow
from planner.document import PlannedExercise
from planner.sheets.desk import Desk

Reference = tuple[str, str]  # citation, status


@dataclass(frozen=True)
class Ratio:
    """One exercise in one head: its ratio to the anchor ± standard error, its credit, and where that stands."""

    head: str
    ratio: str
    credit: str
    rows: str


@dataclass(frozen=True)
class ExerciseEvidence:
    """One planned exercise and its ratios, heads in the document's order."""

    name: str
    sets: int
    ratios: tuple[Ratio, ...]


@dataclass(frozen=True)
class Evidence:
    """All planned exercises, and the references that they number."""

    exercises: tuple[ExerciseEvidence, ...]
    references: tuple[Reference, ...]


def evidence(desk: Desk) -> Evidence:
    """Gather the evidence of every exercise of the week, each exercise once."""
    by_id = {row.id: row for row in desk.library.evidence}
    planned = _sets_of_week(desk)
    references = _references(desk, [one.exercise for one, _ in planned.values()], by_id)
    numbers = {reference: place for place, reference in enumerate(references, start=1)}
    exercises = tuple(
        ExerciseEvidence(one.name, sets, tuple(_ratios(desk, one, by_id, numbers)))
        for one, sets in planned.values()
    )
    return Evidence(exercises, tuple(references))


def _sets_of_week(desk: Desk) -> dict[str, tuple[PlannedExercise, int]]:
    found: dict[str, tuple[PlannedExercise, int]] = {}
    for session in desk.document.sessions:
        for planned in session.exercises:
            _, sets = found.get(planned.exercise, (planned, 0))
            found[planned.exercise] = (planned, sets + planned.sets)
    return found


def _rows_of(library: Library, head: str, exercise: str) -> tuple[str, ...]:
    profile = library.profiles.get(head, {}).get(exercise)
    return profile.rows if profile else ()


def _references(desk: Desk, exercises: list[str], by_id: dict[str, EvidenceRow]) -> list[Reference]:
    """List each citation once with its status, in the order in which the exercises need them."""
    rows = (
        by_id[row]
        for exercise in exercises
        for dose in desk.document.dose
        for row in _rows_of(desk.library, dose.head, exercise)
        if row in by_id
    )
    return list(dict.fromkeys((row.citation, row.status) for row in rows))


def _ratios(
    desk: Desk, planned: PlannedExercise, by_id: dict[str, EvidenceRow], numbers: dict[Reference, int]
) -> Iterable[Ratio]:
    for dose in desk.document.dose:
        profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
        cited = [by_id[row] for row in profile.rows if row in by_id] if profile else []
        places = sorted({numbers[row.citation, row.status] for row in cited})
        yield Ratio(
            head=dose.head,
            ratio=_ratio(profile),
            credit=f"{planned.credits.get(dose.head, 0.0):.2f}",
            rows=", ".join(_runs(places)),
        )


def _ratio(profile: Profile | None) -> str:
    if profile is None:
        return "no row"
    if not profile.standard_error:
        return "1, anchor"
    # the library keeps the error of the logarithm; times the ratio it is the ratio's own
    return f"{profile.ratio:.2f} ± {profile.ratio * profile.standard_error:.2f}"


def _runs(places: list[int]) -> list[str]:
    """Say rising numbers with runs of three or more as a range: 1–4, 7."""
    runs: list[list[int]] = []
    for place in places:
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else map(str, run))]
