"""What an athlete's folder comes to, in words and columns (`planner check`)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Any

from library.table import plain
from planner.athlete.gym import Gym, LoadRange
from planner.check.collect import Checked, Default
from planner.document import week_start
from planner.method import OVERRIDABLE

if TYPE_CHECKING:
    from library.read import Library

INDENT = "  "


def check_text(checked: Checked, library: Library) -> str:
    """Return the whole page."""
    parts = {
        _title(checked): [],
        "Screening": _screening(checked),
        "Sessions": _sessions(checked),
        "Gyms": [line for name, gym in checked.gyms.items() for line in _gym(name, gym, library)],
        "Sets a week and head": _targets(checked, library),
        "Done elsewhere": _elsewhere(checked, library),
        "Joints": _joints(checked, library),
        "Variety and preferences": _wishes(checked),
        "On record": _records(checked),
        "Defaults": list(_defaults(checked.defaults)),
    }
    return "\n\n".join(
        "\n".join([title, *(INDENT + line for line in lines)]) for title, lines in parts.items()
    )


def _title(checked: Checked) -> str:
    card = checked.brief.athlete
    weight = f", {card.bodyweight_kg:g} kg" if card.bodyweight_kg else ""
    start = week_start(checked.week)
    week = f"week {checked.week} from {start:%a} {start.isoformat()}"
    return f"{card.name}: {card.training_status}{weight}, loads in {card.unit}; {week}"


def _screening(checked: Checked) -> list[str]:
    done = checked.brief.history.questionnaire
    lines = [f"questionnaire of {done.date.isoformat()}: {done.outcome}"] if done else []
    flags = checked.brief.history.flags
    lines += [f"flags: {', '.join(flags)}"] if flags else []
    lines += [f"! {text}" for text in (checked.not_cleared, *checked.warnings) if text]
    return lines


def _columns(heading: list[str], rows: Iterable[list[str]]) -> list[str]:
    return plain(heading, list(rows)).splitlines()


def _sessions(checked: Checked) -> list[str]:
    return [f"{item.day}  {item.minutes:3d} min  {item.gym}" for item in checked.brief.session]


def _gym(name: str, gym: Gym, library: Library) -> Iterator[str]:
    yield f"{name} (loads in {gym.unit})" + ("" if gym.equipment else ": no equipment")
    for key in gym.equipment:
        loads = f": {_loads(gym, key)}" if key in gym.loads else ""
        yield f"{INDENT}{library.equipment[key].name}{loads}"


def _loads(gym: Gym, key: str) -> str:
    loads = gym.loads[key]
    if isinstance(loads, LoadRange):
        return f"{loads.from_:g} to {loads.to:g} in steps of {loads.step:g}"
    return ", ".join(f"{load:g}" for load in gym.loads_of(key))


def _targets(checked: Checked, library: Library) -> list[str]:
    heading = ["head", "floor", "target", "ceiling", "priority", "days", "must"]
    rows = []
    for head, entry in library.heads.items():
        goal = checked.targets.get(head)
        if goal is not None:
            doses = [f"{value:g}" for value in (goal.floor, goal.target, goal.ceiling, goal.priority)]
            days = "default" if goal.sessions is None else str(goal.sessions)
            rows.append([entry.name, *doses, days, "yes" if goal.must else "no"])
        elif entry.role == "trained":
            rows.append([entry.name, "not trained", *[""] * 5])
    return _columns(heading, rows)


def _elsewhere(checked: Checked, library: Library) -> list[str]:
    lines = []
    for key, done in checked.brief.elsewhere.items():
        day = f", {done.day}" if done.day else ""
        whole = ", may cover a whole target" if done.whole else ""
        lines.append(f"{library.exercises[key].name}: {done.sets} sets a week{day}{whole}")
    return lines or ["nothing"]


def _joints(checked: Checked, library: Library) -> list[str]:
    said = [
        f"{library.regions[region].name}: {word}"
        for region, word in checked.joints.items()
        if word != "clear"
    ]
    return [*said, "all others: clear" if said else "all clear"]


def _wishes(checked: Checked) -> list[str]:
    asked = {**dict(checked.brief.variety), **dict(checked.brief.preferences)}
    pins = checked.brief.preferences.pin
    asked["pin"] = [f"{key} on {pin.day}, {pin.sets} sets" for key, pin in pins.items()]
    return [f"{name}: {_said(value)}" for name, value in asked.items() if value not in (None, (), [], False)]


def _records(checked: Checked) -> list[str]:
    return [
        f"evidence.csv: {checked.evidence_rows} rows of this athlete's own",
        f"log.csv: {checked.log_lines} lines",
        f"weeks: {', '.join(checked.weeks) or 'none planned yet'}",
    ]


def _said(value: Any) -> str:
    if value is True:
        return "yes"
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def _defaults(defaults: Iterable[Default]) -> Iterator[str]:
    """Yield every default: those that the brief changes, then record by record, those that a brief may set first."""
    every, may_set = list(defaults), {record.table for record in OVERRIDABLE}
    if changed := [item for item in every if item.changed]:
        yield "Changed by brief.toml."
        yield from _rows(changed)
    by_table = [(table, list(items)) for table, items in groupby(every, key=lambda item: item.row.table)]
    for table, items in sorted(by_table, key=lambda entry: entry[0] not in may_set):
        yield f"[{table}]" + (" (may be set under [method])" if table in may_set else "")
        yield from _rows(items)


def _rows(items: Iterable[Default]) -> list[str]:
    """Write defaults in columns: name, value, unit, meaning, source."""
    rows = [
        [INDENT + item.row.name, _value(item), item.row.unit, f"{item.row.text} [{item.row.source}]"]
        for item in items
    ]
    return _columns(["", "", "", ""], rows)[1:]


def _value(item: Default) -> str:
    shown = _number(item.value)
    return f"{shown} (brief; default {_number(item.row.value)})" if item.changed else shown


def _number(value: Any) -> str:
    return f"{value:.12g}" if isinstance(value, float) else str(value)
