"""A small group of things that cannot all hold together.

Deletion filtering: each thing in turn is let go for good if the rest clashes without it. What stays clashes, and
would not without any one of its members. Which group that is depends on the order, so that several are tried and
the group of fewest members is given; it may still not be the smallest that there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import reduce

from planner.change.clash_members import (
    Member,
    all_members,
    counts,
    joints,
    musts,
    pins,
    rooms,
    sessions,
    wishes,
)
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.week.best_dose import dose_program

Order = Sequence[Member]
Names = frozenset[str]  # of members, as printed: no two are called the same


@dataclass
class Tried:
    """What is known of which members cannot hold together: each set of them is solved once at most."""

    inputs: Inputs
    members: Sequence[Member]
    known: dict[Names, bool | None] = field(default_factory=dict)

    @property
    def stopped(self) -> bool:
        """Whether a budget ran out before some set was known."""
        return None in self.known.values()

    def likely(self, kept: Sequence[Member]) -> bool | None:
        """Whether these cannot all hold, as follows from fewer or more that were solved; else by solving.

        It follows if more things clash wherever fewer do, which nothing in the model promises of pins: what is
        printed is `proven`.
        """
        names = frozenset(map(str, kept))
        if any(clash and group <= names for group, clash in self.known.items()):
            return True
        if any(clash is False and names <= group for group, clash in self.known.items()):
            return False
        return self.proven(kept)

    def proven(self, kept: Sequence[Member]) -> bool | None:
        """Whether these cannot all hold, by solving the week in which all else is let go; None: not known."""
        names = frozenset(map(str, kept))
        if names not in self.known:
            others = [member for member in self.members if str(member) not in names]
            week = reduce(lambda old, member: member.let_go(old), others, self.inputs)
            self.known[names] = is_impossible(build_problem(week))
        return self.known[names]


def small_group(inputs: Inputs) -> tuple[tuple[Member, ...], bool]:
    """Give the smallest clashing group that some order leads to; also say whether a stop left a doubt."""
    members = list(all_members(inputs))
    tried, groups = Tried(inputs, members), [members]
    for order in orders(inputs):
        if len(tried.known) < inputs.week.clash_solves:
            groups.append(filtered(tried, order))
    smallest = next(group for group in sorted(groups, key=len) if clashes(tried, group))
    names = set(map(str, irreducible(tried, smallest)))
    return tuple(member for member in members if str(member) in names), tried.stopped


def orders(inputs: Inputs) -> Iterator[Order]:
    """Give orders in which to let go.

    First what is least basic: wishes, rooms, joints and counts before the coach's pins and musts, minutes last.
    Then the musts first, for a group that names as few of them as can be. Then each must the very last, so that
    a group that it makes with little else is found, whichever other must clashes too.
    """
    asked, minutes = [*pins(inputs), *musts(inputs)], list(sessions(inputs))
    least = [*wishes(inputs), *rooms(inputs), *joints(inputs), *counts(inputs)]
    yield [*least, *asked, *minutes]
    yield list(all_members(inputs))
    for last in asked if len(asked) > 1 else ():
        others = [member for member in asked if str(member) != str(last)]
        yield [*others, *least, *minutes, last]


def filtered(tried: Tried, order: Order) -> list[Member]:
    """Let go one after the other, for good where the rest still clashes."""
    group = list(order)
    for member in order:
        rest = [other for other in group if other is not member]
        if tried.likely(rest):
            group = rest
    return group


def clashes(tried: Tried, group: Sequence[Member]) -> bool:
    """Whether a group is proven to clash; all members together are known to."""
    return len(group) == len(tried.members) or tried.proven(group) is True


def irreducible(tried: Tried, group: Sequence[Member]) -> list[Member]:
    """Let go whatever the rest of a group is proven to clash without, until there is nothing of the kind."""
    left = list(group)
    for member in group:
        rest = [other for other in left if other is not member]
        if tried.proven(rest):
            return irreducible(tried, rest)
    return left


def is_impossible(problem: Problem) -> bool | None:
    """Whether no plan keeps what must hold; None: a budget ran out before it was known."""
    from planner.solve.highs import Ending, Stops
    from planner.solve.integer import over_blocks

    settings = problem.settings
    stops = Stops(0.0, settings.node_budget, settings.emergency_seconds, target=0.0)
    answer = over_blocks(dose_program(problem)).minimize({}, stops)
    if answer.values is not None:
        return False
    return True if answer.ending is Ending.INFEASIBLE else None
