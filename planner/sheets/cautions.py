"""What a client is warned of: pain, what to take care of in each exercise, the rules of the room."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from planner.document import ExerciseWarning, PlannedExercise
from planner.plain import decimals, name_of
from planner.sheets import say
from planner.sheets.page import Desk
from planner.sheets.say import _, figure

if TYPE_CHECKING:
    from library.schema import Exercise, Stress


def warnings(desk: Desk, exercises: list[PlannedExercise], first: bool) -> tuple[str, ...]:
    """Give what the client is warned of: of the exercises on this page, and on the first page what is for it.

    A replacement is on it too. All other warnings are remarks to the coach and stand on the coach's page alone.
    """
    printed = {key for one in exercises for key in (one.exercise, *(i.exercise for i in one.instead))}
    return tuple(
        _warned(desk, warning)
        for warning in desk.document.exercise_warnings
        if warning.exercise in printed or (warning.first_sheet and first)
    )


def _warned(desk: Desk, warning: ExerciseWarning) -> str:
    """Say a warning of pain as the client reads it; one of an older planner as it was written."""
    if not warning.kind:
        return warning.text
    since = say.said_date(warning.since) if warning.since else ""
    name, pain = _(name_of(desk.library, warning.exercise)), figure(decimals(warning.pain))
    return desk.words.pain[warning.kind].format(name=name, pain=pain, since=since)


def rules(desk: Desk, exercises: list[PlannedExercise]) -> tuple[str, ...]:
    """Rules of the room that concern the session and are not said already as an exercise's own caution."""
    known = [
        desk.library.exercises[one.exercise] for one in exercises if one.exercise in desk.library.exercises
    ]
    said = [text for exercise in known for text in care_lines(exercise, desk)]
    wanted = [rule for rule in desk.words.rules if any(map(rule.concerns, known))]
    return tuple(
        _(rule.text) for rule in wanted if not any(rule.text.partition(".")[0] in care for care in said)
    )


def careful_names(desk: Desk) -> list[str]:
    """Name the regions that this athlete goes easy on, in library order."""
    regions = desk.library.regions.items()
    return [_(region.name) for key, region in regions if desk.allowed.get(key, "clear") != "clear"]


def care(exercise: Exercise, desk: Desk) -> str:
    """Say what to take care of."""
    return ". ".join(say.sentence(_(part).rstrip(".")) for part in care_lines(exercise, desk))


def care_lines(exercise: Exercise, desk: Desk) -> list[str]:
    """List in English every change for a careful region, then the exercise's own cautions up to the most."""
    history, settings = desk.brief.history, desk.settings
    operated = history.surgery is not None or "after_surgery" in history.flags
    after = desk.words.only_after_surgery
    own = [text for text in exercise.cautions if operated or not text.startswith(after)]
    changes = sorted(eased(exercise, desk), key=lambda stress: -stress.grade)  # highest first, each once
    asked = list(dict.fromkeys(stress.change for stress in changes))
    words = {text: {*text.lower().replace(",", " ").strip(".").split()} for text in asked}
    asked = [text for text in asked if not any(words[text] < of for of in words.values())]
    return [*asked, *own[: max(0, settings.cautions_most - len(asked))]]


def eased(exercise: Exercise, desk: Desk) -> list[Stress]:
    """Return the stresses on this athlete's careful regions that a printed change lowers."""
    from_grade = {"careful": desk.settings.change_from_careful, "avoid": desk.settings.change_from_avoid}
    least = {
        region: from_grade.get(desk.allowed.get(region, "clear"), math.inf) for region in exercise.stress
    }
    return [of for region, of in exercise.stress.items() if of.change and of.grade >= least[region]]
