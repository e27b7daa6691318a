"""The caution that this athlete needs with an exercise: what lowers the load on a joint to be careful with."""

from __future__ import annotations

from library.schema import Exercise
from planner.athlete.brief import Allowance, Brief
from planner.method import SheetSettings
from planner.sheets.desk import Desk
from planner.sheets.names import sentence
from planner.sheets.words import Words


def careful_names(desk: Desk) -> list[str]:
    """Name the regions that this athlete goes easy on, in library order."""
    regions = desk.library.regions.items()
    return [region.name for key, region in regions if desk.allowed.get(key, "clear") != "clear"]


def changes(exercise: Exercise, allowed: dict[str, Allowance], settings: SheetSettings) -> list[str]:
    """List what lowers the load on this athlete's careful regions, highest grade first, each change once."""
    asks = {"careful": settings.change_from_careful, "avoid": settings.change_from_avoid}
    asked = [
        (-stress.grade, stress.change)
        for region, stress in exercise.stress.items()
        if stress.change and stress.grade >= asks.get(allowed.get(region, "clear"), stress.grade + 1)
    ]
    return list(dict.fromkeys(change for _, change in sorted(asked, key=lambda entry: entry[0])))


def own_cautions(exercise: Exercise, brief: Brief, words: Words) -> list[str]:
    """List the exercise's cautions that concern this athlete."""
    operated = brief.history.surgery is not None or "after_surgery" in brief.history.flags
    return [text for text in exercise.cautions if operated or not text.startswith(words.only_after_surgery)]


def care(exercise: Exercise, desk: Desk) -> str:
    """Say what to take care of: every change for a careful region, then the exercise's own cautions up to the most."""
    asked = changes(exercise, desk.allowed, desk.settings)
    room = max(0, desk.settings.cautions_most - len(asked))
    said = [*asked, *own_cautions(exercise, desk.brief, desk.words)[:room]]
    return ". ".join(sentence(part.rstrip(".")) for part in said)
