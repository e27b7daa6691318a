"""What both papers are written with: the week document, the library, the brief, our words and sizes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from library.read import Library
from planner.athlete.brief import Allowance, Brief
from planner.document import WeekDocument
from planner.method import SheetSettings
from planner.sheets.words import Words, read_words

STRICTNESS: dict[Allowance, int] = {"clear": 0, "careful": 1, "avoid": 2}


@dataclass(frozen=True)
class Desk:
    """Everything at hand while a paper is written."""

    document: WeekDocument
    library: Library
    brief: Brief
    settings: SheetSettings

    @cached_property
    def words(self) -> Words:
        """Our texts."""
        return read_words()

    @cached_property
    def allowed(self) -> dict[str, Allowance]:
        """Each region's allowance: the stricter of what [joints] says and what the history flags ask for."""
        strictest: dict[str, Allowance] = dict(self.brief.joints)
        flags = (self.library.flags[key] for key in self.brief.history.flags if key in self.library.flags)
        for region, allowance in (
            (region, asked) for flag in flags for region, asked in flag.regions.items()
        ):
            if STRICTNESS[allowance] > STRICTNESS[strictest.get(region, "clear")]:
                strictest[region] = allowance
        return strictest

    @cached_property
    def nothing_left(self) -> bool:
        """Whether no session holds an exercise."""
        return not any(session.exercises for session in self.document.sessions)
