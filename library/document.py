"""The library as one JSON document (`planner library --json`); nothing here loads a heavy package."""

from __future__ import annotations

from typing import Any

from library.credit import set_credit
from library.method import CreditSettings, OwnRowSettings, PoolSettings, setting_rows
from library.read import Library
from library.schema import Exercise, Head

DIGITS = 4  # of ratios, errors and credits


def library_document(library: Library, exercises: list[Exercise], settings: CreditSettings) -> dict[str, Any]:
    """Return exercises, heads and defaults; credit is that of one set at the default eccentric weight."""
    return {
        "exercises": [exercise_document(library, exercise, settings) for exercise in exercises],
        "heads": [head.model_dump() for head in library.heads.values()],
        "defaults": {
            row.name: {"value": row.value, "unit": row.unit, "source": row.source, "text": row.text}
            for record in (PoolSettings(), OwnRowSettings(), settings)
            for row in setting_rows(record)
        },
    }


def exercise_document(library: Library, exercise: Exercise, settings: CreditSettings) -> dict[str, Any]:
    """Return one exercise; a head without a number is left out, a watched head stands under its own key."""
    heads = library.heads.values()
    trained = [
        head for head in heads if head.role == "trained" and _ratio(library, head, exercise) is not None
    ]
    profiles = {head.key: library.profiles[head.key][exercise.key] for head in trained}
    return {
        "key": exercise.key,
        "name": exercise.name,
        "family": exercise.family,
        "implement": exercise.implement,
        "needs": list(exercise.needs),
        "sides": exercise.sides,
        "profile": {head: round(profile.ratio, DIGITS) for head, profile in profiles.items()},
        "standard_error": {head: round(profile.standard_error, DIGITS) for head, profile in profiles.items()},
        "credit": {
            head: round(credit_of(exercise, profile.ratio, settings), DIGITS)
            for head, profile in profiles.items()
        },
        "eccentric_share": exercise.eccentric_share.value,
        **{head.key: _ratio(library, head, exercise) for head in heads if head.role == "watched"},
        "stress": {region: stress.grade for region, stress in exercise.stress.items()},
        "compare_only": exercise.compare_only,
        "reps": list(exercise.reps),
        "tempo": exercise.tempo.model_dump(),
        "work_seconds": exercise.work_seconds,
        "rest_seconds": exercise.rest_seconds,
        "setup_seconds": exercise.setup_seconds,
        "warmup_sets": exercise.warmup_sets,
        "cues": list(exercise.cues),
        "cautions": list(exercise.cautions),
        "sources": sources_of(library, exercise.key),
    }


def credit_of(exercise: Exercise, ratio: float, settings: CreditSettings) -> float:
    """Return the credit of one set of an exercise at an activation ratio, in direct sets."""
    return set_credit(ratio, exercise.eccentric_share.value, settings.eccentric_weight, settings)


def sources_of(library: Library, exercise: str) -> list[str]:
    """Return the ids of the evidence rows that an exercise's numbers rest on, each once."""
    rows = (of_head[exercise].rows for of_head in library.profiles.values() if exercise in of_head)
    return list(dict.fromkeys(row for ids in rows for row in ids))


def _ratio(library: Library, head: Head, exercise: Exercise) -> float | None:
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    return None if profile is None else round(profile.ratio, DIGITS)
