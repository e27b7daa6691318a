"""Plain text for terminals and paper: lines that every table shares, and how near is the same."""

import datetime
import math
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from os import sep
from pathlib import Path

from library.read import Library
from planner.athlete.brief import DAYS
from planner.document import HeadDose, LimitUse, MadeChange, Proof, WeekDocument
from planner.method import TOLD

# on paper and at the terminal: half of the last decimal place, in the unit of what is printed
UNSHOWN = 0.05  # where one decimal is printed: sets, minutes, grade-sets
UNSHOWN_OF_TWO = 0.005  # where two are: the figures of a proof, in missed sets or minute-equivalents

# in sums, in the unit of what is summed
ROUNDING = 1e-6  # of many credits, prices or loads, or what the solver gives back: it meets rows to within 1e-6 or less
LAST_DIGITS = 1e-9  # of a few numbers as binary keeps them: 0.1 + 0.2 is not 0.3

# the system's locale must not change what is printed, so the names are ours
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
DAY_NAMES: Mapping[str, str] = dict(zip(DAYS, WEEKDAYS, strict=True))
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
WORTH = "minute-equivalents"  # minutes, and all else at what it costs in minutes
AIMS = {"dose": "dose", "shortfall": "shortfall of the worst draws", "rest": "the rest"}


def day_name(session_id: str) -> str:
    """Say a session's day in full; an id that is no day is said as it is."""
    return next((name for day, name in DAY_NAMES.items() if day == session_id), session_id)


def week_of(week: str, week_start: str) -> str:
    """Say a week by its Monday and its number: week of 30 November (2026-W49); by its number if the date is none."""
    try:
        start = datetime.date.fromisoformat(week_start)
    except ValueError:
        return f"week {week}"
    return f"week of {start.day} {MONTHS[start.month - 1]} ({week})"


def for_paper(error: str, folder: Path | str) -> str:
    """Say what is wrong with an athlete's folder without the path of this machine to it."""
    return error.replace(f"{Path(folder).parent}{sep}", "")


def number(value: float) -> str:
    """Say a number with at most one decimal, none where it is whole; dust is 0."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def decimals(value: float) -> str:
    """Say a number with its decimals, two at most: 2.5, 1.25. Loads are said so, and what one decimal would hide."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def signed(value: float) -> str:
    """Say a difference: +1.5, -2, and nothing where there is none to show."""
    return f"{'+' if value > 0 else '-'}{number(abs(value))}" if abs(value) >= UNSHOWN else ""


def share_in(text: str) -> float:
    """Read a share: 0.1 and 10% are the same; not a number if it is none."""
    written = text.strip().replace(" ", "")
    try:
        return float(written.removesuffix("%")) / (100 if written.endswith("%") else 1)
    except ValueError:
        return math.nan


def short_of(document: WeekDocument, name: Callable[[str], str] = str, where: str = "") -> list[str]:
    """Say which heads stay short of their targets, though nobody meant it; `name` gives a head's printed name."""
    return [
        f"SHORT of target{where}: {name(dose.head)} by {dose.target - dose.total:.1f} sets"
        + (f", below the floor of {number(dose.floor)}" if dose.floor - dose.total >= TOLD.short_from else "")
        for dose in ([] if less_meant(document) else below_target(document))
    ]


def less_on_purpose(document: WeekDocument, name: Callable[[str], str] = str) -> list[str]:
    """Say what the heads get in a week that gives less than their targets on purpose, and why."""
    why = less_meant(document)
    of = [f"{name(one.head)} {one.total:.1f} of {number(one.target)}" for one in below_target(document)]
    return [f"Less than the target on purpose, {why}: {joined(of)}"] if why and of else []


def below_target(document: WeekDocument) -> list[HeadDose]:
    """Give the heads that get less than their target by as much as is worth a word, the largest gap first."""
    doses = sorted(document.dose, key=lambda dose: dose.total - dose.target)
    return [dose for dose in doses if dose.target - dose.total >= TOLD.short_from]


FIRST_BACK_AFTER = "First week back after"


def less_meant(document: WeekDocument) -> str:
    """Say why a week gives less than its targets on purpose; empty where it does not."""
    if any(warning.kind == "out" for warning in document.exercise_warnings):
        return "while a complaint waits to be seen"
    if document.block and document.block.lighter:
        return "in a lighter week"
    return "in the first week back" * any(note.startswith(FIRST_BACK_AFTER) for note in document.notes)


def proof_line(proof: Proof) -> str:
    """Say how near the best a plan is proven to be for one aim, and among which plans."""
    among = f", among {proof.among}" if proof.among else ""
    return f"proof: {AIMS[proof.aim]} within {gap_words(proof)} {unit_words(proof.unit)} of the best{among}"


def gap_words(proof: Proof) -> str:
    """Say how far a plan may be from the best: hundredths of a set, tenths of a minute."""
    return f"{max(0.0, proof.gap):.{1 if proof.aim == 'rest' else 2}f}"


def unit_words(unit: str) -> str:
    """Say a unit of a proof as a coach does: what the document calls priced minutes is minute-equivalents."""
    return WORTH if unit == "priced minutes" else unit


def counted(count: int, noun: str) -> str:
    """Say a count with its noun: 1 set, 3 sets."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def joined(parts: Sequence[str], word: str = "and") -> str:
    """Join words as a sentence does: a, b and c."""
    return f" {word} ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def change_words(change: MadeChange, name: str, gym: str) -> str:
    """Say a change that holds for one week alone: without bands in home; 15 min on Wednesday; 3 sets of … on Monday."""
    if change.kind == "minutes":
        return f"{change.minutes} min on {day_name(change.name)}"
    if change.kind == "sets":
        return f"{counted(change.sets, 'set') if change.sets else 'none'} of {name} on {day_name(change.day)}"
    return f"{change.kind} {name}" + (f" in {gym}" if gym else "")


def columns(rows: Sequence[Sequence[str]], indent: str = "  ") -> list[str]:
    """Set rows of cells in columns of spaces."""
    widths = [max(map(width, column)) for column in zip(*rows, strict=True)]
    cells = ([(cell, space - width(cell)) for cell, space in zip(row, widths, strict=True)] for row in rows)
    return [f"{indent}{'  '.join(cell + ' ' * space for cell, space in row)}".rstrip() for row in cells]


def width(text: str) -> int:
    """Places a text takes in a terminal: marks on letters take none, wide letters two."""
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in text)
    return len(text) + wide - sum(unicodedata.combining(letter) != 0 for letter in text)


@dataclass(frozen=True)
class RuleWords:
    """A limit or goal in words (rules.toml): on the coach's page, in a sentence, where it is decided, what prices it."""

    title: str
    says: str
    key: str
    price: str = ""
    dropped: str = ""


@cache
def rule_words() -> Mapping[str, Mapping[str, RuleWords]]:
    """Read rules.toml: "limit" or "goal" -> kind -> words."""
    import tomllib
    from importlib.resources import files

    data = tomllib.loads(files("planner").joinpath("rules.toml").read_text(encoding="utf-8"))
    return {sort: {name: RuleWords(**entry) for name, entry in rules.items()} for sort, rules in data.items()}


def name_of(library: Library, key: str) -> str:
    """Give the printed name of any key: day, pair of days, head, region, exercise, family, implement, equipment."""
    if key == "week":
        return "the week"
    if all(part in DAY_NAMES for part in key.split("-")):
        return " and ".join(DAY_NAMES[part] for part in key.split("-"))
    tables = (library.heads, library.regions, library.exercises, library.families)
    for table in (*tables, library.implements, library.equipment):
        if key in table:
            return str(table[key].name)
    return key.replace("_", " ")


def rule_said(library: Library, sort: str, row: str, **numbers: str) -> tuple[str, str]:
    """Say a row of a "limit" or "goal" ("joints:subacromial") in a sentence, and give the key that decides it."""
    kind, *about = row.split(":")
    rules, gone = rule_words()[sort], f"{kind.replace('_', ' ')}: a rule of an earlier version"
    rule = rules.get(":".join([kind, *about[:1]])) or rules.get(kind, RuleWords(gone, gone, ""))
    keys = {f"k{at}": key for at, key in enumerate(about)}
    text = rule.says.format(*(name_of(library, key) for key in about), **numbers)
    text = re.sub(r"\b1 (set|day|exercise|session|implement)s\b", r"1 \1", text)
    return text[:1].upper() + text[1:], rule.key.format(**keys)


AGAIN = {  # done before, with no number to write: after full sets, in between, after sets that were too hard
    "band": (
        "A stronger band: every set was full last time.",
        "The same band: a repetition more where you can.",
        "A lighter band: it was too hard last time.",
    ),
    "body": (
        "A harder version: every set was full last time.",
        "The same version: a repetition more where you can.",
        "An easier version: it was too hard last time.",
    ),
}
# tastes of the tool: where a room cannot do better, nobody needs to be told
UNSAID = ("kindred:", "share:", "repeats:", "mixed:", "booked:few:", "booked:long:")
OF_A_SHORT_HEAD = ("own", "share", "session_cap")
# of a week that gives less on purpose, all other goals are missed by that
SAID_OF_LESS = ("ceiling", "twins", "next_day", "heavy_days", "session_cap")


def limit_said(library: Library, limit: LimitUse) -> str:
    """Say how much of a limit a week uses: "Minutes on Monday: 38 of 40 min"."""
    kind, *about = limit.limit.split(":")
    title = rule_words()["limit"][kind].title.format(*(name_of(library, key) for key in about))
    return f"{title[:1].upper()}{title[1:]}: {number(limit.used)} of {number(limit.allowed)} {limit.unit}"


def goals_said(library: Library, document: WeekDocument, *, doses: bool = True) -> list[str]:
    """Say missed goals; what is missed by less than is worth a word is not said, nor are tastes. Of a head that is short
    of its dose nothing is said that only says so again, and of a week that gives less on purpose, or had a day missed,
    nothing that follows from it; `doses`: whether shortfalls are said."""
    unsaid, goals = UNSAID if doses else (*UNSAID, "dose:"), document.missed
    less = less_meant(document) or any(session.state == "missed" for session in document.sessions)
    short = {goal.goal[5:] for goal in goals if goal.goal.startswith("dose:") and goal.by >= TOLD.short_from}
    least = {"dose": TOLD.short_from, "ceiling": TOLD.short_from, "own": TOLD.own_from}
    said = []
    for goal in goals:
        kind, *about = goal.goal.split(":")
        again = (less and kind not in SAID_OF_LESS) or (kind in OF_A_SHORT_HEAD and short & {*about})
        if goal.by >= least.get(kind, UNSHOWN) and not goal.goal.startswith(unsaid) and not again:
            said.append(rule_said(library, "goal", goal.goal, by=number(goal.by))[0])
    return said
