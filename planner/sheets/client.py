"""What a client's page says: the week document turned into ready words, one card an exercise."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass

from library.schema import Exercise
from planner.document import ExerciseWarning, PlannedExercise, PlannedSession, Replacement
from planner.sheets import care, names, say
from planner.sheets.desk import Desk


@dataclass(frozen=True)
class Card:
    """One exercise, ready to print. `box_rows` holds the set numbers of each row of boxes to write in."""

    badge: str
    name: str
    dosage: str  # "3 × 8–12"
    load: str  # "12 kg"; empty: a blank to fill in, or no load at all
    load_of: str  # "each hand"
    load_unit: str
    blank_load: bool
    effort: str  # where to stop, rest, tempo
    find: str
    note: str  # a set less, more repetitions than the range; empty: nothing besides
    needs: str
    cues: tuple[str, ...]
    care: str
    taken: str  # what to do if the station is taken; empty: nothing else gives the same
    taken_dosage: str
    taken_note: str  # which heads get less or more from it
    box_rows: tuple[tuple[int, ...], ...]
    box_label: str
    both_sides: bool


@dataclass(frozen=True)
class Page:
    """One session, ready to print; `blocks` holds the cards that are trained together (pairs) or alone."""

    key: str
    day: str
    date: str
    place: int
    gym: str
    minutes: str
    over: bool  # trained or missed already
    warnings: tuple[str, ...]  # before the first exercise
    blocks: tuple[tuple[Card, ...], ...]
    rules: tuple[str, ...]  # all that concern this session, most important first

    @property
    def cards(self) -> list[Card]:
        """All exercises of the page, in order."""
        return [card for block in self.blocks for card in block]


def pages(desk: Desk) -> list[Page]:
    """Write the page of every session, in the document's order."""
    return [_page(desk, place, session) for place, session in enumerate(desk.document.sessions, start=1)]


def warnings(desk: Desk, place: int, printed: Set[str] = frozenset()) -> tuple[str, ...]:
    """Give the warnings of the sheet at a place: those about an exercise stand where it is printed.

    So Saturday's pain stands on Saturday's sheet. Of an exercise that no sheet prints only the coach's pages tell.
    """
    about = {one.text: one for one in desk.document.exercise_warnings}
    return tuple(text for text in desk.document.warnings if _stands(about.get(text), place, printed))


def _stands(about: ExerciseWarning | None, place: int, printed: Set[str]) -> bool:
    if about is None:
        return place == 1
    return about.exercise in printed or (about.first_sheet and place == 1)


def _printed(exercises: list[PlannedExercise]) -> frozenset[str]:
    """The exercises that a sheet names: what is planned, and what to do if a station is taken."""
    return frozenset(
        key for one in exercises for key in (one.exercise, *(i.exercise for i in one.instead[:1]))
    )


def already_done(desk: Desk) -> list[str]:
    """Say for every head what comes from elsewhere against its target."""
    said = desk.words.line["already"]
    return [
        said.format(
            head=names.sentence(names.name_of(desk.library, dose.head)),
            elsewhere=say.number(dose.elsewhere),
            target=say.number(dose.target),
        )
        for dose in desk.document.dose
    ]


def _page(desk: Desk, place: int, session: PlannedSession) -> Page:
    in_order = sorted(session.exercises, key=lambda planned: planned.order)
    blocks = tuple(tuple(_card(desk, block, planned) for planned in block) for block in say.blocks(in_order))
    return Page(
        key=session.id,
        day=say.day(session.id),
        date=say.session_date(desk.document.week_start, session.day),
        place=place,
        gym=say.plain(session.gym.replace("_", " ")),
        minutes=say.minutes(session),
        over=session.state != "planned",
        warnings=warnings(desk, place, _printed(in_order)),
        blocks=blocks,
        rules=_rules(desk, in_order, [card.care for block in blocks for card in block]),
    )


def _badge(block: list[PlannedExercise], planned: PlannedExercise) -> str:
    letter = planned.block or str(planned.order)
    return f"{letter}{block.index(planned) + 1}" if len(block) > 1 else letter


def _card(desk: Desk, block: list[PlannedExercise], planned: PlannedExercise) -> Card:
    exercise = desk.library.exercises.get(planned.exercise)
    implement = exercise.implement if exercise else ""
    weighed = planned.load_is not in ("body", "band")
    unit = planned.load_unit or desk.document.units
    known = planned.load is not None
    return Card(
        badge=_badge(block, planned),
        name=planned.name,
        dosage=_dosage(planned),
        load=f"{say.decimals(planned.load)} {unit}" if planned.load is not None else "",
        load_of=say.load_of(planned, implement, desk.words) if weighed or known else "",
        load_unit=unit,
        blank_load=weighed and not known,
        effort=_effort(planned, _pause(block, planned)),
        find="" if known or planned.load_note else _find(desk, planned, implement),
        note=planned.load_note,
        needs=_needs(desk, exercise, planned),
        cues=tuple(cue.rstrip(".") for cue in exercise.cues[: desk.settings.cues_most]) if exercise else (),
        care=care.care(exercise, desk) if exercise else "",
        taken=names.name_of(desk.library, planned.instead[0].exercise) if planned.instead else "",
        taken_dosage=_dosage(planned.instead[0]) if planned.instead else "",
        taken_note=_difference(desk, planned.instead[0]) if planned.instead else "",
        box_rows=_box_rows(planned.sets, desk.settings.boxes_most),
        box_label=desk.words.box[planned.load_is].format(unit=unit),
        both_sides=planned.sides > 1,
    )


def _pause(block: list[PlannedExercise], planned: PlannedExercise) -> str:
    """Say what follows a set: a rest, or in a pair the other exercise at once."""
    seconds = say.rest_after(block, planned)
    if seconds is None:
        return f"then {_badge(block, block[block.index(planned) + 1])} at once"
    return f"rest {say.rest(seconds)}"


def _effort(planned: PlannedExercise, pause: str) -> str:
    lighter = f"{planned.warmup_sets} lighter set{'s' if planned.warmup_sets > 1 else ''} first"
    parts = [say.reserve(planned.rir), pause, say.tempo(planned.tempo)]
    return names.sentence(" · ".join([*parts, lighter] if planned.warmup_sets else parts))


def _find(desk: Desk, planned: PlannedExercise, implement: str) -> str:
    low, high = planned.reps
    rir = str(planned.rir) if planned.rir else "none"
    text = desk.words.find.get(implement, desk.words.find[planned.load_is])
    if planned.load_from:
        text = desk.words.find[_from_last_week(desk, planned)]
    return text.format(low=low, high=high, rir=rir)


def _from_last_week(desk: Desk, planned: PlannedExercise) -> str:
    """Name the text for a load that follows from a week yet to be trained."""
    block = desk.document.block
    body = "_body" if planned.load_is in ("body", "band") else ""
    return f"{planned.load_from}{body}{'_lighter' if block and block.lighter else ''}"


def _needs(desk: Desk, exercise: Exercise | None, planned: PlannedExercise) -> str:
    station = names.equipment_words(desk.library, planned.exercise)
    parts = [station, exercise.position] if exercise else [station]
    return names.sentence("; ".join(part.rstrip(".") for part in parts if part))


def _dosage(what: PlannedExercise | Replacement) -> str:
    return f"{what.sets} × {say.reps(what.reps)}"


def _difference(desk: Desk, instead: Replacement) -> str:
    parts = []
    for word, sign in (("less", -1), ("more", 1)):
        heads = [
            names.name_of(desk.library, head) for head, change in instead.differs.items() if change * sign > 0
        ]
        parts += [f"{word} for the {say.joined(heads)}"] if heads else []
    return ", ".join(parts)


def _box_rows(sets: int, most: int) -> tuple[tuple[int, ...], ...]:
    """Split the sets into rows of boxes, as even as can be, so that no box gets too narrow to write in."""
    rows = -(-sets // most) or 1
    length = -(-sets // rows)
    numbers = list(range(1, sets + 1))
    return tuple(tuple(numbers[start : start + length]) for start in range(0, sets, length))


def _rules(desk: Desk, in_order: list[PlannedExercise], said: list[str]) -> tuple[str, ...]:
    """Rules of the room that concern the session and are not said already as an exercise's own caution."""
    known = [desk.library.exercises[p.exercise] for p in in_order if p.exercise in desk.library.exercises]
    wanted = [rule for rule in desk.words.rules if any(map(rule.concerns, known))]
    return tuple(rule.text for rule in wanted if not any(rule.first_sentence in care for care in said))
