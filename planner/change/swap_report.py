"""What a swap changed and what it cost: two week documents compared line by line, and the same in plain text."""

from collections.abc import Sequence

from library.read import Library
from planner import plain
from planner.document import MadeChange, Piece, PlannedSession, State, WeekDocument, exercise_names
from planner.plain import change_words, columns, number, signed


class LineChange(Piece):
    """One exercise of one session whose sets differ; 0 sets: not there."""

    exercise: str
    name: str
    before: int
    after: int


class SessionChange(Piece):
    """One session: minutes used before and after, and the lines that differ. `page` counts in sheets.pdf. `moved_to`:
    the gym, where it was another before. `gone`: brief.toml has it no longer, and `page` is 0."""

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
    nothing is to be written."""

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
    before: WeekDocument, after: WeekDocument, back_to: str, empty: dict[str, str], notes: Sequence[str] = ()
) -> SwapReport:
    """Compare the week in force with the one that replaces it; `empty`: session id to the reason."""
    old = {session.id: session for session in before.sessions}
    sessions = [
        session_change(old.pop(session.id, None), session, page, empty.get(session.id, ""))
        for page, session in enumerate(after.sessions, start=1)
    ]
    for gone in old.values():  # brief.toml has it no longer
        nothing = {"exercises": (), "minutes": gone.minutes.model_copy(update={"used": 0.0})}
        change = session_change(gone, gone.model_copy(update=nothing), 0, "")
        sessions.append(change.model_copy(update={"gone": True}))
    steps = [line.after - line.before for session in sessions for line in session.lines]
    was, now = exercise_names(before), exercise_names(after)
    heads, doses = [], {dose.head: dose.total for dose in before.dose}
    for dose in after.dose:
        was_there, now_there = round(doses.get(dose.head, 0.0), 3), round(dose.total, 3)
        heads.append(HeadCost(head=dose.head, before=was_there, after=now_there, target=dose.target))
    minutes = [round(sum(of.minutes.used for of in week.sessions), 1) for week in (before, after)]
    return SwapReport(
        changes=after.changes, back_to=back_to, sessions=tuple(sessions),
        left=tuple(key for key in was if key not in now), joined=tuple(key for key in now if key not in was),
        sets_out=-sum(step for step in steps if step < 0), sets_in=sum(step for step in steps if step > 0),
        heads=tuple(heads), minutes_before=minutes[0], minutes_after=minutes[1], notes=tuple(notes),
        week=after,
    )  # fmt: skip


def session_change(old: PlannedSession | None, new: PlannedSession, page: int, emptied: str) -> SessionChange:
    """Compare one session with what it was; None: there was no such session."""
    before = {line.exercise: line.sets for line in old.exercises} if old else {}
    after = {line.exercise: line.sets for line in new.exercises}
    names = {line.exercise: line.name for of in (new, old, new) if of for line in of.exercises}
    return SessionChange(
        id=new.id, state=new.state, page=page, minutes_before=old.minutes.used if old else 0.0,
        minutes_after=new.minutes.used,
        lines=tuple(
            LineChange(exercise=key, name=name, before=before.get(key, 0), after=after.get(key, 0))
            for key, name in names.items()
            if before.get(key, 0) != after.get(key, 0)
        ),
        emptied=emptied, moved_to=new.gym if old and old.gym != new.gym else "", says_else=old != new,
    )  # fmt: skip


def says_more(before: WeekDocument, after: WeekDocument) -> bool:
    """Whether a document says anything that the one in force does not, apart from how it was found. A cautious week
    that stays as it is stays cautious: its figures are no news."""
    found = {"proof", "made_with", "status", "cautious"}
    return before.model_dump(exclude=found) != after.model_dump(exclude=found)


def swap_text(report: SwapReport, library: Library, missed: Sequence[str] = ()) -> str:
    """Write the whole report; `missed` says each goal beside the dose that the week misses."""
    from planner.sheets.page import fill

    week, tables, said = report.week, (library.equipment, library.exercises), []
    for change in report.changes:
        name = next((of[change.name].name for of in tables if change.name in of), change.name)
        said.append(f"this week: {change_words(change, name, change.gym)}")
    # where every day was missed, nobody needs to hear what it is short of
    short = [*plain.short_of(week), *plain.less_on_purpose(week), *missed] if exercise_names(week) else []
    return fill("swap.txt", report=report, said=said, short=short, costs=costs(report)).rstrip()


def costs(report: SwapReport) -> list[str]:
    """Set every head's dose and the minutes before and after side by side."""
    rows = [("", "before", "after", "", "target")]
    for head in report.heads:
        change, doses = signed(head.after - head.before), (f"{head.before:.1f}", f"{head.after:.1f}")
        rows.append((head.head, *doses, change, number(head.target)))
    before, after = report.minutes_before, report.minutes_after
    return columns([*rows, ("minutes", number(before), number(after), signed(after - before), "")])
