"""Tell which parts of this installation work, and what to do about those that do not."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from planner.doctor.part import Part


def run(
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON document and nothing else.")
    ] = False,
) -> None:
    """Look at every part; exit 0 if all needed parts work, 4 if only PDFs cannot be made, 1 otherwise."""
    from planner.doctor.examination import examine, exit_code

    parts = examine()
    code = exit_code(parts)
    typer.echo(_document(parts, code) if as_json else _table(parts))
    raise typer.Exit(code)


def _document(parts: list[Part], code: int) -> str:
    rows = [{"name": part.name, "need": part.need, **dataclasses.asdict(part.finding)} for part in parts]
    return json.dumps({"works": code == 0, "exit": code, "parts": rows}, indent=2)


def _table(parts: list[Part]) -> str:
    wide = max(len(part.name) for part in parts)
    lines = []
    for part in parts:
        optional = part.need == "extra" and part.finding.state == "missing"
        word = "optional" if optional else part.finding.state
        lines.append(f"{part.name:<{wide}}  {word:<8}  {part.finding.found}")
        lines.extend(f"{'':<{wide}}  {'':<8}  {line}" for line in part.finding.remedy)
    return "\n".join(lines)
