"""What ties a phone page, and the file that it saves, to one session of one plan."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.document import PlannedSession

FORMAT = 1  # of the file that a page saves
MARK_LENGTH = 12  # hexadecimal digits


def plan_mark(session: PlannedSession) -> str:
    """Return the mark of what a session asks of the client; what became of the session does not change it."""
    asked = [
        [
            *(item.exercise, item.sets, item.reps, item.rir, item.load, item.load_unit),
            [(other.exercise, other.sets, other.reps) for other in item.instead],
        ]
        for item in session.exercises
    ]
    text = json.dumps([session.id, session.gym, asked])
    return hashlib.sha256(text.encode()).hexdigest()[:MARK_LENGTH]
