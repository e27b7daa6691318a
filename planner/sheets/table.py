"""The week as a table: week.csv with one tidy row per exercise and session, and plain text for the terminal."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from planner.document import HeadDose, PlannedExercise, PlannedSession, WeekDocument
from planner.method import TOLD
from planner.plain import columns, goals_said, limit_said, number, proof_line, short_lines, week_of
from planner.sheets import say
from planner.sheets.caution import caution_lines
from planner.sheets.coach import own_and_helping, total

if TYPE_CHECKING:
    from library.read import Library

# Columns of week.csv, in order; then dose_HEAD for each head of the document. `session` is its id, `block` the letter
# that paired exercises share, `work_seconds` one set on one side, `instead` the key of the best replacement.
COLUMNS = (
    *("athlete", "week", "session", "day", "gym", "session_minutes_allowed", "session_minutes_used"),
    *("order", "block", "exercise", "name", "sets", "reps_low", "reps_high"),
    *("lift_seconds", "top_seconds", "lower_seconds", "bottom_seconds", "reps_in_reserve"),
    *("rest_seconds", "work_seconds", "setup_seconds", "warmup_sets", "sides", "minutes"),
    *("load", "load_unit", "load_is", "instead", "instead_sets"),
)
DOSE_HEADING = (
    *("head", "own", "helping", "counted", "of it elsewhere", "beyond", "floor", "target", "ceiling"),
    *("90 %", "floor met", "simple count"),
)
DOSE_WORDS = (
    "Direct (full) sets. Own: movements chosen for the head; helping: all others, as far as they count; beyond: what",
    "they give besides. Simple count, these sessions alone: 1 a set of a main mover, 0.5 of a helper.",
)
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def week_csv(document: WeekDocument) -> str:
    """Write week.csv: comma, dot, UTF-8 without BOM; doses in direct sets. An empty week is the heading alone."""
    heads = [dose.head for dose in document.dose]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*COLUMNS, *(f"dose_{head}" for head in heads)])
    for session in document.sessions:
        for planned in say.in_order(session):
            doses = [f"{planned.credits.get(head, 0.0) * planned.sets:.3f}" for head in heads]
            writer.writerow([*map(_cell, _fields(document, session, planned)), *doses])
    return text.getvalue()


def _fields(document: WeekDocument, session: PlannedSession, one: PlannedExercise) -> Iterable[object]:
    tempo, instead = one.tempo, one.instead[0] if one.instead else None
    yield from (document.athlete, document.week, session.id, session.day, session.gym)
    yield from (session.minutes.allowed, session.minutes.used)
    yield from (one.order, one.block, one.exercise, one.name, one.sets, *one.reps_asked)
    yield from (tempo.lift, tempo.top, tempo.lower, tempo.bottom, one.rir)
    yield from (one.rest_s, one.work_s, one.setup_s, one.warmup_sets, one.sides, one.minutes)
    yield from (one.load, one.load_unit, one.load_is)
    yield from (instead.exercise, instead.sets) if instead else (None, None)


def _cell(value: object) -> str:
    """Write a cell; text that a spreadsheet would take for a formula gets an apostrophe in front."""
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(FORMULA_STARTS) else value
    return f"{value:g}" if isinstance(value, float) else str(value)


def week_table(document: WeekDocument, library: Library) -> str:
    """Write the week as plain text: pain first, then shortfalls, warnings, sessions, the dose and its proof."""
    trained = any(session.exercises for session in document.sessions)
    notes = say.further(document.notes, document.warnings, document.pain)
    parts = [
        [f"{say.plain(document.athlete)}, {week_of(document.week, document.week_start)}"],
        [f"PAIN: {say.plain(line)}" for line in document.pain],
        short_lines((dose.head, total(dose), dose.target, dose.floor) for dose in document.dose)
        + _held_back(document, library)
        + missed_lines(document, library),
        [say.plain(warning) for warning in say.further(document.warnings, document.pain)],
        *(list(_session_lines(session)) for session in document.sessions),
        [] if trained else [say.read_words().line["nothing_left"]],
        _dose_lines(document.dose),
        caution_lines(document),
        [proof_line(proof) for proof in document.proof],
        ["The search was stopped: a better plan may exist."] if document.status == "stopped" else [],
        [f"note: {say.plain(note)}" for note in notes],
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def missed_lines(document: WeekDocument, library: Library) -> list[str]:
    """Say each goal beside the dose that the week misses, and by how much."""
    return [f"missed: {said}" for said, _ in goals_said(library, document.missed, doses=False)]


def _held_back(document: WeekDocument, library: Library) -> list[str]:
    """Say which joint budgets are used up, where a head is short."""
    full = [limit for limit in document.limits if limit.binds and limit.limit.startswith("joints:")]
    short = any(dose.target - total(dose) >= TOLD.short_from for dose in document.dose)
    return [f"used up: {limit_said(library, limit)}" for limit in full if short]


def _session_lines(session: PlannedSession) -> Iterator[str]:
    title = f"{say.day(session.id)}, {say.plain(session.gym)}, {say.minutes(session)}"
    blocks = say.blocks(say.in_order(session))
    rows = [_session_row(one, say.rest_after(block, one)) for block in blocks for one in block]
    yield title if rows or session.state == "missed" else f"{title}: nothing"
    if rows:
        yield from columns([("", "exercise", "sets x reps", "load", "rest"), *rows])


def _session_row(one: PlannedExercise, rest: int | None) -> tuple[str, ...]:
    sides = " each side" if one.sides > 1 else ""
    dosage = f"{one.sets} x {say.reps(one.reps_asked).replace('–', '-')}{sides}"
    pause = "none, go on" if rest is None else say.rest(rest)
    return one.block, say.plain(one.name), dosage, say.load(one), pause


def _dose_lines(doses: tuple[HeadDose, ...]) -> list[str]:
    rows = [
        (
            dose.head,
            *(text.replace("–", "-") for text in own_and_helping(dose)),
            *(f"{sets:.1f}" for sets in (total(dose), dose.elsewhere, dose.beyond)),
            *(number(sets) for sets in (dose.floor, dose.target, dose.ceiling)),
            f"{dose.low90:.1f}-{dose.high90:.1f}",
            say.share(dose.chance_floor),
            f"{dose.by_movers:.1f}",
        )
        for dose in doses
    ]
    return [*columns([DOSE_HEADING, *rows]), *DOSE_WORDS] if rows else []
