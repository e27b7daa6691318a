"""What the coach's pages say: pain, dose, sessions, limits, proof and evidence of a week document in ready words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from planner.document import HeadDose, PlannedExercise, PlannedSession, Proof
from planner.plain import (
    AIMS,
    UNSHOWN,
    gap_words,
    goals_said,
    joined,
    limit_said,
    name_of,
    number,
    short_lines,
    unit_words,
    week_of,
)
from planner.sheets import caution, drawing, say
from planner.sheets.page import Desk

if TYPE_CHECKING:
    from library.credit import Profile

References = dict[tuple[str, str], int]

# The dose chart, in units of its own view box (720 wide, printed over the page's width).
WIDTH, LEFT, RIGHT = 720.0, 104.0, 560.0  # of the drawing; where 0 and the longest value stand
TOP, ROW, BAR, AXIS = 0.0, 37.0, 14.0, 17.0
MARKS = 15.0  # so far above its bar stand the marks of a row
NO_ROOM = 45.0  # a floor this near to 0 is labelled to its right
TEXT = 12.0


def page_values(desk: Desk) -> dict[str, Any]:
    """Give all that the template of the coach's pages prints."""
    document = desk.document
    binding = [limit_said(desk.library, limit) for limit in document.limits if limit.binds]
    rows, references = evidence(desk)
    return {
        "week": say.sentence(week_of(document.week, document.week_start)),
        "warnings": say.further(document.warnings, document.pain),
        "shortfalls": short_lines(
            (desk.name(dose.head), total(dose), dose.target, dose.floor) for dose in document.dose
        ),
        "dose": list(dose_rows(desk)),
        "chart": dose_chart(desk),
        "caution": _caution(desk),
        "changes": [say.change(desk.library, change) for change in document.changes],
        "sessions": [_session(session) for session in document.sessions],
        "notes": [*_recorded(desk), *say.further(document.notes, document.warnings, document.pain)],
        "missed": [said for said, _ in goals_said(desk.library, document.missed)],
        "binding": binding,
        "roomy": _joints(desk),
        "proofs": [_proof(desk, proof) for proof in document.proof],
        "heads": [desk.name(dose.head) for dose in document.dose],
        "evidence": rows,
        "references": references,
        "own": [(key.replace("_", " "), _value(value)) for key, value in sorted(desk.brief.method.items())],
    }


def total(dose: HeadDose) -> float:
    """Direct sets that are counted for a head: these sessions and what is done elsewhere."""
    return dose.planned + dose.elsewhere


def dose_rows(desk: Desk) -> Iterator[tuple[str, ...]]:
    """Write a row a head: own, helping, counted, of it elsewhere, beyond, bounds, interval, chances, simple count."""
    for dose in desk.document.dose:
        bounds = " / ".join(map(number, (dose.floor, dose.target, dose.ceiling)))
        chances = (say.share(dose.chance_floor), say.share(dose.chance_target90))
        interval = f"{dose.low90:.1f}–{dose.high90:.1f}"
        kinds = own_and_helping(dose)
        sets = [f"{value:.1f}" for value in (total(dose), dose.elsewhere, dose.beyond, dose.by_movers)]
        yield (desk.name(dose.head), *kinds, *sets[:3], bounds, interval, *chances, sets[3])


def own_and_helping(dose: HeadDose) -> tuple[str, str]:
    """Say both parts of the counted dose; a week that was planned before they were told apart has none."""
    known = dose.own + dose.helping > 0 or total(dose) < UNSHOWN
    return (f"{dose.own:.1f}", f"{dose.helping:.1f}") if known else ("–", "–")


def _caution(desk: Desk) -> dict[str, Any] | None:
    """Set a cautious week beside the plain one; nothing for a week that was planned plainly."""
    told = desk.document.cautious
    if told is None:
        return None
    return {
        "level": f"{told.level:g}",
        "heading": [say.sentence(word) for word in caution.heading(told)],
        "rows": list(caution.bets_rows(told, {head.head: desk.name(head.head) for head in told.heads})),
        "sentences": list(caution.sentences(told)),
        "plain_week": list(caution.plain_week(told)),
    }


def _recorded(desk: Desk) -> Iterator[str]:
    """Say that the athlete's own recordings count."""
    if desk.recorded:
        yield desk.words.coach["recorded"].format(days=joined(desk.recorded))


def _session(session: PlannedSession) -> dict[str, Any]:
    """Write a session: what is done, with which load, and why this load; – where nothing was logged."""
    rows = [
        (f"{one.sets} × {say.reps(one.reps_asked)}", one.name, say.load(one), one.load_reason or "–")
        for one in say.in_order(session)
    ]
    return {
        "day": say.day(session.id),
        "gym": say.gym(session),
        "minutes": say.minutes(session),
        "rows": rows,
    }


def _joints(desk: Desk) -> list[str]:
    """Say how much is used of the budgets of joints to go easy on, where they do not bind."""
    return [
        f"{name_of(desk.library, limit.limit.partition(':')[2])} {number(limit.used)} of {number(limit.allowed)}"
        for limit in desk.document.limits
        if desk.allowed.get(limit.limit.partition(":")[2], "clear") != "clear" and not limit.binds
    ]


def _proof(desk: Desk, proof: Proof) -> str:
    """Say how good the plan is proven to be for one aim; seconds are left out: they differ by machine."""
    places = 1 if proof.aim == "rest" else 2
    return desk.words.coach["proof"].format(
        aim=say.sentence(AIMS[proof.aim]),
        value=f"{proof.value:.{places}f}",
        bound=f"{proof.bound:.{places}f}",
        gap=gap_words(proof),
        unit=f"{'weighted ' if proof.aim == 'dose' else ''}{unit_words(proof.unit)}",
        among=proof.among or desk.words.coach["proof_among_all"],
    )


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_value, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def evidence(desk: Desk) -> tuple[list[tuple[str, int, list[tuple[str, str, str]]]], References]:
    """Give each exercise's name, sets and, a head, its ratio ± standard error, references and credit.

    Beside them the references (short citation, status), numbered in the order in which the exercises need them.
    """
    known = {row.id: row for row in desk.library.evidence}
    references: References = {}
    rows = []
    for planned, sets in _sets_of_week(desk).values():
        cells = []
        for dose in desk.document.dose:
            profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
            cited = [known[row] for row in (profile.rows if profile else ()) if row in known]
            pairs = dict.fromkeys((_short(row.citation), row.status) for row in cited)
            numbers = sorted(references.setdefault(pair, len(references) + 1) for pair in pairs)
            credit = f"{planned.credits.get(dose.head, 0.0):.2f}"
            cells.append((_ratio(profile), ", ".join(_runs(numbers)), credit))
        rows.append((planned.name, sets, cells))
    return rows, references


def _sets_of_week(desk: Desk) -> dict[str, tuple[PlannedExercise, int]]:
    week: dict[str, tuple[PlannedExercise, int]] = {}
    for session in desk.document.sessions:
        for planned in session.exercises:
            week[planned.exercise] = planned, week.get(planned.exercise, (planned, 0))[1] + planned.sets
    return week


def _short(citation: str) -> str:
    """Shorten a citation to its authors and year; the library gives it whole."""
    return citation.split(",")[0].split(" doi ")[0].strip()


def _ratio(profile: Profile | None) -> str:
    if profile is None:
        return "no row"
    if not profile.standard_error:
        return "1, anchor"
    # the library keeps the error of the logarithm; times the ratio it is the ratio's own
    return f"{profile.ratio:.2f} ± {profile.ratio * profile.standard_error:.2f}"


def _runs(places: list[int]) -> list[str]:
    """Say rising numbers with runs of three or more as a range: 1–4, 7."""
    runs: list[list[int]] = []
    for place in places:
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else map(str, run))]


def dose_chart(desk: Desk) -> str:
    """Draw every head's dose against its floor, target and ceiling, as SVG."""
    doses = desk.document.dose
    longest = max((max(d.ceiling, d.high90, total(d) + d.beyond) for d in doses), default=1) or 1
    scale, axis = (RIGHT - LEFT) / longest, TOP + len(doses) * ROW + 4
    ticks = range(0, math.floor(longest) + 1, 5 if longest > 12 else 2)
    parts = []
    for sets in ticks:
        x = LEFT + sets * scale
        parts += [drawing.line(x, 8, x, axis, width=0.6, stroke=drawing.LIGHT)]
        parts += [drawing.text(x, axis + 13, str(sets), size=TEXT, anchor="middle")]
    parts += [drawing.line(LEFT, axis, RIGHT, axis, width=1)]
    parts += [drawing.text(LEFT + ticks[-1] * scale + 22, axis + 13, "direct sets a week", size=TEXT)]
    for place, dose in enumerate(doses):
        parts += _row(desk, dose, TOP + MARKS + 8 + place * ROW, scale)
    said = "Direct sets a week. " + " ".join(_sentence(desk, dose) for dose in doses)
    return drawing.picture(WIDTH, axis + AXIS, parts, said, wide=True)


def _row(desk: Desk, dose: HeadDose, y: float, scale: float) -> Iterator[str]:
    """Draw one head: own (grey), helping (pale) and beyond (dashed), the 90 % interval, three marks, the numbers."""
    middle, start = y + BAR / 2, LEFT
    told_apart = dose.own + dose.helping > 0
    own, helping = (dose.own, dose.helping) if told_apart else (dose.planned, dose.elsewhere)
    yield drawing.text(LEFT - 8, middle + 4, desk.name(dose.head), size=13, anchor="end", bold=True)
    for sets, fill, dash in (
        (own, "#c4c4c4", ""),
        (helping, drawing.PALE, ""),
        (dose.beyond, drawing.WHITE, "3 2"),
    ):
        if sets > 0:
            yield drawing.box(
                start, y, sets * scale, BAR, fill=fill, stroke=drawing.BLACK, line_width=1, dash=dash
            )
            start += sets * scale
    low, high = LEFT + dose.low90 * scale, LEFT + dose.high90 * scale
    yield drawing.line(low, middle, high, middle, width=1.8)
    for x in (low, high):
        yield drawing.line(x, middle - 5, x, middle + 5, width=1.8)
    yield from _marks(dose, y, scale)
    yield drawing.text(WIDTH, middle - 1, f"{number(total(dose))} sets", size=15, anchor="end", bold=True)
    interval = f"90 %: {dose.low90:.1f}–{dose.high90:.1f}"
    yield drawing.text(WIDTH, middle + 12, interval, size=TEXT, anchor="end")


def _marks(dose: HeadDose, y: float, scale: float) -> Iterator[str]:
    """Floor and ceiling are labelled to their outer sides, the target above, so that labels keep apart."""
    placed = (
        ("floor", dose.floor, "end", -4.0, 5.0, "4 2"),
        ("target", dose.target, "middle", 0.0, 12.0, ""),
        ("ceiling", dose.ceiling, "start", 4.0, 5.0, "1.5 2"),
    )
    for kind, value, anchor, aside, above, dash in placed:
        x, bold = LEFT + value * scale, kind == "target"
        if anchor == "end" and x - LEFT < NO_ROOM:
            anchor, aside = "start", -aside
        top = y - (9 if bold else 8)
        yield drawing.line(x, top, x, y + BAR + 4, width=2.4 if bold else 1.2, dashed=bool(dash), dash=dash)
        yield drawing.text(
            x + aside, y - above + 1, f"{kind} {number(value)}", size=TEXT, anchor=anchor, bold=bold
        )


def _sentence(desk: Desk, dose: HeadDose) -> str:
    return (
        f"{desk.name(dose.head)}: {number(total(dose))}, "
        f"90 % interval {number(dose.low90)} to {number(dose.high90)}, floor {number(dose.floor)}, "
        f"target {number(dose.target)}, ceiling {number(dose.ceiling)}."
    )
