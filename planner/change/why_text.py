"""`planner why` in plain text: what binds, what is missed, and what easing each thing would give, best first.

What a coach may ease stands first, goals that would have to be dropped stand apart and last; what gives nothing is
told by its kind, `--json` lists each.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from library.read import Library
from planner.document import LimitUse, MissedGoal, Piece
from planner.plain import UNSHOWN, WORTH, columns, decimals, joined, number, rule_said, signed
from planner.week.edits import BRIEF

if TYPE_CHECKING:
    from planner.change.why import Eased, Why

MEDICAL = "* Not the coach's to decide alone: ask the doctor or physiotherapist first."
STOPPED = "A search was stopped early: a gain may be larger than is said here."
WITHIN = (
    "to within: how far a gain may be off, as neither week is proven to be the very best; "
    "smaller differences mean nothing."
)
MEANING = f"{WORTH}: minutes of training, and all else at what it costs in minutes (`planner check`)."
PRICED = "missed sets, priced"
PRICED_MEANING = (
    f"{PRICED}: a set below the floor counts for more than one near the target, and so does one of a head with "
    "priority (`planner check`)."
)
# first part of an easing's name -> one of its kind, several of it
KINDS = {
    "minutes": ("longer session", "longer sessions"),
    "session": ("more session", "more sessions"),
    "equipment": ("more piece of equipment", "more pieces of equipment"),
    "joints": ("freer joint region", "freer joint regions"),
    "exclude": ("exclusion taken back", "exclusions taken back"),
    "must": ("target wanted, not a must", "targets wanted, not a must"),
    "goal": ("goal dropped", "goals dropped"),
}
OTHER = ("higher limit", "higher limits")


class InTheWay(Piece):
    """Something that stands in the way, in words, with file and key."""

    words: str
    file: str
    where: str


def why_text(found: Why) -> str:
    """Write the whole answer."""
    parts = [[f"{found.athlete}, week {found.week}"]]
    if found.aim == "clash":
        parts += clash_parts(found)
    else:
        parts += [listed("Full, and in the way:", found.binding), listed("Missed:", found.missed)]
        parts += gain_parts(found)
        parts += [["At no cost of dose:", *(f"  {line}" for line in found.free)]] if found.free else []
        parts += [[STOPPED]] if found.stopped else []
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def clash_parts(found: Why) -> list[list[str]]:
    """Say which things cannot all hold, and the nearest week."""
    from planner.week.clash import CANNOT_ALL_HOLD, MAY_BE_SMALLER

    group = [CANNOT_ALL_HOLD, *(f"  {one.file}: {one.where}" for one in found.clash)]
    return [group, [MAY_BE_SMALLER] if found.stopped else [], [found.nearest]]


def listed(title: str, held: Sequence[InTheWay]) -> list[str]:
    """Write sentences with their places."""
    rows = [(one.words, f"{one.file}: {one.where}" if one.where else "") for one in held]
    return [title, *columns(rows)] if rows else []


def gain_parts(found: Why) -> list[list[str]]:
    """Write what easing gives, what gives nothing, and last what dropping a goal would."""
    some = [one for one in found.eased if one.gain != "none"]
    eased = [one for one in some if kind_of(one) != "goal"]
    dropped = [one for one in some if kind_of(one) == "goal"]
    parts = [["Every target is met."]] if found.aim == "rest" else []
    title = "What would bring the targets nearer, in sets a week:"
    if found.aim == "rest":
        title = f"What would make the week cheaper, in {WORTH}:"
    parts += [
        gain_table(found, title, eased) or ["Nothing that could be eased gives more than the plan has."],
        nothing_line(found),
        gain_table(found, "If a goal were given up, which is no gain of the same kind:", dropped),
    ]
    parts += [[MEDICAL]] if any(one.medical for one in some) else []
    if found.aim == "dose":
        return parts + ([[PRICED_MEANING]] if some else []) + [within_line(some)]
    return parts + ([[MEANING]] if found.eased else []) + ([[WITHIN]] if exact(some) else [])


def exact(gains: Sequence[Eased]) -> list[Eased]:
    """Give those that were solved."""
    return [one for one in gains if one.gain == "exact"]


def within_line(gains: Sequence[Eased]) -> list[str]:
    """Say how far gains in missed sets may be off, if that can be seen in what is printed of them."""
    off = max((one.within for one in exact(gains)), default=0.0)
    if off < UNSHOWN:
        return []
    return [f"A gain may be off by {decimals(off)} {PRICED}: smaller differences mean nothing."]


def kind_of(one: Eased) -> str:
    """Give the kind of an easing: the first part of its name."""
    return one.name.partition(":")[0]


def nothing_line(found: Why) -> list[str]:
    """Say in one line, by kind, what was tried and gives nothing; 5 and 10 minutes more on a day are one thing."""
    nothing = [one for one in found.eased if one.gain == "none"]
    if not nothing:
        return []
    things = dict.fromkeys(
        one.name.rpartition(":")[0] if kind_of(one) == "minutes" else one.name for one in nothing
    )
    kinds = Counter(KINDS.get(thing.partition(":")[0], OTHER) for thing in things)
    unit = "missed sets" if found.aim == "dose" else WORTH
    told = joined(
        [f"{count} {several if count > 1 else single}" for (single, several), count in kinds.items()]
    )
    return [f"No gain beyond {decimals(found.within)} {unit} from {told}; --json names each."]


def gain_table(found: Why, title: str, gains: Sequence[Eased]) -> list[str]:
    """Write gains under their title: by head where a target is missed, else in minutes' worth; nothing if none."""
    if not gains:
        return []
    return [title, *(dose_rows(gains) if found.aim == "dose" else rest_rows(gains))]


def dose_rows(gains: Sequence[Eased]) -> list[str]:
    """Write gains in direct sets a head, each nearer to its target by so much."""
    heads = list(dict.fromkeys(head for one in gains for head in one.heads))
    rows = [
        (
            one.words + ("*" if one.medical else ""),
            *(signed(one.heads.get(head, 0.0)) for head in heads),
            f"{one.missed_sets:.1f}",
            f"{one.file}: {one.where}",
        )
        for one in gains
    ]
    return columns([("", *heads, PRICED, ""), *rows])


def rest_rows(gains: Sequence[Eased]) -> list[str]:
    """Write gains in minutes' worth, how far they may be off, and by how much the week gets shorter."""
    return columns([("", WORTH, "to within", "minutes", ""), *(rest_row(one) for one in gains)])


def rest_row(one: Eased) -> tuple[str, ...]:
    """Write one gain; of what was not solved there is a bound and nothing else."""
    words, place = one.words + ("*" if one.medical else ""), f"{one.file}: {one.where}"
    if one.gain == "at most":
        return (words, f"at most {number(one.priced_minutes)}, not solved", "", "", place)
    return (words, number(one.priced_minutes), number(one.within), signed(-one.minutes), place)


def limit_said(use: LimitUse, library: Library) -> InTheWay:
    """Say a limit that binds."""
    words, where = rule_said(library, "limit", use.limit, used=number(use.used), allowed=number(use.allowed))
    where = "method.exercises_per_week" if use.limit == "exercises:week" else where
    return InTheWay(words=words, file=BRIEF, where=where)


def goal_said(goal: MissedGoal, library: Library) -> InTheWay:
    """Say a goal that is missed."""
    words, where = rule_said(library, "goal", goal.goal, by=number(goal.by))
    return InTheWay(words=words, file=BRIEF, where=where)
