"""The week as a table: week.csv with one tidy row per exercise and session, and plain text for the terminal."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from library.read import Library
from planner.document import HeadDose, PlannedExercise, PlannedSession, Proof, WeekDocument
from planner.plain import UNSHOWN, columns, unit_words
from planner.sheets import names, say
from planner.sheets.caution import caution_lines
from planner.sheets.words import read_words

# Columns of week.csv, in order; then one column a head, dose_HEAD, in the document's order of heads.
COLUMNS = (
    "athlete",  # name
    "week",  # ISO week
    "session",  # id of the session
    "day",
    "gym",
    "session_minutes_allowed",
    "session_minutes_used",
    "order",
    "block",  # exercises of one letter are paired
    "exercise",  # key of the library
    "name",
    "sets",
    "reps_low",
    "reps_high",
    "lift_seconds",
    "top_seconds",
    "lower_seconds",
    "bottom_seconds",
    "reps_in_reserve",
    "rest_seconds",
    "work_seconds",  # one set on one side
    "setup_seconds",
    "warmup_sets",
    "sides",
    "minutes",
    "load",
    "load_unit",
    "load_is",
    "instead",  # key of the best replacement
    "instead_sets",
)
DOSE_HEADING = (
    *("head", "sets", "elsewhere", "total", "floor", "target", "ceiling"),
    *("90 %", "floor met", "by movers"),
)
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def week_csv(document: WeekDocument) -> str:
    """Write week.csv: comma, dot, UTF-8 without BOM; doses in direct sets. An empty week is the heading alone."""
    heads = [dose.head for dose in document.dose]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*COLUMNS, *(f"dose_{head}" for head in heads)])
    for session in document.sessions:
        for planned in sorted(session.exercises, key=lambda one: one.order):
            doses = [f"{planned.credits.get(head, 0.0) * planned.sets:.3f}" for head in heads]
            writer.writerow([*map(_cell, _fields(document, session, planned)), *doses])
    return text.getvalue()


def _fields(document: WeekDocument, session: PlannedSession, one: PlannedExercise) -> Iterable[object]:
    tempo, instead = one.tempo, one.instead[0] if one.instead else None
    yield from (document.athlete, document.week, session.id, session.day, session.gym)
    yield from (session.minutes.allowed, session.minutes.used)
    yield from (one.order, one.block, one.exercise, one.name, one.sets, *one.reps)
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
    """Write the week as plain text: shortfall first if a target is missed, then sessions, then the dose."""
    parts = [
        [f"{say.plain(document.athlete)}, week {document.week} from {document.week_start}"],
        _shortfalls(document, library),
        [say.plain(warning) for warning in document.warnings],
        *(_session_lines(session) for session in document.sessions),
        _nothing(document),
        _dose_lines(document.dose),
        caution_lines(document),
        [_proof_line(proof) for proof in document.proof],
        _stopped(document),
        [f"note: {say.plain(note)}" for note in say.further_notes(document)],
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _shortfalls(document: WeekDocument, library: Library) -> list[str]:
    short = {dose.head: dose.target - dose.planned - dose.elsewhere for dose in document.dose}
    worst = sorted(short.items(), key=lambda entry: -entry[1])
    lines = [f"SHORT of target: {head} by {gap:.1f} sets" for head, gap in worst if gap >= UNSHOWN]
    return lines + missed_lines(document, library)


def missed_lines(document: WeekDocument, library: Library) -> list[str]:
    """Say each goal beside the dose that the week misses, and by how much."""
    told = [goal for goal in document.missed if not goal.goal.startswith("dose:")]
    return [f"missed: {said}" for said in names.goals_missed(library, read_words().goal, told)]


def _session_lines(session: PlannedSession) -> list[str]:
    title = f"{say.day(session.id)}, {say.plain(session.gym)}, {say.minutes(session)}"
    in_order = sorted(session.exercises, key=lambda one: one.order)
    rows = [_session_row(one, say.rest_after(block, one)) for block in say.blocks(in_order) for one in block]
    if not rows:
        return [title if session.state == "missed" else f"{title}: nothing"]
    return [title, *columns([("", "exercise", "sets x reps", "load", "rest"), *rows])]


def _session_row(one: PlannedExercise, rest: int | None) -> tuple[str, ...]:
    sides = " each side" if one.sides > 1 else ""
    dosage = f"{one.sets} x {say.reps(one.reps).replace('–', '-')}{sides}"
    return (
        one.block,
        say.plain(one.name),
        dosage,
        say.load(one),
        "none, go on" if rest is None else say.rest(rest),
    )


def _nothing(document: WeekDocument) -> list[str]:
    trained = any(session.exercises for session in document.sessions)
    return [] if trained else ["Nothing left to train this week."]


def _dose_lines(doses: tuple[HeadDose, ...]) -> list[str]:
    rows = [
        (
            dose.head,
            *(f"{sets:.1f}" for sets in (dose.planned, dose.elsewhere, dose.planned + dose.elsewhere)),
            *(say.number(sets) for sets in (dose.floor, dose.target, dose.ceiling)),
            f"{dose.low90:.1f}-{dose.high90:.1f}",
            say.share(dose.chance_floor),
            f"{dose.by_movers:.1f}",
        )
        for dose in doses
    ]
    return columns([DOSE_HEADING, *rows]) if rows else []


def _proof_line(proof: Proof) -> str:
    said = {"dose": "dose", "rest": "the rest"}.get(proof.aim, proof.aim)
    return f"proof: {said} within {say.gap(proof)} {unit_words(proof.unit)} of the best"


def _stopped(document: WeekDocument) -> list[str]:
    return ["The search was stopped: a better plan may exist."] if document.status == "stopped" else []
