"""What a swap changed and what it cost: two week documents compared line by line, and the same in plain text."""

from collections.abc import Iterator, Sequence

from library.read import Library
from planner.document import MadeChange, Piece, PlannedSession, State, WeekDocument, exercise_names
from planner.plain import change_words, columns, counted, day_name, number, short_lines, signed, week_of
from planner.plain import joined as listed_words


class LineChange(Piece):
    """One exercise of one session whose sets differ; 0 sets: not there."""

    exercise: str
    name: str
    before: int
    after: int


class SessionChange(Piece):
    """One session: minutes used before and after, and the lines that differ. `page` counts in sheets.pdf.

    `moved_to`: the gym, where it was another before. `gone`: brief.toml has it no longer, and `page` is 0.
    """

    id: str
    state: State
    page: int
    minutes_before: float
    minutes_after: float
    lines: tuple[LineChange, ...]
    emptied: str = ""  # why nothing can be trained there any more
    moved_to: str = ""
    gone: bool = False
    says_else: bool = False  # loads, replacements or notes differ, if not the sets

    @property
    def is_new(self) -> bool:
        """Whether its page is to be printed again: it says something else, and the session is still to come."""
        return self.says_else and self.state == "planned" and not self.gone


class HeadCost(Piece):
    """One head's weekly dose, elsewhere included, in direct sets."""

    head: str
    before: float
    after: float
    target: float


class SwapReport(Piece):
    """What `planner swap --json` prints: the changes that hold, what they moved and cost, and the week itself.

    `notes`: what had no effect, and what is no longer said of the week. `week` holds now: the one in force where
    nothing is to be written.
    """

    changes: tuple[MadeChange, ...]
    back_to: str  # the version whose plan came back ("v1"), else empty
    sessions: tuple[SessionChange, ...]
    left: tuple[str, ...]  # exercises that are no longer in the week
    joined: tuple[str, ...]
    sets_out: int
    sets_in: int
    heads: tuple[HeadCost, ...]
    minutes_before: float
    minutes_after: float
    notes: tuple[str, ...]
    week: WeekDocument

    @property
    def new_pages(self) -> tuple[SessionChange, ...]:
        """Sessions whose sheets are to be printed again."""
        return tuple(session for session in self.sessions if session.is_new)


def report(
    before: WeekDocument,
    after: WeekDocument,
    back_to: str,
    emptied: dict[str, str],
    notes: tuple[str, ...] = (),
) -> SwapReport:
    """Compare the week in force with the one that replaces it; `emptied`: session id to the reason."""
    old = {session.id: session for session in before.sessions}
    stay = {session.id for session in after.sessions}
    sessions = (
        *(
            session_change(old.get(session.id), session, page, emptied.get(session.id, ""))
            for page, session in enumerate(after.sessions, start=1)
        ),
        *(session_gone(session) for session in before.sessions if session.id not in stay),
    )
    lines = [line for session in sessions for line in session.lines]
    was, now = exercise_names(before), exercise_names(after)
    return SwapReport(
        changes=after.changes,
        back_to=back_to,
        sessions=sessions,
        left=tuple(key for key in was if key not in now),
        joined=tuple(key for key in now if key not in was),
        sets_out=sum(max(0, line.before - line.after) for line in lines),
        sets_in=sum(max(0, line.after - line.before) for line in lines),
        heads=tuple(head_costs(before, after)),
        minutes_before=round(sum(session.minutes.used for session in before.sessions), 1),
        minutes_after=round(sum(session.minutes.used for session in after.sessions), 1),
        notes=notes,
        week=after,
    )


def session_change(old: PlannedSession | None, new: PlannedSession, page: int, emptied: str) -> SessionChange:
    """Compare one session with what it was; None: there was no such session."""
    before = {line.exercise: line for line in old.exercises} if old else {}
    after = {line.exercise: line for line in new.exercises}
    keys = [*after, *(key for key in before if key not in after)]
    both = [(key, before.get(key), after.get(key)) for key in keys]
    lines = tuple(
        LineChange(
            exercise=key,
            name=(now or was).name,  # type: ignore[union-attr]
            before=was.sets if was else 0,
            after=now.sets if now else 0,
        )
        for key, was, now in both
        if (was.sets if was else 0) != (now.sets if now else 0)
    )
    return SessionChange(
        id=new.id,
        state=new.state,
        page=page,
        minutes_before=old.minutes.used if old else 0.0,
        minutes_after=new.minutes.used,
        lines=lines,
        emptied=emptied,
        moved_to=new.gym if old and old.gym != new.gym else "",
        says_else=old != new,
    )


def session_gone(old: PlannedSession) -> SessionChange:
    """Say of a session that brief.toml has no longer what was in it."""
    nothing = old.minutes.model_copy(update={"used": 0.0})
    change = session_change(old, old.model_copy(update={"exercises": (), "minutes": nothing}), 0, "")
    return change.model_copy(update={"gone": True})


def head_costs(before: WeekDocument, after: WeekDocument) -> Iterator[HeadCost]:
    """Give every head of the new week; a head that was not planned before had nothing."""
    was = {dose.head: dose.planned + dose.elsewhere for dose in before.dose}
    for dose in after.dose:
        yield HeadCost(
            head=dose.head,
            before=round(was.get(dose.head, 0.0), 3),
            after=round(dose.planned + dose.elsewhere, 3),
            target=dose.target,
        )


def says_more(before: WeekDocument, after: WeekDocument) -> bool:
    """Whether a document says anything that the one in force does not, apart from how it was found.

    A cautious week that stays as it is stays cautious: its figures are no news.
    """
    found = {"proof", "made_with", "status", "cautious"}
    return before.model_dump(exclude=found) != after.model_dump(exclude=found)


OVER = {"done": "trained", "missed": "missed"}


def swap_text(report: SwapReport, library: Library, missed: Sequence[str] = ()) -> str:
    """Write the whole report; `missed` says each goal beside the dose that the week misses."""
    week = report.week
    parts = [
        [f"{week.athlete}, {week_of(week.week, week.week_start)}"],
        [f"PAIN: {line}" for line in week.pain],
        [*short_lines((head.head, head.after, head.target, 0.0) for head in report.heads), *missed],
        [f"this week: {said(change, library)}" for change in report.changes],
        list(_sessions(report)),
        [_summary(report)],
        costs(report),
        list(_pages(report)),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def said(change: MadeChange, library: Library) -> str:
    """Say one change by printed names."""
    known = library.equipment.get(change.name) or library.exercises.get(change.name)
    return change_words(change, known.name if known else change.name, change.gym)


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
    exchanged = [f"new in the week: {listed_words(_names(report, report.joined))}"] if report.joined else []
    exchanged += [f"no longer in it: {listed_words(_names(report, report.left))}"] if report.left else []
    moved = f"{counted(report.sets_out, 'set')} out, {counted(report.sets_in, 'set')} in"
    return "; ".join([moved, *exchanged]) + "."


def _names(report: SwapReport, keys: tuple[str, ...]) -> list[str]:
    known = {line.exercise: line.name for session in report.sessions for line in session.lines}
    return [known.get(key, key) for key in keys]


def costs(report: SwapReport) -> list[str]:
    """Set every head's dose and the minutes before and after side by side."""
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
        yield f"New pages in sheets.pdf: {listed_words(new)}."
    if report.week.status == "stopped":
        yield "The search was stopped: a plan that changes less may exist."
