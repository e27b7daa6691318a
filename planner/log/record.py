"""One line of the training log, in memory and as text: the table of its columns, and what each cell may hold. A line
is one set, or one *clearance*: the coach's word that an exercise may come back after pain (kind `cleared`, set 0). A
later line for the same set replaces the earlier one on reading, because the file itself is only added to. A parser
takes a cell's text and raises `CellFault`; None stands for what is not written."""

import datetime
import re
from collections.abc import Callable, Mapping
from typing import Any, Literal, NamedTuple

from library.errors import as_written, nearest, visible
from library.method import LOG
from planner.document import week_name

KINDS = ("muscle", "joint", "sharp", "numb", "slips")
CLEARED = "cleared"
SETTLED, NOT_SETTLED = "settled", "not settled"
MORNINGS = {"": "", **dict.fromkeys((SETTLED, "yes", "y"), SETTLED)}
MORNINGS |= dict.fromkeys((NOT_SETTLED, "not_settled", "no", "n"), NOT_SETTLED)
LAST_YEAR = 2099
NOTE_LENGTH = 500  # characters
EFFORT = re.compile(r"(?:rpe|@)\s*(\d+(?:[.,]\d+)?)", re.I)
# what a note tells like the column `kind` (words of a client, English and German; common knowledge, no source); after a
# no it tells nothing
NO = r"(?<!no )(?<!not )(?<!without )(?<!ohne )(?<!kein )(?<!keine )(?<!nicht )"
TELLS = {
    "numb": re.compile(NO + r"\b(numb|tingl|taub|kribbel)", re.I),
    "slips": re.compile(
        NO + r"\b((popp?ed|slipp?ed|slid)\b.{0,12}\b(out|back)|(gave|gives) way|(arm|hand|shoulder)\b.{0,12}\bweak"
        r"|ausgekugelt)\b", re.I,
    ),
}  # fmt: skip
NUMBER = re.compile(r"^-?\d+(?:[.,]\d+)?$", re.ASCII)
LOAD = re.compile(r"^(?P<number>[^\s]*\d)\s*(?P<unit>kg|lbs?)?\.?$", re.IGNORECASE | re.ASCII)
THOUSANDS = re.compile(r",\d{3}$")
Identity = tuple[datetime.date, str, str, int]
Unit = Literal["kg", "lb"]


class LoggedSet(NamedTuple):
    """One set as it was done, or one clearance. `load` is in `load_unit` and means what the exercise's `load_is` says
    (each hand, total, stack); None: none was written, or the body alone. `reps` None: not written; 0: begun and
    stopped. `rir` repetitions in reserve. `pain` 0-10. `where` a joint region's key, other words of the client, or
    "". `kind` one of KINDS, CLEARED or "". `next_morning` SETTLED, NOT_SETTLED or ""."""

    date: datetime.date
    session: str
    exercise: str
    set_number: int
    load: float | None = None
    load_unit: Unit | None = None
    reps: int | None = None
    rir: float | None = None
    pain: float | None = None
    where: str = ""
    kind: str = ""
    next_morning: str = ""
    gym: str = ""
    note: str = ""

    @property
    def identity(self) -> Identity:
        """What makes two lines the same set."""
        return self[:4]

    @property
    def is_clearance(self) -> bool:
        """Whether the line is the coach's clearance and no set."""
        return self.kind == CLEARED

    @property
    def of_pain(self) -> bool:
        """Whether the line speaks of pain at all: a set whose complaint is not muscle soreness alone."""
        return not self.is_clearance and self.kind != "muscle"

    @property
    def complaint(self) -> str:
        """The kind of the complaint, by the words of the note where the column has none that is as grave."""
        grave = self.kind in ("sharp", *TELLS) or not self.note or not self.of_pain
        told = () if grave else (kind for kind in TELLS if TELLS[kind].search(self.note))
        return next(iter(told), self.kind)

    @property
    def week(self) -> str:
        """The ISO week of the date, as "2026-W49"."""
        return week_name(self.date)


def clearance(exercise: str, date: datetime.date, note: str = "") -> LoggedSet:
    """Return the line by which the coach clears an exercise on a date."""
    return LoggedSet(date=date, session="", exercise=exercise, set_number=0, kind=CLEARED, note=note)


def to_cells(line: LoggedSet) -> list[str]:
    """Return the cells of a line in the order of COLUMNS; empty where nothing was written."""
    return ["" if cell is None else f"{cell:.10g}" if isinstance(cell, float) else str(cell) for cell in line]


class CellFault(Exception):
    """What was read in a cell, and what would do."""

    def __init__(self, read: str, remedy: str) -> None:
        super().__init__(read, remedy)
        self.read, self.remedy = read, remedy


def refuse_cell(text: str, remedy: str) -> CellFault:
    """Make the fault of a cell that holds `text`."""
    return CellFault(f"read {as_written(text)}", remedy)


def iso_date(text: str) -> datetime.date:
    """Read 2026-11-30."""
    try:
        day = datetime.date.fromisoformat(text) if len(text) == 10 and "W" not in text else None
    except ValueError:
        day = None
    if day is None:
        raise refuse_cell(text, "Write year, month and day such as 2026-11-30")
    if not LOG.first_year <= day.year <= LAST_YEAR:
        when = "before any log" if day.year < LOG.first_year else "in the far future"
        raise refuse_cell(text, f"It lies {when}. Write the day it was done")
    return day


def _number(what: str, most: float, such_as: int = 8, *, whole: bool = False) -> Callable[[str], Any]:
    """Make the reader of a number from 0 to `most`, with a point or a comma; None where none is written."""

    def read(text: str) -> float | None:
        if not text:
            return None
        if not NUMBER.match(text) or THOUSANDS.search(text):
            unclear = "; 1,234 could be a thousand: write 1.234 or 1234" if THOUSANDS.search(text) else ""
            raise refuse_cell(text, f"Write {what} as a number such as {such_as}{unclear}")
        value = float(text.replace(",", "."))
        if not 0 <= value <= most:
            raise refuse_cell(text, f"Write {what} from 0 to {most:g}")
        if whole and value != int(value):
            raise refuse_cell(text, f"Write {what} as a whole number")
        return int(value) if whole else value

    return read


load_number = _number("the load", LOG.load_most)
repetitions = _number("the repetitions", LOG.reps_most, whole=True)  # 0: begun and stopped
_in_reserve = _number("the repetitions in reserve", LOG.rir_most, 2)
pain = _number("pain", LOG.pain_most)
_set_number = _number("the number of the set", LOG.sets_most, whole=True)


def in_reserve(text: str) -> float | None:
    """Read repetitions in reserve; effort on the scale that ends at failure with 10 is told what it would be."""
    effort = EFFORT.fullmatch(text)
    if effort and (left := 10 - float(effort[1].replace(",", "."))) >= 0:
        raise refuse_cell(text, f"Write repetitions in reserve, which would be {left:g}")
    value: float | None = _in_reserve(text)
    return value


def set_number(text: str) -> int:
    """Read the number of the set; 0 is kept for clearances."""
    if not text:
        raise CellFault("empty", "Write the number of the set: 1, 2, 3 …")
    return int(_set_number(text))


def load(text: str) -> tuple[float | None, Unit | None]:
    """Read a load and the unit that may stand beside it ("12.5 kg")."""
    if not text:
        return None, None
    parts = LOAD.match(text)
    if parts is None:
        raise refuse_cell(text, "Write the load as a number such as 12.5")
    return load_number(parts["number"]), unit(parts["unit"] or "")


def _one_of(words: Mapping[str, Any], remedy: str, offered: tuple[str, ...] = ()) -> Callable[[str], Any]:
    """Make the reader of one of these words, whatever the case; `offered`: names of which the nearest is told."""

    def read(text: str) -> Any:
        if text.lower() not in words:
            raise refuse_cell(text, f"{remedy}{nearest(text.lower()[:100], offered)}")
        return words[text.lower()]

    return read


unit = _one_of({"": None, "kg": "kg", "lb": "lb", "lbs": "lb"}, "Write kg or lb")
kind = _one_of({of: of for of in ("", CLEARED, *KINDS)}, f"Write one of {', '.join(KINDS)}", KINDS)  # of pain
next_morning = _one_of(MORNINGS, f'Write "{SETTLED}" or "{NOT_SETTLED}"')  # whether it had settled


def note(text: str) -> str:
    """Read free words, on one line."""
    if len(text) > NOTE_LENGTH:
        raise refuse_cell(text, f"Keep it to {NOTE_LENGTH} characters")
    return visible(text)


# the columns of log.csv, in the order of LoggedSet, and how a cell of each is read
PARSERS: Mapping[str, Callable[[str], Any]] = {
    "date": iso_date, "session": str, "exercise": str, "set": set_number, "load": load_number,
    "load_unit": unit, "reps": repetitions, "rir": in_reserve, "pain": pain, "where": str, "kind": kind,
    "next_morning": next_morning, "gym": str, "note": str,
}  # fmt: skip
COLUMNS = tuple(PARSERS)
WORDS = tuple(name for name, parser in PARSERS.items() if parser is str)  # may hold commas of their own
# a line of the blank sheet on which nothing of these was filled in is a set that was not done
FILLED_IN = ("load", "reps", "rir", "pain", "where", "kind", "next_morning", "note")
