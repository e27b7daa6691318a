"""What weeks in a row ask a coach: a day that is never trained, a room that is another one, strength that is gone."""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import takewhile
from statistics import fmean

from library.read import Library
from planner.document import WeekDocument
from planner.log.blank import session_date
from planner.log.record import LoggedSet
from planner.method import TrainSettings
from planner.plain import day_name
from planner.train.delivered import is_done
from planner.train.loads import FORMULAS, percent


def habits(weeks: Sequence[WeekDocument], log: Iterable[LoggedSet], settings: TrainSettings) -> Iterator[str]:
    """Ask about each day that was missed, or trained in one other room, in several of the last trained `weeks` running
    (as they were planned, oldest first)."""
    rows = [row for row in log if is_done(row)]
    trained = [week for week in reversed(weeks) if any(row.week == week.week for row in rows)]
    for session in trained[0].sessions if trained else ():
        planned = ((week, one) for week in trained for one in week.sessions if one.id == session.id)
        rooms = [
            _rooms(rows, week, session_date(week, one), one.id) for week, one in planned if one.exercises
        ]
        missed, others = len([*takewhile(lambda gyms: not gyms, rooms)]), rooms[: settings.habit_weeks]
        other = set.intersection(*map(set, others)) - {session.gym} if others else set()
        if missed >= settings.habit_weeks:
            yield f"{day_name(session.id)}: not trained in {missed} weeks running. Shall the week do without it?"
        elif len(others) >= settings.habit_weeks and other and not any(session.gym in of for of in others):
            room = f"{' and '.join(sorted(other))} {len(others)} weeks running, planned in {session.gym}"
            yield f"{day_name(session.id)}: trained in {room}. Shall that be its room (brief.toml, session)?"


def _rooms(rows: Iterable[LoggedSet], week: WeekDocument, date: datetime.date, session: str) -> set[str]:
    return {row.gym for row in rows if row.date == date or (row.week == week.week and row.session == session)}


def weaker(
    done: Mapping[tuple[str, str], Sequence[LoggedSet]], library: Library, settings: TrainSettings
) -> Iterator[str]:
    """Ask about each lift of several joints of which, set by set near failure, much of the estimated maximum of the week
    before is gone; `done`: exercise and gym -> the sets that decide."""
    newest = max((row.week for rows in done.values() for row in rows), default="")
    for (key, _), rows in done.items():
        sets = [row for row in rows if row.reps and row.load and row.rir is not None]
        weeks = sorted({row.week for row in sets})[-2:]
        if key not in library.exercises or not library.exercises[key].multi_joint or weeks[-1:] != [newest]:
            continue
        was, now = ([row for row in sets if row.week == week] for week in (weeks[0], weeks[-1]))
        fall = 1 - _maximum(now, settings) / _maximum(was, settings)
        near = max(row.rir or 0.0 for row in now) <= settings.near_failure_rir  # else as strong, perhaps
        if fall >= settings.strength_drop_share and near:
            then, here = (f"{of[0].load:g} {of[0].load_unit} × {of[0].reps}" for of in (was, now))
            said = f"{library.exercises[key].name}: {then} on {was[0].date}, {here} on {now[0].date}"
            yield f"{said}, about {percent(fall)} weaker. Ask: new loss of strength is a reason to stop and be seen"


def _maximum(sets: Iterable[LoggedSet], settings: TrainSettings) -> float:
    """Mean estimate over sets; repetitions above the formula's end count as that many."""
    formula, most = FORMULAS[settings.formula], settings.formula_reps_most
    return fmean((row.load or 0.0) * formula(min((row.reps or 0) + (row.rir or 0.0), most)) for row in sets)
