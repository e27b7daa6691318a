"""A block as plain text: its weeks, and the sets of each exercise in each."""

from __future__ import annotations

from collections.abc import Sequence

from planner.document import WeekDocument, plan_of
from planner.plain import UNSHOWN, WORTH, columns, day_name, gap_words, number, short_lines
from planner.week.block.document import BlockDocument

WITHIN = f"proof: dose within so many missed sets of the best, the rest within so many {WORTH} of it"


def block_table(document: BlockDocument) -> str:
    """Write the block as plain text: a line a week, then a line an exercise with its sets week by week."""
    weeks = document.weeks
    title = f"{document.athlete}, block of {len(weeks)} weeks from {document.first}"
    parts = [[title], week_lines(weeks), *set_lines(weeks), warnings(weeks)]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def week_lines(weeks: Sequence[WeekDocument]) -> list[str]:
    """Write a line a week: kind, reserve, sets, dose of each head against its target, and how near the best it is."""
    heads = list(dict.fromkeys(dose.head for week in weeks for dose in week.dose))
    heading = ("", "week", "kind", "in reserve", "sets", *heads, "dose within", "the rest within")
    rows = (_week_row(at, week, heads) for at, week in enumerate(weeks, start=1))
    return [*columns([heading, *rows]), WITHIN]


def _week_row(at: int, week: WeekDocument, heads: Sequence[str]) -> tuple[str, ...]:
    reserves = sorted({line.rir for session in week.sessions for line in session.exercises})
    doses = {dose.head: f"{dose.planned + dose.elsewhere:.1f}/{number(dose.target)}" for dose in week.dose}
    gaps = {proof.aim: gap_words(proof) for proof in week.proof}
    return (
        str(at),
        week.week,
        "lighter" if week.block and week.block.lighter else "hard",
        "-".join(map(str, reserves)) or "-",
        str(sum(plan_of(week).values())),
        *(doses.get(head, "-") for head in heads),
        gaps.get("dose", "-"),
        gaps.get("rest", "-") + (" stopped" if week.status == "stopped" else ""),
    )


def set_lines(weeks: Sequence[WeekDocument]) -> list[list[str]]:
    """Write for every session the sets of its exercises in each week; - where it is not trained."""
    plans = [plan_of(week) for week in weeks]
    names = {
        line.exercise: line.name for week in weeks for session in week.sessions for line in session.exercises
    }
    places = dict.fromkeys(place for plan in plans for place in plan)
    heading = ("exercise", *(str(at) for at in range(1, len(weeks) + 1)))
    return [
        [
            f"{day_name(session.id)}, {session.gym}",
            *columns(
                [
                    heading,
                    *(
                        (names[key], *(str(plan.get((key, day), "-")) for plan in plans))
                        for key, day in places
                        if day == session.id
                    ),
                ]
            ),
        ]
        for session in weeks[0].sessions
    ]


def warnings(weeks: Sequence[WeekDocument]) -> list[str]:
    """Say what stays short of its target or rises above its ceiling, week by week, and the first week's warnings."""
    short = [
        line
        for week in weeks
        for line in short_lines(
            ((dose.head, dose.planned + dose.elsewhere, dose.target, dose.floor) for dose in week.dose),
            f" in {week.week}",
        )
    ]
    above = [
        f"ABOVE the ceiling in {week.week}: {dose.head} by {dose.planned + dose.elsewhere - dose.ceiling:.1f} sets"
        for week in weeks
        for dose in week.dose
        if dose.planned + dose.elsewhere - dose.ceiling >= UNSHOWN
    ]
    return [*short, *above, *weeks[0].warnings]
