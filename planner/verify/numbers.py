"""Everything else that is printed: minutes, library facts, days, loads, sources, defaults, heading."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from planner.verify.asked import wanted
from planner.verify.blocks import repetitions
from planner.verify.case import filed_default
from planner.verify.clock import SECONDS_PER_MINUTE, block_seconds, blocks, session_minutes
from planner.verify.finding import Check, Finding
from planner.verify.worth import credit

if TYPE_CHECKING:
    from library.schema import Exercise
    from planner.document import PlannedExercise
    from planner.verify.case import Case


def exercise_minutes(case: Case) -> Iterator[Finding]:
    """Printed minutes = (t·x + u) / 60; the two of a pair share theirs: their sum is held to the pair's."""
    for session in case.document.sessions:
        for block in blocks(session):
            found = block_seconds(case, block) / SECONDS_PER_MINUTE
            stated = sum(planned.minutes for planned in block)
            if abs(found - stated) > case.tolerance.minutes * len(block):
                names = " with ".join(planned.exercise for planned in block)
                yield Finding("misstates", f"{session.id}: time of {names}", found, stated, "min")


def minutes_used(case: Case) -> Iterator[Finding]:
    """Printed minutes used = general warm-up + Σe (t·x + u) / 60, to a tenth."""
    for session in case.document.sessions:
        found = [session_minutes(case, session)]
        if not session.exercises:
            found.append(case.number("general_warmup_minutes"))  # an empty session may print its warm-up
        if all(abs(minutes - session.minutes.used) > case.tolerance.minutes for minutes in found):
            yield Finding("misstates", f"{session.id}: minutes used", found[0], session.minutes.used, "min")


def sessions_asked(case: Case) -> Iterator[Finding]:
    """Days, gyms and minutes allowed = the brief's, in its order."""
    found = [(session.day, session.gym, float(session.minutes)) for session in case.brief.session]
    stated = [(session.day, session.gym, session.minutes.allowed) for session in case.document.sessions]
    if sorted(found) != sorted(stated):
        yield Finding("misstates", "sessions", _listed(found), _listed(stated))
    for session in case.document.sessions:
        if session.id.split("-")[0] != session.day:
            yield Finding("misstates", "session id", session.day, session.id)


def _listed(sessions: Sequence[tuple[str, str, float]]) -> str:
    return "; ".join(f"{day} {minutes:g} min in {gym}" for day, gym, minutes in sessions) or "none"


def work_seconds(case: Case) -> Iterator[Finding]:
    """Printed work = ⌈mean of the repetitions × seconds a repetition⌉."""
    for session, planned in case.planned():
        tempo = planned.tempo
        each = tempo.lift + tempo.top + tempo.lower + tempo.bottom
        found = -(-sum(planned.reps) * each // 2)
        if found != planned.work_s:
            yield Finding(
                "misstates", f"{session.id}: work of {planned.exercise}", found, planned.work_s, "s"
            )


def as_in_library(case: Case) -> Iterator[Finding]:
    """Name, tempo, rest, set-up, warm-up sets, sides, kind of load = the library's; so are repetitions, less what a
    block takes off."""
    for session, planned in case.planned():
        known = case.library.exercises[planned.exercise]
        facts = _library_facts(known, planned)
        facts["repetitions"] = (repetitions(case, known), planned.reps)
        for word, (found, stated) in facts.items():
            if found != stated:
                what = f"{session.id}: {word} of {planned.exercise}"
                yield Finding("misstates", what, str(found), str(stated))
        for other in planned.instead:
            found_reps = repetitions(case, case.library.exercises[other.exercise])
            if other.reps != found_reps:
                what = f"{session.id}: repetitions of {other.exercise}"
                yield Finding("misstates", what, str(found_reps), str(other.reps))


def _library_facts(known: Exercise, planned: PlannedExercise) -> dict[str, tuple[Any, Any]]:
    return {
        "name": (known.name, planned.name),
        "tempo": (known.tempo.model_dump(), planned.tempo.model_dump()),
        "rest": (known.rest_seconds, planned.rest_s),
        "set-up": (known.setup_seconds, planned.setup_s),
        "warm-up sets": (known.warmup_sets, planned.warmup_sets),
        "sides": (known.sides, planned.sides),
        "kind of load": (known.load_is, planned.load_is),
    }


def load_units(case: Case) -> Iterator[Finding]:
    """A load is in the unit of the gym where it is lifted; a load without unit says nothing."""
    for session, planned in case.planned():
        found = case.gyms[session.gym].unit
        if planned.load_unit not in ((found,) if planned.load is not None else (found, None)):
            what = f"{session.id}: unit of {planned.exercise}"
            yield Finding("misstates", what, found, str(planned.load_unit))


def loads_can_be_made(case: Case) -> Iterator[Finding]:
    """A load is one of those that the gym's list makes: from + n·step ≤ to, or a listed number."""
    for session, planned in case.planned():
        source = case.library.exercises[planned.exercise].load_from
        listed = case.gyms[session.gym].loads.get(source) if source else None
        if planned.load is None or listed is None:
            continue
        if isinstance(listed, tuple):
            fits = any(abs(load - planned.load) < case.tolerance.full for load in listed)
        else:
            steps = (planned.load - listed.from_) / listed.step
            fits = (
                abs(steps - round(steps)) < case.tolerance.full and listed.from_ <= planned.load <= listed.to
            )
        if not fits:
            what = f"{session.id}: load of {planned.exercise}"
            yield Finding(
                "misstates", what, f"no such load in {session.gym}", planned.load, planned.load_unit or ""
            )


def sources_known(case: Case) -> Iterator[Finding]:
    """Every source ∈ evidence of the library, or a row of the athlete's own."""
    known = {row.id for row in case.library.evidence}
    for source in case.document.sources:
        if source not in known and not (case.own and source.startswith("own")):
            yield Finding("misstates", "source", "no such row of evidence", source)


def sources_complete(case: Case) -> Iterator[Finding]:
    """Rows behind every printed credit ⊆ sources, where the credit is the library's."""
    stated = set(case.document.sources)
    for key in case.sets_in_week():
        for head in wanted(case):
            pooled = case.library.profiles.get(head, {}).get(key)
            own = key in (case.own or {}).get(head, {})
            counts = pooled is not None and not own and credit(case, key, head) > 0
            missing = sorted(set(pooled.rows) - stated) if pooled and counts else []
            if missing:
                yield Finding(
                    "misstates", f"sources of {key} for {head}", ", ".join(missing), "none of these"
                )


def defaults_stated(case: Case) -> Iterator[Finding]:
    """Every stated default = the brief's [method], else the method's own; all of [method] is stated."""
    stated = case.document.made_with.method
    for name, value in stated.items():
        expected = case.brief.method.get(name, filed_default(name, value))
        if not _same(expected, value):
            yield Finding("misstates", f"default {name}", str(expected), str(value))
    for name, value in case.brief.method.items():
        if name not in stated and name != "counting":
            yield Finding("misstates", f"default {name}", str(value), "nothing")


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) < 1e-9 and isinstance(one, bool) == isinstance(other, bool)
    return bool(one == other)


def heading(case: Case) -> Iterator[Finding]:
    """Athlete, unit, counting and library digest = brief's and library's; the week begins on its Monday."""
    document = case.document
    year, week = (int(part) for part in document.week.split("-W"))
    try:
        monday = datetime.date.fromisocalendar(year, week, 1).isoformat()
    except ValueError:
        monday = f"no week {document.week}"
    facts = {
        "athlete": (case.brief.athlete.name, document.athlete),
        "units": (case.brief.athlete.unit, document.units),
        "week's start": (monday, document.week_start),
        "counting": (str(case.brief.method.get("counting", "activation")), document.made_with.counting),
        "library": (case.library.digest, document.made_with.library),
    }
    for what, (found, stated) in facts.items():
        if found != stated:
            yield Finding("misstates", what, found, stated)


CHECKS: tuple[Check, ...] = (
    exercise_minutes,
    minutes_used,
    sessions_asked,
    work_seconds,
    as_in_library,
    load_units,
    loads_can_be_made,
    sources_known,
    sources_complete,
    defaults_stated,
    heading,
)
