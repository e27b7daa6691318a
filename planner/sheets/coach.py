"""What the coach's pages say: pain, dose, sessions, limits, proof and evidence of a week document in ready words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from planner.document import PlannedExercise, PlannedSession, Proof
from planner.plain import (
    AIMS,
    gap_words,
    goals_said,
    joined,
    limit_said,
    name_of,
    number,
    unit_words,
    week_of,
)
from planner.sheets import say, table
from planner.sheets.page import Desk

if TYPE_CHECKING:
    from library.credit import Profile

References = dict[tuple[str, str], int]


def page_values(desk: Desk) -> dict[str, Any]:
    """Give all that the template of the coach's pages prints."""
    document = desk.document
    binding = [limit_said(desk.library, limit) for limit in document.limits if limit.binds]
    rows, references = evidence(desk)
    recorded = [desk.words.coach["recorded"].format(days=joined(desk.recorded))] if desk.recorded else []
    return {
        "week": say.sentence(week_of(document.week, document.week_start)),
        "warnings": say.further(document.warnings, document.pain),
        "shortfalls": say.short_of(document, desk.name),
        "dose": [(desk.name(dose.head), *table.dose_cells(dose)) for dose in document.dose],
        "table": table,  # of a cautious week beside the plain one
        "name": desk.name,
        "changes": [say.change(desk.library, change) for change in document.changes],
        "sessions": [_session(session) for session in document.sessions],
        "notes": [*recorded, *say.further(document.notes, document.warnings, document.pain)],
        "missed": [said for said, _ in goals_said(desk.library, document.missed)],
        "binding": binding,
        "roomy": _joints(desk),
        "proofs": [_proof(desk, proof) for proof in document.proof],
        "heads": [desk.name(dose.head) for dose in document.dose],
        "evidence": rows,
        "references": references,
        "own": [(key.replace("_", " "), _value(value)) for key, value in sorted(desk.brief.method.items())],
    }


def _session(session: PlannedSession) -> dict[str, Any]:
    """Write a session: what is done, with which load, and why this load; – where nothing was logged."""
    rows = [
        (f"{one.sets} × {say.reps(one.reps_asked)}", one.name, say.load(one), one.load_reason or "–")
        for one in say.in_order(session)
    ]
    return {
        "day": say.day(session.id),
        "gym": say.gym(session),
        "minutes": say.minutes(session),
        "rows": rows,
    }


def _joints(desk: Desk) -> list[str]:
    """Say how much is used of the budgets of joints to go easy on, where they do not bind."""
    return [
        f"{name_of(desk.library, limit.limit.partition(':')[2])} {number(limit.used)} of {number(limit.allowed)}"
        for limit in desk.document.limits
        if desk.allowed.get(limit.limit.partition(":")[2], "clear") != "clear" and not limit.binds
    ]


def _proof(desk: Desk, proof: Proof) -> str:
    """Say how good the plan is proven to be for one aim; seconds are left out: they differ by machine."""
    places = 1 if proof.aim == "rest" else 2
    return desk.words.coach["proof"].format(
        aim=say.sentence(AIMS[proof.aim]),
        value=f"{proof.value:.{places}f}",
        bound=f"{proof.bound:.{places}f}",
        gap=gap_words(proof),
        unit=f"{'weighted ' if proof.aim == 'dose' else ''}{unit_words(proof.unit)}",
        among=proof.among or desk.words.coach["proof_among_all"],
    )


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_value, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def evidence(desk: Desk) -> tuple[list[tuple[str, int, list[tuple[str, str, str]]]], References]:
    """Give each exercise's name, sets and, a head, its ratio ± standard error, references and credit.

    Beside them the references (short citation, status), numbered in the order in which the exercises need them.
    """
    known = {row.id: row for row in desk.library.evidence}
    references: References = {}
    rows = []
    for planned, sets in _sets_of_week(desk).values():
        cells = []
        for dose in desk.document.dose:
            profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
            cited = [known[row] for row in (profile.rows if profile else ()) if row in known]
            pairs = dict.fromkeys((_short(row.citation), row.status) for row in cited)
            numbers = sorted(references.setdefault(pair, len(references) + 1) for pair in pairs)
            credit = f"{planned.credits.get(dose.head, 0.0):.2f}"
            cells.append((_ratio(profile), ", ".join(_runs(numbers)), credit))
        rows.append((planned.name, sets, cells))
    return rows, references


def _sets_of_week(desk: Desk) -> dict[str, tuple[PlannedExercise, int]]:
    week: dict[str, tuple[PlannedExercise, int]] = {}
    for session in desk.document.sessions:
        for planned in session.exercises:
            week[planned.exercise] = planned, week.get(planned.exercise, (planned, 0))[1] + planned.sets
    return week


def _short(citation: str) -> str:
    """Shorten a citation to its authors and year; the library gives it whole."""
    return citation.split(",")[0].split(" doi ")[0].strip()


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
