"""Next loads for everything a week asks: each exercise in the gym where it is planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from library.read import Library
from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.document import WeekDocument
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.train.last_time import NOTHING_ELSE
from planner.train.load_case import NextLoad
from planner.train.pain import PainState
from planner.train.progression import next_load, sets_of


@dataclass(frozen=True)
class PlannedLoad:
    """The next load of one exercise in one gym."""

    exercise: str
    name: str
    gym: str
    next: NextLoad


def loads_with_history(
    log: Iterable[LoggedSet],
    library: Library,
    gyms: Mapping[str, Gym],
    rir: int,
    pain: PainState,
    *,
    lighter_weeks: frozenset[str] = frozenset(),
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> dict[tuple[str, str], NextLoad]:
    """Decide next loads before a week is planned: (exercise, gym) → load, for whatever was done there before.

    The library's range of repetitions is asked, with `rir` in reserve; else as `next_loads`.
    """
    done: dict[tuple[str, str], list[LoggedSet]] = {}
    for row in _hard(log, lighter_weeks):
        done.setdefault((row.exercise, row.gym), []).append(row)
    return {
        (key, gym): _decided(
            history, library.exercises[key], gyms[gym], None, rir, pain, asked_then, settings
        )
        for (key, gym), history in done.items()
        if key in library.exercises and gym in gyms and not pain.is_out(key)
    }


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
    """Decide the next load of each exercise of a week, in the order of the sheets.

    `lighter_weeks` ("2026-W49") were easy on purpose and decide nothing; `asked_then`: reserve that
    past weeks of a block asked. Exercises that pain puts out, and those
    whose gym or library entry is gone, are left out.
    """
    hard = _hard(log, lighter_weeks)
    found: dict[tuple[str, str], PlannedLoad] = {}
    for session in document.sessions:
        for item in session.exercises:
            place = (item.exercise, session.gym)
            exercise, gym = library.exercises.get(item.exercise), gyms.get(session.gym)
            if place in found or exercise is None or gym is None or pain.is_out(item.exercise):
                continue
            history = sets_of(hard, item.exercise, session.gym)
            decided = _decided(history, exercise, gym, item.reps, item.rir, pain, asked_then, settings)
            found[place] = PlannedLoad(item.exercise, item.name, session.gym, decided)
    return tuple(found.values())


def _hard(log: Iterable[LoggedSet], lighter_weeks: frozenset[str]) -> list[LoggedSet]:
    return [row for row in log if not row.is_clearance and not (lighter_weeks and row.week in lighter_weeks)]


def _decided(
    history: list[LoggedSet],
    exercise: Exercise,
    gym: Gym,
    reps: tuple[int, int] | None,
    rir: int,
    pain: PainState,
    asked_then: Mapping[str, int],
    settings: TrainSettings,
) -> NextLoad:
    share = pain.load_share(exercise.key, settings)
    asked = reps or exercise.reps
    return next_load(
        history, exercise, gym, asked, rir, pain_share=share, asked_then=asked_then, settings=settings
    )
