"""The week for other programs, for the terminal and for the coach: week.csv, a calendar, plain text, a cautious week beside
the plain; what the coach's pages say of it, and a block's wall page, weeks across."""

import datetime
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from library.credit import Profile
from library.read import Library
from library.tables import csv_text, no_formula
from planner import plain
from planner.athlete.names import plain_word
from planner.document import Caution, HeadDose, PlannedExercise, PlannedSession, WeekDocument, with_weeks_away
from planner.plain import DAY_NAMES, number
from planner.sheets import client, say
from planner.sheets.page import Desk, fill, nothing_left
from planner.sheets.say import _, speaking

References = dict[tuple[str, str], int]
ROOMY_WEEKS, ROOMY_ROWS = 9, 12  # of our style sheet: so much has room in large letters
# Columns of week.csv, in order; then dose_HEAD for each head of the document. `session` is its id, `block` the letter
# that paired exercises share, `work_seconds` one set on one side, `instead` the key of the best replacement.
COLUMNS = (
    *("athlete", "week", "session", "day", "gym", "session_minutes_allowed", "session_minutes_used"),
    *("order", "block", "exercise", "name", "sets", "reps_low", "reps_high"),
    *("lift_seconds", "top_seconds", "lower_seconds", "bottom_seconds", "reps_in_reserve"),
    *("rest_seconds", "work_seconds", "setup_seconds", "warmup_sets", "sides", "minutes"),
    *("load", "load_unit", "load_is", "instead", "instead_sets"),
)


def week_csv(document: WeekDocument) -> str:
    """Write week.csv: comma, dot, UTF-8 without BOM; doses in direct sets. An empty week is the heading alone."""
    heads = [dose.head for dose in document.dose]
    rows: list[Iterable[object]] = [[*COLUMNS, *(f"dose_{head}" for head in heads)]]
    for session in document.sessions:
        for planned in say.in_order(session):
            doses = [f"{planned.credits.get(head, 0.0) * planned.sets:.3f}" for head in heads]
            cells = map(no_formula, _fields(document, session, planned))
            rows.append([*(f"{cell:g}" if isinstance(cell, float) else cell for cell in cells), *doses])
    return csv_text(rows)


def _fields(document: WeekDocument, session: PlannedSession, one: PlannedExercise) -> Iterable[object]:
    tempo, instead = one.tempo, one.instead[0] if one.instead else None
    yield from (document.athlete, document.week, session.id, session.day, session.gym)
    yield from (session.minutes.allowed, session.minutes.used)
    yield from (one.order, one.block, one.exercise, one.name, one.sets, *one.reps_asked)
    yield from (tempo.lift, tempo.top, tempo.lower, tempo.bottom, one.rir)
    yield from (one.rest_s, one.work_s, one.setup_s, one.warmup_sets, one.sides, one.minutes)
    yield from (one.load, one.load_unit, one.load_is)
    yield from (instead.exercise, instead.sets) if instead else (None, None)


def week_table(document: WeekDocument, library: Library) -> str:
    """Write the week as plain text."""
    nothing, short = nothing_left(document), plain.short_of(document)
    kinds = ("joints:", "time:")
    full = [limit for limit in document.limits if short and limit.binds and limit.limit.startswith(kinds)]
    short += [f"used up: {plain.limit_said(library, limit)}" for limit in full]
    short += [] if nothing else missed_lines(document, library)
    notes = plain.less_on_purpose(document) + say.further(document.notes, document.warnings, document.pain)
    growth = say.read_words().coach["chances"].removesuffix(".")
    values = {"short": short, "nothing": nothing, "notes": notes, "growth": growth, "say": say}
    return fill("week.txt", document=document, table=sys.modules[__name__], **values).rstrip("\n") + "\n"


def missed_lines(document: WeekDocument, library: Library) -> list[str]:
    """Say each goal beside the dose that the week misses, and by how much."""
    return [f"missed: {said}" for said in plain.goals_said(library, document, doses=False)]


def dose_cells(dose: HeadDose) -> tuple[str, ...]:
    """Say own, helping, counted, of it elsewhere, beyond, floor, target, ceiling, interval, chances, simple count."""
    sets = (f"{of:.1f}" for of in (dose.own, dose.helping, dose.total, dose.elsewhere, dose.beyond))
    bounds = map(number, (dose.floor, dose.target, dose.ceiling))
    chances = map(say.share, (dose.chance_floor, dose.chance_target90))
    return (*sets, *bounds, f"{dose.low90:.1f}–{dose.high90:.1f}", *chances, f"{dose.by_movers:.1f}")


def caution_heading(caution: Caution) -> tuple[str, ...]:
    """Return the headings of the rows."""
    draws = ("dose", "mean", f"worst {number(100 * (1 - caution.level))} %", "floor met", "90 % of target")
    return ("head", "week", *draws, "exercises", "largest gives")


def bets_rows(caution: Caution, name: Callable[[str], str] = str) -> Iterator[tuple[str, ...]]:
    """Write two rows a head, the plain week's and the cautious one's, in the order of the headings."""
    for head in caution.heads:
        for plan, bets in (("plain", head.plain), ("cautious", head.cautious)):
            sets = (f"{value:.1f}" for value in (bets.dose, bets.mean, bets.bad))
            chances = map(say.share, (bets.chance_floor, bets.chance_target90))
            largest = f"{round(100 * bets.largest_share)} %"
            yield (name(head.head), plan, *sets, *chances, str(bets.exercises), largest)


def caution_sentences(caution: Caution) -> list[str]:
    """Say what the caution brings and what it costs."""
    worst = number(100 * (1 - caution.level))
    plans = {"of": caution.plain, "now": caution.cautious}
    return fill("caution.txt", caution=caution, worst=worst, **plans).splitlines()


def plain_week(caution: Caution) -> Iterator[tuple[str, str]]:
    """Say what the plain week would have been: day, sets and exercises."""
    for day in dict.fromkeys(block.session for block in caution.plain_blocks):
        blocks = [block for block in caution.plain_blocks if block.session == day]
        yield say.day(day), ", ".join(f"{block.sets} × {say.plain(block.name)}" for block in blocks)


def calendar(desk: Desk) -> bytes:
    """Write every session with work that is still to come; without a time of day it lasts all day."""
    from icalendar import Calendar, Event

    document = desk.document
    times: dict[str, tuple[str | None, int]] = {one.day: (one.at, one.minutes) for one in desk.brief.session}
    monday = datetime.date.fromisoformat(document.week_start)
    stamp = datetime.datetime.combine(monday, datetime.time(), datetime.UTC)
    with speaking(desk.brief.athlete.language):
        title = f"{say.plain(document.athlete)}, {document.week}"
        made = Calendar.new(prodid="-//planner//week//EN", name=title, uid=_identifier(document, "all"))
        for page in (page for page in client.pages(desk) if page.state == "planned"):
            start = day = monday + datetime.timedelta(days=tuple(DAY_NAMES).index(page.key[:3]))
            end, (begins, minutes) = day + datetime.timedelta(days=1), times.get(page.key, ("", 0))
            if begins:
                start = datetime.datetime.combine(day, datetime.time.fromisoformat(begins))
                end = start + datetime.timedelta(minutes=minutes)
            about: dict[str, Any] = {"uid": _identifier(document, page.key), "location": page.gym}
            about |= {"summary": _("Training: {minutes}").format(minutes=page.minutes), "stamp": stamp}
            words = fill("event.txt", page=page).rstrip()
            made.add_component(Event.new(start=start, end=end, description=words, **about))
        return bytes(made.to_ical())


def _identifier(document: WeekDocument, key: str) -> str:
    return f"{plain_word(document.athlete)}-{document.week}-{key}@planner"


# --- the coach's pages
def page_values(desk: Desk) -> dict[str, Any]:
    """Give what the template of the coach's pages prints besides what it reads from the desk's document."""
    document = desk.document
    rows, references = evidence(desk)
    recorded = desk.words.coach["recorded"].format(days=plain.joined(desk.recorded)) if desk.recorded else ""
    loose = ((limit, limit.limit.partition(":")[2]) for limit in document.limits if not limit.binds)
    return {
        "say": say, "table": sys.modules[__name__], "name": desk.name, "evidence": rows, "references": references,
        "warnings": say.further(document.warnings, document.pain),
        "shortfalls": plain.short_of(document, desk.name),
        "changes": [say.change(desk.library, change) for change in document.changes],
        "notes": [
            *filter(None, [recorded]), *plain.less_on_purpose(document, desk.name),
            *say.further(document.notes, document.warnings, document.pain),
        ],
        "missed": plain.goals_said(desk.library, document),
        "binding": [plain.limit_said(desk.library, limit) for limit in document.limits if limit.binds],
        # budgets of joints to go easy on that do not bind
        "roomy": [
            f"{plain.name_of(desk.library, of)} {number(limit.used)} of {number(limit.allowed)}"
            for limit, of in loose if desk.allowed.get(of, "clear") != "clear"
        ],
        "own": [(key.replace("_", " "), _value(value)) for key, value in sorted(desk.brief.method.items())],
    }  # fmt: skip


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_value, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def evidence(desk: Desk) -> tuple[list[tuple[str, int, list[tuple[str, str, str]]]], References]:
    """Give each exercise's name, sets and, a head, its ratio ± standard error, references (numbered as met) and credit."""
    known = {row.id: row for row in desk.library.evidence}
    references: References = {}
    week: dict[str, tuple[PlannedExercise, int]] = {}
    for planned in (planned for session in desk.document.sessions for planned in session.exercises):
        week[planned.exercise] = planned, week.get(planned.exercise, (planned, 0))[1] + planned.sets
    rows = []
    for planned, sets in week.values():
        cells = []
        for dose in desk.document.dose:
            profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
            cited = [known[row] for row in (profile.rows if profile else ()) if row in known]
            # authors and year
            short = ((row.citation.split(",")[0].split(" doi ")[0].strip(), row.status) for row in cited)
            numbers = sorted(references.setdefault(of, len(references) + 1) for of in dict.fromkeys(short))
            credit = f"{planned.credits.get(dose.head, 0.0):.2f}"
            cells.append((_ratio(profile), ", ".join(_runs(numbers)), credit))
        rows.append((planned.name, sets, cells))
    return rows, references


def _ratio(profile: Profile | None) -> str:
    if profile is None:
        return "no row"
    if not profile.standard_error:
        return "1, anchor"
    # the library keeps the error of the logarithm; times the ratio it is the ratio's own
    return f"{profile.ratio:.2f} ± {profile.ratio * profile.standard_error:.2f}"


def _runs(places: list[int]) -> list[str]:
    """Say rising numbers with runs of three or more as a range: 1–4, 7."""
    alike = groupby(enumerate(places), lambda pair: pair[1] - pair[0])  # the same along a run
    runs = [[place for _, place in pairs] for _, pairs in alike]
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else map(str, run))]


def block_values(planned: Sequence[WeekDocument], library: Library) -> dict[str, Any]:
    """Give all that the template of the wall page prints; a session's rows hold an exercise's line of each week."""
    by_name = with_weeks_away(planned)
    weeks, sessions = list(by_name.values()), []  # None: the athlete is away
    lines = [_lines(week) for week in weeks]
    places = dict.fromkeys(place for of_week in lines for place in of_week)  # what joins later stands behind
    for one in planned[0].sessions:
        rows = [[of.get(place) for of in lines] for place in places if place[0] == one.id]
        sessions.append((say.day(one.id), rows))
    heads = dict.fromkeys(dose.head for week in planned for dose in week.dose)
    worst = (max((week.proof[aim] for week in planned), key=lambda proof: proof.gap) for aim in (0, 1))
    return {
        "planned": planned, "weeks": weeks, "heading": list(_heading(by_name)), "sessions": sessions, "say": say,
        "heads": {head: say.sentence(plain.name_of(library, head)) for head in heads}, "unshown": plain.UNSHOWN,
        "roomy": len(weeks) <= ROOMY_WEEKS and sum(len(rows) for _, rows in sessions) <= ROOMY_ROWS,
        "gaps": [plain.gap_words(proof) for proof in worst] if all(week.proof for week in planned) else [],
    }  # fmt: skip


def _lines(week: WeekDocument | None) -> dict[tuple[str, str], PlannedExercise]:
    """Give a week's lines by session and exercise, in printed order."""
    sessions = week.sessions if week else ()
    return {(one.id, line.exercise): line for one in sessions for line in say.in_order(one)}


def _heading(weeks: Mapping[str, WeekDocument | None]) -> Iterator[dict[str, str]]:
    """Head each week: its place among those that are planned, number, Monday, kind (a class of the style sheet too)
    and reserve."""
    place = 0
    for name, week in weeks.items():
        place += week is not None
        reserves = sorted({line.rir for line in _lines(week).values()})
        effort = "–".join(map(str, dict.fromkeys((*reserves[:1], *reserves[-1:]))))
        monday = re.sub(r"^(\d+ \w{3}).*", r"\1", say.session_date(week.week_start, "Mon")) if week else ""
        look = "away" if week is None else "lighter" if week.block and week.block.lighter else ""
        of_week = {"number": str(place) if week else "", "week": name.partition("-")[2], "date": monday}
        yield of_week | {"look": look, "effort": effort}
