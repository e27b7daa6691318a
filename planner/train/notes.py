"""What an athlete writes in words: pain that no column holds, days of illness or exhaustion. Nothing is diagnosed: the
coach is told what was written, and sets of a bad day decide no load."""

import datetime
import re
from collections.abc import Iterable

from library.read import Library
from planner.log.record import NOT_SETTLED, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import day_name, joined, name_of
from planner.train.pain import ALARMS, SEE, PainState

# words of a client, English and German (common knowledge, no source); after a no they say nothing
NO = r"(?<!no )(?<!not )(?<!without )(?<!ohne )(?<!kein )(?<!keine )(?<!nicht )"
PAIN = re.compile(
    NO + r"\b(ach(e|es|ed|ing)|pain\w*|hurt\w*|pinch\w*|stiff|physio|schmerz\w*|tut weh|weh|verspannt)\b",
    re.I,
)
NIGHT = re.compile(r"\b(night|asleep|sleeping|nachts?|at rest|in ruhe)\b", re.I)
ALARM = re.compile(
    NO + r"\b(numb\w*|tingl\w*|popp?ed|slipp?ed|slid|gave way|gives way|weak|taub\w*|kribbel\w*)\b", re.I
)
BAD_DAY = re.compile(
    NO + r"\b(tired|exhausted|ill|sick|flu|fever|slept (badly|poorly|little|[0-5]\b)|müde|erschöpft|krank|grippe|fieber"
    r"|erkältet|(schlecht|wenig) geschlafen)\b", re.I,
)  # fmt: skip


def bad_days(rows: Iterable[LoggedSet]) -> frozenset[datetime.date]:
    """Days of which the athlete wrote to have been ill, tired or without sleep."""
    return frozenset(row.date for row in rows if BAD_DAY.search(row.note))


def notes_said(rows: Iterable[LoggedSet]) -> list[str]:
    """Say each note once a day."""
    said = {(row.date, row.note): f"{row.date:%a} {row.date}: {row.note}" for row in rows if row.note}
    return [*dict.fromkeys(said.values())]


def is_odd(row: LoggedSet, library: Library, settings: TrainSettings = TRAIN) -> bool:
    """Whether pain called a muscle's sits in a joint region, or had not settled: no rule reads it."""
    hurts = row.kind == "muscle" and (row.pain or 0.0) > settings.pain_go_most
    return hurts and (row.where in library.regions or row.next_morning == NOT_SETTLED)


def needs_watch(row: LoggedSet, library: Library, settings: TrainSettings = TRAIN) -> bool:
    """Whether a set hurt so that its exercise goes no higher next week, whatever a later day said."""
    return is_odd(row, library, settings) or (row.of_pain and (row.pain or 0.0) > settings.pain_go_most)


def to_judge(
    rows: Iterable[LoggedSet], pain: PainState, library: Library, settings: TrainSettings = TRAIN
) -> tuple[str, ...]:
    """Say of pain what the coach has to judge: a muscle's that is odd, words that name no joint region, notes, and what
    did not come again. `pain`: what the rules made of it."""
    shown = ((rise.name, ", ".join(f"{value:g}" for value in rise.maxima)) for rise in pain.small)
    said = [
        f"{name}: pain {weeks} week after week: small, but it stays. Ask; the load stays too"
        for name, weeks in shown
    ]
    read = {item.exercise for item in (*pain.out, *pain.eased)}
    for row in rows:
        name, region = name_of(library, row.exercise), library.regions.get(row.where)
        felt = (row.pain or 0.0) > settings.pain_go_most
        if is_odd(row, library, settings):
            place = region.name if region else "not settled the next morning"
            ask = "as last time, no more; ask, and if it is the joint: --correct, kind joint"
            said.append(f"{name}: {row.pain:g} of 10 as muscle, {place}: {ask}")
        elif row.of_pain and row.where and region is None and (felt or row.kind in ALARMS):
            stress = (
                library.exercises[row.exercise].stress.items() if row.exercise in library.exercises else ()
            )
            most = [key for key, of in stress if of.grade >= settings.pain_grade_suspect]
            taken = joined([library.regions[key].name for key in most]) or "no region"
            said.append(
                f'{name}: "{row.where}" names no joint region, so it counts where {name} loads most ({taken})'
            )
        elif felt and row.of_pain and row.exercise not in read:
            said.append(
                f"{name}: pain {row.pain:g} on {row.date}, not on the last day: the load stays as it is, watch it"
            )
        elif not felt and row.kind not in ALARMS and (PAIN.search(row.note) or ALARM.search(row.note)):
            first = (
                f"{SEE} before the next session."
                if ALARM.search(row.note)
                else "Ask before the next session."
            )
            night = f" Pain at night or at rest: {SEE.lower()}." if NIGHT.search(row.note) else ""
            said.append(f'{day_name(f"{row.date:%a}")} {row.date}: wrote "{row.note}". {first}{night}')
    return tuple(dict.fromkeys(said))
