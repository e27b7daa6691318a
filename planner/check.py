"""What an athlete's folder comes to (`planner check`): every fault of every file at once, or a page, or a document."""

import datetime
from dataclasses import asdict, dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput, NotCleared, NoWeekPossible
from library.files import attempt
from library.method import SettingRow, method
from library.read import Library
from planner.athlete import targets as resolved
from planner.athlete.brief import Allowance, Brief
from planner.athlete.folder import read_all_rows, read_week, weeks
from planner.athlete.gym import Gym, LoadRange
from planner.athlete.reading import in_units, method_of, read_brief, read_gyms
from planner.athlete.targets import HeadTarget, joint_allowances, require_clearance
from planner.cli import AsJson, AthleteFolder, NextWeek, tell
from planner.document import week_named, week_start
from planner.log.file import read_log
from planner.method import OVERRIDABLE, AthleteSettings


def check(athlete: AthleteFolder, week: NextWeek = None, as_json: AsJson = False) -> None:
    """Read every file of an athlete, tell all that is wrong or what it comes to, and print every default."""
    from library.read import read_library

    library, today = read_library(), datetime.date.today()
    checked = check_athlete(athlete, library, week_named(week or "next", today))
    tell(as_json, lambda: check_document(checked), lambda: check_text(checked, library))
    if checked.not_cleared:
        raise NotCleared(checked.not_cleared)
    if checked.brief.preferences.pin:  # else the week's model need not be loaded
        from planner.model.build import build_problem
        from planner.week.gather import gather
        from planner.week.plan import refused_pins

        inputs = gather(athlete, checked.week, today).inputs
        if refused := refused_pins(inputs, build_problem(inputs)):
            raise NoWeekPossible("\n".join(refused))


@dataclass(frozen=True)
class Checked:
    """What an athlete's folder comes to for one week. `not_cleared`: why nothing may be planned, or empty.
    `evidence_rows`, `log_lines`: how many there are."""

    brief: Brief
    gyms: dict[str, Gym]
    week: str
    targets: dict[str, HeadTarget]
    joints: dict[str, Allowance]
    warnings: tuple[str, ...]
    not_cleared: str
    evidence_rows: int
    log_lines: int
    weeks: tuple[str, ...]
    defaults: tuple[tuple[SettingRow, Any], ...]  # each with the value that counts for this athlete


def check_athlete(folder: Path, library: Library, week: str) -> Checked:
    """Read every file of the folder for the week named. Raises FaultyInput with every fault of every file."""
    faults: list[Fault] = []
    start = attempt(lambda: week_start(week), faults)
    brief = attempt(lambda: read_brief(folder, library), faults)
    gyms = attempt(lambda: read_gyms(folder, library), faults)
    evidence = attempt(lambda: read_all_rows(folder, library), faults)
    log = attempt(lambda: read_log(folder), faults)
    planned = tuple(attempt(lambda: weeks(folder), faults) or ())
    for name in planned:
        attempt(lambda name=name: read_week(folder, name), faults)  # type: ignore[misc]
    if faults or brief is None or gyms is None or start is None:
        raise FaultyInput(dict.fromkeys(faults))  # a missing folder is told once
    settings, not_cleared = method_of(brief, AthleteSettings), ""
    targets, lowered = resolved.weekly_targets(brief, library, settings)
    try:
        require_clearance(brief)
    except NotCleared as error:
        not_cleared = str(error)
    set_by_brief = {record.table: method_of(brief, record) for record in OVERRIDABLE}
    rows = ((table, row) for table, rows in method().items() for row in rows.values())
    return Checked(
        brief=brief, gyms=in_units(gyms, brief), week=week, targets=targets,
        joints=joint_allowances(brief, library),
        warnings=(*resolved.screening_warnings(brief, library, start, settings), *lowered),
        not_cleared=not_cleared, evidence_rows=len(evidence or ()), log_lines=len(log or ()), weeks=planned,
        defaults=tuple((row, getattr(set_by_brief.get(of), row.name, row.value)) for of, row in rows),
    )  # fmt: skip


def check_document(checked: Checked) -> dict[str, Any]:
    """Return the document: the brief resolved, warnings, weeks on disk, every default."""
    brief = checked.brief.model_dump()
    parts = ("table", "name", "unit", "source", "text")
    return {
        "athlete": checked.brief.athlete.name,
        "week": checked.week,
        "week_start": week_start(checked.week).isoformat(),
        "cleared": not checked.not_cleared,
        "warnings": list(checked.warnings),
        "sessions": list(brief["session"]),
        "gyms": {name: gym.model_dump(by_alias=True) for name, gym in checked.gyms.items()},
        "targets": [asdict(target) for target in checked.targets.values()],
        "joints": checked.joints,
        **{part: brief[part] for part in ("elsewhere", "variety", "preferences")},
        "evidence_rows": checked.evidence_rows,
        "log_lines": checked.log_lines,
        "weeks": list(checked.weeks),
        "defaults": [
            {"value": value, "default": row.value, **{of: getattr(row, of) for of in parts}}
            for row, value in checked.defaults
        ],
    }


def check_text(checked: Checked, library: Library) -> str:
    """Return the whole page; defaults that a brief may set stand first."""
    from planner.sheets.page import fill

    brief, may_set = checked.brief, {record.table for record in OVERRIDABLE}
    pins = [f"{key} on {pin.day}, {pin.sets} sets" for key, pin in brief.preferences.pins]
    by_table = [(of, list(items)) for of, items in groupby(checked.defaults, key=lambda item: item[0].table)]
    by_table.sort(key=lambda entry: entry[0] not in may_set)
    values = {"wishes": {**dict(brief.variety), **dict(brief.preferences), "pin": pins}, "loads": _loads}
    values |= {"start": week_start(checked.week).isoformat(), "may_set": may_set, "by_table": by_table}
    values |= {"checked": checked, "brief": brief, "card": brief.athlete, "library": library}
    return fill("check.txt", **values).rstrip()


def _loads(gym: Gym, equipment: str) -> str:
    loads = gym.loads.get(equipment)
    if isinstance(loads, LoadRange):
        return f": {loads.from_:g} to {loads.to:g} in steps of {loads.step:g}"
    return ": " + ", ".join(f"{load:g}" for load in gym.loads_of(equipment)) if loads else ""
