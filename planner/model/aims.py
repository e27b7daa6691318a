"""All rules, and the two aims and what they cost: dose first, then the rest (DESIGN §3.3).

`build` makes the program that the solver minimizes; `dose_value` and `rest_value` price a plan from the plan
alone, so that what is printed is the value of the plan as printed.
"""

from planner.document import Plan
from planner.model.days import DAYS
from planner.model.doses import DOSES, head_price
from planner.model.limits import LIMITS, over_easy, seconds_used
from planner.model.pairs import seconds_saved
from planner.model.problem import Candidate, Problem, counted_of, exercises_in
from planner.model.program import INFINITE, Goal, Miss, Program, Terms, add
from planner.model.repeats import REPEATS
from planner.model.variety import VARIETY

LOW_BACK = "lumbar"
GOALS: tuple[Goal, ...] = (*DOSES, *DAYS, *REPEATS, *VARIETY)


def build(problem: Problem) -> Program:
    """Make the whole program of a problem: limits, goals, and both objectives."""
    program = Program(problem)
    for limit in LIMITS:
        limit.rows(program)
    for goal in GOALS:
        goal.rows(program)
    if problem.in_force is not None:
        add(program.rest_price, change_terms(program))
        lost_rows(program)
        empty = change_price(problem, {}) - lost_price(problem, {})
        add(program.rest_price, {program.variable(1, 1): empty})
    price_effort(program)
    return program


def dose_program(problem: Problem) -> Program:
    """Make the program of the first aim: limits, doses, and the goals that must hold."""
    program = Program(problem)
    must = {"ceiling"} if any(head.must for head in problem.heads) else set()
    must |= {"implements", "family"} if problem.variety_must else set()
    for limit in LIMITS:
        limit.rows(program)
    for goal in GOALS:
        if goal.name in {"dose", "main_lift", *must}:
            goal.rows(program)
    return program


def price_effort(program: Program) -> None:
    """Price minutes, sets, exercises on the sheets, library order, and own movements beyond a target (overshoot)."""
    problem, settings = program.problem, program.problem.settings
    for candidate, session in program.pairs:
        for sets, column in program.blocks[candidate.key, session.id].items():
            minutes = candidate.seconds(sets) / 60
            price = settings.price_minute * minutes + settings.price_set * sets
            price += line_price(problem, candidate) + block_price(problem, (candidate.key, session.id), sets)
            add(program.rest_price, {column: price})
    for key, column in program.used.items():
        add(program.rest_price, {column: different_price(problem, key)})
    for column, saved in program.saved.items():
        add(program.rest_price, {column: -saved_price(problem, saved)})
    if saved := sum(seconds_saved(problem, problem.trained, one.id) for one in problem.sessions):
        add(program.rest_price, {program.variable(1, 1): -saved_price(problem, saved)})


def saved_price(problem: Problem, seconds: float) -> float:
    """Worth of the seconds that pairs save: the minutes themselves, and that the brief asked for pairs."""
    return (problem.settings.price_minute + problem.settings.price_pair_minute) * seconds / 60


def line_price(problem: Problem, candidate: Candidate) -> float:
    """Price of one line on a session's sheet: what it is for, its skill, how usual and how safe it is, its place (for ties)."""
    settings = problem.settings
    taste = settings.price_skill * (candidate.skill - 1) + settings.price_choice * (candidate.choice - 1) ** 2
    named = candidate.key in problem.preferred  # then it is for what the coach means by it
    helps = 0.0 if candidate.trains or named else settings.price_helping
    helps += settings.price_unasked if candidate.unasked else 0.0
    helps += (
        settings.price_beside_lift if candidate.trains in problem.lifted and not candidate.main_lift else 0.0
    )
    tender = any(not of.easy_share for of in problem.joints)
    if candidate.is_heavy and (tender or problem.skilled) and (candidate.implement == "machine") != tender:
        taste += settings.price_free_lift
    if (tender or problem.learning) and not candidate.multi_joint:  # supported before bent over
        taste += settings.price_unsupported * candidate.grades.get(LOW_BACK, 0)
    return settings.price_exercise + taste + helps + settings.tie_break * candidate.place


def different_price(problem: Problem, key: str) -> float:
    """Price of a different exercise of the week, and of one whose load is yet to be found beside others that are known."""
    new = bool(problem.known) and key not in problem.known
    return problem.settings.price_different + (problem.settings.price_to_find if new else 0.0)


def block_price(problem: Problem, pair: tuple[str, str], sets: int) -> float:
    """Price of a block of so many sets: few for a set-up, most of all for a head that comes first, or the most that one may
    have (3 and 3 before 2 and 4), or not there before."""
    settings, price, candidate = problem.settings, 0.0, problem.by_key[pair[0]]
    if sets < settings.short_block_sets:
        price = settings.price_short_lift if candidate.is_heavy else settings.price_short_block
        price *= max((goal.priority for goal in problem.heads if goal.head == candidate.trains), default=1.0)
    elif sets >= settings.largest_block_sets > settings.short_block_sets:
        price = settings.price_large_block
    moved = bool(problem.last_plan) and problem.last_plan.get(pair) != sets
    if candidate.trains in problem.lifted and beside_elsewhere(problem, candidate.trains, pair[1]):
        price += settings.price_beside_elsewhere * (sets if candidate.main_lift else 1)
    return price + (settings.price_unsettled if moved else 0.0)


def beside_elsewhere(problem: Problem, head: str, session: str) -> bool:
    """Whether a session lies on or next to a day on which a lift for the head is done elsewhere."""
    from planner.athlete.brief import DAYS

    at = next(DAYS.index(one.day) for one in problem.sessions if one.id == session)
    near = {DAYS[(at + step) % len(DAYS)] for step in (-1, 0, 1)}
    return any(lifted == head and day in near for lifted, day in problem.lifted_elsewhere)


def overshoot(problem: Problem, plan: Plan) -> float:
    """Counted direct sets beyond the targets, or beyond what comes from elsewhere where that is more, over all heads."""
    return sum(
        max(0.0, counted_of(problem, plan, goal) - max(goal.target, goal.elsewhere)) for goal in problem.heads
    )


def dose_value(problem: Problem, plan: Plan) -> float:
    """Value of the first aim, in priced missed sets a week."""
    return sum(head_price(problem, plan, goal) for goal in problem.heads)


def rest_value(problem: Problem, plan: Plan) -> float:
    """Value of the second aim, in minute-equivalents a week."""
    settings = problem.settings
    minutes = sum(seconds_used(problem, plan, session.id) for session in problem.sessions) / 60
    paired = sum(seconds_saved(problem, plan, session.id) for session in problem.sessions) / 60
    return (
        sum(miss.price for miss in misses(problem, plan))
        + settings.price_joint * over_easy(problem, plan)
        + settings.price_minute * minutes
        - settings.price_pair_minute * paired
        + settings.price_set * sum(plan.values())
        + settings.price_overshoot * overshoot(problem, plan)
        + sum(different_price(problem, key) for key in exercises_in(plan))
        + sum(line_price(problem, problem.by_key[key]) for key, _ in plan)
        + sum(block_price(problem, pair, sets) for pair, sets in plan.items())
        + change_price(problem, plan)
    )


def misses(problem: Problem, plan: Plan) -> list[Miss]:
    """Name every goal that a plan misses, in the order of the goals."""
    return [miss for goal in GOALS for miss in goal.missed(problem, plan)]


def dose_room(problem: Problem) -> float:
    """Missed sets by which the second aim may leave the best dose: 0.25 a trained head."""
    return problem.settings.dose_tolerance_sets * len(problem.heads)


def change_terms(program: Program) -> Terms:
    """Price |x[e,d] − x'[e,d]|, sets moved, and |z[e] − z'[e]|, exercises that leave or join; x', z' in force.

    Against an empty week it is linear in the columns: a block of k sets adds |k − x'| − x' to the sets that an empty
    week moves, an exercise in use 1 − 2·z' to the exercises that it exchanges.
    """
    problem, terms = program.problem, Terms()
    for pair, by_count in program.blocks.items():
        terms |= {column: block_change(problem, pair, sets) for sets, column in by_count.items()}
    for key, column in program.used.items():
        terms[column] = exchange_price(problem, key)
    for day, lost in lost_sets(problem).items():
        if day not in program.replaced:
            program.replaced[day] = program.variable(0, INFINITE)
            sets = {program.replaced[day]: -1.0}
            for pair in sorted(problem.replacing):
                sets |= program.sets(*pair) if pair[1] == day else {}
            program.row("replaced", sets, high=lost, unit="sets", day=day)
        terms[program.replaced[day]] = problem.settings.price_moved_set
    return terms


def lost_sets(problem: Problem) -> dict[str, int]:
    """Sets that each day has lost and others may replace at no price; on a day that has lost all, every set is free."""
    days = {day for _, day in problem.replacing} - problem.lost_days
    return {day: sum(n for (_, on), n in problem.lost.items() if on == day) for day in sorted(days)}


def lost_rows(program: Program) -> None:
    """Σ y[e,d] over what may stand in for a lost movement on its day + miss ≥ 1, exercises a session."""
    for keys, day in sorted(program.problem.stand_ins, key=lambda way: (way[1], *sorted(way[0]))):
        terms = program.count(lambda one, keys=keys: one.key in keys, day)  # type: ignore[misc]
        terms[program.miss(program.problem.settings.price_kin_saved, most=1)] = 1.0
        program.row("lost", terms, low=1, unit="exercises", about=" ".join(sorted(keys)), day=day)


def block_change(problem: Problem, pair: tuple[str, str], sets: int) -> float:
    """Price of a block of `sets` sets against no block; none where it takes the place of a lost movement on its day,
    which `lost_sets` limits. On a day that has lost all its exercises every set is free: there is nothing to keep.
    """
    was = (problem.in_force or {}).get(pair, 0)
    free = pair in problem.replacing or pair[1] in problem.lost_days
    return 0.0 if free else problem.settings.price_moved_set * (abs(sets - was) - was)


def exchange_price(problem: Problem, key: str) -> float:
    """Price of an exercise in use against leaving it out; below 0 where the plan in force uses it.

    One that stands in for what the plan in force has lost, or for a day that has lost all, costs nothing.
    """
    if key in exercises_in(problem.in_force or {}):
        return -problem.settings.price_exchanged
    free = key in {kin for kin, _ in problem.replacing} or any(
        problem.can_hold(key, day) for day in problem.lost_days
    )
    return 0.0 if free else problem.settings.price_exchanged


def change_price(problem: Problem, plan: Plan) -> float:
    """Price of the change, in minute-equivalents; 0 where no plan is in force."""
    if problem.in_force is None:
        return 0.0
    settings, planned = problem.settings, exercises_in(plan)
    before = {pair: sets for pair, sets in problem.in_force.items() if problem.can_hold(*pair)}
    empty = settings.price_moved_set * sum(before.values())
    empty += settings.price_exchanged * len(exercises_in(problem.in_force) & problem.rooms)
    blocks = sum(block_change(problem, pair, sets) for pair, sets in plan.items())
    for day, lost in lost_sets(problem).items():
        more = sum(n for pair, n in plan.items() if pair in problem.replacing and pair[1] == day) - lost
        blocks += settings.price_moved_set * max(0, more)
    exchanged = sum(exchange_price(problem, key) for key in planned)
    return empty + blocks + exchanged + lost_price(problem, plan)


def lost_price(problem: Problem, plan: Plan) -> float:
    """Price of the movements that the plan in force has lost and that a plan does not have on their day."""
    missing = [of for of in problem.stand_ins if not any((key, of[1]) in plan for key in of[0])]
    return problem.settings.price_kin_saved * len(missing)
