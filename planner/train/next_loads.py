"""Next loads for everything a week asks: each exercise in the gym where it is planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from library.read import Library
from planner.athlete.gym import Gym
from planner.athlete.log_record import LoggedSet
from planner.train.load_case import NextLoad
from planner.train.pain import PainState
from planner.train.progression import next_load, sets_of
from planner.train.settings import DEFAULTS, TrainSettings
from planner.week.document import WeekDocument


@dataclass(frozen=True)
class PlannedLoad:
    """The next load of one exercise in one gym."""

    exercise: str
    name: str
    gym: str
    next: NextLoad


def next_loads(
    document: WeekDocument,
    log: Iterable[LoggedSet],
    library: Library,
    gyms: Mapping[str, Gym],
    pain: PainState,
    *,
    lighter_weeks: frozenset[str] = frozenset(),
    settings: TrainSettings = DEFAULTS,
) -> tuple[PlannedLoad, ...]:
    """Decide the next load of each exercise of a week, in the order of the sheets.

    `lighter_weeks` ("2026-W49") were easy on purpose and decide nothing. Exercises that pain puts out, and those
    whose gym or library entry is gone, are left out.
    """
    hard = [row for row in log if not lighter_weeks or row.week not in lighter_weeks]
    found: dict[tuple[str, str], PlannedLoad] = {}
    for session in document.sessions:
        for item in session.exercises:
            place = (item.exercise, session.gym)
            exercise, gym = library.exercises.get(item.exercise), gyms.get(session.gym)
            if place in found or exercise is None or gym is None or pain.is_out(item.exercise):
                continue
            decided = next_load(
                sets_of(hard, item.exercise, session.gym),
                exercise,
                gym,
                item.reps,
                item.rir,
                pain_share=pain.load_share(item.exercise, settings),
                settings=settings,
            )
            found[place] = PlannedLoad(item.exercise, item.name, session.gym, decided)
    return tuple(found.values())
