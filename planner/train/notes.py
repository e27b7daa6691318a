"""What an athlete writes in words: pain that no column holds, days of illness or exhaustion; and what weeks in a row ask:
a day never trained, another room, strength that is gone. Nothing is diagnosed: the coach is told what was written, and
sets of a bad day decide no load."""

import datetime
import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from itertools import takewhile
from statistics import fmean

from library.read import Library
from planner.athlete.brief import DAYS
from planner.document import WeekDocument, week_name, week_start
from planner.log.blank import session_date
from planner.log.record import NO, NOT_SETTLED, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import day_name, joined, less_meant, name_of
from planner.train.delivered import is_done
from planner.train.loads import FORMULAS, hurts, percent, working_load
from planner.train.pain import ALARMS, SEE, PainState

# words of a client, English and German (common knowledge, no source); after a no they say nothing
PAIN = re.compile(
    NO + r"\b(ach(e|es|ed|ing)|pain\w*|hurt\w*|pinch\w*|stiff|physio|popp?ed|schmerz\w*|tut weh|weh|verspannt"
    r"|(arm|hand|shoulder|grip)\w*\b.{0,12}\bweak)\b", re.I,
)  # fmt: skip
NIGHT = re.compile(r"\b(night|asleep|sleeping|nachts?|at rest|in ruhe)\b", re.I)
AFTER = r"(?<!after )(?<!after the )(?<!after a )(?<!since )(?<!since the )(?<!over )(?<!over the )(?<!nach )(?<!nach der )"
SICK = (
    AFTER + r"\b(ill|sick|unwell|flu|fever\w*|krank|grippe|fieber|erkältet"
    r"|(felt|feel|feeling|caught|had) (a |very |so |quite )?(cold|weak|dizzy|faint))\b"
)  # fmt: skip
ILL = re.compile(NO + SICK, re.I)
READ_AS_ILL = (
    " (read as illness: if it was none, write other words there, planner log ATHLETE FILE --correct)"
)
BAD_DAY = re.compile(
    NO + rf"({SICK}|\b(tired|exhausted|slept (badly|poorly|little|[0-5]\b)|müde|erschöpft"
    r"|(schlecht|wenig) geschlafen)\b)", re.I,
)  # fmt: skip


def bad_days(rows: Iterable[LoggedSet]) -> frozenset[datetime.date]:
    """Days of which the athlete wrote to have been ill, tired or without sleep."""
    return frozenset(row.date for row in rows if row.note and BAD_DAY.search(row.note))


def is_back_from_illness(
    rows: Iterable[LoggedSet], start: datetime.date, settings: TrainSettings = TRAIN
) -> bool:
    """Whether nothing was trained since days of illness that are no long break yet before `start`."""
    rows = list(rows)
    ill = {row.date for row in rows if row.note and ILL.search(row.note)}
    last = max(ill, default=datetime.date.min)
    trained = any(row.reps and row.date > last for row in rows)
    return bool(ill) and not trained and start - last < datetime.timedelta(weeks=settings.break_weeks)


def weeks_back(rows: Iterable[LoggedSet], start: datetime.date, settings: TrainSettings) -> int:
    """Which week back after illness begins on `start`: the first or the second one; 0: neither."""
    rows = list(rows)
    if is_back_from_illness(rows, start, settings):
        return 1
    newest = max((row.week for row in rows), default=week_name(start))
    earlier = [row for row in rows if row.week < newest]
    return 2 * is_back_from_illness(earlier, week_start(newest), settings)


def notes_said(rows: Iterable[LoggedSet]) -> list[str]:
    """Say each note once, with its days, and whether it is read as illness."""
    days: dict[str, dict[str, None]] = {}
    for row in (row for row in rows if row.note):
        days.setdefault(row.note, {})[f"{DAYS[row.date.weekday()]} {row.date}"] = None
    read = {note: READ_AS_ILL * bool(ILL.search(note)) for note in days}
    return [f"{', '.join(of)}: {note}{read[note]}" for note, of in days.items()]


def is_odd(row: LoggedSet, library: Library, settings: TrainSettings = TRAIN) -> bool:
    """Whether pain called a muscle's sits in a joint region, or had not settled: no rule reads it."""
    sore = row.kind == "muscle" and (row.pain or 0.0) > settings.pain_go_most
    return sore and (row.where in library.regions or row.next_morning == NOT_SETTLED)


def needs_watch(row: LoggedSet, library: Library, settings: TrainSettings = TRAIN) -> bool:
    """Whether a set hurt so that its exercise goes no higher next week, whatever a later day said."""
    return is_odd(row, library, settings) or hurts(row, settings) or bool(PAIN.search(row.note))


def to_judge(
    rows: Iterable[LoggedSet], pain: PainState, library: Library, settings: TrainSettings = TRAIN
) -> tuple[str, ...]:
    """Say of pain what the coach has to judge: what is small and stays, and line by line what no rule reads. `pain`:
    what the rules made of it."""
    read, said = {item.exercise for item in (*pain.out, *pain.eased)}, []
    for rise in pain.small:
        shown = ", ".join(f"{value:g}" for value in rise.maxima)
        said.append(
            f"{rise.name}: pain {shown} week after week: small, but it stays. Ask; the load stays too"
        )
    rows = [row for row in rows if row.date > pain.returning.get(row.exercise, datetime.date.min)]
    for row in rows:
        first: dict[str, int] = {}  # set of each exercise on whose line the note stands
        for of in (of for of in rows if (of.date, of.note) == (row.date, row.note)):
            first.setdefault(of.exercise, of.set_number)
        places = [f"{name_of(library, key)}, set {number}" for key, number in first.items()]
        said += filter(None, [_doubt(row, read, joined(places), library, settings)])
    placed, open_ = {(row.exercise, row.date) for row in rows if row.where}, dict[str, dict[str, None]]()
    for row in (row for row in rows if hurts(row, settings) and (row.exercise, row.date) not in placed):
        open_.setdefault(name_of(library, row.exercise), {})[str(row.date)] = None
    ask = "where? Ask, and write it (--correct): until then no load goes up"
    said += [f"{name}: pain on {joined([*days])}, {ask}" for name, days in open_.items()]
    return tuple(dict.fromkeys(said))


def _doubt(
    row: LoggedSet, read: Container[str], places: str, library: Library, settings: TrainSettings
) -> str:
    name, region = name_of(library, row.exercise), library.regions.get(row.where)
    felt, alarm = (row.pain or 0.0) > settings.pain_go_most, row.complaint in ALARMS
    if is_odd(row, library, settings):
        place = region.name if region else "not settled the next morning"
        ask = "as last time, no more; ask, and if it is the joint: --correct, kind joint"
        return f"{name}: {row.pain:g} of 10 as muscle, {place}: {ask}"
    if row.of_pain and row.where and region is None and (felt or alarm):
        known = library.exercises.get(row.exercise)
        stress = known.stress.items() if known else ()
        most = [library.regions[key].name for key, of in stress if of.grade >= settings.pain_grade_suspect]
        taken = f", so it counts where {name} loads most ({joined(most)})" if most else ": ask where it is"
        return f'{name}: "{row.where}" names no joint region{taken}'
    if felt and row.of_pain and row.exercise not in read:
        return (
            f"{name}: pain {row.pain:g} on {row.date}, not on the last day: the load stays as it is, watch it"
        )
    if felt or alarm or not PAIN.search(row.note):
        return ""
    night = f" Pain at night or at rest: {SEE.lower()}." if NIGHT.search(row.note) else ""
    wrote = f'{day_name(DAYS[row.date.weekday()])} {row.date}: wrote "{row.note}" ({places})'
    return f"{wrote}. Ask before the next session.{night}"


def habits(weeks: Sequence[WeekDocument], log: Iterable[LoggedSet], settings: TrainSettings) -> Iterator[str]:
    """Ask about each day that was missed, or trained in one other room, in several of the last trained `weeks` running
    (as they were planned, oldest first), and about each load that stands still."""
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
    if still := [*_standing_still(trained[: settings.still_weeks], rows, settings)]:
        yield f"No more for {settings.still_weeks} weeks running: {'; '.join(still)}. Ask about effort, sleep and food"


def _standing_still(
    weeks: Sequence[WeekDocument], rows: Iterable[LoggedSet], settings: TrainSettings
) -> Iterator[str]:
    """Name each load whose sets, as hard as asked, did not rise over the `weeks` (newest first), unless one of these asked
    less on purpose."""
    if len(weeks) < settings.still_weeks or any(map(less_meant, weeks)):
        return
    lines = {(line.exercise, one.gym): line for one in weeks[0].sessions for line in one.exercises}
    held = {warning.exercise for week in weeks for warning in week.exercise_warnings}
    done: dict[tuple[str, str, str], list[LoggedSet]] = {}
    for row in (row for row in rows if row.load):
        done.setdefault((row.exercise, row.gym, row.week), []).append(row)
    for (key, gym), line in lines.items():
        of = [done.get((key, gym, week.week), []) for week in weeks]
        if key in held or not all(of) or len(loads := {working_load(sets) for sets in of}) > 1:
            continue
        newest, *_, oldest = ([row for row in sets if row.load in loads] for sets in of)
        rise = fmean(map(_to_failure, newest)) - fmean(map(_to_failure, oldest))
        if rise < settings.still_reps and fmean(row.rir or 0.0 for row in newest) <= line.rir:
            done_with = f"{newest[0].load:g} {newest[0].load_unit} × {max(row.reps or 0 for row in newest)}"
            yield f"{line.name}, {gym}, {done_with}"


def _to_failure(row: LoggedSet) -> float:
    return (row.reps or 0) + (row.rir or 0.0)


def _rooms(rows: Iterable[LoggedSet], week: WeekDocument, date: datetime.date, session: str) -> set[str]:
    return {row.gym for row in rows if row.date == date or (row.week == week.week and row.session == session)}


def weaker(
    done: Mapping[tuple[str, str], Sequence[LoggedSet]], library: Library, settings: TrainSettings
) -> Iterator[tuple[str, str]]:
    """Name each lift of several joints of which, set by set near failure, much of the estimated maximum of the week before
    is gone, ask about it, and name those of its head that are as ever; `done`: exercise and gym -> the sets that decide."""
    newest = max((row.week for rows in done.values() for row in rows), default="")
    falls, as_ever = dict[str, str](), dict[str, str | None]()
    for (key, _), rows in done.items():
        sets, exercise = (
            [row for row in rows if row.reps and row.load and row.rir is not None],
            library.exercises.get(key),
        )
        weeks = sorted({row.week for row in sets})[-2:]
        if exercise is None or not exercise.multi_joint or weeks[-1:] != [newest]:
            continue
        was, now = ([row for row in sets if row.week == week] for week in (weeks[0], weeks[-1]))
        fall = 1 - _maximum(now, settings) / _maximum(was, settings)
        near = max(row.rir or 0.0 for row in now) <= settings.near_failure_rir  # else as strong, perhaps
        if fall >= settings.strength_drop_share and near:
            then, here = (
                f"{of[0].load:g} {of[0].load_unit} × {of[0].reps} on {of[0].date}" for of in (was, now)
            )
            falls[key] = f"{exercise.name}: {then}, {here}, about {percent(fall)} weaker"
        elif fall < settings.strength_drop_share and len(weeks) > 1:
            as_ever[exercise.name] = exercise.trains
    for key, said in falls.items():
        others = joined([name for name, head in as_ever.items() if head == library.exercises[key].trains])
        fine = f", not so {others}" if others else ""
        ask = "Ask: new loss of strength is a reason to stop and be seen; a set less, no more of its kin"
        yield key, f"{said}{fine}. {ask}"


def _maximum(sets: Iterable[LoggedSet], settings: TrainSettings) -> float:
    """Mean estimate over sets; repetitions above the formula's end count as that many."""
    formula, most = FORMULAS[settings.formula], settings.formula_reps_most
    return fmean((row.load or 0.0) * formula(min((row.reps or 0) + (row.rir or 0.0), most)) for row in sets)
