"""What the log carries into the week that is planned: loads, pain, and what the last week left open.

The week takes `pain` (exercises out, regions lowered) and `loads`; the papers print the lines. Nothing that was
left open is added to the new week: it is said, and the coach decides.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from library.method import CreditSettings
from library.read import Library
from planner.athlete.gym import Gym
from planner.document import WeekDocument
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.train.credits import library_credits
from planner.train.delivered import Delivered, delivered_week, left_open
from planner.train.last_time import NOTHING_ELSE
from planner.train.load_case import NextLoad
from planner.train.next_loads import loads_with_history
from planner.train.pain import PainState, pain_rules


@dataclass(frozen=True)
class Carried:
    """What the log says before a week is planned.

    `loads`: (exercise, gym) → next load, for what was done there before. `delivered`: the last planned week against
    the log; None where nothing was planned or nothing is ever logged. `lines`: what the coach's page says of it.
    """

    pain: PainState
    loads: Mapping[tuple[str, str], NextLoad]
    delivered: Delivered | None
    lines: tuple[str, ...]


def carried_over(
    log: Sequence[LoggedSet],
    library: Library,
    gyms: Mapping[str, Gym],
    start: datetime.date,
    before: WeekDocument | None,
    rir: int,
    *,
    lighter_weeks: frozenset[str] = frozenset(),
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> Carried:
    """Read the log for the week that starts on `start`; `before` is the last week that was planned.

    `rir`: repetitions in reserve that the new week asks. `lighter_weeks` decide no load; `asked_then`: what
    past weeks asked, where they belong to a block.
    """
    known = [row for row in log if row.date < start]
    pain = pain_rules(known, library, start, settings)
    loads = loads_with_history(
        known, library, gyms, rir, pain, lighter_weeks=lighter_weeks, asked_then=asked_then, settings=settings
    )
    delivered, lines = None, _lines(pain, None, library)
    if before is not None and known:
        newest = max(row.date for row in known)
        if newest.isoformat() < before.week_start:
            lines.append(f"Week {before.week} is not logged yet: loads follow the log up to {newest}")
        else:
            delivered = delivered_week(before, known, library_credits(library, CreditSettings()))
            lines = _lines(pain, delivered, library)
    return Carried(pain, loads, delivered, tuple(lines))


def for_later_weeks(carried: Carried, library: Library, settings: TrainSettings = TRAIN) -> Carried:
    """Give what still holds for weeks after the next: who waits, waits; loads and open sets are the next week's."""
    pain = carried.pain.lasting(library, settings)
    return Carried(pain, {}, None, tuple(_lines(pain, None, library)))


def _lines(pain: PainState, delivered: Delivered | None, library: Library) -> list[str]:
    lines = list(pain.sheet_lines)
    lines += [
        f"{library.regions[region].name}: allowed one level less until it is cleared ({why})"
        for region, why in pain.regions.items()
        if region in library.regions
    ]
    if delivered is not None:
        heads = {key: head.name for key, head in library.heads.items()}
        lines += [f"Week {delivered.weeks[0]}, {line}" for line in left_open(delivered, heads)]
    return lines
