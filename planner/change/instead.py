"""What to do if a station is taken: other equipment, the same heads, no joint worse, no limit broken."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from library.schema import with_included
from planner.document import Plan
from planner.model.aims import dose_value, rest_value
from planner.model.limits import joints, time
from planner.model.limits.trapezius import excess
from planner.model.pairs import may_pair, pairs_of
from planner.model.problem import Candidate, Problem, SessionKind, dose_of
from planner.plain import LAST_DIGITS

FURNITURE = frozenset({"flat_bench", "adjustable_bench"})  # what another client can lend


@dataclass(frozen=True)
class Exchange:
    """A replacement of one exercise in one session.

    `differs` is the change of each head's dose (direct sets), `said` the part of it that must be said (more than
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
        """How much the dose moves, in direct sets, all heads together."""
        return sum(abs(change) for change in self.differs.values())


class Instead:
    """Finds the replacements for the exercises of one plan; `careful` are the joint regions that are not clear."""

    def __init__(self, problem: Problem, plan: Plan, careful: Collection[str]) -> None:
        self.problem = problem
        self.plan = plan
        self.careful = frozenset(careful)
        self.grade_sets = {b.region: joints.grade_sets(problem, plan, b.region) for b in problem.joints}
        self.trapezius = sum(excess(problem, key) * sets for (key, _), sets in plan.items())

    def of(self, key: str, session: SessionKind) -> list[Exchange]:
        """List replacements of an exercise in a session still to come, those that keep every head's dose first.

        All are allowed in the room, need none of the taken equipment, give the main head direct sets, stress no
        joint more and keep the session's time and the week's hard limits.
        """
        if session.frozen:
            return []
        wanted, sets = self.problem.candidate(key), self.plan[key, session.id]
        partner = self._partner(key, session)
        found = [
            exchange
            for candidate in self.problem.candidates
            if candidate.key in session.allowed and (candidate.key, session.id) not in self.plan
            if uses_other_equipment(candidate, wanted) and gives_main_head(candidate, wanted)
            if partner is None or may_pair(self.problem.settings, candidate, partner)
            for exchange in self._nearest(candidate, wanted, session, sets, bool(partner))
        ]
        return sorted(found, key=lambda one: self._rank(one, wanted))

    def _rank(self, one: Exchange, wanted: Candidate) -> tuple[bool, bool, float, int]:
        """Those that keep every dose first, of these the same movement first, then what moves the doses least."""
        candidate = self.problem.candidate(one.key)
        other_movement = candidate.family != wanted.family and not one.said
        return bool(one.said), other_movement, one.moves, candidate.place

    def for_the_sheet(self, key: str, session: SessionKind) -> list[Exchange]:
        """Give the few that are printed: the best, then the best that needs other equipment than the first."""
        found = self.of(key, session)
        most, shown = self.problem.settings.instead_shown, found[:1]
        others = sorted(found[1:], key=lambda one: not self._stands_apart(one, found[0]))
        return [*shown, *others][:most]

    def price(self, key: str, session: SessionKind, exchange: Exchange) -> tuple[float, float]:
        """Give what the two aims of the whole week lose by an exchange: missed sets, priced minutes (below 0: gain)."""
        after = self._after(exchange.key, exchange.sets, key, session)
        missed, priced = (
            value(self.problem, after) - value(self.problem, self.plan) for value in (dose_value, rest_value)
        )
        return missed, priced

    def _partner(self, key: str, session: SessionKind) -> Candidate | None:
        """Give the exercise with which another is done in turns: its replacement must pair with it too."""
        pairs = pairs_of(self.problem, self.plan, session.id)
        names = [name for pair in pairs if key in pair for name in pair if name != key]
        return self.problem.candidate(names[0]) if names else None

    def _after(self, key: str, count: int, wanted: str, session: SessionKind) -> Plan:
        """Give the plan once an exercise stands in for another."""
        after = {pair: n for pair, n in self.plan.items() if pair != (wanted, session.id)}
        return {**after, (key, session.id): count}

    def _stands_apart(self, one: Exchange, first: Exchange) -> bool:
        """Whether a replacement is as good in dose and would still be free if the first's station is taken too."""
        candidates = (self.problem.candidate(one.key), self.problem.candidate(first.key))
        return bool(one.said) <= bool(first.said) and uses_other_equipment(*candidates)

    def _nearest(
        self, candidate: Candidate, wanted: Candidate, session: SessionKind, sets: int, paired: bool
    ) -> Iterator[Exchange]:
        """Adapt the sets so that the heads' doses stay as near as they can; nothing if no set count is allowed.

        In a pair the sets stay as many as the partner's.
        """
        settings = self.problem.settings
        counts = range(settings.smallest_block_sets, settings.largest_block_sets + 1)
        if paired:
            counts = range(sets, sets + 1)
        possible = [
            (
                len(self._said(candidate, count, wanted, sets)),
                self._moved(candidate, count, wanted, sets),
                count,
            )
            for count in counts
            if self._no_joint_worse(candidate, count, wanted, sets)
            and self._keeps_limits(candidate, count, wanted, session, sets)
        ]
        if possible:
            _, _, count = min(possible, key=lambda one: (one[0], one[1], abs(one[2] - sets)))
            yield self._exchange(candidate, count, wanted, sets)

    def _exchange(self, candidate: Candidate, count: int, wanted: Candidate, sets: int) -> Exchange:
        regions = sorted({*candidate.grades, *wanted.grades})
        grades = {r: candidate.grades.get(r, 0) - wanted.grades.get(r, 0) for r in regions}
        return Exchange(
            key=candidate.key,
            sets=count,
            differs=dict(changes(candidate, count, wanted, sets)),
            said=self._said(candidate, count, wanted, sets),
            seconds=candidate.seconds(count) - wanted.seconds(sets),
            eased=tuple(region for region, change in grades.items() if change < 0),
            loaded=tuple(region for region, change in grades.items() if change > 0),
        )

    def _said(self, candidate: Candidate, count: int, wanted: Candidate, sets: int) -> dict[str, float]:
        kept = self.problem.settings.instead_dose_kept
        return {
            head: round(change, 2)
            for head, change in changes(candidate, count, wanted, sets)
            if abs(change) > kept * wanted.credits.get(head, 0.0) * sets + LAST_DIGITS
        }

    def _moved(self, candidate: Candidate, count: int, wanted: Candidate, sets: int) -> float:
        return sum(abs(change) for _, change in changes(candidate, count, wanted, sets))

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

    def _keeps_limits(
        self, candidate: Candidate, count: int, wanted: Candidate, session: SessionKind, sets: int
    ) -> bool:
        """Whether the session's time and hard caps and the week's joint and trapezius limits still hold."""
        problem, cap = self.problem, self.problem.settings.session_hard_cap_sets
        before, after = (
            time.seconds_used(problem, plan, session.id)
            for plan in (self.plan, self._after(candidate.key, count, wanted.key, session))
        )
        if after > max(before, session.seconds):
            return False
        for budget in problem.joints:
            change = (
                candidate.grades.get(budget.region, 0) * count - wanted.grades.get(budget.region, 0) * sets
            )
            if change > 0 and self.grade_sets[budget.region] + change > joints.room(budget):
                return False
        for head, added in changes(candidate, count, wanted, sets):
            if added > 0 and dose_of(problem, self.plan, head, session.id) + added > cap + LAST_DIGITS:
                return False
        louder = excess(problem, candidate.key) * count - excess(problem, wanted.key) * sets
        return not problem.quiet_trapezius or louder <= 0 or self.trapezius + louder <= LAST_DIGITS


def uses_other_equipment(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether a candidate does without the equipment that is taken, and what it includes (a bench can be lent)."""
    taken = with_included(set(wanted.station) - FURNITURE or wanted.station)
    return taken.isdisjoint(with_included(candidate.station)) and candidate.key != wanted.key


def gives_main_head(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether the head that the exercise is mostly for gets direct sets too, where it did."""
    if not wanted.direct:
        return True
    main = max(sorted(wanted.direct), key=lambda head: wanted.credits[head])
    return main in candidate.direct


def changes(candidate: Candidate, count: int, wanted: Candidate, sets: int) -> Iterator[tuple[str, float]]:
    """Give each head and the change of its dose in direct sets."""
    for head in sorted(set(candidate.credits) | set(wanted.credits)):
        yield head, candidate.credits.get(head, 0.0) * count - wanted.credits.get(head, 0.0) * sets
