"""What an athlete's folder comes to, as one JSON document (`planner check --json`)."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from planner.check.collect import Checked, Default
from planner.document import week_start


def check_document(checked: Checked) -> dict[str, Any]:
    """Return the document: the brief resolved, warnings, weeks on disk, every default."""
    brief = checked.brief
    return {
        "athlete": brief.athlete.name,
        "week": checked.week,
        "week_start": week_start(checked.week).isoformat(),
        "cleared": not checked.not_cleared,
        "warnings": list(checked.warnings),
        "sessions": [session.model_dump() for session in brief.session],
        "gyms": {name: gym.model_dump(by_alias=True) for name, gym in checked.gyms.items()},
        "targets": [asdict(target) for target in checked.targets.values()],
        "elsewhere": {key: done.model_dump() for key, done in brief.elsewhere.items()},
        "joints": checked.joints,
        "variety": brief.variety.model_dump(),
        "preferences": brief.preferences.model_dump(),
        "evidence_rows": checked.evidence_rows,
        "log_lines": checked.log_lines,
        "weeks": list(checked.weeks),
        "defaults": [_default(item) for item in checked.defaults],
    }


def _default(item: Default) -> dict[str, Any]:
    row = item.row
    return {
        "table": row.table,
        "name": row.name,
        "value": item.value,
        "default": row.value,
        "unit": row.unit,
        "source": row.source,
        "text": row.text,
    }
