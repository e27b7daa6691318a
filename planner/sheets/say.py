"""How numbers of the week document are said on paper: tempo, rest, load, dates, shares. Seconds in, words out."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Sequence

from planner.document import PlannedExercise, PlannedSession, Proof, TempoSeconds, WeekDocument
from planner.plain import DAY_NAMES

# said on paper as at the terminal: the sheets find them here, beside what paper alone says
from planner.plain import decimals as decimals
from planner.plain import joined as joined
from planner.plain import number as number
from planner.sheets.words import Words

# the system's locale must not change the paper, so month names are ours
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
OVER = {"done": "trained", "missed": "missed"}  # what is said of a session that is over
JOINERS = "\u200c\u200d"
SESSION_ID = re.compile(r"^([A-Z][a-z]{2})(?:-(\d+))?$")


def plain(text: str) -> str:
    """Drop control characters and marks that turn the writing direction; joiners that some scripts need stay."""
    return "".join(one for one in text if one in JOINERS or unicodedata.category(one) not in ("Cc", "Cf"))


def counted(value: float, unit: str) -> str:
    """Say an amount with its unit: 2.4 direct sets, 1 pair."""
    said = number(value)
    return f"{said} {unit.removesuffix('s') if said == '1' and len(unit) > 1 else unit}"


def load(one: PlannedExercise) -> str:
    """Say the load to use, with its unit, or that it is yet to be found."""
    return f"{decimals(one.load)} {one.load_unit or ''}".strip() if one.load is not None else "to find"


def share(value: float) -> str:
    """Say a chance as whole per cent; certainty is never claimed from draws."""
    per_cent = round(value * 100)
    if per_cent >= 100:
        return "over 99 %"
    return f"{per_cent} %" if per_cent else "under 1 %"


def reps(low_high: tuple[int, int]) -> str:
    """Say a repetition range: 8–12, or 10 where both ends are one."""
    low, high = low_high
    return f"{low}" if low == high else f"{low}–{high}"


def tempo(seconds: TempoSeconds) -> str:
    """Say a tempo in words: lift 1 s, hold 1 s, lower 3 s, wait 1 s; parts of no length are left out."""
    parts = (
        ("lift", seconds.lift),
        ("hold", seconds.top),
        ("lower", seconds.lower),
        ("wait", seconds.bottom),
    )
    return ", ".join(f"{word} {length} s" for word, length in parts if length)


def rest(seconds: int) -> str:
    """Say a rest: 45 s, 2 min, 1 min 30 s."""
    minutes, left = divmod(seconds, 60)
    if not minutes:
        return f"{left} s"
    return f"{minutes} min" + (f" {left} s" if left else "")


def blocks(in_order: Sequence[PlannedExercise]) -> list[list[PlannedExercise]]:
    """Exercises next to each other with the same block letter are one block: a pair, done in turns."""
    found: list[list[PlannedExercise]] = []
    for planned in in_order:
        if found and planned.block and found[-1][0].block == planned.block:
            found[-1].append(planned)
        else:
            found.append([planned])
    return found


def rest_after(block: Sequence[PlannedExercise], planned: PlannedExercise) -> int | None:
    """Seconds of rest after a set: of a pair's last exercise the longer rest of both, before it none at all."""
    return max(one.rest_s for one in block) if planned is block[-1] else None


def reserve(rir: int) -> str:
    """Say repetitions in reserve as where to stop."""
    return f"stop with {rir} left" if rir else "go on to the last good rep"


def load_of(exercise: PlannedExercise, implement: str, words: Words) -> str:
    """Say what a load counts: each hand, with the bar, on the stack."""
    if exercise.load_is == "each_hand" and exercise.sides == 2:
        return words.load["one_hand"]
    return words.load.get(implement, words.load[exercise.load_is])


def day(session_id: str) -> str:
    """Say a session's day in full; Mon-2 is the second session on Monday."""
    found = SESSION_ID.match(session_id)
    if not found or found[1] not in DAY_NAMES:
        return session_id
    return DAY_NAMES[found[1]] + (f" ({found[2]})" if found[2] else "")


def date(day_in_week: datetime.date) -> str:
    """Say a date: 30 Nov 2026."""
    return f"{day_in_week.day} {MONTHS[day_in_week.month - 1]} {day_in_week.year}"


def minutes(session: PlannedSession) -> str:
    """Say how much of a session's time is used: 29.7 of 40 min; of one that is over, what became of it."""
    used = f"{number(session.minutes.used)} of {number(session.minutes.allowed)} min"
    return OVER.get(session.state, used)


def session_date(week_start: str, day_key: str) -> str:
    """Say the date of a day of the week that starts at `week_start` (ISO date); empty if it cannot be known."""
    try:
        start = datetime.date.fromisoformat(week_start)
        return date(start + datetime.timedelta(days=tuple(DAY_NAMES).index(day_key)))
    except ValueError:
        return ""


def gap(proof: Proof) -> str:
    """Say how far a plan may be from the best: hundredths of a set, tenths of a minute."""
    return f"{max(0.0, proof.gap):.{1 if proof.aim == 'rest' else 2}f}"


def further_notes(document: WeekDocument) -> list[str]:
    """Give the notes that no warning says already: each thing is said once."""
    return [note for note in document.notes if note not in document.warnings]
