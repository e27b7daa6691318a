"""Goals of the dose: target, own movements, ceiling, session cap, share. Each with its inequality and unit, missed for a price.

`dose` carries the first aim, all other goals the second. What a goal is missed by follows from the plan alone.
"""

from collections.abc import Iterator, Sequence

from planner.document import Plan
from planner.model.days import days_wanted
from planner.model.problem import HeadGoal, Problem, counted_of, exercises_in, kind_of, own_of, sets_a_week
from planner.model.program import INFINITE, Goal, Miss, Program, Terms, add, miss


def dose_rows(program: Program) -> None:
    """own[h] + aside[h] + short[h] ≥ T[h], aside ≤ helping credits + elsewhere, aside ≤ a·T[h], direct sets a week.

    A missed set costs 1 down to midway to the floor, 2 from there to the floor, 4 below it, times the head's
    priority: short[h] is the sum of three columns with those prices (convex, so they fill in order).
    """
    settings = program.problem.settings
    for goal in program.problem.heads:
        aside = program.aside[goal.head] = program.variable(0, goal.aside_most)
        helping = add({aside: 1.0}, program.helping(goal.head), -1.0)
        program.row("aside", helping, high=goal.elsewhere_helping, unit="direct sets", about=goal.head)
        terms = add(program.own(goal.head), {aside: 1.0})
        for width, price in steps(program.problem, goal):
            column = program.variable(0, 0.0 if goal.must else width)
            add(terms, {column: 1.0})
            add(program.dose_price, {column: price * goal.priority})
            add(program.rest_price, {column: price * goal.priority * settings.price_missed_set})
        low = goal.target - goal.elsewhere_own
        program.row("dose", terms, low=low, unit="direct sets", about=goal.head)


def steps(problem: Problem, goal: HeadGoal) -> tuple[tuple[float, float], ...]:
    """Widths (direct sets) and prices of the three parts of a shortfall, cheapest first."""
    settings, half = problem.settings, (goal.target - goal.floor) / 2
    return (
        (half, settings.dose_price_near),
        (half, settings.dose_price_low),
        (goal.floor, settings.dose_price_below),
    )


def head_price(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Price one head's shortfall and a missing main lift, in missed sets, priority included."""
    total = shortfall_price(problem, plan, goal)
    return (total + lift_price(problem, plan, goal)) * goal.priority


def lift_price(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Missed sets that a week without a head's main lift counts for, where one is possible."""
    lifts = main_lifts(problem, goal)
    missing = bool(lifts) and lifts.isdisjoint(exercises_in(plan))
    return problem.settings.dose_price_main_lift if missing else 0.0


def main_lifts(problem: Problem, goal: HeadGoal) -> frozenset[str]:
    """A head's own movements of which one belongs in most weeks, as far as some session has the time; none of a small target."""
    settings = problem.settings
    if goal.target < settings.main_lift_target or goal.own_wanted <= 0:
        return frozenset()
    longest = max((session.seconds for session in problem.open_sessions), default=0)
    least = settings.smallest_block_sets
    return frozenset(
        one.key
        for one in problem.own_movements(goal.head)
        if one.main_lift and (one.seconds(least) <= longest or one.key in exercises_in(problem.pins))
    )


def lift_rows(program: Program) -> None:
    """Σ z[e] over a head's main lifts + missing ≥ 1, exercises a week: a press belongs in most weeks.

    `missing` has its price in the first aim: a week that meets targets by raises alone is not the better week.
    """
    problem, settings = program.problem, program.problem.settings
    for goal in problem.heads:
        lifts = main_lifts(problem, goal)
        if lifts:
            missing = program.variable(0, 1)
            price = settings.dose_price_main_lift * goal.priority
            add(program.dose_price, {missing: price})
            add(program.rest_price, {missing: price * settings.price_missed_set})
            terms = {program.used[key]: 1.0 for key in sorted(lifts)} | {missing: 1.0}
            program.row("main_lift", terms, low=1, unit="exercises", about=goal.head)


def lift_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head whose week has none of its main lifts."""
    for goal in problem.heads:
        price = lift_price(problem, plan, goal) * goal.priority * problem.settings.price_missed_set
        yield from miss(f"main_lift:{goal.head}", float(price > 0), "exercises", price)


def shortfall_price(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Price of the sets that a head is short of its target, without its priority."""
    left, total = shortfall(problem, plan, goal), 0.0
    for width, each in steps(problem, goal):
        part = min(left, width)
        total, left = total + part * each, left - part
    return total


def shortfall(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Direct sets by which a plan misses a head's target."""
    return max(0.0, goal.target - counted_of(problem, plan, goal))


def dose_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head below its target; inside the dose tolerance a miss is priced in the second aim too."""
    for goal in problem.heads:
        by = shortfall(problem, plan, goal)
        price = shortfall_price(problem, plan, goal) * goal.priority * problem.settings.price_missed_set
        each = price / by if by else 0.0
        yield from miss(f"dose:{goal.head}", by, "direct sets", each)


def own_rows(program: Program) -> None:
    """own[h] + miss ≥ (1 − a)·T[h] − elsewhere by own movements, direct sets a week."""
    for goal in program.problem.heads:
        if goal.own_wanted > 0:
            column = program.miss(program.problem.settings.price_own)
            terms = add(program.own(goal.head), {column: 1.0})
            program.row("own", terms, low=goal.own_wanted, unit="direct sets", about=goal.head)


def own_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head with too little from movements that are chosen for it."""
    for goal in problem.heads:
        by = goal.own_wanted - own_of(problem, plan, goal.head)
        yield from miss(f"own:{goal.head}", by, "direct sets", problem.settings.price_own)


def ceiling_rows(program: Program) -> None:
    """counted[h] − over[h] ≤ U[h], direct sets a week, counted = own + min(a·T, helping), elsewhere included.

    The smaller of two, so that one yes-or-no column c says which: own + a·T·(1 − c) − over ≤ U − elsewhere own and
    own + helping − M·(1 − c) − over ≤ U − elsewhere. Where the ceiling must hold these sessions add nothing above it.
    The same with the target in place of U, at the small price of an overshoot.
    """
    settings = program.problem.settings
    for goal in program.problem.heads:
        most = max(0.0, goal.elsewhere - goal.ceiling) if goal.must else INFINITE
        over = program.miss(settings.price_over_ceiling * goal.ceiling_weight, most=most)
        all_of_it = program.variable(0, 1, whole=True)
        at_most(program, goal, "ceiling", goal.ceiling, {over: -1.0}, all_of_it)
        overshoot = {program.miss(settings.price_overshoot): -1.0}
        at_most(program, goal, "overshoot", max(goal.target, goal.elsewhere), overshoot, all_of_it)


def at_most(program: Program, goal: HeadGoal, rule: str, most: float, over: Terms, all_of_it: int) -> None:
    """counted[h] − over ≤ most, direct sets a week: two rows, of which the yes-or-no column says which counts."""
    high, helping = most - goal.elsewhere_own, program.helping(goal.head)
    own, about, unit = add(program.own(goal.head), over), goal.head, "direct sets"
    if not helping:
        fixed = min(goal.aside_most, goal.elsewhere_helping)
        program.row(rule, own, high=high - fixed, unit=unit, about=about)
        return
    capped = {**own, all_of_it: -goal.aside_most}
    program.row(rule, capped, high=high - goal.aside_most, unit=unit, about=about)
    sessions, cap = program.problem.sessions, program.problem.settings.session_hard_cap_sets
    big = cap * len(sessions) + goal.elsewhere_helping
    whole = add({**own, all_of_it: big}, helping)
    program.row(rule, whole, high=high - goal.elsewhere_helping + big, unit=unit, about=about)


def ceiling_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head above its ceiling, even if elsewhere alone is."""
    for goal in problem.heads:
        by = counted_of(problem, plan, goal) - goal.ceiling
        price = problem.settings.price_over_ceiling * goal.ceiling_weight
        yield from miss(f"ceiling:{goal.head}", by, "direct sets", price)


def session_cap_rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] over own movements − over ≤ 11, direct sets a head and session (Remmert et al. 2025, a preprint), and
    at most the largest block above an even share of what is wanted on two days or more.

    The source counts sets that help as parts of a set; here they are left out, since no coach would drop a press for them.
    """
    settings = program.problem.settings
    for goal in program.problem.heads:
        for session in program.problem.sessions:
            terms = program.own(goal.head, session.id)
            if terms:
                terms[program.miss(settings.price_session_cap)] = -1.0
                high, about = session_cap(program.problem, goal), goal.head
                program.row("session_cap", terms, high=high, unit="direct sets", about=about, day=session.id)


def session_cap(problem: Problem, goal: HeadGoal) -> float:
    """Direct sets that own movements of a head should give in one session at most."""
    settings, days = problem.settings, days_wanted(problem, goal)
    even = goal.own_wanted / days + settings.largest_block_sets if days > 1 else INFINITE
    return min(settings.session_cap_sets, even)


def session_cap_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head and session above the cap."""
    settings = problem.settings
    for goal in problem.heads:
        for session in problem.sessions:
            by = own_of(problem, plan, goal.head, session.id) - session_cap(problem, goal)
            name = f"session_cap:{goal.head}:{session.id}"
            yield from miss(name, by, "direct sets", settings.price_session_cap)


def share_rows(program: Program) -> None:
    """Σ c[e,h]·x[e,d] over e of kind k − miss ≤ max(s·T[h], smin·c), direct sets a week, c the highest of k.

    For kinds (family and implement) of movements that train h, where there are two: seated or standing, a movement is
    one movement. Main lifts are free: the same press twice a week is no lack of variety.
    """
    problem = program.problem
    for goal in problem.heads:
        for kind, keys in kinds_shared(problem, goal).items():
            terms = program.total(
                lambda one, keys=keys, head=goal.head: one.credits.get(head, 0.0) if one.key in keys else 0.0  # type: ignore[misc]
            )
            terms[program.miss(problem.settings.price_share)] = -1.0
            high = most_of_a_kind(problem, goal, keys)
            program.row("share", terms, high=high, unit="direct sets", about=f"{goal.head}:{kind}")


def kinds_shared(problem: Problem, goal: HeadGoal) -> dict[str, list[str]]:
    """Kinds of a head's own movements, main lifts aside, each with its exercises; none where there is one alone."""
    kinds: dict[str, list[str]] = {}
    for one in problem.own_movements(goal.head):
        if not one.main_lift:
            kinds.setdefault(":".join(kind_of(one)), []).append(one.key)
    return kinds if len(kinds) > 1 else {}


def most_of_a_kind(problem: Problem, goal: HeadGoal, keys: Sequence[str]) -> float:
    """Direct sets a week that one kind of movement may give a head; one smallest block is always allowed."""
    settings = problem.settings
    credit = max(problem.by_key[key].credits.get(goal.head, 0.0) for key in keys)
    return max(settings.share_of_target * goal.target, settings.smallest_block_sets * credit)


def share_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each kind of movement above its share of the head that it is chosen for."""
    sets = sets_a_week(plan)
    for goal in problem.heads:
        for kind, keys in kinds_shared(problem, goal).items():
            given = sum(problem.by_key[key].credits.get(goal.head, 0.0) * sets.get(key, 0) for key in keys)
            by = given - most_of_a_kind(problem, goal, keys)
            yield from miss(f"share:{goal.head}:{kind}", by, "direct sets", problem.settings.price_share)


DOSES = (
    Goal("dose", dose_rows, dose_missed),
    Goal("main_lift", lift_rows, lift_missed),
    Goal("own", own_rows, own_missed),
    Goal("ceiling", ceiling_rows, ceiling_missed),
    Goal("session_cap", session_cap_rows, session_cap_missed),
    Goal("share", share_rows, share_missed),
)
