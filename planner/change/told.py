"""What `planner swap` was told, read word by word: every fault at once, each with its option and what would do."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import NamedTuple

from pydantic import ValidationError

from library.errors import Fault, FaultyInput, as_written, listed, nearest, refuse
from library.files import attempt, in_words
from library.read import Library
from planner.athlete.brief import DAYS, Brief, Day, Pin, Session
from planner.athlete.folder import read_week
from planner.document import MadeChange, State, WeekDocument, states_of
from planner.model.inputs import Inputs
from planner.plain import DAY_NAMES, change_words, counted, day_name, name_of
from planner.week import gather, plan
from planner.week.edits import joined, takes_back

Changes = tuple[MadeChange, ...]
States = Mapping[str, State]
DAY_WORDS: Mapping[str, Day] = {name.lower(): day for day in DAYS for name in (day, DAY_NAMES[day])}


class Options(NamedTuple):
    """The words of the options as they were written."""

    without: tuple[str, ...] = ()
    with_: tuple[str, ...] = ()
    minutes: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    missed: tuple[str, ...] = ()
    back: tuple[str, ...] = ()


@dataclass(frozen=True)
class Told:
    """The same as data: changes of this week, in the order of the options, what became of days, what there is to say."""

    changes: tuple[MadeChange, ...] = ()
    states: Mapping[str, State] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


class Known(NamedTuple):
    """What the words are read against: of the week in force the days that are over, and what holds for it already.
    `start` is its Monday, `today` the day on which the words are said."""

    library: Library
    brief: Brief
    gyms: tuple[str, ...]
    over: Mapping[str, State]
    start: datetime.date
    today: datetime.date
    before: tuple[MadeChange, ...] = ()


def read_options(options: Options, known: Known) -> Told:
    """Turn words into data. Raises FaultyInput with the faults of all options."""
    faults: list[Fault] = []
    readers: dict[str, Callable[[str, str, Known], MadeChange]] = {"without": _thing, "with_": _thing}
    dropped = lambda *of: MadeChange(kind="without", name=_exercise(*of))  # noqa: E731
    readers |= {"minutes": _minutes, "sets": _sets, "drop": dropped}
    changes: tuple[MadeChange, ...] = ()
    for name, reader in readers.items():
        for word in dict.fromkeys(getattr(options, name)):
            change = attempt(partial(reader, f"--{name.rstrip('_')}", word, known), faults)
            changes += (change,) if change else ()
    states = _states(options, known, faults)
    faults += _against_each_other(changes, states, known)
    if faults:
        raise FaultyInput(faults)
    return Told(changes, states)


def _thing(option: str, word: str, known: Known) -> MadeChange:
    """Read equipment, of one gym as GYM:EQUIPMENT, or an exercise; keys and printed names will do."""
    gym, _, name = word.rpartition(":")
    if gym and gym not in known.gyms:
        remedy = f"No gym is called {as_written(gym)}{_near(gym, known.gyms)} Known: {listed(known.gyms)}"
        raise refuse(option, "", as_written(word), remedy)
    library, kind = known.library, option.removeprefix("--")
    key = key_of(name, library.equipment) or (None if gym else key_of(name, library.exercises))
    if key is None:
        names = library.equipment if gym else [*library.equipment, *library.exercises]
        remedy = f"No equipment or exercise has this name{_near(name, names)}"
        raise refuse(option, "", as_written(word), f"{remedy} library/equipment.toml lists the equipment")
    change = MadeChange.model_validate({"kind": kind, "name": key, "gym": gym})
    comes_new = kind == "with" and key in library.equipment and not takes_back(change, known.before)
    if comes_new and not gym and len(known.gyms) > 1:
        remedy = f"Say in which gym it is, such as {option} {known.gyms[0]}:{key}"
        raise refuse(option, "", as_written(word), remedy)
    return change


def _exercise(option: str, word: str, known: Known) -> str:
    exercises = known.library.exercises
    key = key_of(word, exercises)
    if key is None:
        remedy = f"No exercise has this name{_near(word, exercises)} `planner library` lists them"
        raise refuse(option, "", as_written(word), remedy)
    return key


def _minutes(option: str, word: str, known: Known) -> MadeChange:
    name, _, number = word.partition("=")
    wanted = in_words(Session.model_json_schema()["properties"]["minutes"])
    wrong = refuse(option, "", as_written(word), f"Write a day and {wanted}, such as Mon=30")
    if not number.strip().isdecimal():
        raise wrong
    day = _day(option, name, known)
    try:
        Session(day=day, minutes=int(number), gym="any")
    except ValidationError:
        raise wrong from None
    return MadeChange(kind="minutes", name=day, minutes=int(number))


def _sets(option: str, word: str, known: Known) -> MadeChange:
    """Read so many sets of an exercise on a day; 0 are none."""
    name, _, rest = word.partition("=")
    day, _, number = rest.partition(":")
    key = _exercise(option, name, known)
    most = max(limit.le for limit in Pin.model_fields["sets"].metadata if hasattr(limit, "le"))
    if not number.strip().isdecimal() or int(number) > most:
        remedy = f"Write an exercise, a day and 0 to {most} sets, such as {key}=Mon:3"
        raise refuse(option, "", as_written(word), remedy)
    return MadeChange(kind="sets", name=key, day=_day(option, day, known), sets=int(number))


def _day(option: str, word: str, known: Known) -> Day:
    day, days = DAY_WORDS.get(word.strip().lower()), [session.day for session in known.brief.session]
    if day is None:
        remedy = f"No day has this name{_near(word, DAYS)} Known: {listed(DAYS)}"
        raise refuse(option, "", as_written(word), remedy)
    if day not in days:
        raise refuse(option, "", as_written(word), f"No session is on {day}. The week has {listed(days)}")
    return day


def _states(options: Options, known: Known, faults: list[Fault]) -> dict[str, State]:
    told: dict[str, State] = {}
    kinds: dict[str, State] = {"done": "done", "missed": "missed", "back": "planned"}
    for kind, word in [(of, word) for of in kinds for word in getattr(options, of)]:
        option, state = f"--{kind}", kinds[kind]
        if (day := attempt(partial(_day, option, word, known), faults)) is None:
            continue
        comes = known.start + datetime.timedelta(days=DAYS.index(day))
        if told.get(day, state) != state:
            remedy = "A session was trained, missed or is to come: leave the others out"
            faults.append(Fault("--done, --missed, --back", "", f"{as_written(day)} twice", remedy))
        elif state == "done" and known.over.get(day) == "missed":
            gone = "It was called missed before and its sets are gone"
            remedy = f"{gone}: take that back first with --back {day}"
            faults.append(Fault(option, "", as_written(day), remedy))
        elif state == "done" and comes > known.today:
            begins = "" if known.start <= known.today else f": the week in force begins on {known.start}"
            read = f"{as_written(day)} is {comes}, today is {known.today}{begins}"
            ahead = f"--missed {day} may be told ahead, --week names an earlier week"
            faults.append(Fault(option, "", read, f"Say it once the session was trained; {ahead}"))
        else:
            told[day] = state
    return told


def _against_each_other(changes: Sequence[MadeChange], states: States, known: Known) -> Iterator[Fault]:
    """Two words that cannot both hold, and words against what the brief has decided."""
    seen: dict[tuple[str, str], MadeChange] = {}
    over, pins = {*known.over, *states}, known.brief.preferences.pins
    for change in changes:
        option = "--minutes" if change.kind == "minutes" else "--with, --without"
        before = seen.setdefault((change.name, change.gym or change.day), change)
        if before != change:
            yield Fault(option, "", f"{as_written(change.name)} is told twice", "Leave one of the two out")
        if change.kind == "minutes" and change.name in over:
            yield Fault("--minutes", "", as_written(change.name), "This session is over: its minutes stand")
        if change.day in over:
            yield Fault("--sets", "", as_written(change.day), "This session is over: its sets stand")
        days = [pin.day for key, pin in pins if key == change.name and pin.day not in over]
        if change.kind == "without" and days:
            remedy = f"brief.toml pins it on {listed(days)}: take the pin out of [preferences] first"
            yield Fault("--drop", "", as_written(change.name), remedy)


def key_of(word: str, table: Mapping[str, object]) -> str | None:
    """Find a key of the library by itself or by its printed name, whatever the case."""
    if word in table:
        return word
    lower = word.strip().lower()
    return next((key for key, item in table.items() if getattr(item, "name", "").lower() == lower), None)


def _near(word: str, names: Iterable[str]) -> str:
    return nearest(word.strip().lower().replace(" ", "_"), names) or nearest(word, names) or "."


def notes_of(inputs: Inputs, in_force: WeekDocument, before: Changes, new: Told) -> Iterator[str]:
    """Say of what was told what changes nothing, what no longer counts, and which pins hold no longer."""
    place, library = (inputs.brief, inputs.gyms, inputs.library), inputs.library
    stands = joined(before, (), *place)
    for change in new.changes:
        if joined(before, (change,), *place) == stands:
            name = change_words(change, change.name, change.gym)
            yield f"{name[0].upper()}{name[1:]}: this is so already, nothing changes by it."
    for session in in_force.sessions:
        if session.state == "done" and new.states.get(session.day) == "missed":
            sets = counted(sum(line.sets for line in session.exercises), "set")
            yield f"{day_name(session.day)} was called done before: its {sets} count no longer."
    for key, pin in inputs.brief.preferences.pins:
        if new.states.get(pin.day) == "missed":
            missed = f"pinned on {day_name(pin.day)}, which was missed"
            yield f"{library.exercises[key].name}: {missed}; its sets go where the week wants them."


def only_there(folder: Path, asked: gather.Asked) -> Iterator[str]:
    """Say what `planner swap` was told of this week and of the one before: planned anew, the week knows it no longer."""
    known = [asked.before] if asked.before else []
    with suppress(FaultyInput):  # there is none, or a damaged one, which is replaced
        known.append(read_week(folder, asked.week))
    for old in known:
        said = [change_words(of, name_of(asked.library, of.name), of.gym) for of in old.changes]
        over = states_of(old) if old.week == asked.week else {}
        said += [f"{day_name(day)} {state}" for day, state in over.items()]
        if said:
            yield f"{', '.join(said)}: told of {old.week} alone, not of the week planned here. What lasts stands in the files."


def in_options(text: str, changes: Iterable[MadeChange]) -> str:
    """Name what swap was told in words about pins of the brief: it stands in no file."""
    for change in changes:
        text = text.replace(f"{plan.PINS}.{change.name}:", f"--sets {change.name}:")
    return text
