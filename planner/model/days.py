"""Goals of the days: booked sessions are used, heads mixed and spread, heavy days apart. Each missed for a price."""

import math
from collections.abc import Iterator
from dataclasses import replace

from planner.document import Plan
from planner.model.problem import HeadGoal, Problem, SessionKind, dose_of
from planner.model.program import Goal, Miss, Program, Terms, add, miss
from planner.plain import ROUNDING

PAIR = 2  # exercises that a session should have at the least


def booked_rows(program: Program) -> None:
    """Σe y[e,d] + few + thin + empty ≥ n, exercises a session; seconds[d] − long ≤ 1.5·M[d]/ΣM · Σ seconds, minutes.

    n: one for each 10 booked minutes, 2 or 3, the third only where the week's sets make full blocks for it. Booked
    minutes are the coach's gift: an empty session costs all columns (empty ≤ 1, thin ≤ 1, few what is left). Does not
    apply where so many exercises do not fit, nor where nothing is needed.
    """
    problem, settings = program.problem, program.problem.settings
    for session in problem.open_sessions:
        wanted = exercises_wanted(problem, session)
        if wanted:
            terms = program.count(lambda _: True, session.id)
            terms[program.miss(settings.price_empty_session, most=1)] = 1.0
            if wanted > 1:
                terms[program.miss(settings.price_thin_session, most=1)] = 1.0
            if wanted > 2:
                terms[program.miss(settings.price_few_exercises, most=wanted - 2)] = 1.0
            program.row("booked", terms, low=wanted, unit="exercises", day=session.id)
        share = most_share(problem, session)
        if share < 1:
            terms = {column: (1 - share) * t / 60 for column, t in program.seconds(session.id).items()}
            for other in problem.open_sessions:
                if other.id != session.id:
                    add(terms, program.seconds(other.id), -share / 60)
            terms[program.miss(settings.price_long_session)] = -1.0
            program.row("booked", terms, high=0, unit="min", about="long", day=session.id)


def exercises_wanted(problem: Problem, session: SessionKind) -> int:
    """Exercises that a session still to come should have: one for each 10 minutes, 2 or 3, as many as fit; 0: none.

    Above 2 no more than the week's own sets give full blocks.
    """
    if not problem.anything_needed or session.frozen:
        return 0
    settings = problem.settings
    sets = sum(goal.own_wanted for goal in problem.heads) / settings.block_worth / len(problem.open_sessions)
    full = math.ceil(sets / settings.short_block_sets - ROUNDING)
    # what a block holds asks for no fewer: a plan is worth the same, held or not
    problem = problem if problem.held is None else replace(problem, held=None)
    shortest = sorted(
        problem.by_key[one.key].seconds(min(counts))
        for one in problem.candidates
        if (counts := problem.choices(one.key, session))
    )
    minutes = session.seconds / 60 + settings.general_warmup_minutes
    most = min(settings.booked_exercises, max(PAIR, min(full, int(minutes // settings.booked_minutes_each))))
    seconds = count = 0
    for block in shortest[:most]:
        seconds += block
        count += seconds <= session.seconds
    return count


def most_share(problem: Problem, session: SessionKind) -> float:
    """The part of the week's training seconds that one session should have at most: 1.5 times its share of all booked."""
    booked = sum(one.seconds for one in problem.open_sessions)
    return problem.settings.booked_share_most * session.seconds / booked if booked else 1.0


def booked_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each booked session that is empty, thin, or much longer than its share of the week."""
    settings = problem.settings
    seconds = {one.id: seconds_straight(problem, plan, one.id) for one in problem.open_sessions}
    for session in problem.open_sessions:
        count = sum(day == session.id for _, day in plan)
        wanted = exercises_wanted(problem, session)
        few = max(0, wanted - max(2, count))
        if wanted and not count:
            price = settings.price_empty_session + settings.price_thin_session * (wanted > 1)
            price += settings.price_few_exercises * few
            yield from miss(f"booked:empty:{session.id}", 1.0, "sessions", price)
        else:
            thin = float(min(wanted, 2) - count)
            yield from miss(f"booked:thin:{session.id}", thin, "exercises", settings.price_thin_session)
            yield from miss(f"booked:few:{session.id}", float(few), "exercises", settings.price_few_exercises)
        share = most_share(problem, session)
        if share < 1:
            by = (seconds[session.id] - share * sum(seconds.values())) / 60
            yield from miss(f"booked:long:{session.id}", by, "min", settings.price_long_session)


def seconds_straight(problem: Problem, plan: Plan, day: str) -> int:
    """Seconds of a session's exercises one after the other, whatever pairs save."""
    return sum(problem.by_key[key].seconds(sets) for (key, where), sets in plan.items() if where == day)


def mixed_rows(program: Program) -> None:
    """Σh v[h,d] + miss ≥ 2, v[h,d] ≤ Σ y[e,d] over own movements of h, v ≤ 1, heads of a session with two exercises or more.

    Where three are wanted each head that a session leaves out costs too, 1 − v at a price that follows how much it needs.
    """
    problem = program.problem
    for session in problem.open_sessions:
        wanted = heads_wanted(problem, session)
        if not wanted:
            continue
        heads: Terms = {program.miss(alone_price(problem, session)): 1.0}
        for goal in (goal for goal in problem.heads if goal.head in wanted):
            own = program.count(lambda one, head=goal.head: one.trains == head, session.id)  # type: ignore[misc]
            price = left_out_price(problem, goal, session)
            add(program.rest_price, {program.variable(1, 1): price})
            if own:
                trained = program.variable(0, 1)
                terms = own | {trained: -1.0}
                program.row("mixed", terms, low=0, unit="exercises", about=goal.head, day=session.id)
                heads[trained] = 1.0
                add(program.rest_price, {trained: -price})
        program.row("mixed", heads, low=PAIR, unit="heads", day=session.id)


def alone_price(problem: Problem, session: SessionKind) -> float:
    """Price of a session that trains one head alone: little on days running, which share the heads between them."""
    settings = problem.settings
    return settings.price_alone if is_beside(problem, session) else settings.price_mixed


def is_beside(problem: Problem, session: SessionKind) -> bool:
    """Whether the day before or after a session is a training day too."""
    return any(session in pair for pair in problem.neighbours())


def left_out_price(problem: Problem, goal: HeadGoal, session: SessionKind) -> float:
    """Price of a session without a head: all of it where its own sets make a block for every session; none on days running,
    which share the heads between them, nor of a head whose every own movement loads a region that is not clear."""
    tender = [of.region for of in problem.joints if not of.easy_share]
    own = (one for one in problem.candidates if one.trains == goal.head)
    loads = (any(one.grades.get(region) for region in tender) for one in own)
    if is_beside(problem, session) or all(loads):
        return 0.0
    sets = problem.settings.short_block_sets * len(problem.open_sessions)
    return problem.settings.price_left_out * min(1.0, goal.own_wanted / sets)


def heads_wanted(problem: Problem, session: SessionKind) -> frozenset[str]:
    """Heads of which a session still to come should train two or more; none where it has two exercises or two heads too few."""
    free = replace(problem, held=None)  # a plan is worth the same, held or not
    own = {one.trains for one in problem.candidates if free.choices(one.key, session)} - {""}
    heads = own & {goal.head for goal in problem.heads}
    return frozenset(heads) if min(exercises_wanted(problem, session), len(heads)) >= PAIR else frozenset()


def mixed_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each session that leaves out heads: one alone costs most, any other by how much it needs."""
    for session in problem.open_sessions:
        wanted = heads_wanted(problem, session)
        trained = {problem.by_key[key].trains for key, day in plan if day == session.id} & wanted
        price = alone_price(problem, session) * max(0, PAIR - len(trained)) if wanted else 0.0
        out = [goal for goal in problem.heads if goal.head in wanted - trained]
        price += sum(left_out_price(problem, goal, session) for goal in out)
        yield from miss(f"mixed:{session.id}", len(out), "heads", price / len(out) if out else 0.0)


def heavy_day_rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] ≤ 6 + 18·heavy[h,d] and heavy[h,d] + heavy[h,d'] ≤ 1 + miss for neighbouring days d, d'.

    Direct sets a head and session; 18 brings a heavy day up to the hard cap of 24, or to what was trained already.
    """
    problem, settings = program.problem, program.problem.settings
    pairs = problem.neighbours()
    for goal in problem.heads if pairs else ():
        heavy: dict[str, int] = {}
        for session in {one.id: one for pair in pairs for one in pair}.values():
            column = heavy[session.id] = program.variable(0, 1, whole=True)
            trained = dose_of(problem, problem.trained, goal.head, session.id)
            more = max(0.0, max(settings.session_hard_cap_sets, trained) - settings.heavy_day_sets)
            terms = add(program.dose(goal.head, session.id), {column: -more})
            high, about = settings.heavy_day_sets, goal.head
            program.row("heavy_day", terms, high=high, unit="direct sets", about=about, day=session.id)
        for first, second in pairs:
            column = program.miss(settings.price_heavy_days)
            terms = {heavy[first.id]: 1.0, heavy[second.id]: 1.0, column: -1.0}
            day = f"{first.id}-{second.id}"
            program.row("heavy_days", terms, high=1, unit="days", about=goal.head, day=day)


def heavy_days_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each pair of neighbouring heavy days."""
    settings = problem.settings
    for goal in problem.heads:
        for pair in problem.neighbours():
            doses = [dose_of(problem, plan, goal.head, session.id) for session in pair]
            by = float(all(dose > settings.heavy_day_sets + ROUNDING for dose in doses))
            name = f"heavy_days:{goal.head}:{pair[0].id}-{pair[1].id}"
            yield from miss(name, by, "pairs", settings.price_heavy_days)


def own_sets(problem: Problem, plan: Plan, head: str, session: str) -> int:
    """Sets of a session of movements that are chosen for a head."""
    return sum(
        sets for (key, day), sets in plan.items() if day == session and problem.by_key[key].trains == head
    )


def spread_rows(program: Program) -> None:
    """Σ x[e,d] over own movements of h ≥ 2·v[h,d] and Σd v[h,d] + miss ≥ min(2, sessions); v = 1: trained that day.

    Fewer days where less than two own sets a day are wanted.
    """
    problem, settings = program.problem, program.problem.settings
    for goal in problem.heads:
        wanted = days_wanted(problem, goal)
        if not wanted:
            continue
        days: Terms = {program.miss(settings.price_spread): 1.0}
        for session in problem.sessions:
            trained = program.variable(0, 1, whole=True)
            terms = program.total(lambda one, head=goal.head: float(one.trains == head), session.id)  # type: ignore[misc]
            terms[trained] = -settings.spread_sets
            program.row("spread", terms, low=0, unit="sets", about=goal.head, day=session.id)
            days[trained] = 1.0
        program.row("spread", days, low=wanted, unit="sessions", about=goal.head)


def days_wanted(problem: Problem, goal: HeadGoal) -> int:
    """Sessions that should train a head by own movements; a missed session is none. Each day of heavy lifts for it elsewhere is
    one of its days; one stays."""
    elsewhere = sum(head == goal.head for head, _ in problem.lifted_elsewhere)
    there = sum(session.state != "missed" for session in problem.sessions)
    sessions = min(max(1, goal.sessions - elsewhere), there)
    return min(sessions, int((goal.own_wanted + ROUNDING) // problem.settings.spread_sets))


def spread_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head trained on too few days."""
    settings = problem.settings
    for goal in problem.heads:
        days = sum(
            own_sets(problem, plan, goal.head, one.id) >= settings.spread_sets for one in problem.sessions
        )
        by = days_wanted(problem, goal) - days
        yield from miss(f"spread:{goal.head}", by, "sessions", settings.price_spread)


DAYS = (
    Goal("booked", booked_rows, booked_missed),
    Goal("mixed", mixed_rows, mixed_missed),
    Goal("heavy_days", heavy_day_rows, heavy_days_missed),
    Goal("spread", spread_rows, spread_missed),
)
