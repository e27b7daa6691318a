"""Where what must hold cannot all hold: a group that shows it, as small as was found, and the nearest week.

Deletion filtering: each thing in turn is let go for good if the rest clashes without it. What stays clashes, and
would not without any one of its members. Which group that is depends on the order, so that several are tried and
the group of fewest members is given; it may still not be the smallest that there is.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial, reduce

from library.errors import NoWeekPossible
from planner.athlete.targets import joint_allowances
from planner.document import Plan
from planner.model.aims import misses
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem, counted_of
from planner.plain import UNSHOWN, joined, number
from planner.solve.solve import is_impossible, solve_week
from planner.week.edits import (
    BRIEF,
    GYM,
    Edit,
    pinned,
    with_brief,
    with_equipment,
    with_method,
    with_minutes,
    with_preferences,
    with_target,
    with_variety,
)

NO_LIMIT = 10_000  # sets, exercises, grade-sets: more than any week can hold
WHOLE_DAY = 24 * 60  # minutes
METHOD_LIMITS = ("session_hard_cap_sets", "joint_budget_clear", "exercises_per_week", "exercises_per_session")
# A group shows that no week can be, and no more: once a member gives way, another group may stand in the way.
CANNOT_ALL_HOLD = (
    "No week can satisfy all that must hold. These cannot all hold together, so that at least one must give way; "
    "others may clash after that:"
)
MAY_BE_SMALLER = "The search was stopped early: a smaller group may clash already."


def member(file: str, where: str, let_go: partial[Inputs]) -> Edit:
    """Make one thing that must hold: where it stands, and how it is let go."""
    return Edit(where, "", file, where, let_go)


def all_members(inputs: Inputs) -> list[Edit]:
    """Everything that must hold, in the order in which it is let go."""
    groups = (musts, pins, counts, wishes, rooms, joints, sessions)
    return [each for group in groups for each in group(inputs)]


def musts(inputs: Inputs) -> Iterator[Edit]:
    """Targets and variety with must = true."""
    for head, target in inputs.targets.items():
        if target.must:
            doses = f"({number(target.target)} sets, ceiling {number(target.ceiling)})"
            let_go = partial(with_target, head=head, must=False)
            yield member(BRIEF, f"target.{head}.must = true {doses}", let_go)
    if inputs.brief.variety.must:
        yield member(BRIEF, "variety.must = true", partial(with_variety, must=False))


def pins(inputs: Inputs) -> Iterator[Edit]:
    """What the coach has pinned."""
    for key, pin in inputs.brief.preferences.pins:
        if pin.day not in inputs.states:
            where = f"preferences.pin.{key}: {pin.sets} sets on {pin.day}"
            yield member(BRIEF, where, partial(without_pin, key=key, day=pin.day))


def without_pin(inputs: Inputs, key: str, day: str) -> Inputs:
    """Give inputs without a pin."""
    left = [(name, pin) for name, pin in inputs.brief.preferences.pins if (name, pin.day) != (key, day)]
    return with_preferences(inputs, pin=pinned(left))


def counts(inputs: Inputs) -> Iterator[Edit]:
    """The method's own limits, and what pain lets no movement gain."""
    for name in METHOD_LIMITS:
        value = getattr(inputs.week, name)
        yield member(BRIEF, f"method.{name} = {value:g}", partial(with_method, **{name: NO_LIMIT}))  # type: ignore[arg-type]
    if inputs.capped:
        yield member("log.csv", "pain: kindred movements gain no sets", partial(replace, capped={}))


def wishes(inputs: Inputs) -> Iterator[Edit]:
    """A quiet trapezius, what is excluded, and what alone is allowed."""
    preferences = inputs.brief.preferences
    if preferences.trapezius:
        yield member(BRIEF, "preferences.trapezius = true", partial(with_preferences, trapezius=False))
    for name in ("exclude", "only"):
        if names := getattr(preferences, name):
            where = f"preferences.{name} ({joined(names)})"
            yield member(BRIEF, where, partial(with_preferences, **{name: ()}))  # type: ignore[arg-type]
    if inputs.brief.arm_at_most_degrees is not None:
        where = f"joints.arm_at_most_degrees = {inputs.brief.arm_at_most_degrees}"
        yield member(BRIEF, where, partial(with_brief, arm_at_most_degrees=None))


def rooms(inputs: Inputs) -> Iterator[Edit]:
    """The equipment of every gym that a session is held in."""
    for name in dict.fromkeys(session.gym for session in inputs.brief.session):
        everything = partial(with_equipment, gym=name, names=tuple(inputs.library.equipment))
        yield member(GYM, f"{name}.equipment", everything)


def joints(inputs: Inputs) -> Iterator[Edit]:
    """Joint regions that are not clear."""
    for region, word in joint_allowances(inputs.brief, inputs.library).items():
        if word != "clear":
            by_flag = inputs.brief.joints.get(region) != word
            where = f'joints.{region} = "{word}"' + (" (history.flags)" if by_flag else "")
            yield member(BRIEF, where, partial(with_clear_region, region=region))


def with_clear_region(inputs: Inputs, region: str) -> Inputs:
    """Give inputs in which the coach calls a region clear, whatever a flag says."""
    return with_brief(inputs, joints={**inputs.brief.joints, region: "clear"})


def sessions(inputs: Inputs) -> Iterator[Edit]:
    """The minutes of every session still to come, the first of the week let go first."""
    for session in inputs.brief.session:
        if session.day not in inputs.states:
            where = f"session {session.day}: minutes = {session.minutes}"
            yield member(BRIEF, where, partial(with_minutes, day=session.day, minutes=WHOLE_DAY))


Order = Sequence[Edit]
Names = frozenset[str]  # of members, as printed: no two are called the same


@dataclass
class Tried:
    """What is known of which members cannot hold together: each set of them is solved once at most."""

    inputs: Inputs
    members: Sequence[Edit]
    known: dict[Names, bool | None] = field(default_factory=dict)

    @property
    def stopped(self) -> bool:
        """Whether a budget ran out before some set was known."""
        return None in self.known.values()

    def likely(self, kept: Sequence[Edit]) -> bool | None:
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

    def proven(self, kept: Sequence[Edit]) -> bool | None:
        """Whether these cannot all hold, by solving the week in which all else is let go; None: not known."""
        names = frozenset(map(str, kept))
        if names not in self.known:
            others = [member for member in self.members if str(member) not in names]
            week = reduce(lambda old, each: each.apply(old), others, self.inputs)
            self.known[names] = is_impossible(build_problem(week))
        return self.known[names]


def small_group(inputs: Inputs) -> tuple[tuple[Edit, ...], bool]:
    """Give the smallest clashing group that some order leads to; also say whether a stop left a doubt."""
    members = all_members(inputs)
    tried, groups = Tried(inputs, members), [members]
    for order in orders(inputs):
        if len(tried.known) < inputs.week.clash_solves:
            groups.append(filtered(tried, order))
    in_order = sorted(groups, key=len)  # the last are all members, which are known to clash
    smallest = next((group for group in in_order[:-1] if tried.proven(group)), members)
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
    yield all_members(inputs)
    for last in asked if len(asked) > 1 else ():
        others = [member for member in asked if str(member) != str(last)]
        yield [*others, *least, *minutes, last]


def filtered(tried: Tried, order: Order) -> list[Edit]:
    """Let go one after the other, for good where the rest still clashes."""
    group = list(order)
    for member in order:
        rest = [other for other in group if other is not member]
        if tried.likely(rest):
            group = rest
    return group


def irreducible(tried: Tried, group: Sequence[Edit]) -> list[Edit]:
    """Let go whatever the rest of a group is proven to clash without, until there is nothing of the kind."""
    left = list(group)
    for member in group:
        rest = [other for other in left if other is not member]
        if tried.proven(rest):
            return irreducible(tried, rest)
    return left


@dataclass(frozen=True)
class Nearest:
    """The week that misses least once what must hold is only wanted.

    Dose and target (direct sets) of every head, other musts missed as (goal, amount, unit), and pins given up.
    """

    heads: tuple[tuple[str, float, float], ...]
    missed: tuple[tuple[str, float, str], ...] = ()
    unpinned: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clash:
    """Things that cannot all hold; `stopped`: a budget cut the search short, so that there may be more than need be."""

    members: tuple[Edit, ...]
    nearest: Nearest | None
    stopped: bool


def clash_of(inputs: Inputs) -> Clash:
    """Find a small clashing group of inputs that no week satisfies, and the nearest week."""
    group, stopped = small_group(inputs)
    return Clash(group, nearest_week(inputs, group), stopped)


def no_week(inputs: Inputs) -> NoWeekPossible:
    """Make the error of a week that cannot be: what cannot all hold together, and the nearest week."""
    return NoWeekPossible(clash_text(clash_of(inputs)))


def nearest_week(inputs: Inputs, group: Sequence[Edit]) -> Nearest | None:
    """Solve the week with all musts only wanted, heavily; pins of the group are given up if they clash still."""
    wanted = with_variety(with_method(inputs, rest_gap_minutes=inputs.week.clash_rest_gap), must=False)
    for head, target in inputs.targets.items():
        if target.must:
            priority = target.priority * inputs.week.clash_priority
            wanted = with_target(wanted, head, must=False, priority=priority)
    pinned = {each.where: each for each in pins(inputs)}
    clashing = [pinned[each.where] for each in group if each.where in pinned]
    for given_up in ([], *([pin] for pin in clashing), list(pinned.values())):
        problem = build_problem(reduce(lambda old, each: each.apply(old), given_up, wanted))
        solved = solve_week(problem)
        if solved is not None:
            plan, goals = solved.plan, problem.heads
            heads = tuple((goal.head, counted_of(problem, plan, goal), goal.target) for goal in goals)
            return Nearest(heads, missed_musts(inputs, problem, plan), tuple(map(str, given_up)))
    return None


def missed_musts(inputs: Inputs, problem: Problem, plan: Plan) -> tuple[tuple[str, float, str], ...]:
    """Give what a plan misses of ceilings and variety that must hold."""
    must = {f"ceiling:{head}" for head, of in inputs.targets.items() if of.must}
    variety = ("implements", "family:") if inputs.brief.variety.must else ()
    return tuple(
        (miss.goal, miss.by, miss.unit)
        for miss in misses(problem, plan)
        if miss.goal in must or miss.goal.startswith(variety)
    )


def clash_text(clash: Clash) -> str:
    """Say the group, and the nearest week."""
    lines = [CANNOT_ALL_HOLD, *(f"- {each}" for each in clash.members)]
    lines += [MAY_BE_SMALLER] if clash.stopped else []
    return "\n".join([*lines, nearest_text(clash.nearest)] if clash.nearest else lines)


def nearest_text(nearest: Nearest) -> str:
    """Say what the nearest week misses, and what it gives up."""
    short = [(head, dose, target) for head, dose, target in nearest.heads if target - dose >= UNSHOWN]
    said = [f"{head} gets {number(dose)} of {number(target)} sets" for head, dose, target in short]
    said += [f"{goal} is missed by {number(by)} {unit}" for goal, by, unit in nearest.missed if by >= UNSHOWN]
    said += [f"without {pin}" for pin in nearest.unpinned]
    return f"The nearest week, which misses least: {'; '.join(said) or 'every target is met'}."
