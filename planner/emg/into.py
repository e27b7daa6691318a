"""Adding a measured session to an athlete's evidence, and what that does to the athlete's credits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from library.errors import Fault, FaultyInput
from library.method import CreditSettings
from library.read import Library
from planner.athlete.evidence import OwnEvidence, of_session, read_all_rows, write_session_rows
from planner.athlete.method import method_of
from planner.athlete.reading import BRIEF_FILE, read_brief
from planner.emg.effect import CreditMove, credit_moves, moves_text
from planner.emg.results import MeasuredSession
from planner.files.safe import athlete_lock


@dataclass(frozen=True)
class Added:
    """What adding did: rows now there from this session, rows that were there, credits that moved."""

    rows: tuple[OwnEvidence, ...]
    replaced: int
    moves: list[CreditMove]
    untied: list[str]
    warning: str = ""  # where session and folder name different people


def add_to_athlete(
    folder: Path, library: Library, measured: MeasuredSession, rows: Sequence[OwnEvidence]
) -> Added:
    """Write the session's rows into FOLDER/evidence.csv in place of its earlier ones; return what moved.

    Raises FaultyInput where there is no athlete's folder or nothing to add.
    """
    if not (folder / BRIEF_FILE).is_file():
        remedy = f"Name an athlete's folder (it holds {BRIEF_FILE})"
        raise FaultyInput([Fault(str(folder), "--into", "is no athlete's folder", remedy)])
    if not rows:
        read = "no set gave figures that can be trusted, so nothing was added"
        raise FaultyInput([Fault(str(measured.read.folder), "--into", read, "See what is named above")])
    brief = read_brief(folder, library)
    session = measured.read.id
    with athlete_lock(folder):
        before = read_all_rows(folder, library)
        write_session_rows(folder, library, session, rows)
    kept = [row for row in before if not of_session(row, session)]
    moves, untied = credit_moves(
        library,
        [row for row in before if row.status == "measured"],
        [row for row in [*kept, *rows] if row.status == "measured"],
        method_of(brief, CreditSettings),
    )
    named, here = measured.read.session.session.athlete, brief.athlete.name
    warning = "" if named == here else f'session.toml says athlete "{named}", {folder / BRIEF_FILE} "{here}"'
    return Added(tuple(rows), len(before) - len(kept), moves, untied, warning)


def added_text(added: Added, library: Library, folder: Path) -> str:
    """Say what was added and which credits moved."""
    replaced = f" in place of {added.replaced}" if added.replaced else ""
    heads = {key: head.name for key, head in library.heads.items()}
    measured = {(row.head, row.exercise) for row in added.rows}
    return (
        f"{len(added.rows)} rows{replaced} in {folder / 'evidence.csv'}\n"
        f"{moves_text(added.moves, added.untied, heads, measured)}"
    )
