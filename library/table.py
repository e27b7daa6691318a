"""The exercises as a table (`planner library`) and as one JSON document; nothing here loads a heavy package."""

import math
from typing import Any

from library.credit import expected_credit
from library.method import CreditSettings, OwnRowSettings, PoolSettings, setting_rows
from library.profiles import Profile
from library.read import Library
from library.schema import Exercise, Head

DIGITS = 4  # of ratios, errors and credits
SAME_NAMES = (
    "key name family implement needs sides; compare_only reps tempo work_seconds rest_seconds setup_seconds "
    "warmup_sets cues cautions"
)


def credit_of(exercise: Exercise, profile: Profile, settings: CreditSettings) -> float:
    """Return what one set is worth on average to an athlete who was never recorded, in direct sets."""
    between = OwnRowSettings().person_spread if profile.standard_error else 0.0  # an anchor is the unit
    error = math.hypot(profile.standard_error, between)
    return expected_credit(math.log(profile.ratio), error, exercise.eccentric_share.value, settings)


def library_document(library: Library, exercises: list[Exercise], settings: CreditSettings) -> dict[str, Any]:
    """Return exercises, heads and defaults; a credit is that of one set (`credit_of`)."""
    return {
        "exercises": [_exercise_document(library, exercise, settings) for exercise in exercises],
        "heads": [head.model_dump() for head in library.heads.values()],
        "defaults": {
            row.name: {"value": row.value, "unit": row.unit, "source": row.source, "text": row.text}
            for record in (PoolSettings(), OwnRowSettings(), settings)
            for row in setting_rows(record)
        },
    }


def _exercise_document(library: Library, exercise: Exercise, settings: CreditSettings) -> dict[str, Any]:
    """Return one exercise; a head without a number is left out, a watched head stands under its own key."""
    profiles = {head: of[exercise.key] for head, of in library.profiles.items() if exercise.key in of}
    trained = {head: one for head, one in profiles.items() if library.heads[head].role == "trained"}
    watched = [head.key for head in library.heads.values() if head.role == "watched"]
    written = exercise.model_dump(mode="json") | {"work_seconds": exercise.work_seconds}
    before, after = ({name: written[name] for name in part.split()} for part in SAME_NAMES.split(";"))
    return {
        **before,
        "profile": {head: round(one.ratio, DIGITS) for head, one in trained.items()},
        "standard_error": {head: round(one.standard_error, DIGITS) for head, one in trained.items()},
        "credit": {head: round(credit_of(exercise, one, settings), DIGITS) for head, one in trained.items()},
        "eccentric_share": exercise.eccentric_share.value,
        **{head: round(profiles[head].ratio, DIGITS) if head in profiles else None for head in watched},
        "stress": {region: stress.grade for region, stress in exercise.stress.items()},
        **after,
        "sources": list(dict.fromkeys(row for one in profiles.values() for row in one.rows)),
    }


def table_rows(
    library: Library, exercises: list[Exercise], settings: CreditSettings
) -> tuple[list[str], list[list[str]]]:
    """Return the heading and one row of texts an exercise; credits are direct sets, watched heads ratios."""
    heads = list(library.heads.values())
    heading = ["exercise", *(head.name for head in heads), "", "joints"]
    return heading, [
        [
            exercise.key,
            *(_worth(library, exercise, head, settings) for head in heads),
            "compare only" if exercise.compare_only else "",
            ", ".join(
                f"{library.regions[key].name} {stress.grade}"
                for key, stress in exercise.stress.items()
                if stress.grade >= 2
            ),
        ]
        for exercise in exercises
    ]


def _worth(library: Library, exercise: Exercise, head: Head, settings: CreditSettings) -> str:
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    if profile is None:
        return "–"
    return f"{profile.ratio if head.role == 'watched' else credit_of(exercise, profile, settings):.2f}"


def for_head(library: Library, exercises: list[Exercise], head: str) -> list[Exercise]:
    """Return the exercises with a number in a head, the largest first."""
    profiles = library.profiles.get(head, {})
    known = [item for item in exercises if item.key in profiles]
    return sorted(known, key=lambda item: -profiles[item.key].ratio)


def plain(heading: list[str], rows: list[list[str]]) -> str:
    """Set a table in columns of spaces, for a pipe or a file."""
    lines = [heading, *rows]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    cells = ([cell.ljust(width) for cell, width in zip(line, widths, strict=True)] for line in lines)
    return "\n".join("  ".join(line).rstrip() for line in cells)
