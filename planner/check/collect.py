"""Read every file of an athlete's folder; tell all faults of all files at once, or what they come to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from library.errors import Fault, FaultyInput
from library.method import SettingRow, method
from planner.athlete.brief import Allowance, Brief
from planner.athlete.evidence import read_all_rows
from planner.athlete.folder import read_week, weeks
from planner.athlete.gym import Gym
from planner.athlete.method import method_of
from planner.athlete.reading import in_units, read_brief, read_gyms
from planner.athlete.screening import joint_allowances, require_clearance, screening_warnings
from planner.athlete.targets import HeadTarget, weekly_targets
from planner.document import week_start
from planner.errors import NotCleared
from planner.log.file import read_log
from planner.method import OVERRIDABLE, AthleteSettings

if TYPE_CHECKING:
    from library.read import Library

Read = TypeVar("Read")


@dataclass(frozen=True)
class Default:
    """One default: its row, and the value that counts for this athlete."""

    row: SettingRow
    value: Any

    @property
    def changed(self) -> bool:
        """Whether the brief sets another value."""
        return bool(self.value != self.row.value)


@dataclass(frozen=True)
class Checked:
    """What an athlete's folder comes to for one week.

    `not_cleared`: why nothing may be planned, or empty. `evidence_rows`, `log_lines`: how many there are.
    """

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
    defaults: tuple[Default, ...]


def check_athlete(folder: Path, library: Library, week: str) -> Checked:
    """Read every file of the folder for the week named. Raises FaultyInput with every fault of every file."""
    faults: list[Fault] = []
    start = _tried(lambda: week_start(week), faults)
    brief = _tried(lambda: read_brief(folder, library), faults)
    gyms = _tried(lambda: read_gyms(folder, library), faults)
    evidence = _tried(lambda: read_all_rows(folder, library), faults)
    log = _tried(lambda: read_log(folder), faults)
    planned = _weeks(folder, faults)
    if faults or brief is None or gyms is None or start is None:
        raise FaultyInput(dict.fromkeys(faults))  # a missing folder is told once
    settings = method_of(brief, AthleteSettings)
    targets, lowered = weekly_targets(brief, library, settings)
    return Checked(
        brief=brief,
        gyms=in_units(gyms, brief),
        week=week,
        targets=targets,
        joints=joint_allowances(brief, library),
        warnings=(*screening_warnings(brief, library, start, settings), *lowered),
        not_cleared=_not_cleared(brief),
        evidence_rows=len(evidence or ()),
        log_lines=len(log or ()),
        weeks=planned,
        defaults=defaults_of(brief),
    )


def _tried(read: Callable[[], Read], faults: list[Fault]) -> Read | None:
    try:
        return read()
    except FaultyInput as error:
        faults += error.faults
        return None


def _weeks(folder: Path, faults: list[Fault]) -> tuple[str, ...]:
    names = _tried(lambda: weeks(folder), faults) or []
    for name in names:
        _tried(lambda name=name: read_week(folder, name), faults)  # type: ignore[misc]
    return tuple(names)


def _not_cleared(brief: Brief) -> str:
    try:
        require_clearance(brief)
    except NotCleared as error:
        return str(error)
    return ""


def defaults_of(brief: Brief) -> tuple[Default, ...]:
    """Return every default of every settings record, with what the brief makes of it."""
    set_by_brief = {record.table: method_of(brief, record) for record in OVERRIDABLE}
    return tuple(
        Default(row, getattr(set_by_brief.get(table), row.name, row.value))
        for table, rows in method().items()
        for row in rows.values()
    )
