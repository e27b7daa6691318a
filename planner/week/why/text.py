"""`planner why` in plain text: what binds, what is missed, and what easing each thing would give, best first.

What a coach may ease stands first, goals that would have to be dropped stand apart and last; what gives nothing is
told by its kind, `--json` lists each.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from planner.week.plain import WORTH, columns, decimals, joined, number, signed
from planner.week.why.report import Eased, Held, Why

MEDICAL = "* Not the coach's to decide alone: ask the doctor or physiotherapist first."
STOPPED = "A search was stopped early: a gain may be larger than is said here."
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
    "exclude": ("excluded exercise allowed", "excluded exercises allowed"),
    "must": ("target wanted, not a must", "targets wanted, not a must"),
    "goal": ("goal dropped", "goals dropped"),
}
OTHER = ("higher limit", "higher limits")


def why_text(found: Why) -> str:
    """Write the whole answer."""
    parts = [[f"{found.athlete}, week {found.week}"]]
    if found.aim == "clash":
        parts += clash_parts(found)
    else:
        parts += [listed("Full, and in the way:", found.binding), listed("Missed:", found.missed)]
        parts += gain_parts(found)
    parts += [[STOPPED]] if found.stopped else []
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def clash_parts(found: Why) -> list[list[str]]:
    """Say which things clash."""
    head = "No week can satisfy all that must hold. These clash; easing any one of them would do:"
    return [[head, *(f"  {one.file}: {one.where}" for one in found.clash)], [found.nearest]]


def listed(title: str, held: Sequence[Held]) -> list[str]:
    """Write sentences with their places."""
    rows = [(one.words, f"{one.file}: {one.where}" if one.where else "") for one in held]
    return [title, *columns(rows)] if rows else []


def gain_parts(found: Why) -> list[list[str]]:
    """Write what easing gives, what gives nothing, and last what dropping a goal would."""
    solved = [one for one in found.eased if one.gain == "exact"]
    bounded = [one for one in found.eased if one.gain == "at most"]
    eased = [one for one in solved if kind_of(one) != "goal"]
    dropped = [one for one in solved if kind_of(one) == "goal"]
    parts = [["Every target is met."]] if found.aim == "rest" else []
    title = "What would bring the targets nearer, in sets a week:"
    if found.aim == "rest":
        title = f"What would make the week cheaper, in {WORTH}:"
    parts.append(
        gain_table(found, title, eased) or ["Nothing that could be eased gives more than the plan has."]
    )
    if bounded:
        parts.append(
            [
                f"Not solved; at most, in {WORTH}:",
                *(f"  {one.words}: {number(one.priced_minutes)}" for one in bounded),
            ]
        )
    parts += [
        nothing_line(found),
        gain_table(found, "If a goal were given up, which is no gain of the same kind:", dropped),
    ]
    parts += [[MEDICAL]] if any(one.medical for one in solved) else []
    if found.aim == "dose":
        return parts + ([[PRICED_MEANING]] if solved else [])
    return parts + ([[MEANING]] if found.eased else [])


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
    """Write gains in minutes' worth, and by how much the week gets shorter."""
    rows = [
        (
            one.words + ("*" if one.medical else ""),
            number(one.priced_minutes),
            signed(-one.minutes),
            f"{one.file}: {one.where}",
        )
        for one in gains
    ]
    return columns([("", WORTH, "minutes", ""), *rows])
