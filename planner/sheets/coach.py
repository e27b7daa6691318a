"""What the coach's pages say: dose, limits, goals, proof and defaults of a week document in ready words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from planner.document import HeadDose, LimitUse, PlannedSession, Proof
from planner.plain import UNSHOWN, change_words, unit_words
from planner.sheets import caution as beside
from planner.sheets import names, say
from planner.sheets.desk import Desk


@dataclass(frozen=True)
class SessionRow:
    """One session of the overview."""

    day: str
    gym: str
    minutes: str
    exercises: tuple[tuple[str, str], ...]  # dosage, name
    equipment: str


@dataclass(frozen=True)
class LimitRow:
    """One limit: what it is, used and allowed with unit, whether it binds."""

    what: str
    used: str
    allowed: str
    unit: str
    binds: bool


@dataclass(frozen=True)
class DoseRow:
    """One head's numbers, as printed."""

    head: str
    planned: str
    elsewhere: str
    total: str
    bounds: str
    interval: str
    chance_floor: str
    chance_target: str
    by_movers: str


@dataclass(frozen=True)
class DefaultRow:
    """One default: name in words, value, whether the brief sets it."""

    name: str
    value: str
    own: bool


def shortfalls(desk: Desk) -> list[str]:
    """Name the heads whose dose stays below target, the largest gap first."""
    short = [(dose.target - _total(dose), dose) for dose in desk.document.dose]
    return [
        f"{_head(desk, dose)}: {say.number(_total(dose))} of {say.number(dose.target)} sets, {say.number(gap)} short; "
        f"the floor of {say.number(dose.floor)} is {'not ' if _total(dose) < dose.floor - UNSHOWN else ''}reached"
        for gap, dose in sorted(short, key=lambda entry: -entry[0])
        if gap >= UNSHOWN
    ]


def dose_rows(desk: Desk) -> list[DoseRow]:
    """Write the dose table."""
    return [
        DoseRow(
            head=_head(desk, dose),
            planned=say.number(dose.planned),
            elsewhere=say.number(dose.elsewhere),
            total=say.number(_total(dose)),
            bounds=" / ".join(map(say.number, (dose.floor, dose.target, dose.ceiling))),
            interval=f"{say.number(dose.low90)}–{say.number(dose.high90)}",
            chance_floor=say.share(dose.chance_floor),
            chance_target=say.share(dose.chance_target90),
            by_movers=say.number(dose.by_movers),
        )
        for dose in desk.document.dose
    ]


def caution(desk: Desk) -> dict[str, Any] | None:
    """Set a cautious week beside the plain one; nothing for a week that was planned plainly."""
    told = desk.document.cautious
    if told is None:
        return None
    heads = {head.head: names.sentence(names.name_of(desk.library, head.head)) for head in told.heads}
    return {
        "level": f"{told.level:g}",
        "heading": [names.sentence(word) for word in beside.heading(told)],
        "rows": list(beside.bets_rows(told, heads)),
        "sentences": list(beside.sentences(told)),
        "plain_week": list(beside.plain_week(told)),
    }


def changes(desk: Desk) -> list[str]:
    """Say what holds for this week alone and stands in no file."""
    return [
        names.sentence(
            change_words(one.kind, names.name_of(desk.library, one.name), say.plain(one.gym), one.minutes)
        )
        for one in desk.document.changes
    ]


def session_rows(desk: Desk) -> list[SessionRow]:
    """Write the overview of the sessions."""
    return [_session(desk, session) for session in desk.document.sessions]


def _session(desk: Desk, session: PlannedSession) -> SessionRow:
    in_order = sorted(session.exercises, key=lambda one: one.order)
    known = [
        desk.library.exercises[one.exercise] for one in in_order if one.exercise in desk.library.exercises
    ]
    keys = dict.fromkeys(key for exercise in known for key in exercise.needs)
    return SessionRow(
        day=say.day(session.id),
        gym=say.plain(session.gym.replace("_", " ")),
        minutes=say.minutes(session).removesuffix(" min"),
        exercises=tuple((f"{one.sets} × {say.reps(one.reps)}", one.name) for one in in_order),
        equipment="; ".join(names.station(desk.library, key) for key in keys) or "none",
    )


def loads(desk: Desk) -> list[tuple[str, str, str, str]]:
    """List what the log decided of loads: exercise, gym, load and why; each exercise and gym once."""
    found = {
        (one.exercise, session.gym): (one, say.plain(session.gym.replace("_", " ")))
        for session in desk.document.sessions
        for one in session.exercises
        if one.load_reason
    }
    return [(one.name, gym, say.load(one), one.load_reason) for one, gym in found.values()]


def limit_rows(desk: Desk, joints: bool) -> list[LimitRow]:
    """Write the joint budgets, or all other limits, those that bind first."""
    wanted = [limit for limit in desk.document.limits if limit.limit.startswith("joints:") == joints]
    return [_limit(desk, limit) for limit in sorted(wanted, key=lambda limit: not limit.binds)]


def _limit(desk: Desk, limit: LimitUse) -> LimitRow:
    return LimitRow(
        what=names.sentence(_about(desk, limit)),
        used=say.number(limit.used),
        allowed=say.number(limit.allowed),
        unit=limit.unit,
        binds=limit.binds,
    )


def _about(desk: Desk, limit: LimitUse) -> str:
    """What a limit is about; joint budgets stand under a heading that says so, their region is enough."""
    kind, _, region = limit.limit.partition(":")
    if kind == "joints":
        return names.name_of(desk.library, region)
    return names.in_words(desk.library, desk.words.limit, limit.limit)


def missed(desk: Desk) -> list[str]:
    """Name the goals missed, by how much."""
    return names.goals_missed(desk.library, desk.words.goal, desk.document.missed)


def proofs(desk: Desk) -> list[str]:
    """Say how good the plan is proven to be, one sentence an aim; seconds are left out: they differ by machine."""
    return [_proof(desk, proof) for proof in desk.document.proof]


def _proof(desk: Desk, proof: Proof) -> str:
    places = 1 if proof.aim == "rest" else 2
    return desk.words.line["proof"].format(
        aim=desk.words.aim.get(proof.aim, proof.aim),
        value=f"{proof.value:.{places}f}",
        bound=f"{proof.bound:.{places}f}",
        gap=say.gap(proof),
        unit=unit_words(proof.unit),
    )


def defaults(desk: Desk) -> list[DefaultRow]:
    """List every default the week was made with, those that the brief sets first, then by name."""
    own = desk.brief.method
    rows = [
        DefaultRow(name.replace("_", " "), _value(value), name in own)
        for name, value in desk.document.made_with.method.items()
    ]
    return sorted(rows, key=lambda row: (not row.own, row.name))


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, dict):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, Iterable) and not isinstance(value, str):
        return ", ".join(map(_value, value))
    return str(value)


def _total(dose: HeadDose) -> float:
    return dose.planned + dose.elsewhere


def _head(desk: Desk, dose: HeadDose) -> str:
    return names.sentence(names.name_of(desk.library, dose.head))
