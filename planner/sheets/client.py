"""What a client's page says: the week document turned into ready words, one card an exercise; what is to be taken care of."""

import math
from dataclasses import dataclass, replace
from itertools import accumulate

from library.schema import Exercise, Stress
from planner.document import PlannedExercise, PlannedSession, Replacement, State
from planner.plain import decimals, name_of, number
from planner.sheets import say
from planner.sheets.figure import exercise_picture
from planner.sheets.page import Desk
from planner.sheets.say import _, figure, with_numbers


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
    warmup: tuple[
        str, ...
    ]  # of each warm-up set its load, or that it is lighter; easy where nothing lighter is there
    find: str
    note: str  # a set less, more repetitions than the range; empty: nothing besides
    station: str  # what must be free
    needs: str  # the same, and the position
    cues: tuple[str, ...]
    care: str
    taken: tuple[tuple[str, str, str], ...]  # instead: name, dosage, who gets less or more (on the phone)
    box_rows: tuple[tuple[int, ...], ...]
    box_label: str
    both_sides: bool
    picture: str  # SVG of start and end, safe to print as it is; empty: none


@dataclass(frozen=True)
class Page:
    """One session, ready to print; `blocks` holds the cards that are trained together (pairs) or alone."""

    key: str
    day: str
    date: str
    place: int
    of: int
    gym: str
    minutes: str
    warnings: tuple[str, ...]  # about an exercise of the page, before the first one
    blocks: tuple[tuple[Card, ...], ...]
    rules: tuple[str, ...]  # all that concern this session, most important first
    also: tuple[str, ...]  # sessions beside it that have no page, and why
    part: int = 1
    parts: int = 1
    state: State = "planned"
    warmup: str = ""  # how to warm up, and how high the arm may go

    @property
    def cards(self) -> list[Card]:
        """All exercises of the page, in order."""
        return [card for block in self.blocks for card in block]


def pages(desk: Desk) -> list[Page]:
    """Write the page of every session with work; the page before says so of the others (the first of those ahead)."""
    made: list[Page] = []
    silent: dict[int, list[str]] = {}
    for place, session in enumerate(desk.document.sessions, start=1):
        if session.exercises:
            made.append(_page(desk, place, session, first=not made))
        else:
            date = say.session_date(desk.document.week_start, session.day)
            over = f"{_(say.OVER[session.state])}." if session.state in say.OVER else ""
            said = f"{', '.join(filter(None, (say.day(session.id), date)))}: {over or desk.words.line['no_session']}"
            silent.setdefault(max(0, len(made) - 1), []).append(said)
    return [replace(page, also=tuple(silent.get(at, ()))) for at, page in enumerate(made)]


def split(page: Page, parts: int) -> list[Page]:
    """Cut a page in so many parts (or less) between blocks; the first one warns, the last says what else there is."""
    groups: dict[int, list[tuple[Card, ...]]] = {}
    for block, upto in zip(page.blocks, accumulate(map(len, page.blocks)), strict=True):
        groups.setdefault((upto - 1) * parts // len(page.cards), []).append(block)
    bare = replace(page, warnings=(), also=(), parts=len(groups))
    made = [replace(bare, blocks=tuple(of), part=part) for part, of in enumerate(groups.values(), start=1)]
    made[0] = replace(made[0], warnings=page.warnings)
    return [*made[:-1], replace(made[-1], also=page.also)]


def already_done(desk: Desk) -> list[str]:
    """Say for every head what comes from elsewhere against its target; after pain that this waits too."""
    if any(warning.kind == "out" for warning in desk.document.exercise_warnings):
        names = say.listed([_(name_of(desk.library, key)) for key in desk.brief.elsewhere])
        return [desk.words.line["elsewhere_too"].format(names=names)] if names else []
    said, doses = desk.words.line["already"], desk.document.dose
    sets = [{name: figure(number(getattr(dose, name))) for name in ("elsewhere", "target")} for dose in doses]
    return [said.format(head=desk.name(dose.head), **of) for dose, of in zip(doses, sets, strict=True)]


def _page(desk: Desk, place: int, session: PlannedSession, first: bool) -> Page:
    exercises, document, line = say.in_order(session), desk.document, desk.words.line
    # lighter sets are named only where some exercise has them
    lighter = line["warmup_lighter"] if any(one.warmup_sets for one in exercises) else ""
    minutes, highest = document.made_with.method["general_warmup_minutes"], desk.brief.arm_at_most_degrees
    warmup = [line["warmup"].format(minutes=round(minutes), lighter=lighter)]
    warmup += [] if highest is None else [line["arm_at_most"].format(degrees=highest)]
    return Page(
        key=session.id, day=say.day(session.id), date=say.session_date(document.week_start, session.day),
        place=place, of=len(document.sessions), gym=say.gym(session), minutes=say.minutes(session), also=(),
        warnings=warnings(desk, exercises, first), rules=rules(desk, exercises), state=session.state,
        blocks=tuple(tuple(card(desk, session.gym, of, one) for one in of) for of in say.blocks(exercises)),
        warmup=" ".join(warmup),
    )  # fmt: skip


def _badge(block: list[PlannedExercise], planned: PlannedExercise) -> str:
    letter = planned.block or str(planned.order)
    return f"{letter}{block.index(planned) + 1}" if len(block) > 1 else letter


def card(desk: Desk, gym: str, block: list[PlannedExercise], planned: PlannedExercise) -> Card:
    """Turn one exercise of a block into ready words."""
    exercise = desk.library.exercises.get(planned.exercise)
    implement = exercise.implement if exercise else ""
    unit = planned.load_unit or desk.document.units
    weighed, known = planned.load_is not in ("body", "band"), planned.load is not None
    station = say.stations(desk.library, planned.exercise, desk.places.get(gym, {}))
    needs = (station, _(exercise.position).rstrip(".") if exercise else "")
    cues = exercise.cues[: desk.settings.cues_most] if exercise else ()
    warmup = tuple(say.weight(load, unit) for load in planned.warmup_loads)
    return Card(
        badge=_badge(block, planned), name=_(planned.name), dosage=_dosage(planned), both_sides=planned.sides > 1,
        load=say.weight(planned.load, unit) if planned.load is not None else "", load_unit=unit,
        load_of=say.load_of(planned, implement, desk.words) if weighed or known else "",
        blank_load=weighed and not known, effort=_effort(block, planned), note=with_numbers(planned.load_note),
        warmup=warmup or (_("a few easy repetitions") if known else _("lighter"),) * planned.warmup_sets,
        find="" if known or planned.load_note else _find(desk, planned, implement),
        station=station, needs=say.sentence("; ".join(filter(None, needs))),
        cues=tuple(_(cue).rstrip(".") for cue in cues), care=care(exercise, desk) if exercise else "",
        taken=tuple(_taken(desk, one) for one in planned.instead),
        box_rows=_box_rows(planned.sets, desk.settings.boxes_most),
        box_label=desk.words.box[planned.load_is].format(unit=unit),
        picture=_picture(exercise, desk) if exercise else "",
    )  # fmt: skip


def _picture(exercise: Exercise, desk: Desk) -> str:
    """Draw the exercise, the arm as high as its care lets it; nothing where that makes another exercise of it."""
    lowered = [(of, of.change_arm_at_most_degrees) for of in eased(exercise, desk)]
    if any(of.grade > 1 and not of.change_keeps and limit is None for of, limit in lowered):
        return ""
    limits = (desk.brief.arm_at_most_degrees, *(limit for _of, limit in lowered))
    most = min((limit for limit in limits if limit is not None), default=180)
    return exercise_picture(desk.library, exercise, f"{_(exercise.name)}: {_(exercise.position)}", most)


def _effort(block: list[PlannedExercise], planned: PlannedExercise) -> str:
    """Say where to stop, what follows a set (a rest, or in a pair the other exercise at once) and the tempo."""
    if (seconds := say.rest_after(block, planned)) is not None:
        pause = _("rest {time}").format(time=say.rest(seconds))
    else:
        pause = _("then {badge} at once").format(badge=_badge(block, block[block.index(planned) + 1]))
    left = _("stop with {rir} left in reserve").format(rir=planned.rir)
    stop = left if planned.rir else _("go on to the last good rep")
    return say.sentence(" · ".join([stop, pause, say.tempo(planned.tempo)]))


def _find(desk: Desk, planned: PlannedExercise, implement: str) -> str:
    low, high = planned.reps_asked
    text, block = desk.words.find.get(implement, desk.words.find[planned.load_is]), desk.document.block
    if planned.load_from:  # it follows from a week yet to be trained
        body = "_body" if planned.load_is in ("body", "band") else ""
        text = desk.words.find[f"{planned.load_from}{body}{'_lighter' if block and block.lighter else ''}"]
    return text.format(low=low, high=high, rir=str(planned.rir) if planned.rir else _("none"))


def _dosage(what: PlannedExercise | Replacement) -> str:
    return f"{what.sets} × {say.reps(what.reps if isinstance(what, Replacement) else what.reps_asked)}"


def _taken(desk: Desk, instead: Replacement) -> tuple[str, str, str]:
    """Give a replacement's name and dosage, and who gets less or more."""
    parts = []
    for text, sign in ((_("less for the {heads}"), -1), (_("more for the {heads}"), 1)):
        heads = [_(name_of(desk.library, head)) for head, by in instead.differs.items() if by * sign > 0]
        parts += [text.format(heads=say.listed(heads))] if heads else []
    return _(name_of(desk.library, instead.exercise)), _dosage(instead), ", ".join(parts)


def _box_rows(sets: int, most: int) -> tuple[tuple[int, ...], ...]:
    """Split the sets into rows of boxes, as even as can be, so that no box gets too narrow to write in."""
    length = -(-sets // (-(-sets // most) or 1)) or 1
    return tuple(tuple(range(start, min(start + length, sets + 1))) for start in range(1, sets + 1, length))


def warnings(desk: Desk, exercises: list[PlannedExercise], first: bool) -> tuple[str, ...]:
    """Give what the client is warned of: of the exercises (replacements too) on this page, on the first one what is
    for it. A warning of pain is said as the client reads it, one of an older planner as it was written."""
    printed = {one.exercise for one in exercises} | {i.exercise for one in exercises for i in one.instead}
    said = []
    for one in desk.document.exercise_warnings:
        if one.exercise in printed or (one.first_sheet and first):
            about = {
                "pain": figure(decimals(one.pain)),
                "since": say.said_date(one.since) if one.since else "",
            }
            told = desk.words.pain.get(one.kind, "")
            said.append(told.format(name=_(name_of(desk.library, one.exercise)), **about) or one.text)
    return tuple(said)


def rules(desk: Desk, exercises: list[PlannedExercise]) -> tuple[str, ...]:
    """Rules of the room that concern the session and are not said already as an exercise's own caution."""
    known = list(filter(None, (desk.library.exercises.get(one.exercise) for one in exercises)))
    said = "\n".join(text for exercise in known for text in care_lines(exercise, desk))
    wanted = [rule.text for rule in desk.words.rules if any(map(rule.concerns, known))]
    return tuple(_(text) for text in wanted if text.partition(".")[0] not in said)


def careful_names(desk: Desk) -> list[str]:
    """Name the regions that this athlete goes easy on, in library order."""
    regions = desk.library.regions.items()
    return [_(region.name) for key, region in regions if desk.allowed.get(key, "clear") != "clear"]


def care(exercise: Exercise, desk: Desk) -> str:
    """Say what to take care of."""
    return ". ".join(say.sentence(_(part).rstrip(".")) for part in care_lines(exercise, desk))


def care_lines(exercise: Exercise, desk: Desk) -> list[str]:
    """List in English every change for a careful region, then the exercise's own cautions up to the most."""
    history, settings = desk.brief.history, desk.settings
    operated = "after_surgery" in history.flags and not (history.surgery and history.surgery.cleared)
    after = desk.words.only_after_surgery
    own = [text for text in exercise.cautions if operated or not text.startswith(after)]
    changes = sorted(eased(exercise, desk), key=lambda stress: -stress.grade)  # highest first, each once
    asked = list(dict.fromkeys(stress.change for stress in changes))
    words = {text: {*text.lower().replace(",", " ").strip(".").split()} for text in asked}
    asked = [text for text in asked if not any(words[text] < of for of in words.values())]
    return [*asked, *own[: max(0, settings.cautions_most - len(asked))]]


def eased(exercise: Exercise, desk: Desk) -> list[Stress]:
    """Return the stresses on this athlete's careful regions that a printed change lowers."""
    settings, stress = desk.settings, exercise.stress.items()
    least = {"careful": settings.change_from_careful, "avoid": settings.change_from_avoid, "clear": math.inf}
    return [of for key, of in stress if of.change and of.grade >= least[desk.allowed.get(key, "clear")]]
