"""Next week with and without an athlete's new own rows, side by side; nothing is written."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from library.read import Library
from planner.change.swap_report import SwapReport, costs, report
from planner.document import exercise_names, plan_of
from planner.emg.evidence import Added, CreditMove
from planner.model.problem import sets_a_week
from planner.plain import columns, joined
from planner.week.gather import gather
from planner.week.plan import plan_week


@dataclass(frozen=True)
class WeekBeside:
    """One week planned twice; `sets` are (name, without the new rows, with them) a week, `said` the verdict."""

    report: SwapReport
    sets: tuple[tuple[str, int, int], ...]
    said: str

    def document(self) -> dict[str, Any]:
        """Return what is shown, ready for JSON."""
        return {
            "week": self.report.week.week,
            "sets": [dict(zip(("name", "before", "after"), row, strict=True)) for row in self.sets],
            "heads": [head.model_dump() for head in self.report.heads],
            "said": self.said,
        }

    def text(self) -> str:
        """Return sets an exercise and dose a head before and after, and the verdict."""
        rows = [("", "before", "after"), *((name, str(was), str(now)) for name, was, now in self.sets)]
        title = f"Week {self.report.week.week} before and after, planned and not written (sets a week):"
        dose = "Direct sets a head:"
        return "\n".join([title, *columns(rows), dose, *costs(self.report), self.said])


def week_beside(folder: Path, library: Library, added: Added, today: datetime.date) -> WeekBeside:
    """Plan next week with the athlete's rows as they are filed and as they were before.

    Raises FaultyInput, NotCleared, NoWeekPossible, as planning the week does.
    """
    from library.pool import for_athlete, pool_library

    asked = gather(folder, None, today)
    earlier = for_athlete(pool_library(library), library, added.before)
    without = plan_week(replace(asked, inputs=replace(asked.inputs, profiles=earlier)))
    with_them = plan_week(asked)
    was, now = (sets_a_week(plan_of(week)) for week in (without, with_them))
    names = exercise_names(without) | exercise_names(with_them)
    heads = {dose.head for dose in with_them.dose}
    concerned = [move for move in added.moves if move.exercise in names and move.head in heads]
    sets = tuple((name, was.get(key, 0), now.get(key, 0)) for key, name in names.items())
    return WeekBeside(report(without, with_them, "", {}), sets, verdict(concerned, library))


def verdict(moves: Sequence[CreditMove], library: Library) -> str:
    """Say whether the credits that moved did so beyond measurement error; `moves` are of exercises of either week."""
    if not moves:
        return "No credit of an exercise of either week moved."
    beyond = [f"{move.name} ({library.heads[move.head].name})" for move in moves if move.beyond_error]
    if not beyond:
        return "Nothing here moved beyond measurement error: recorded again, it could move back."
    others = len(moves) - len(beyond)
    rest = f"; {others} more credits of these exercises moved within it" if others else ""
    return f"Beyond measurement error moved what a set is worth of {joined(beyond)}{rest}."
