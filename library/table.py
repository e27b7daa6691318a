"""The table of exercises (`planner library`): what a set is worth to each head, which joints it loads."""

from __future__ import annotations

from library.document import credit_of
from library.method import CreditSettings
from library.read import Library
from library.schema import Exercise, Head


def table_rows(
    library: Library, exercises: list[Exercise], settings: CreditSettings
) -> tuple[list[str], list[list[str]]]:
    """Return the heading and one row of texts an exercise; credits are direct sets, watched heads ratios."""
    heads = list(library.heads.values())
    heading = ["exercise", *(head.name for head in heads), "", "joints"]
    rows = [
        [
            exercise.key,
            *(_worth(library, exercise, head, settings) for head in heads),
            "compare only" if exercise.compare_only else "",
            _joints(library, exercise),
        ]
        for exercise in exercises
    ]
    return heading, rows


def for_head(library: Library, exercises: list[Exercise], head: str) -> list[Exercise]:
    """Return the exercises with a number in a head, the largest first."""
    profiles = library.profiles.get(head, {})
    return sorted(
        (item for item in exercises if item.key in profiles), key=lambda item: -profiles[item.key].ratio
    )


def plain(heading: list[str], rows: list[list[str]]) -> str:
    """Set a table in columns of spaces, for a pipe or a file."""
    lines = [heading, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(heading))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )


def _worth(library: Library, exercise: Exercise, head: Head, settings: CreditSettings) -> str:
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    if profile is None:
        return "–"
    worth = profile.ratio if head.role == "watched" else credit_of(exercise, profile.ratio, settings)
    return f"{worth:.2f}"


def _joints(library: Library, exercise: Exercise) -> str:
    graded = [(stress.grade, library.regions[key].name) for key, stress in exercise.stress.items()]
    return ", ".join(f"{name} {grade}" for grade, name in graded if grade >= 2)
