"""One plan under recheck: the document, all it was made from, its defaults as stated; and what a recheck finds."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import wraps
from typing import TYPE_CHECKING, Any, Literal, Self, TypeAlias, TypeVar, cast

from library.method import Settings, method
from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.document import PlannedExercise, PlannedSession, WeekDocument
from planner.method import OVERRIDABLE, TOLERANCES

if TYPE_CHECKING:
    from library.pool import PooledHead

Sum = TypeVar("Sum", bound=Callable[..., Any])
Value = float | str
Check: TypeAlias = "Callable[[Case], Iterator[Finding]]"


@dataclass(frozen=True)
class Finding:
    """One disagreement: a hard rule broken, or something printed that is not so. `found` is what the recheck reads or
    computes, `stated` what the rule allows or the plan prints; both in `unit` (empty for words)."""

    kind: Literal["breaks", "misstates"]
    what: str
    found: Value
    stated: Value
    unit: str = ""

    def __str__(self) -> str:
        found, stated = (v if isinstance(v, str) else f"{v:.4g}" for v in (self.found, self.stated))
        against = "the rule allows" if self.kind == "breaks" else "the plan states"
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.what}: found {found}{unit}, {against} {stated}{unit}"


def differs(what: str, found: Value, stated: Value, slack: float = 0.0, unit: str = "") -> Iterator[Finding]:
    """Yield a misstatement unless the plan states what the recheck found, numbers to within the slack."""
    numbers = isinstance(found, int | float) and isinstance(stated, int | float)
    if abs(float(found) - float(stated)) > slack if numbers else found != stated:
        yield Finding("misstates", what, found, stated, unit)


def exceeds(what: str, used: float, allowed: float, slack: float = 0.0, unit: str = "") -> Iterator[Finding]:
    """Yield a broken rule where more is used than the rule allows."""
    if used > allowed + slack:
        yield Finding("breaks", what, used, allowed, unit)


@dataclass(frozen=True)
class Case:
    """A week document with all that it claims to rest on. `pooled`: the athlete's log ratios by head, the spread
    between persons in them; None: the library's, so spread. `barred` (exercise: reason) and `capped` (exercise: most
    sets a week) say what pain does this week; `written`: the brief before pain lowered any region, where another;
    `last_sets`: those of last week by exercise and day, as planned, else as logged."""

    document: WeekDocument
    library: Library
    brief: Brief
    gyms: Mapping[str, Gym]
    last_week: WeekDocument | None = None
    pooled: "Mapping[str, PooledHead] | None" = None
    barred: Mapping[str, str] = field(default_factory=dict)
    capped: Mapping[str, int] = field(default_factory=dict)
    written: Brief | None = None
    last_sets: Mapping[tuple[str, str], int] = field(default_factory=dict)
    tolerance: Settings = TOLERANCES
    sums: dict[Any, Any] = field(default_factory=dict, repr=False, compare=False)  # see `once`

    def number(self, name: str) -> float:
        """Return a default as the document states it; the method's own value where it states none."""
        stated = self.document.made_with.method.get(name)
        if isinstance(stated, int | float) and not isinstance(stated, bool):
            return stated
        return float(filed_default(name))

    @property
    def trained(self) -> tuple[str, ...]:
        """Heads that are planned for, not only watched, in library order."""
        return tuple(key for key, head in self.library.heads.items() if head.role == "trained")

    @property
    def open_sessions(self) -> tuple[PlannedSession, ...]:
        """Sessions still to come: what is over (done or missed) is no plan and breaks no limit."""
        return tuple(session for session in self.document.sessions if session.state == "planned")

    def planned(self, state: str = "") -> Iterator[tuple[PlannedSession, PlannedExercise]]:
        """Every exercise of all sessions (of those in one state) with its session, in printed order."""
        for session in self.document.sessions:
            if state in ("", session.state):
                for exercise in session.exercises:
                    yield session, exercise

    def sets(self, state: str = "") -> dict[str, int]:
        """Sets a week of every exercise of all sessions (of those in one state), by first appearance."""
        total: dict[str, int] = {}
        for _, planned in self.planned(state):
            total[planned.exercise] = total.get(planned.exercise, 0) + planned.sets
        return total

    def with_sessions(self, lines: Mapping[str, Iterable[PlannedExercise]]) -> Self:
        """Give the same case with other exercises in these sessions; sums that no set is in are kept."""
        sessions = tuple(
            session.model_copy(update={"exercises": tuple(lines.get(session.id, session.exercises))})
            for session in self.document.sessions
        )
        return replace(self, document=self.document.model_copy(update={"sessions": sessions}))


def filed_default(name: str, otherwise: Any = None) -> Any:
    """Return a default of method.toml that a brief may set, by its name; `otherwise` where there is none."""
    rows = (method()[record.table].get(name) for record in OVERRIDABLE)
    return next((row.value for row in rows if row is not None), otherwise)


def once(sum_of: Sum) -> Sum:
    """Keep a sum that depends on no set of the plan: many checks ask for the same, of the case and of its kin."""

    @wraps(sum_of)
    def kept(case: Case, *words: Any) -> Any:
        if (sum_of, words) not in case.sums:
            case.sums[sum_of, words] = sum_of(case, *words)
        return case.sums[sum_of, words]

    return cast("Sum", kept)
