"""Each session with work as one HTML page that asks for nothing from anywhere and keeps what is typed on the phone.

Words and values are those of the client's sheet; last time's figures come from the log.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from planner.athlete.names import plain_word
from planner.document import PlannedExercise, Replacement, TempoSeconds
from planner.log.blank import last_sets, session_date
from planner.log.record import KINDS, NOT_SETTLED, NOTE_LENGTH, SETTLED, LoggedSet
from planner.method import LOG
from planner.phone.mark import FORMAT, plan_mark
from planner.plain import decimals
from planner.sheets import cautions, client, say
from planner.sheets.language import _, figure, speaking
from planner.sheets.page import fill

if TYPE_CHECKING:
    from planner.document import PlannedSession
    from planner.sheets.page import Desk

HERE = files("planner.phone") / "templates"
FOLDER_NAME = "phone"
SCRIPT_WORDS = {  # what phone.js says
    "marked": "Look at the marked field: repetitions (0 if the set was stopped) and numbers only.",
    "saved": "Saved as a file: send it to your coach.",
    "empty": "Nothing is filled in yet.",
    "sent": "Sent.",
    "unsent": "Not sent.",
    "copied": "Copied: paste it into a message.",
    "go": "Go",
    "over": "Rest is over.",
}
PAGE_BYTES = 150_000  # a longer page leaves the replacements without pictures


@dataclass(frozen=True)
class SetRow:
    """One set to fill in: what stands there as a suggestion, as text; empty: nothing is suggested."""

    number: int
    load: str
    reps: str
    rir: str


@dataclass(frozen=True)
class Choice:
    """An exercise as planned, or what takes its place; `unit` empty: no load is written; `rest` None: go on at once."""

    key: str
    card: client.Card
    rows: tuple[SetRow, ...]
    unit: str
    rest: int | None
    last: str
    others: tuple[
        tuple[str, str, str], ...
    ] = ()  # if the station is taken: key, words of the button, who gets less


def phone_pages(desk: Desk, log: Sequence[LoggedSet], units: Mapping[str, str]) -> dict[str, str]:
    """Return the page of each session with work by its file's name, such as phone/Mon.html; `units` of each gym."""
    with speaking(desk.brief.athlete.language):
        return dict(_pages(desk, log, units))


def _pages(desk: Desk, log: Sequence[LoggedSet], units: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    sessions = {session.id: session for session in desk.document.sessions}
    made = client.pages(desk)
    for page in made:
        text = _page(desk, page, sessions[page.key], log, units, page is made[0])
        yield f"{FOLDER_NAME}/{page.key}.html", text


def _page(
    desk: Desk,
    page: client.Page,
    session: PlannedSession,
    log: Sequence[LoggedSet],
    units: Mapping[str, str],
    first: bool,
) -> str:
    document, style, script = desk.document, _text("phone.css"), _text("phone.js")
    unit = units.get(session.gym, document.units)
    blocks = say.blocks(say.in_order(session))
    choices = [[_choices(desk, session, block, item, log, unit) for item in block] for block in blocks]
    mark = {
        "planner_phone": FORMAT,
        "athlete": document.athlete,
        "week": document.week,
        "session": session.id,
        "gym": session.gym,
        "plan": plan_mark(session),
    }
    write = partial(
        fill,
        "session.html",
        HERE,
        page=page,
        first=first,
        athlete=say.plain(document.athlete),
        week=document.week,
        careful=say.listed(cautions.careful_names(desk)),
        regions=[(key, say.sentence(_(region.name))) for key, region in desk.library.regions.items()],
        kinds=[(kind, _(kind)) for kind in KINDS],
        settled=[(word, _(word)) for word in (SETTLED, NOT_SETTLED)],
        script_words={key: _(text) for key, text in SCRIPT_WORDS.items()},
        most=LOG,
        note_length=NOTE_LENGTH,
        words=desk.words,
        mark=mark,
        file_name=f"{plain_word(document.athlete)}-{document.week}-{session.id}",
        style=_raw(style),
        script=_raw(script),
        policy=f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; "
        "base-uri 'none'; form-action 'none'",
    )
    text = write(blocks=choices)
    return text if len(text.encode()) < PAGE_BYTES else write(blocks=[list(map(_bare, b)) for b in choices])


def _bare(choices: list[Choice]) -> list[Choice]:
    """Take the pictures from the replacements."""
    planned, *others = choices
    return [planned, *(replace(other, card=replace(other.card, picture="")) for other in others)]


def _choices(
    desk: Desk,
    session: PlannedSession,
    block: list[PlannedExercise],
    planned: PlannedExercise,
    log: Sequence[LoggedSet],
    unit: str,
) -> list[Choice]:
    """Give the exercise as planned, then each replacement in its place."""
    before = session_date(desk.document, session)
    made = []
    for item in (planned, *(_in_place(desk, planned, other) for other in planned.instead)):
        card = client.card(desk, session.gym, [item if one is planned else one for one in block], item)
        last = last_sets(log, item.exercise, session.gym, before)
        made.append(
            Choice(
                key=item.exercise,
                card=card,
                rows=tuple(_row(item, number, last) for number in range(1, item.sets + 1)),
                unit=(item.load_unit or unit) if card.load_of else "",
                rest=say.rest_after([item if one is planned else one for one in block], item),
                last=_last(last) if last else "",
            )
        )
    return [replace(choice, others=_others(choice, made)) for choice in made]


def _others(choice: Choice, choices: Sequence[Choice]) -> tuple[tuple[str, str, str], ...]:
    """Say what else may take this place: from the exercise as planned its replacements, from one of them the way back."""
    planned = choices[0]
    if choice is not planned:
        return ((planned.key, _("Back to {name}").format(name=planned.card.name), ""),)
    differs = {name: less for name, _, less in planned.card.taken}
    return tuple(
        (other.key, f"{other.card.name}, {other.card.dosage}", differs.get(other.card.name, ""))
        for other in choices[1:]
    )


def _in_place(desk: Desk, planned: PlannedExercise, other: Replacement) -> PlannedExercise:
    """Return the replacement as an exercise of the session; its load is yet to be found."""
    exercise = desk.library.exercises[other.exercise]
    return planned.model_copy(
        update={
            "exercise": other.exercise,
            "name": exercise.name,
            "sets": other.sets,
            "reps": other.reps,
            "tempo": TempoSeconds(**exercise.tempo.model_dump()),
            "rest_s": exercise.rest_seconds,
            "sides": exercise.sides,
            "load_is": exercise.load_is,
            "warmup_sets": exercise.warmup_sets,
            **{"load": None, "load_note": "", "load_from": "", "warmup_loads": (), "instead": ()},
        }
    )


def _last(sets: Sequence[LoggedSet]) -> str:
    """Say what was done last time: 23 November 2026: 22 kg × 10, 22 kg × 9; 2, 1 left in reserve."""
    done = ", ".join(
        " × ".join(
            filter(None, (say.weight(row.load, row.load_unit or "") if row.load else "", str(row.reps)))
        )
        for row in sets
    )
    reserve = [figure(decimals(row.rir)) for row in sets if row.rir is not None]
    said = _("{reserve} left in reserve").format(reserve=", ".join(reserve)) if reserve else ""
    return f"{say.said_date(sets[0].date)}: {'; '.join(filter(None, (done, said)))}"


def _row(item: PlannedExercise, number: int, last: Sequence[LoggedSet]) -> SetRow:
    """Suggest the load that is asked, else last time's, and last time's repetitions where the load is the same."""
    before = last[min(number, len(last)) - 1] if last else None
    load = item.load if item.load is not None else before.load if before else None
    reps = str(before.reps) if before and before.load == load else ""
    return SetRow(number, "" if load is None else figure(decimals(load)), reps, str(item.rir))


def _text(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")


def _raw(text: str) -> Any:
    from markupsafe import Markup

    return Markup(text)


def _hash(text: str) -> str:
    """Give the hash by which the page's policy knows a style or a script of ours, and no other."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
