"""What the log carries into the week that is planned: loads, pain, and what the last week left open.

The week takes `pain` (exercises barred or capped, regions lowered) and `loads`; the papers print the lines. Nothing
that was left open is added to the new week: it is said, and the coach decides.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from library.method import CreditSettings
from library.read import Library
from planner.athlete.gym import Gym
from planner.document import WeekDocument, week_name
from planner.log.blank import WITHOUT_NUMBER
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.train.delivered import Delivered, delivered_week, is_done, left_open, library_credits
from planner.train.history import NOTHING_ELSE, falling
from planner.train.pain import PainState, pain_rules
from planner.train.progression import NextLoad, next_load

Place = tuple[str, str]  # exercise, gym: loads never carry over between stations or gyms


@dataclass(frozen=True)
class Carried:
    """What the log says before a week is planned.

    `loads`: (exercise, gym) → next load, for what was done there before. `delivered`: the last planned week against
    the log; None where nothing was planned or nothing is ever logged. `lines`: what the coach's page says of it.
    """

    pain: PainState
    loads: Mapping[Place, NextLoad]
    delivered: Delivered | None
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PlannedLoad:
    """The next load of one exercise in one gym."""

    exercise: str
    name: str
    gym: str
    next: NextLoad


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
    done = _by_place(known, lighter_weeks)
    loads = _decided(done, library, gyms, rir, pain, asked_then, settings)
    lines = [
        *_pain_lines(pain, library),
        *lighter_asked(done, pain, library, gyms, week_name(start), settings),
    ]
    pain = replace(pain, capped=_capped(pain, loads, known, before, library, settings))
    delivered = None
    if before is not None and known:
        newest = max(row.date for row in known)
        if newest.isoformat() < before.week_start:
            lines.append(f"Week {before.week} is not logged yet: loads follow the log up to {newest}")
        else:
            delivered = delivered_week(before, known, library_credits(library, CreditSettings()))
            heads = {key: head.name for key, head in library.heads.items()}
            lines += [f"Week {before.week}, {line}" for line in left_open(delivered, heads)]
    return Carried(pain, loads, delivered, tuple(lines))


def for_later_weeks(carried: Carried, library: Library, settings: TrainSettings = TRAIN) -> Carried:
    """Give what still holds for weeks after the next: who waits, waits; loads and open sets are the next week's."""
    pain = carried.pain.lasting(library, settings)
    return Carried(pain, {}, None, tuple(_pain_lines(pain, library)))


def next_loads(
    document: WeekDocument,
    log: Iterable[LoggedSet],
    library: Library,
    gyms: Mapping[str, Gym],
    pain: PainState,
    *,
    lighter_weeks: frozenset[str] = frozenset(),
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> tuple[PlannedLoad, ...]:
    """Decide the next load of each exercise of a week in the gym where it is planned, in the order of the sheets.

    `lighter_weeks` ("2026-W49") were easy on purpose and decide nothing; `asked_then`: reserve that past weeks of a
    block asked. What pain bars, and whose gym or library entry is gone, is left out.
    """
    done = _by_place(log, lighter_weeks)
    decided: dict[Place, PlannedLoad] = {}
    for session in document.sessions:
        for item in session.exercises:
            place = (item.exercise, session.gym)
            exercise, gym = library.exercises.get(item.exercise), gyms.get(session.gym)
            if place not in decided and exercise and gym and item.exercise not in pain.barred:
                share = pain.load_share(item.exercise, settings)
                load = next_load(
                    done.get(place, ()), exercise, gym, item.reps, item.rir,
                    pain_share=share, asked_then=asked_then, settings=settings,
                )  # fmt: skip
                decided[place] = PlannedLoad(item.exercise, item.name, session.gym, load)
    return tuple(decided.values())


def lighter_asked(
    done: Mapping[Place, Sequence[LoggedSet]],
    pain: PainState,
    library: Library,
    gyms: Mapping[str, Gym],
    week: str,
    settings: TrainSettings = TRAIN,
) -> Iterator[str]:
    """Say where the log asks for a lighter week: repetitions that fall at the same load, or pain that rises.

    Only what was done in the last trained week counts.
    """
    newest = max((row.week for rows in done.values() for row in rows), default="")
    signs = [f"{item.name}: rising pain" for item in pain.rising]
    for (key, gym), rows in done.items():
        exercise = library.exercises.get(key)
        if exercise and gym in gyms and any(row.week == newest for row in rows):
            unit = None if exercise.load_is in WITHOUT_NUMBER else gyms[gym].unit
            means = falling(rows, unit, settings)
            if means:
                signs.append(
                    f"{exercise.name}: {', '.join(f'{value:.3g}' for value in means)} repetitions a set"
                )
    if signs:
        wanted = f'A lighter week is proposed: in brief.toml, [block], write lighter = ["{week}"]'
        yield f"{wanted} ({'; '.join(signs)})"


def _by_place(log: Iterable[LoggedSet], lighter_weeks: frozenset[str]) -> dict[Place, list[LoggedSet]]:
    done: dict[Place, list[LoggedSet]] = {}
    for row in log:
        if not row.is_clearance and not (lighter_weeks and row.week in lighter_weeks):
            done.setdefault((row.exercise, row.gym), []).append(row)
    return done


def _decided(
    done: Mapping[Place, Sequence[LoggedSet]],
    library: Library,
    gyms: Mapping[str, Gym],
    rir: int,
    pain: PainState,
    asked_then: Mapping[str, int],
    settings: TrainSettings,
) -> dict[Place, NextLoad]:
    return {
        (key, gym): next_load(
            rows, exercise, gyms[gym], exercise.reps, rir,
            pain_share=pain.load_share(key, settings), asked_then=asked_then, settings=settings,
        )
        for (key, gym), rows in done.items()
        if gym in gyms and key not in pain.barred and (exercise := library.exercises.get(key))
    }  # fmt: skip


def _capped(
    pain: PainState,
    loads: Mapping[Place, NextLoad],
    known: Sequence[LoggedSet],
    before: WeekDocument | None,
    library: Library,
    settings: TrainSettings,
) -> dict[str, int]:
    """Cap what hurt in the last trained week, and its kin, at last week's plan; without one, at the log."""
    newest = max((row.week for row in known), default="")
    last = Counter(row.exercise for row in known if row.week == newest and is_done(row))
    if before is not None:
        last = Counter()
        for item in (item for session in before.sessions for item in session.exercises):
            last[item.exercise] += item.sets
    capped = pain.most_sets(newest, last, library)
    for key in {key for (key, _), load in loads.items() if load.fewer_sets and key in capped}:
        capped[key] = max(0, capped[key] - settings.pain_fewer_sets)
    return capped


def _pain_lines(pain: PainState, library: Library) -> list[str]:
    lowered = [
        f"{library.regions[region].name}: allowed one level less until it is cleared ({why})"
        for region, why in pain.regions.items()
        if region in library.regions
    ]
    return [*pain.sheet_lines, *lowered]
