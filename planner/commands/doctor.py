"""Tell which parts of this installation work, and what to do about those that do not."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING

import typer

from planner.options import AsJson, tell

if TYPE_CHECKING:
    from planner.doctor import Part


def run(as_json: AsJson = False) -> None:
    """Look at every part; exit 0 if all needed parts work, 4 if only PDFs cannot be made, 1 otherwise."""
    from planner import doctor

    parts = doctor.examine()
    code = doctor.exit_code(parts)
    tell(as_json, lambda: _document(parts, code), lambda: _table(parts))
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
