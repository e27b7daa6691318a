"""The commands of the library: show exercises and what a set of each is worth, pool the evidence anew."""

import json
from pathlib import Path

from typer import Argument, Option, echo

from library import page, schema
from library.credit import PROFILES, Profile, by_head, moves, profiles_text, read_profiles, scale_changes
from library.errors import Fault, FaultyInput, as_written, listed, nearest, refuse
from library.method import CreditSettings, PoolSettings
from library.read import Library, read_library, read_orderings, shipped_folder
from planner import cli
from planner.athlete.writing import write_safely
from planner.plain import columns

FOLDER = "Folder of the library; without it the one of this checkout."
INSTALLED = "Folder of the library; without it the installed one."
CHECK = "Write nothing; exit 2 if profiles.csv does not match its evidence."


def library(
    name: str | None = Argument(None, metavar="[NAME]", help="Key of one exercise."),
    head: str | None = Option(None, help="Only this head; the table is sorted by it."),
    as_json: cli.AsJson = False,
    picture: Path | None = Option(None, help="Write the drawing of the named exercise to this file (SVG)."),
    folder: Path | None = Option(None, "--library", help=INSTALLED),
) -> None:
    """Show the exercises and what a set of each is worth, or one exercise with every row behind its numbers."""
    known = read_library(folder)
    exercises = _chosen(known, name, head)
    if picture is not None:
        _draw(known, exercises, picture)
    if as_json:
        document = page.library_document(known, exercises, CreditSettings())
        echo(json.dumps(document, ensure_ascii=False, indent=1))
    elif name is not None:
        from library.page import page_lines
        from library.pool import pool_library

        pooled = pool_library(known)  # anew, for the weights of the rows, which profiles.csv does not keep
        shown = pooled if head is None else {head: pooled[head]}
        orderings = read_orderings(folder or shipped_folder(), known)
        echo("\n".join(page_lines(known, exercises[0], shown, orderings, CreditSettings())))
    else:
        echo("\n".join(columns(page.table_rows(known, exercises, CreditSettings()), indent="")))


def _chosen(library: Library, name: str | None, head: str | None) -> list[schema.Exercise]:
    """Return the exercises asked for. Raises FaultyInput for a name that nobody knows."""
    faults, heads = [], f"Known: {listed(library.heads)}"
    for option, word, kind, table, where in (
        ("NAME", name, "exercise", library.exercises, "`planner library` lists them"),
        ("--head", head, "head", library.heads, heads),
    ):
        if word is not None and word not in table:
            remedy = f"No {kind} has this name{nearest(word, table) or '.'} {where}"
            faults.append(Fault(option, "", as_written(word), remedy))
    if faults:
        raise FaultyInput(faults)
    if name is not None:
        return [library.exercises[name]]
    profiles = {} if head is None else library.profiles.get(head, {})
    known = [item for item in library.exercises.values() if head is None or item.key in profiles]
    return sorted(known, key=lambda item: -profiles[item.key].ratio if profiles else 0.0)  # the largest first


def _draw(library: Library, exercises: list[schema.Exercise], file: Path) -> None:
    from planner.sheets.figure import exercise_picture

    one = exercises[0] if len(exercises) == 1 else None
    drawn = exercise_picture(library, one, f"{one.name}: {one.position}") if one else ""
    if not drawn:
        remedy = "Name one exercise that the library draws"
        raise FaultyInput([Fault("--picture", "", as_written(str(file)), remedy)])
    write_safely(file, drawn.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1))


def pool(
    folder: Path | None = Option(None, "--library", help=FOLDER),
    check: bool = Option(False, "--check", help=CHECK),
) -> None:
    """Pool the evidence of the library anew into profiles.csv, and print what moved."""
    from library.pool import pool_library

    settings = PoolSettings()
    if folder is None:
        folder = shipped_folder()
        if not check and not (folder.parent / "pyproject.toml").is_file():
            read = "belongs to an installed program and is not written to"
            raise refuse(folder, "", read, "Copy it and name the copy with --library DIR")
    known = read_library(folder, profiles_needed=False)
    pooled = pool_library(known, settings)
    before = _old(folder, check)
    after = {head: result.profiles(settings.smallest_named_share) for head, result in pooled.items()}
    moved = moves(before, after)
    for move in moved:
        change = "" if move.change is None else f"  {move.change:+.1%}"
        echo(f"{move.head}  {move.exercise}  {_number(move.before)} → {_number(move.after)}{change}")
    for head, size in scale_changes(before, after).items():
        if size > settings.scale_warning:
            median = f"The median change of its ratios to {known.heads[head].anchor} is {size:.1%}"
            more = f"more than {settings.scale_warning:.0%}: doses planned before compare no longer."
            echo(f"{head}: the scale has moved. {median}, {more}", err=True)
    if check and moved:
        fault = Fault(folder / PROFILES, "", f"{len(moved)} numbers differ", "Run `planner pool`")
        raise FaultyInput([fault])
    if not check:
        write_safely(folder / PROFILES, profiles_text(after))
    numbers = sum(len(of_head) for of_head in after.values())
    echo(f"{numbers} numbers, {len(moved)} moved", err=True)


def _old(folder: Path, check: bool) -> dict[str, dict[str, Profile]]:
    """Return the profiles as they stand; a file that cannot be read is told, and then written anew. Its names are not
    checked: numbers of exercises that are gone are news too."""
    faults: list[Fault] = []
    lines = read_profiles(folder, faults) if (folder / PROFILES).is_file() else []
    if faults and check:
        raise FaultyInput(faults)
    if faults:
        echo(f"{FaultyInput(faults)}\nIt is written anew.", err=True)
    return {} if faults else by_head(lines)


def _number(profile: Profile | None) -> str:
    return "–" if profile is None else f"{profile.ratio:.3f} (±{profile.standard_error:.3f})"
