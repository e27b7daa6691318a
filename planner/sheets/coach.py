"""What the coach's pages say of a week: pain, dose, sessions, limits, proof, evidence; and a block's wall page, weeks across."""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from library.credit import Profile
from library.read import Library
from planner import plain
from planner.document import PlannedExercise, WeekDocument, with_weeks_away
from planner.sheets import say, table
from planner.sheets.page import Desk

References = dict[tuple[str, str], int]


def page_values(desk: Desk) -> dict[str, Any]:
    """Give what the template of the coach's pages prints besides what it reads from the desk's document."""
    document = desk.document
    rows, references = evidence(desk)
    recorded = desk.words.coach["recorded"].format(days=plain.joined(desk.recorded)) if desk.recorded else ""
    loose = ((limit, limit.limit.partition(":")[2]) for limit in document.limits if not limit.binds)
    return {
        "say": say, "table": table, "name": desk.name, "evidence": rows, "references": references,
        "warnings": say.further(document.warnings, document.pain),
        "shortfalls": plain.short_of(document, desk.name),
        "changes": [say.change(desk.library, change) for change in document.changes],
        "notes": [
            *filter(None, [recorded]), *plain.less_on_purpose(document, desk.name),
            *say.further(document.notes, document.warnings, document.pain),
        ],
        "missed": plain.goals_said(desk.library, document),
        "binding": [plain.limit_said(desk.library, limit) for limit in document.limits if limit.binds],
        # budgets of joints to go easy on that do not bind
        "roomy": [
            f"{plain.name_of(desk.library, of)} {plain.number(limit.used)} of {plain.number(limit.allowed)}"
            for limit, of in loose if desk.allowed.get(of, "clear") != "clear"
        ],
        "own": [(key.replace("_", " "), _value(value)) for key, value in sorted(desk.brief.method.items())],
    }  # fmt: skip


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_value, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def evidence(desk: Desk) -> tuple[list[tuple[str, int, list[tuple[str, str, str]]]], References]:
    """Give each exercise's name, sets and, a head, its ratio ± standard error, references (numbered as met) and credit."""
    known = {row.id: row for row in desk.library.evidence}
    references: References = {}
    week: dict[str, tuple[PlannedExercise, int]] = {}
    for planned in (planned for session in desk.document.sessions for planned in session.exercises):
        week[planned.exercise] = planned, week.get(planned.exercise, (planned, 0))[1] + planned.sets
    rows = []
    for planned, sets in week.values():
        cells = []
        for dose in desk.document.dose:
            profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
            cited = [known[row] for row in (profile.rows if profile else ()) if row in known]
            # authors and year
            short = ((row.citation.split(",")[0].split(" doi ")[0].strip(), row.status) for row in cited)
            numbers = sorted(references.setdefault(of, len(references) + 1) for of in dict.fromkeys(short))
            credit = f"{planned.credits.get(dose.head, 0.0):.2f}"
            cells.append((_ratio(profile), ", ".join(_runs(numbers)), credit))
        rows.append((planned.name, sets, cells))
    return rows, references


def _ratio(profile: Profile | None) -> str:
    if profile is None:
        return "no row"
    if not profile.standard_error:
        return "1, anchor"
    # the library keeps the error of the logarithm; times the ratio it is the ratio's own
    return f"{profile.ratio:.2f} ± {profile.ratio * profile.standard_error:.2f}"


def _runs(places: list[int]) -> list[str]:
    """Say rising numbers with runs of three or more as a range: 1–4, 7."""
    alike = groupby(enumerate(places), lambda pair: pair[1] - pair[0])  # the same along a run
    runs = [[place for _, place in pairs] for _, pairs in alike]
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else map(str, run))]


ROOMY_WEEKS, ROOMY_ROWS = 9, 12  # of our style sheet: so much has room in large letters


def block_values(planned: Sequence[WeekDocument], library: Library) -> dict[str, Any]:
    """Give all that the template of the wall page prints; a session's rows hold an exercise's line of each week."""
    by_name = with_weeks_away(planned)
    weeks, sessions = list(by_name.values()), []  # None: the athlete is away
    lines = [_lines(week) for week in weeks]
    places = dict.fromkeys(place for of_week in lines for place in of_week)  # what joins later stands behind
    for one in planned[0].sessions:
        rows = [[of.get(place) for of in lines] for place in places if place[0] == one.id]
        sessions.append((say.day(one.id), rows))
    heads = dict.fromkeys(dose.head for week in planned for dose in week.dose)
    worst = (max((week.proof[aim] for week in planned), key=lambda proof: proof.gap) for aim in (0, 1))
    return {
        "planned": planned, "weeks": weeks, "heading": list(_heading(by_name)), "sessions": sessions, "say": say,
        "heads": {head: say.sentence(plain.name_of(library, head)) for head in heads}, "unshown": plain.UNSHOWN,
        "roomy": len(weeks) <= ROOMY_WEEKS and sum(len(rows) for _, rows in sessions) <= ROOMY_ROWS,
        "gaps": [plain.gap_words(proof) for proof in worst] if all(week.proof for week in planned) else [],
    }  # fmt: skip


def _lines(week: WeekDocument | None) -> dict[tuple[str, str], PlannedExercise]:
    """Give a week's lines by session and exercise, in printed order."""
    sessions = week.sessions if week else ()
    return {(one.id, line.exercise): line for one in sessions for line in say.in_order(one)}


def _heading(weeks: Mapping[str, WeekDocument | None]) -> Iterator[dict[str, str]]:
    """Head each week: its place among those that are planned, number, Monday, kind (a class of the style sheet too)
    and reserve."""
    place = 0
    for name, week in weeks.items():
        place += week is not None
        reserves = sorted({line.rir for line in _lines(week).values()})
        effort = "–".join(map(str, dict.fromkeys((*reserves[:1], *reserves[-1:]))))
        monday = re.sub(r"^(\d+ \w{3}).*", r"\1", say.session_date(week.week_start, "Mon")) if week else ""
        look = "away" if week is None else "lighter" if week.block and week.block.lighter else ""
        of_week = {"number": str(place) if week else "", "week": name.partition("-")[2], "date": monday}
        yield of_week | {"look": look, "effort": effort}
