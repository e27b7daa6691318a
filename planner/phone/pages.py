"""Each session with work as one HTML page that asks for nothing from anywhere and keeps what is typed on the phone."""

import base64
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib.resources import files
from itertools import chain

from library.method import LOG
from planner.athlete.names import plain_word
from planner.document import PlannedExercise, PlannedSession, Replacement
from planner.log.blank import last_sets, session_date
from planner.log.record import KINDS, NOT_SETTLED, NOTE_LENGTH, SETTLED, LoggedSet
from planner.phone.saved import FORMAT, plan_mark
from planner.plain import decimals
from planner.sheets import client, say
from planner.sheets.page import Desk, fill
from planner.sheets.say import _, figure, speaking

HERE = files("planner.phone") / "templates"
FOLDER_NAME = "phone"
POLICY = "base-uri 'none'; form-action 'none'"
SCRIPT_WORDS = {  # what phone.js says
    "marked": "Look at the marked field: repetitions (0 if the set was stopped) and numbers only.",
    "saved": "Saved as a file: send it to your coach.",
    "empty": "Nothing is filled in yet.", "sent": "Sent.", "unsent": "Not sent.", "go": "Go", "over": "Rest is over.",
    "copied": "Copied: paste it into a message.",
}  # fmt: skip
PAGE_BYTES = 150_000  # a longer page leaves the replacements without pictures


@dataclass(frozen=True)
class Choice:
    """An exercise as planned, or what takes its place; `unit` empty: no load is written; `rest` None: go on at once.
    `rows`: of each set its number and what is suggested, load, repetitions and reserve; empty: nothing is. `others`,
    if the station is taken: key, words of the button, who gets less."""

    key: str
    card: client.Card
    rows: tuple[tuple[int, str, str, str], ...]
    unit: str
    rest: int | None
    last: str
    others: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class Sheet:
    """One session at hand while its page is written; `unit` of its gym."""

    desk: Desk
    session: PlannedSession
    log: Sequence[LoggedSet]
    unit: str

    def page(self, page: client.Page, first: bool) -> str:
        """Fill in the page; one that grows too long goes without the pictures of replacements."""
        desk, document, session = self.desk, self.desk.document, self.session
        style, script = ((HERE / name).read_text(encoding="utf-8") for name in ("phone.css", "phone.js"))
        grouped = say.blocks(say.in_order(session))
        blocks = [[self.choices(block, item) for item in block] for block in grouped]
        of_plan = {"session": session.id, "gym": session.gym, "plan": plan_mark(session)}
        write = partial(
            fill, "session.html", HERE, page=page, first=first, most=LOG, note_length=NOTE_LENGTH, words=desk.words,
            athlete=say.plain(document.athlete), week=document.week, careful=say.listed(client.careful_names(desk)),
            regions=[(key, say.sentence(_(region.name))) for key, region in desk.library.regions.items()],
            kinds=[(kind, _(kind)) for kind in KINDS], settled=[(word, _(word)) for word in (SETTLED, NOT_SETTLED)],
            script_words={key: _(text) for key, text in SCRIPT_WORDS.items()}, style=style, script=script,
            mark={"planner_phone": FORMAT, "athlete": document.athlete, "week": document.week, **of_plan},
            file_name=f"{plain_word(document.athlete)}-{document.week}-{session.id}",
            policy=f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; {POLICY}",
        )  # fmt: skip
        if len((text := write(blocks=blocks)).encode()) < PAGE_BYTES:
            return text
        for choices in chain(*blocks):
            choices[1:] = [replace(one, card=replace(one.card, picture="")) for one in choices[1:]]
        return write(blocks=blocks)

    def choices(self, block: list[PlannedExercise], planned: PlannedExercise) -> list[Choice]:
        """Give the exercise as planned, then each replacement in its place."""
        before = session_date(self.desk.document, self.session)
        made = []
        for item in (planned, *(self.in_place(planned, other) for other in planned.instead)):
            together = [item if one is planned else one for one in block]
            card = client.card(self.desk, self.session.gym, together, item)
            last = last_sets(self.log, item.exercise, self.session.gym, before)
            rows = tuple((number, *_suggested(item, number, last)) for number in range(1, item.sets + 1))
            unit = (item.load_unit or self.unit) if card.load_of else ""
            rest = say.rest_after(together, item)
            made.append(Choice(item.exercise, card, rows, unit, rest, _last(last) if last else ""))
        first, *others = made
        differs = {name: less for name, _dosage, less in first.card.taken}
        cards = [(one.key, one.card) for one in others]
        buttons = [(key, f"{of.name}, {of.dosage}", differs.get(of.name, "")) for key, of in cards]
        back = ((first.key, _("Back to {name}").format(name=first.card.name), ""),)
        return [replace(first, others=tuple(buttons)), *(replace(one, others=back) for one in others)]

    def in_place(self, planned: PlannedExercise, other: Replacement) -> PlannedExercise:
        """Return the replacement as an exercise of the session; its load is yet to be found."""
        exercise = self.desk.library.exercises[other.exercise]
        same = {name: getattr(exercise, name) for name in ("name", "sides", "load_is", "warmup_sets")}
        gone = {"load": None, "load_note": "", "load_from": "", "warmup_loads": (), "instead": ()}
        asked = {"exercise": other.exercise, "sets": other.sets, "reps": other.reps, "tempo": exercise.tempo}
        return planned.model_copy(update={**same, **gone, **asked, "rest_s": exercise.rest_seconds})


def phone_pages(desk: Desk, log: Sequence[LoggedSet], units: Mapping[str, str]) -> dict[str, str]:
    """Return the page of each session with work by its file's name, such as phone/Mon.html; `units` of each gym."""
    sessions = {session.id: session for session in desk.document.sessions}
    pages: dict[str, str] = {}
    with speaking(desk.brief.athlete.language):
        for page in client.pages(desk):
            session = sessions[page.key]
            sheet = Sheet(desk, session, log, units.get(session.gym, desk.document.units))
            pages[f"{FOLDER_NAME}/{page.key}.html"] = sheet.page(page, first=not pages)
    return pages


def _last(sets: Sequence[LoggedSet]) -> str:
    """Say what was done last time: 23 November 2026: 22 kg × 10, 22 kg × 9; 2, 1 left in reserve."""
    loads = [f"{say.weight(row.load, row.load_unit)} × " if row.load else "" for row in sets]
    done = ", ".join(f"{load}{row.reps}" for load, row in zip(loads, sets, strict=True))
    reserve = [figure(decimals(row.rir)) for row in sets if row.rir is not None]
    said = _("{reserve} left in reserve").format(reserve=", ".join(reserve)) if reserve else ""
    return f"{say.said_date(sets[0].date)}: {'; '.join(filter(None, (done, said)))}"


def _suggested(item: PlannedExercise, number: int, last: Sequence[LoggedSet]) -> tuple[str, str, str]:
    """Suggest the load that is asked, else last time's, and last time's repetitions where the load is the same."""
    before = last[min(number, len(last)) - 1] if last else None
    load = item.load if item.load is not None else before.load if before else None
    reps = str(before.reps) if before and before.load == load else ""
    return "" if load is None else figure(decimals(load)), reps, str(item.rir)


def _hash(text: str) -> str:
    """Give the hash by which the page's policy knows a style or a script of ours, and no other."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
