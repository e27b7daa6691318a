"""The hard limits: each with its inequality and unit, never broken by any plan.

Limits that only take exercises out (room, person, grades of joints, what pain bars) need no row: what is not admitted to
a session has no column. They stand in `build.py`.
"""

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.method import TOLD
from planner.model.pairs import pair_rows, seconds_saved
from planner.model.problem import Problem, dose_of, exercises_in, sets_a_week
from planner.model.program import Limit, Program, Terms, add, no_use

ALMOST_FULL = 0.5  # direct sets: a session cap this near to full is told


def time_rows(program: Program) -> None:
    """Σe (t[e]·x[e,d] + u[e]·y[e,d]) − Σ saved·p[d] ≤ M[d] − warm-up, seconds a session still to come.

    t = work · sides + rest, u = set-up + warm-up sets − rest (training facts §14), p pairs done in turns.
    """
    for session in program.problem.open_sessions:
        terms = program.seconds(session.id)
        add(terms, pair_rows(program, session), -1.0)
        program.row("time", terms, high=session.seconds, unit="s", day=session.id)


def time_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Minutes used and allowed of each session still to come, general warm-up included."""
    warmup_seconds = 60 * problem.settings.general_warmup_minutes
    shortest = min(
        (one.seconds(problem.settings.smallest_block_sets) for one in problem.candidates), default=0
    )
    one_more_set = min((one.set_seconds for one in problem.candidates), default=0)
    for session in problem.open_sessions:
        seconds = seconds_used(problem, plan, session.id)
        yield LimitUse(
            limit=f"time:{session.id}",
            used=round((warmup_seconds + seconds) / 60, 1) if seconds else 0.0,
            allowed=round((warmup_seconds + session.seconds) / 60, 1),
            unit="min",
            binds=session.seconds - seconds < min(shortest, one_more_set),
        )


def seconds_used(problem: Problem, plan: Plan, day: str) -> int:
    """Seconds that a plan's exercises take in one session, general warm-up not included, pairs in turns."""
    straight = sum(problem.by_key[key].seconds(sets) for (key, where), sets in plan.items() if where == day)
    return straight - seconds_saved(problem, plan, day)


def block_rows(program: Program) -> None:
    """smin·y ≤ x ≤ smax·y and y ≤ z, sets: at most one set count a pair, and z[e] = 1 exactly if e is used.

    The bounds on sets hold because only counts from smin to smax have a column (a pin brings its own count).
    """
    for key, day in program.blocks:
        terms = add(program.chosen(key, day), {program.used[key]: -1.0})
        program.row("blocks", terms, high=0, unit="blocks", about=key, day=day)
    for key, column in program.used.items():
        terms = {column: 1.0}
        for session in program.problem.sessions:
            add(terms, program.chosen(key, session.id, -1.0))
        program.row("blocks", terms, high=0, unit="blocks", about=key)


def exercise_rows(program: Program) -> None:
    """Σe y[e,d] ≤ 6 a session and Σe z[e] ≤ 9 a week, exercises; those trained already stand, however many."""
    problem, settings = program.problem, program.problem.settings
    for session in problem.open_sessions:
        terms = program.count(lambda _: True, session.id)
        program.row("exercises", terms, high=settings.exercises_per_session, unit="exercises", day=session.id)
    most = max(settings.exercises_per_week, len(exercises_in(problem.trained)))
    used = dict.fromkeys(program.used.values(), 1.0)
    program.row("exercises", used, high=most, unit="exercises", about="week")


def exercise_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Exercises of each session still to come and different exercises of the week."""
    settings, unit = problem.settings, "exercises"
    counts = {one.id: sum(day == one.id for _, day in plan) for one in problem.open_sessions}
    rows = [(day, count, settings.exercises_per_session) for day, count in counts.items()]
    for name, used, most in (*rows, ("week", len(exercises_in(plan)), settings.exercises_per_week)):
        yield LimitUse(limit=f"exercises:{name}", used=used, allowed=most, unit=unit, binds=used >= most)


def held_rows(program: Program) -> None:
    """z[e] ≥ 1 for every exercise held, or y[e,d] ≥ 1 for every block held, where it still can be.

    Inside a block the exercises stay. What may not join has no column: it has no set count to choose.
    """
    held = program.problem.held
    if held is None:
        return
    kept: dict[str, Terms] = {}
    for key, day in held.plan:
        name, terms = (f"{key}:{day}", program.chosen(key, day)) if held.blocks else (key, {})
        kept[name] = terms or ({program.used[key]: 1.0} if key in program.used and not held.blocks else {})
    for name, terms in kept.items():
        if terms:
            program.row("held", terms, low=1, unit="exercises", about=name)


def pain_rows(program: Program) -> None:
    """Σd x[e,d] ≤ cap[e], sets a week: what is kin to a painful movement gains no sets."""
    for key, most in program.problem.capped.items():
        terms = program.total(lambda one, key=key: float(one.key == key))  # type: ignore[misc]
        stands = sum(sets for (name, _), sets in program.problem.pins.items() if name == key)
        if terms:
            program.row("pain", terms, high=max(most, stands), unit="sets", about=key)


def pain_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Sets of each planned exercise that may not gain any."""
    for key, used in sets_a_week(plan).items():
        if key in problem.capped:
            most = problem.capped[key]
            yield LimitUse(limit=f"pain:{key}", used=used, allowed=most, unit="sets", binds=used >= most)


def joint_rows(program: Program) -> None:
    """Σ g[e,r]·x[e,d] + elsewhere[r] ≤ G[r], grade-sets a week, for every region with a budget.

    No source gives a safe weekly number: G is the coach's choice. What was trained already stands, even above G. Above an
    easy share of G, and from the first one on where a region is not clear, each grade-set has a price in the second aim.
    """
    problem, settings = program.problem, program.problem.settings
    for budget in problem.joints:
        region = budget.region
        terms = program.total(lambda one, region=region: one.grades.get(region, 0))  # type: ignore[misc]
        if not terms:
            continue
        most = max(budget.room, grade_sets(problem, problem.trained, region))
        program.row("joints", dict(terms), high=most, unit="grade-sets", about=region)
        over = program.miss(settings.price_joint)
        add(terms, {over: -1.0})
        program.row("joints_easy", terms, high=budget.easy, unit="grade-sets", about=region)


def grade_sets(problem: Problem, plan: Plan, region: str) -> float:
    """Grade-sets a week that a plan puts on a region, elsewhere not counted."""
    return sum(problem.by_key[key].grades.get(region, 0) * sets for (key, _), sets in plan.items())


def over_easy(problem: Problem, plan: Plan) -> float:
    """Grade-sets above the easy share, over all regions: the part that has a price."""
    return sum(max(0.0, grade_sets(problem, plan, of.region) - of.easy) for of in problem.joints)


def joint_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Grade-sets of each region that has a budget."""
    for budget in problem.joints:
        used = grade_sets(problem, plan, budget.region) + budget.elsewhere
        grades = [grade for one in problem.candidates if (grade := one.grades.get(budget.region, 0))]
        yield LimitUse(
            limit=f"joints:{budget.region}",
            used=used,
            allowed=budget.allowed,
            unit="grade-sets",
            binds=used + min(grades, default=1) > budget.allowed,
        )


def hard_cap_rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] ≤ 24, direct sets a head and session to come, helping credits included.

    End of the data of Remmert et al. 2025: nobody has measured more for one muscle in one session.
    """
    cap = program.problem.settings.session_hard_cap_sets
    for goal in program.problem.heads:
        for session in program.problem.open_sessions:
            terms = program.dose(goal.head, session.id)
            program.row(
                "session_hard_cap", terms, high=cap, unit="direct sets", about=goal.head, day=session.id
            )


def hard_cap_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Direct sets of each head and session, told only where the cap is nearly reached."""
    cap = problem.settings.session_hard_cap_sets
    for goal in problem.heads:
        for session in problem.open_sessions:
            used = dose_of(problem, plan, goal.head, session.id)
            if used > cap - ALMOST_FULL:
                name = f"session_hard_cap:{goal.head}:{session.id}"
                yield LimitUse(limit=name, used=round(used, 3), allowed=cap, unit="direct sets", binds=True)


def trapezius_rows(program: Program) -> None:
    """Σ (v[e] − V)·x[e,d] ≤ 0, of a shrug's level times sets; only where the brief asks.

    Where what was trained already is above that, the rest of the week must not add to it.
    """
    problem = program.problem
    if problem.quiet_trapezius:
        most = max(0.0, loud_sets(problem, problem.trained))
        terms = program.total(lambda one: one.trapezius - problem.settings.trapezius_level)
        program.row("trapezius", terms, high=most, unit="of a shrug · sets")


def loud_sets(problem: Problem, plan: Plan) -> float:
    """Trapezius level above the one allowed, of a shrug's, times sets."""
    level = problem.settings.trapezius_level
    return sum((problem.by_key[key].trapezius - level) * sets for (key, _), sets in plan.items())


def trapezius_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Mean trapezius level over all sets, of a shrug's."""
    sets, allowed = sum(plan.values()), problem.settings.trapezius_level
    if problem.quiet_trapezius and sets:
        level = allowed + loud_sets(problem, plan) / sets
        binds = level > allowed - TOLD.trapezius_near
        yield LimitUse(
            limit="trapezius", used=round(level, 3), allowed=allowed, unit="of a shrug", binds=binds
        )


LIMITS = (
    Limit("time", time_rows, time_use),
    Limit("blocks", block_rows, no_use),
    Limit("exercises", exercise_rows, exercise_use),
    Limit("held", held_rows, no_use),
    Limit("pain", pain_rows, pain_use),
    Limit("joints", joint_rows, joint_use),
    Limit("session_hard_cap", hard_cap_rows, hard_cap_use),
    Limit("trapezius", trapezius_rows, trapezius_use),
)
