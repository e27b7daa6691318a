"""What to do if a station is taken: other equipment, the same heads, no joint worse, no limit or must broken.

Each replacement may be carried out by itself; two of them do not promise to go together.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from library.schema import with_included
from planner.document import Plan
from planner.model.aims import dose_value, rest_value
from planner.model.order import FURNITURE
from planner.model.pairs import may_pair, pairs_of
from planner.model.problem import Candidate, Problem, SessionKind
from planner.plain import LAST_DIGITS
from planner.week.keeping import Keeping


@dataclass(frozen=True)
class Exchange:
    """A replacement of one exercise in one session.

    `differs` is the change of each head's credits (direct sets), `said` the part of it that must be said (more than
    a tenth of what the exercise gave the head), `seconds` the change of time, `eased` and `loaded` the joint
    regions whose grade falls or rises (never above a harmless one).
    """

    key: str
    sets: int
    differs: Mapping[str, float]
    said: Mapping[str, float]
    seconds: int
    eased: tuple[str, ...]
    loaded: tuple[str, ...]

    @property
    def moves(self) -> float:
        """How much the credits move, in direct sets, all heads together."""
        return sum(abs(change) for change in self.differs.values())


class Instead:
    """Finds the replacements for the exercises of one plan; `careful` are the joint regions that are not clear."""

    def __init__(self, problem: Problem, plan: Plan, careful: Collection[str]) -> None:
        self.problem = problem
        self.plan = plan
        self.careful = frozenset(careful)

    @cached_property
    def keeping(self) -> Keeping:
        """The limits, made when they are first asked."""
        return Keeping(self.problem)

    @cached_property
    def broken_before(self) -> frozenset[str]:
        """What the plan itself breaks: no replacement is to blame for it."""
        return frozenset(self.keeping.broken(self.plan))

    def of(self, key: str, session: SessionKind, *, taken: bool = True) -> Iterator[Exchange]:
        """Give replacements of an exercise in a session still to come, those that keep every head's dose first.

        All are allowed in the room, need none of its equipment where that is `taken` (else such come last), are chosen
        for the same head (or help it too), stress no joint more and keep every limit and must of the week.
        """
        if session.frozen:
            return
        wanted, sets = self.problem.by_key[key], self.plan[key, session.id]
        partner = self._partner(key, session)
        listed = [
            self._nearest(candidate, wanted, sets, fixed=partner is not None)
            for candidate in self.problem.candidates
            if candidate.key in session.allowed and (candidate.key, session.id) not in self.plan
            if not taken or uses_other_equipment(candidate, wanted)
            if serves_as(candidate, wanted)
            if partner is None or may_pair(self.problem.settings, candidate, partner, self.problem.leading)
        ]
        ranked = sorted(filter(None, listed), key=lambda exchange: self._rank(exchange, wanted))
        for exchange in ranked:
            after = self._after(exchange, key, session)
            if self.broken_before.issuperset(self.keeping.broken(after)):
                yield exchange

    def for_the_sheet(self, key: str, session: SessionKind) -> list[Exchange]:
        """Give the few that are printed: the best, then the best that needs other equipment than the first."""
        settings = self.problem.settings
        best = list(islice(self.of(key, session), settings.instead_looked_at))
        others = sorted(best[1:], key=lambda exchange: not self._stands_apart(exchange, best[0]))
        return [*best[:1], *others][: settings.instead_shown]

    def price(self, key: str, session: SessionKind, exchange: Exchange) -> tuple[float, float]:
        """Give what the two aims of the whole week lose by an exchange: missed sets, minute-equivalents (below 0: gain)."""
        after = self._after(exchange, key, session)
        missed, priced = (
            value(self.problem, after) - value(self.problem, self.plan) for value in (dose_value, rest_value)
        )
        return missed, priced

    def _rank(self, exchange: Exchange, wanted: Candidate) -> tuple[bool, bool, bool, float, int, int]:
        """Those that keep every dose first, of these what needs other equipment and the same movement, then what moves
        the doses least, the usual first."""
        candidate = self.problem.by_key[exchange.key]
        other_movement = candidate.family != wanted.family and not exchange.said
        same_equipment = not uses_other_equipment(candidate, wanted)
        return (
            bool(exchange.said),
            same_equipment,
            other_movement,
            exchange.moves,
            candidate.choice,
            candidate.place,
        )

    def _partner(self, key: str, session: SessionKind) -> Candidate | None:
        """Give the exercise with which another is done in turns: its replacement must pair with it too."""
        pairs = pairs_of(self.problem, self.plan, session.id)
        names = [name for pair in pairs if key in pair for name in pair if name != key]
        return self.problem.by_key[names[0]] if names else None

    def _after(self, exchange: Exchange, wanted: str, session: SessionKind) -> Plan:
        """Give the plan once an exercise stands in for another."""
        after = {pair: n for pair, n in self.plan.items() if pair != (wanted, session.id)}
        return {**after, (exchange.key, session.id): exchange.sets}

    def _stands_apart(self, exchange: Exchange, first: Exchange) -> bool:
        """Whether a replacement is as good in dose and would still be free if the first's station is taken too."""
        candidates = (self.problem.by_key[exchange.key], self.problem.by_key[first.key])
        return bool(exchange.said) <= bool(first.said) and uses_other_equipment(*candidates)

    def _nearest(self, candidate: Candidate, wanted: Candidate, sets: int, *, fixed: bool) -> Exchange | None:
        """Adapt the sets so that the heads' doses stay as near as they can; None if no set count spares the joints.

        In a pair the sets stay as many as the partner's.
        """
        settings = self.problem.settings
        counts = range(settings.smallest_block_sets, settings.largest_block_sets + 1)
        possible = [
            exchange
            for count in (counts if not fixed else [sets])
            if self._no_joint_worse(candidate, count, wanted, sets)
            for exchange in [self._exchange(candidate, count, wanted, sets)]
        ]
        return min(possible, key=lambda one: (len(one.said), one.moves, abs(one.sets - sets)), default=None)

    def _exchange(self, candidate: Candidate, count: int, wanted: Candidate, sets: int) -> Exchange:
        regions = sorted({*candidate.grades, *wanted.grades})
        grades = {r: candidate.grades.get(r, 0) - wanted.grades.get(r, 0) for r in regions}
        kept, differs = self.problem.settings.instead_dose_kept, changes(candidate, count, wanted, sets)
        return Exchange(
            key=candidate.key,
            sets=count,
            differs=differs,
            said={
                head: round(change, 2)
                for head, change in differs.items()
                if abs(change) > kept * wanted.credits.get(head, 0.0) * sets + LAST_DIGITS
            },
            seconds=candidate.seconds(count) - wanted.seconds(sets),
            eased=tuple(region for region, change in grades.items() if change < 0),
            loaded=tuple(region for region, change in grades.items() if change > 0),
        )

    def _no_joint_worse(self, candidate: Candidate, count: int, wanted: Candidate, sets: int) -> bool:
        """No region is stressed more: by grade and by grade-sets where care is due, above a low grade elsewhere."""
        harmless = self.problem.settings.instead_harmless_grade
        for region, grade in candidate.grades.items():
            before = wanted.grades.get(region, 0)
            if region in self.careful:
                if grade > before or grade * count > before * sets:
                    return False
            elif grade > max(before, harmless):
                return False
        return True


def uses_other_equipment(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether a candidate does without the equipment that is taken, and what it includes (a bench can be lent)."""
    taken = with_included(set(wanted.station) - FURNITURE or wanted.station)
    return taken.isdisjoint(with_included(candidate.station)) and candidate.key != wanted.key


def serves_as(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether a candidate is chosen for the same head; for what only helps, whether it mostly helps the same head."""
    if wanted.trains:
        return candidate.trains == wanted.trains
    if candidate.multi_joint != wanted.multi_joint:  # a row does nothing of what an outward rotation is for
        return False
    return not wanted.main_head or candidate.main_head == wanted.main_head


def changes(candidate: Candidate, count: int, wanted: Candidate, sets: int) -> dict[str, float]:
    """Give each head and the change of its credits in direct sets."""
    return {
        head: candidate.credits.get(head, 0.0) * count - wanted.credits.get(head, 0.0) * sets
        for head in sorted(set(candidate.credits) | set(wanted.credits))
    }
