"""The caution that this athlete needs with an exercise: what lowers the load on a joint to be careful with."""

from __future__ import annotations

from library.read import Library
from library.schema import Exercise
from planner.athlete.brief import Allowance, Brief
from planner.sheets.names import sentence
from planner.sheets.settings import SheetSettings

STRICTNESS: dict[Allowance, int] = {"clear": 0, "careful": 1, "avoid": 2}
MODERATE = 2  # the joint-stress grade from which a careful region asks for a change (DESIGN §3.3)


def allowances(brief: Brief, library: Library) -> dict[str, Allowance]:
    """Give each region's allowance: the stricter of what [joints] says and what the history flags ask for."""
    strictest: dict[str, Allowance] = dict(brief.joints)
    for flag in brief.history.flags:
        for region, allowance in library.flags[flag].regions.items() if flag in library.flags else ():
            if STRICTNESS[allowance] > STRICTNESS[strictest.get(region, "clear")]:
                strictest[region] = allowance
    return strictest


def careful_names(allowed: dict[str, Allowance], library: Library) -> list[str]:
    """Name the regions that this athlete goes easy on, in library order."""
    return [region.name for key, region in library.regions.items() if allowed.get(key, "clear") != "clear"]


def changes(exercise: Exercise, allowed: dict[str, Allowance]) -> list[str]:
    """List what lowers the load on this athlete's careful regions, highest grade first, each change once."""
    asked = [
        (-stress.grade, stress.change)
        for region, stress in exercise.stress.items()
        if allowed.get(region, "clear") != "clear" and stress.grade >= MODERATE and stress.change
    ]
    return list(dict.fromkeys(change for _, change in sorted(asked, key=lambda entry: entry[0])))


def care(exercise: Exercise, allowed: dict[str, Allowance], settings: SheetSettings) -> str:
    """Say what to take care of: every change for a careful region, then the exercise's own cautions up to the most."""
    asked = changes(exercise, allowed)
    room = max(0, settings.cautions_most - len(asked))
    said = (part.rstrip(".") for part in (*asked, *exercise.cautions[:room]))
    return ". ".join(map(sentence, said))
