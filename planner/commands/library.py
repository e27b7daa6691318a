"""Show the exercises and what a set of each is worth, or one exercise with every row behind its numbers."""

import json
import sys
from pathlib import Path

from typer import Argument, Option, echo

from library.errors import Fault, FaultyInput, nearest
from library.method import CreditSettings
from library.page import for_head, library_document, plain, table_rows
from library.read import Library, read_library, read_orderings, shipped_folder
from library.schema import Exercise
from planner import options
from planner.files.text import as_written, listed


def run(
    name: str | None = Argument(None, metavar="[NAME]", help="Key of one exercise."),
    head: str | None = Option(None, help="Only this head; the table is sorted by it."),
    as_json: options.AsJson = False,
    picture: Path | None = Option(None, help="Write the drawing of the named exercise to this file (SVG)."),
    folder: Path | None = Option(
        None, "--library", help="Folder of the library; without it the installed one."
    ),
) -> None:
    """Print the table, one exercise's page, or the JSON document."""
    library = read_library(folder)
    exercises = _chosen(library, name, head)
    if picture is not None:
        _draw(library, exercises, picture)
    if as_json:
        document = library_document(library, exercises, CreditSettings())
        echo(json.dumps(document, ensure_ascii=False, indent=1))
    elif name is not None:
        for line in _page(library, exercises[0], head, folder):
            echo(line)
    else:
        _table(library, exercises)


def _chosen(library: Library, name: str | None, head: str | None) -> list[Exercise]:
    """Return the exercises asked for. Raises FaultyInput for a name that nobody knows."""
    faults: list[Fault] = []
    if name is not None and name not in library.exercises:
        near = nearest(name, library.exercises) or "."
        remedy = f"No exercise has this name{near} `planner library` lists them"
        faults.append(Fault("NAME", "", as_written(name), remedy))
    if head is not None and head not in library.heads:
        near = nearest(head, library.heads) or "."
        remedy = f"No head has this name{near} Known: {listed(library.heads)}"
        faults.append(Fault("--head", "", as_written(head), remedy))
    if faults:
        raise FaultyInput(faults)
    if name is not None:
        return [library.exercises[name]]
    exercises = list(library.exercises.values())
    return exercises if head is None else for_head(library, exercises, head)


def _draw(library: Library, exercises: list[Exercise], file: Path) -> None:
    from planner.files.safe import write_safely
    from planner.sheets.figure import exercise_picture

    one = exercises[0] if len(exercises) == 1 else None
    drawn = exercise_picture(library, one, f"{one.name}: {one.position}") if one else ""
    if not drawn:
        raise FaultyInput(
            [Fault("--picture", "", as_written(str(file)), "Name one exercise that the library draws")]
        )
    write_safely(file, drawn.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1))


def _page(library: Library, exercise: Exercise, head: str | None, folder: Path | None) -> list[str]:
    """Pool anew for the weights of the rows, which profiles.csv does not keep."""
    from library.page import page_lines
    from library.pool import pool_library

    pooled = pool_library(library)
    shown = pooled if head is None else {head: pooled[head]}
    orderings = read_orderings(shipped_folder() if folder is None else folder, library)
    return list(page_lines(library, exercise, shown, orderings, CreditSettings()))


def _table(library: Library, exercises: list[Exercise]) -> None:
    heading, rows = table_rows(library, exercises, CreditSettings())
    if not sys.stdout.isatty():
        echo(plain(heading, rows))
        return
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False)
    for column in heading:
        table.add_column(column, no_wrap=column == heading[0])  # a key is copied: it must stay whole
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    Console().print(table)
