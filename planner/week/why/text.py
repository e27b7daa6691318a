"""`planner why` in plain text: what binds, what is missed, and what easing each thing would give, best first."""

from __future__ import annotations

from collections.abc import Sequence

from planner.week.plain import columns, number, signed
from planner.week.why.report import Eased, Held, Why

MEDICAL = "* Not the coach's to decide alone: ask the doctor or physiotherapist first."
STOPPED = "A search was stopped early: a gain may be larger than is said here."


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
    """Write the gains that were found, those only bounded, and what gives nothing."""
    by_kind = {
        kind: [one for one in found.eased if one.gain == kind] for kind in ("exact", "at most", "none")
    }
    exact = dose_table(by_kind["exact"]) if found.aim == "dose" else rest_table(by_kind["exact"])
    bounded = [f"  {one.words}: {number(one.priced_minutes)}" for one in by_kind["at most"]]
    nothing = [one.words for one in by_kind["none"]]
    unit = "missed sets" if found.aim == "dose" else "priced minutes"
    parts = [exact or ["Nothing that was tried gives more than the plan has."]]
    parts += [["Not solved; at most, in priced minutes:", *bounded]] if bounded else []
    if nothing:
        parts.append([f"No gain beyond {number_of(found.within)} {unit}: {'; '.join(nothing)}."])
    return parts + ([[MEDICAL]] if any(one.medical for one in by_kind["exact"]) else [])


def dose_table(gains: Sequence[Eased]) -> list[str]:
    """Write gains in direct sets a head, each nearer to its target by so much."""
    if not gains:
        return []
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
    return [
        "What would bring the targets nearer, in sets a week:",
        *columns([("", *heads, "priced", ""), *rows]),
    ]


def rest_table(gains: Sequence[Eased]) -> list[str]:
    """Write gains in priced minutes, and by how much the week gets shorter."""
    if not gains:
        return []
    rows = [
        (
            one.words + ("*" if one.medical else ""),
            number(one.priced_minutes),
            signed(-one.minutes),
            f"{one.file}: {one.where}",
        )
        for one in gains
    ]
    return [
        "Every target is met. What would make the week cheaper:",
        *columns([("", "priced min", "min", ""), *rows]),
    ]


def number_of(value: float) -> str:
    """Say a small number with its decimals."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
