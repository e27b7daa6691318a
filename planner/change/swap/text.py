"""What a swap changed, in plain text for the terminal: shortfall first, then sessions, cost and pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from library.read import Library
from planner.change.swap.report import LineChange, SessionChange, SwapReport
from planner.document import MadeChange
from planner.plain import (
    change_words,
    columns,
    counted,
    day_name,
    joined,
    number,
    short_lines,
    signed,
    week_of,
)

OVER = {"done": "trained", "missed": "missed"}


def swap_text(report: SwapReport, library: Library, missed: Sequence[str] = ()) -> str:
    """Write the whole report; `missed` says each goal beside the dose that the week misses."""
    week = report.week
    parts = [
        [f"{week.athlete}, {week_of(week.week, week.week_start)}"],
        [f"PAIN: {line}" for line in week.pain],
        [*short_lines((one.head, one.after, one.target, 0.0) for one in report.heads), *missed],
        [f"this week: {said(change, library)}" for change in report.changes],
        list(_sessions(report)),
        [_summary(report)],
        _costs(report),
        list(_pages(report)),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def said(change: MadeChange, library: Library) -> str:
    """Say one change by printed names."""
    known = library.equipment.get(change.name) or library.exercises.get(change.name)
    return change_words(change.kind, known.name if known else change.name, change.gym, change.minutes)


def _sessions(report: SwapReport) -> Iterator[str]:
    for session in report.sessions:
        yield f"{day_name(session.id)}: {_state(session)}"
        if session.emptied:
            yield f"  {session.emptied}"
        if session.lines:
            yield from columns([_line(line) for line in session.lines])


def _state(session: SessionChange) -> str:
    if session.gone:
        return "no longer in brief.toml"
    if session.state != "planned":
        return OVER[session.state]
    moved = f"now in {session.moved_to}, " if session.moved_to else ""
    if not session.lines:
        return f"{moved}the same sets, other loads or notes" if session.says_else else "as before"
    before, after = number(session.minutes_before), number(session.minutes_after)
    return moved + (f"{after} min" if before == after else f"{before} to {after} min")


def _line(line: LineChange) -> tuple[str, str, str]:
    if not line.before:
        return "in", line.name, counted(line.after, "set")
    if not line.after:
        return "out", line.name, counted(line.before, "set")
    return "", line.name, f"{line.before} to {counted(line.after, 'set')}"


def _summary(report: SwapReport) -> str:
    if report.back_to:
        return f"This is the plan of {report.back_to} again: it was made for these very conditions."
    if not report.sets_out + report.sets_in:
        what = "No set" if report.new_pages else "Nothing"
        return (
            f"{what} changes: the plan in force breaks nothing and its dose is within tolerance of the best."
        )
    exchanged = [f"new in the week: {joined(_names(report, report.joined))}"] if report.joined else []
    exchanged += [f"no longer in it: {joined(_names(report, report.left))}"] if report.left else []
    moved = f"{counted(report.sets_out, 'set')} out, {counted(report.sets_in, 'set')} in"
    return "; ".join([moved, *exchanged]) + "."


def _names(report: SwapReport, keys: tuple[str, ...]) -> list[str]:
    known = {line.exercise: line.name for session in report.sessions for line in session.lines}
    return [known.get(key, key) for key in keys]


def _costs(report: SwapReport) -> list[str]:
    rows = [
        (
            head.head,
            f"{head.before:.1f}",
            f"{head.after:.1f}",
            signed(head.after - head.before),
            number(head.target),
        )
        for head in report.heads
    ]
    before, after = report.minutes_before, report.minutes_after
    minutes = ("minutes", number(before), number(after), signed(after - before), "")
    return columns([("", "before", "after", "", "target"), *rows, minutes])


def _pages(report: SwapReport) -> Iterator[str]:
    new = [f"{session.page} ({day_name(session.id)})" for session in report.new_pages]
    if new:
        yield f"New pages in sheets.pdf: {joined(new)}."
    if report.week.status == "stopped":
        yield "The search was stopped: a plan that changes less may exist."
