"""Who trains in which room at an hour, and what each could do: from athletes' folders and the weeks in force to rooms."""

import datetime
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice, product
from pathlib import Path
from typing import NamedTuple

from library.errors import Fault, FaultyInput, PlannerError, as_written, listed
from library.schema import INCLUDES
from planner.athlete.brief import Session
from planner.athlete.reading import GYM_FILE, read_athlete
from planner.change import swap, told
from planner.document import PlannedExercise, PlannedSession, plan_of
from planner.method import ROOM
from planner.model.build import build_problem, careful_regions
from planner.plain import UNSHOWN, counted, for_paper
from planner.room.floor import Block, Person, Room, Way
from planner.roster import athletes_below, client_name
from planner.sheets import say
from planner.week import gather, instead, keeping

HOUR = re.compile(r"\s*(\w+)\s+((?:[01]?\d|2[0-3]):[0-5]\d)\s*", re.ASCII)
OPTION = "--together"
Missing = list[tuple[str, int]]  # who may belong to the hour and is not in it, why, and the exit code of that


class Hour(NamedTuple):
    """A day and the minute of it from which a room is looked at for an hour."""

    day: str
    minute: int

    def __str__(self) -> str:
        return f"{self.day} {self.clock()}"

    def clock(self, after: int = 0) -> str:
        """Say the time so many minutes after the hour began."""
        return "{:02d}:{:02d}".format(*divmod((self.minute + after) % (24 * 60), 60))

    def begins(self, session: Session) -> int | None:
        """Minutes from the hour to a session that shares some of it (below 0: it began before); None if none does."""
        after = minute_of(session.at) - self.minute if session.at and session.day == self.day else 60
        return after if -session.minutes < after < 60 else None


def minute_of(clock: str) -> int:
    """Read 18:00 as minutes of the day."""
    hours, minutes = clock.split(":")
    return 60 * int(hours) + int(minutes)


def read_hour(text: str) -> Hour:
    """Read "Mon 18:00". Raises FaultyInput."""
    words = HOUR.fullmatch(text)
    if words is None or words[1].lower() not in told.DAY_WORDS:
        remedy = f'Write a day and a time of day, such as {OPTION} "Mon 18:00"'
        raise FaultyInput([Fault(OPTION, "", as_written(text), remedy)])
    return Hour(told.DAY_WORDS[words[1].lower()], minute_of(words[2]))


class Booked(NamedTuple):
    """An athlete's folder with one session of its brief, and what its gym.toml counts there."""

    folder: Path
    name: str
    session: Session
    stations: Mapping[str, int]


def rooms_at(folder: Path, hour: Hour, week: str, today: datetime.date) -> tuple[dict[str, Room], Missing]:
    """Give the rooms in which athletes below `folder` train at an hour, by name, and who is missing from them. Raises
    FaultyInput: nobody trains then, more people than one timetable holds, gym files that count differently."""
    by_gym: dict[str, list[Booked]] = {}
    missing: Missing = []
    hours: set[str] = set()
    for athlete in athletes_below(folder):
        try:
            brief, gyms = read_athlete(athlete, gather.shipped()[0])
        except PlannerError as error:
            missing.append((f"{client_name(athlete)}: {for_paper(str(error), athlete)}", error.exit_code))
            continue
        hours |= {f"{session.day} {session.at}" for session in brief.session if session.at}
        for session in brief.session:
            if hour.begins(session) is not None:
                booked = Booked(athlete, brief.athlete.name, session, gyms[session.gym].stations)
                by_gym.setdefault(session.gym, []).append(booked)
    faults = [fault for gym, people in by_gym.items() for fault in _faults(hour, gym, people)]
    if not by_gym:
        begin = f"Sessions with `at` in the briefs begin {listed(sorted(hours))}"
        unread = [f"could not be read: {'; '.join(reason.splitlines())}" for reason, _ in missing]
        known = ". ".join([begin if hours else "No brief says `at`", *unread])
        faults.append(Fault(OPTION, "", f"nobody trains in the hour from {hour}", known))
    if faults:
        raise FaultyInput(faults)
    rooms = {gym: _room(people, hour, week, today, missing) for gym, people in sorted(by_gym.items())}
    return {gym: room for gym, room in rooms.items() if room.people}, missing


def _faults(hour: Hour, gym: str, people: Sequence[Booked]) -> Iterator[Fault]:
    if len(people) > ROOM.people_most:
        remedy = f"One timetable holds {ROOM.people_most} at most: give some of them another hour"
        yield Fault(OPTION, "", f"{counted(len(people), 'athlete')} in {gym} in the hour from {hour}", remedy)
    counts: dict[str, Booked] = {}
    for one in people:
        for key, count in one.stations.items():
            first = counts.setdefault(key, one)
            if first.stations[key] != count:
                remedy = f"{first.folder / GYM_FILE} has {first.stations[key]}: one room has one number"
                yield Fault(one.folder / GYM_FILE, f"gym `{gym}`.stations.{key}", str(count), remedy)


def _room(booked: Sequence[Booked], hour: Hour, week: str, today: datetime.date, missing: Missing) -> Room:
    stations = {key: count for one in booked for key, count in one.stations.items()}
    people = []
    for one in booked:
        try:
            standing = swap.open_week(one.folder, today, week)
        except PlannerError as error:
            missing.append((f"{one.name}: {for_paper(str(error), one.folder)}", error.exit_code))
            continue
        session = next((day for day in standing.in_force.sessions if day.day == hour.day), None)
        if session is not None and session.state == "planned" and session.exercises:
            people.append(Ways(standing, session, stations).person(one.name, hour.begins(one.session) or 0))
        else:
            missing.append((f"{one.name}: nothing is planned, or it is over", 0))
    return Room(tuple(people), stations)


class Ways:
    """Finds the ways to do the blocks of one session: as planned, or one replacement, on any station that serves."""

    def __init__(self, standing: swap.Standing, session: PlannedSession, stations: Mapping[str, int]) -> None:
        self.inputs, self.session, self.stations = standing.asked.inputs, session, stations
        problem = build_problem(self.inputs)
        self.plan = keeping.still_possible(problem, plan_of(standing.in_force))
        self.problem = replace(problem, in_force=self.plan)  # so that change has its price, as in swap
        self.instead = instead.Instead(self.problem, self.plan, careful_regions(self.inputs))

    def person(self, name: str, begins: int) -> Person:
        """Give the person, with each block and the ways to do it."""
        warmup = math.ceil(self.inputs.week.general_warmup_minutes)
        blocks = tuple(map(self.block, say.blocks(say.in_order(self.session))))
        # whole minutes may add up to more than was booked
        work = warmup + sum(max(way.minutes for way in block.ways) for block in blocks)
        stay = max(math.ceil(self.session.minutes.allowed), work) + ROOM.wait_most_minutes
        language = self.inputs.brief.athlete.language
        return Person(name, blocks, begins + stay, begins, warmup, language)

    def block(self, lines: list[PlannedExercise]) -> Block:
        """Give a block with its ways; a pair is never torn apart, so it has no replacement."""
        keys = [line.exercise for line in lines]
        minutes = math.ceil(sum(line.minutes for line in lines) - UNSHOWN)
        said = tuple(f"{line.name} {line.sets} × {say.reps(line.reps)}" for line in lines)
        ways = [Way(said, minutes, places) for places in self.places(keys)]
        if len(lines) == 1 and (keys[0], self.session.id) in self.plan:
            ways += self.replacements(keys[0])
        heavy = any(key in self.problem.by_key and self.problem.by_key[key].is_heavy for key in keys)
        return Block(lines[0].block or str(lines[0].order), tuple(ways), heavy)

    def replacements(self, key: str) -> Iterator[Way]:
        """Give the best replacements of an exercise, priced as in swap; each by itself keeps every limit of the week."""
        session = next(one for one in self.problem.sessions if one.id == self.session.id)
        for exchange in islice(self.instead.of(key, session), ROOM.replacements_looked_at):
            exercise = self.inputs.library.exercises[exchange.key]
            minutes = math.ceil(self.problem.by_key[exchange.key].seconds(exchange.sets) / 60)
            said = (f"{exercise.name} {exchange.sets} × {say.reps(exercise.reps)}",)
            price = self.instead.price(key, session, exchange)[1]
            for places in self.places([exchange.key]):
                yield Way(said, minutes, places, price, instead=True)

    def places(self, keys: Iterable[str]) -> list[tuple[str, ...]]:
        """Give the counted stations that exercises occupy: where one includes another, either will do."""
        exercises = self.inputs.library.exercises
        needs = dict.fromkeys(need for key in keys for need in exercises[key].needs)
        wholes = {need: [whole for whole, parts in INCLUDES.items() if need in parts] for need in needs}
        serving = ([key for key in (need, *wholes[need]) if key in self.stations] for need in needs)
        return [tuple(dict.fromkeys(chosen)) for chosen in product(*filter(None, serving))]
