"""How a week document is said on paper: numbers and keys in, words out; whole texts stand in words.toml. What is said
inside `speaking` comes from that language's catalogue (locale/de.po). English is the text itself: it is its own key
in every catalogue, and said where a catalogue lacks it."""

import datetime
import re
import tomllib
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib.resources import files
from itertools import groupby
from types import SimpleNamespace
from typing import Any, NamedTuple

from library.read import Library
from library.schema import Exercise, Tempo
from planner.document import MadeChange, PlannedExercise, PlannedSession
from planner.plain import AGAIN, DAY_NAMES, MONTHS, change_words, decimals, joined, name_of, number

ENGLISH = "en"
_spoken = ContextVar("spoken", default=ENGLISH)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
OVER = {"done": "trained", "missed": "missed"}  # what is said of a session that is over
TEMPO = ("lift {seconds} s", "hold {seconds} s", "lower {seconds} s", "wait {seconds} s")
JOINERS = "\u200c\u200d"


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything inside in a language."""
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken() -> str:
    """Give the language that is spoken here."""
    return _spoken.get()


def _(text: str) -> str:
    """Say an English text in the language that is spoken here."""
    return catalogue(_spoken.get()).get(text, text)


def with_numbers(text: str) -> str:
    """Say a text that holds numbers; its entry in the catalogue has {0}, {1} … in their place."""
    numbers = NUMBER.findall(text)
    places = iter(range(len(numbers)))
    return _(NUMBER.sub(lambda _number: f"{{{next(places)}}}", text)).format(*map(figure, numbers))


def figure(text: str) -> str:
    """Write a number with the decimal sign of the language."""
    return text.replace(".", _("."))


@cache
def catalogue(language: str) -> Mapping[str, str]:
    """Read a language's catalogue: English text -> text."""
    if language == ENGLISH:
        return {}
    from babel.messages.pofile import read_po

    with (files("planner.sheets") / "locale" / f"{language}.po").open("rb") as file:
        return {str(entry.id): str(entry.string) for entry in read_po(file) if entry.id and entry.string}


class Rule(NamedTuple):
    """A rule of the room and the families and implements that call for it (both lists must agree if filled)."""

    text: str
    families: list[str]
    implements: list[str]

    def concerns(self, exercise: Exercise) -> bool:
        """Whether an exercise calls for this rule."""
        of_family = not self.families or exercise.family in self.families
        return of_family and (not self.implements or exercise.implement in self.implements)


def read_words() -> Any:
    """Give words.toml in the language that is spoken here, a field a table: line, find, pain, box and load map a key of
    the week document to its words, and coach, in English. `rules`; `stop`: the signs that ask for the same step, under
    the step as title. `only_after_surgery`: how a caution begins that concerns only athletes with an operation."""
    return _words(_spoken.get())


@cache
def words_file() -> dict[str, Any]:
    """Read words.toml as it is, in English."""
    return tomllib.loads((files("planner.sheets") / "words.toml").read_text(encoding="utf-8"))


@cache
def _words(language: str) -> SimpleNamespace:
    with speaking(language):
        data, said = words_file(), {}
        for name in ("line", "find", "pain", "box", "load"):
            said[name] = {key: _(of if isinstance(of, str) else of["text"]) for key, of in data[name].items()}
        return SimpleNamespace(
            rules=[Rule(of["text"], of["families"], of["implements"]) for of in data["rule"].values()],
            stop=[(_(entry["title"]), [*map(_, entry["signs"])]) for entry in data["stop"]],
            only_after_surgery=data["only_after"]["surgery"], **said,
            coach={key: entry["text"] for key, entry in data["coach"].items()},
        )  # fmt: skip


def plain(text: str) -> str:
    """Drop control characters and marks that turn the writing direction; joiners that some scripts need stay."""
    return "".join(sign for sign in text if sign in JOINERS or unicodedata.category(sign) not in ("Cc", "Cf"))


def gym(session: PlannedSession) -> str:
    """Say the gym of a session."""
    return plain(session.gym.replace("_", " "))


def load(planned: PlannedExercise) -> str:
    """Say the load to use, with its unit, and if it is the only one; or that it is yet to be found, and from which; of a
    band or the body which one."""
    if planned.load is None and planned.load_is in AGAIN and planned.load_note:
        named = planned.load_note in AGAIN[planned.load_is]  # else it says what pain or a break leaves
        return planned.load_note.partition(":")[0].lower() if named else "–"
    if planned.load is None:
        begin, words = "Begin with ", planned.load_note.partition(",")[0]
        start = f", from {words.removeprefix(begin)}" if words.startswith(begin) else ""
        return "body weight" if planned.load_is == "body" else f"to find{start}"
    only = ", the only one" if planned.load_note.startswith("The only load here") else ""
    return weight(planned.load, planned.load_unit) + only


def weight(load: float, unit: str | None) -> str:
    """Say a load with its unit."""
    return f"{figure(decimals(load))} {unit or ''}".strip()


def share(value: float) -> str:
    """Say a chance as whole per cent; certainty is never claimed from draws."""
    per_cent = round(value * 100)
    return {0: "under 1 %", 100: "over 99 %"}.get(per_cent, f"{per_cent} %")


def reps(low_high: tuple[int, int]) -> str:
    """Say a repetition range: 8–12, or 10 where both ends are one."""
    return "–".join(map(str, dict.fromkeys(low_high)))


def tempo(seconds: Tempo) -> str:
    """Say a tempo in words: lift 1 s, hold 1 s, lower 3 s, wait 1 s; parts of no length are left out."""
    parts = zip(TEMPO, (seconds.lift, seconds.top, seconds.lower, seconds.bottom), strict=True)
    return ", ".join(_(text).format(seconds=length) for text, length in parts if length)


def rest(seconds: int) -> str:
    """Say a rest: 45 s, 2 min, 1 min 30 s."""
    minutes, over = divmod(seconds, 60)
    parts = (f"{minutes} min" if minutes else "", f"{over} s" if over or not minutes else "")
    return " ".join(filter(None, parts))


def in_order(session: PlannedSession) -> list[PlannedExercise]:
    """Give the exercises of a session in printed order."""
    return sorted(session.exercises, key=lambda planned: planned.order)


def blocks(exercises: Sequence[PlannedExercise]) -> list[list[PlannedExercise]]:
    """Exercises next to each other with the same block letter are one block: a pair, done in turns."""
    return [list(block) for _, block in groupby(exercises, lambda one: one.block or one.order)]


def rest_after(block: Sequence[PlannedExercise], planned: PlannedExercise) -> int | None:
    """Seconds of rest after a set: of a pair's last exercise the longer rest of both, before it none at all."""
    return max(one.rest_s for one in block) if planned is block[-1] else None


def load_of(exercise: PlannedExercise, implement: str, words: Any) -> str:
    """Say what a load counts: each hand, with the bar, on the stack."""
    if exercise.load_is == "each_hand" and exercise.sides == 2:
        return str(words.load["one_hand"])
    keys = (f"{implement}_{exercise.load_is}", implement, exercise.load_is)
    return str(next(words.load[key] for key in keys if key in words.load))


def day(session_id: str) -> str:
    """Say a session's day in full; an id that is no day is said as it is."""
    return _(DAY_NAMES.get(session_id, session_id))


def minutes(session: PlannedSession) -> str:
    """Say how much of a session's time is used: 29.7 of 40 min; of one that is over, what became of it."""
    used, allowed = (figure(number(minutes)) for minutes in (session.minutes.used, session.minutes.allowed))
    over = OVER.get(session.state)
    return _(over) if over else _("{used} of {allowed} min").format(used=used, allowed=allowed)


def session_date(week_start: str, day_key: str) -> str:
    """Say the date of a day of the week that starts at `week_start` (ISO date); empty if it cannot be known."""
    try:
        days = datetime.timedelta(days=tuple(DAY_NAMES).index(day_key))
        return said_date(datetime.date.fromisoformat(week_start) + days)
    except ValueError:
        return ""


def said_date(date: datetime.date) -> str:
    """Say a date in full."""
    return _("{day} {month} {year}").format(day=date.day, month=_(MONTHS[date.month - 1]), year=date.year)


def listed(parts: Sequence[str]) -> str:
    """Join words as a sentence does: a, b and c."""
    return joined(parts, _("and"))


def further(lines: Iterable[str], *said: Iterable[str]) -> list[str]:
    """Give the lines that are not said already: each thing is said once."""
    return [line for line in lines if not any(line in before for before in said)]


def change(library: Library, made: MadeChange) -> str:
    """Say what holds for this week alone and stands in no file."""
    return sentence(change_words(made, name_of(library, made.name), plain(made.gym)))


def sentence(words: str) -> str:
    """Begin with a capital letter, and leave the rest as it is."""
    return words[:1].upper() + words[1:]


def stations(library: Library, key: str, places: Mapping[str, str]) -> str:
    """Name what must be free for an exercise, and where it stands in the gym if the gym's file says so."""
    if key not in library.exercises:
        return ""
    names = []
    for need in library.exercises[key].needs:  # "barbell" is an implement too, under another name
        name = _(library.equipment[need].name) if need in library.equipment else need.replace("_", " ")
        names.append(f"{name} ({plain(places[need])})" if places.get(need) else name)
    return listed(names) or _("no equipment")
