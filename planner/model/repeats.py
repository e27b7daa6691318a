"""Goals against repeating: in a session, on neighbouring days, over the week. Each missed for a price."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from planner.document import Plan
from planner.model.days import own_sets
from planner.model.problem import Candidate, HeadGoal, Problem, SessionKind, kind_of
from planner.model.program import Goal, Miss, Program, Terms, miss

Group = TypeVar("Group")


def twin_rows(program: Program) -> None:
    """Σ y[e,d] over one movement (family and implement, of main lifts the family) − miss ≤ 1, exercises a session."""
    problem = program.problem
    for session in problem.open_sessions:
        for movement in twins_in(problem, session):
            terms = program.count(lambda one, movement=movement: movement_of(one) == movement, session.id)  # type: ignore[misc]
            terms[program.miss(problem.settings.price_twins)] = -1.0
            about = ":".join(movement)
            program.row("twins", terms, high=1, unit="exercises", about=about, day=session.id)


def twins_in(problem: Problem, session: SessionKind) -> list[tuple[str, str]]:
    """Movements of which a session can hold two or more exercises."""
    there = [movement_of(one) for one in problem.candidates if problem.choices(one.key, session)]
    return [movement for movement in dict.fromkeys(there) if there.count(movement) > 1]


def twins_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each movement of which a session has two or more."""
    for session in problem.open_sessions:
        kinds = [movement_of(problem.by_key[key]) for key, day in plan if day == session.id]
        for kind in dict.fromkeys(kinds):
            name = ":".join(("twins", session.id, *kind))
            yield from miss(name, kinds.count(kind) - 1, "exercises", problem.settings.price_twins)


def kindred_rows(program: Program) -> None:
    """Σ y[e,d] over a family − miss ≤ 1, exercises a session: a fly, then a face pull; see kindred_of."""
    problem = program.problem
    for session in problem.open_sessions:
        there = [one for one in kindred_of(problem) if problem.choices(one.key, session)]
        for family, keys in grouped(there, lambda one: one.version_of or one.family):
            if len(keys) > 1:
                terms = program.count(lambda one, keys=keys: one.key in keys, session.id)  # type: ignore[misc]
                terms[program.miss(problem.settings.price_kindred)] = -1.0
                program.row("kindred", terms, high=1, unit="exercises", about=family, day=session.id)


def kindred_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each family of which a session has two movements or more."""
    for session in problem.open_sessions:
        there = [one for one in kindred_of(problem) if (one.key, session.id) in plan]
        for family, count in Counter(one.version_of or one.family for one in there).items():
            name = f"kindred:{session.id}:{family}"
            yield from miss(name, count - 1, "exercises", problem.settings.price_kindred)


def kindred_of(problem: Problem) -> list[Candidate]:
    """Exercises of which a session should hold one of a family: no main lifts, nor those of a head that leads or that
    needs more than the largest block on each of its days."""
    most = problem.settings.largest_block_sets
    free = {goal.head for goal in problem.heads if goal.own_wanted > most * goal.sessions} | {problem.leading}
    return [one for one in problem.candidates if not (one.main_lift or (one.trains and one.trains in free))]


def next_day_rows(program: Program) -> None:
    """in[m,d] + in[m,d'] − miss ≤ 1 for neighbouring days d, d', over the week's end too.

    m: a kind (family and implement), or all main lifts of a family. Seated or standing, a movement is one movement; and
    two presses load one joint alike, whatever is held.
    """
    problem = program.problem
    for first, second in problem.neighbours():
        if first.frozen and second.frozen:
            continue
        for movement, keys in grouped(problem.candidates, movement_of):
            days = [any_on(program, "next_day", movement, keys, one.id) for one in (first, second)]
            if all(days):
                terms = days[0] | days[1] | {program.miss(problem.settings.price_next_day): -1.0}
                day = f"{first.id}-{second.id}"
                program.row("next_day", terms, high=1, unit="days", about=":".join(movement), day=day)


def next_day_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each movement that stands on two days running."""
    for first, second in problem.neighbours():
        both = [
            {movement_of(problem.by_key[key]) for key, day in plan if day == one.id}
            for one in (first, second)
        ]
        for movement in () if first.frozen and second.frozen else sorted(both[0] & both[1]):
            name = ":".join(("next_day", *movement, f"{first.id}-{second.id}"))
            yield from miss(name, 1.0, "days", problem.settings.price_next_day)


def movement_of(candidate: Candidate) -> tuple[str, str]:
    """What should not stand on two days running: family and implement, of a main lift whatever is held."""
    family, held = kind_of(candidate)
    return (candidate.version_of or family, "lift" if candidate.main_lift else held)


def rested_rows(program: Program) -> None:
    """Σ in[h,d] over three days running − miss ≤ 2, over two ≤ 1 for a head that leads or has days named: see running."""
    problem = program.problem
    for goal in problem.heads:
        keys = [one.key for one in problem.own_movements(goal.head)]
        for days in running(problem, goal):
            there = [any_on(program, "rested", (goal.head,), keys, day) for day in days]
            if all(there):
                terms: Terms = {program.miss(problem.settings.price_rested): -1.0}
                for on in there:
                    terms |= on
                about, day = goal.head, "-".join(days)
                program.row("rested", terms, high=len(days) - 1, unit="days", about=about, day=day)


def rested_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head with own movements on days running."""
    for goal in problem.heads:
        for days in running(problem, goal):
            every = all(own_sets(problem, plan, goal.head, day) for day in days)
            name = f"rested:{goal.head}:{'-'.join(days)}"
            yield from miss(name, float(every), "days", problem.settings.price_rested)


def running(problem: Problem, goal: HeadGoal) -> list[tuple[str, ...]]:
    """Three sessions on days side by side, over the week's end too; two for the head that leads and for one that the brief
    wants on more days than usual; none where all are over."""
    from planner.athlete.brief import DAYS

    named = goal.head == problem.leading or goal.sessions > problem.settings.spread_sessions
    on, length = {one.day: one for one in problem.sessions}, 2 if named else 3
    runs = [[on.get(DAYS[(at + step) % len(DAYS)]) for step in range(length)] for at in range(len(DAYS))]
    full = [[one for one in run if one] for run in runs]
    return [
        tuple(one.id for one in run)
        for run in full
        if len(run) == length and not all(one.frozen for one in run)
    ]


def repeat_rows(program: Program) -> None:
    """Σd in[k,d] − miss ≤ 2, sessions a week and kind k (of main lifts the family): then another kind does the same work."""
    problem, settings = program.problem, program.problem.settings
    for kind, keys in grouped(problem.candidates, repeated):
        rooms = [one.id for one in problem.sessions if any(program.chosen(key, one.id) for key in keys)]
        if len(rooms) > settings.repeat_sessions:
            terms: Terms = {program.miss(settings.price_repeat): -1.0}
            for day in rooms:
                terms |= any_on(program, "repeats", kind, keys, day)
            high, about = settings.repeat_sessions, ":".join(kind)
            program.row("repeats", terms, high=high, unit="sessions", about=about)


def repeats_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each kind of movement that stands in more than two sessions."""
    lines = {(repeated(problem.by_key[key]), day) for key, day in plan}
    for kind, sessions in sorted(Counter(kind for kind, _ in lines).items()):
        by = sessions - problem.settings.repeat_sessions
        yield from miss(":".join(("repeats", *kind)), by, "sessions", problem.settings.price_repeat)


def repeated(candidate: Candidate) -> tuple[str, str]:
    """What should not stand in many sessions: family and implement, of a main lift whatever is held."""
    return (candidate.family, "lift") if candidate.main_lift else kind_of(candidate)


def grouped(
    candidates: Sequence[Candidate], group: Callable[[Candidate], Group]
) -> list[tuple[Group, list[str]]]:
    """Candidates by a group, each in library order."""
    groups: dict[Group, list[str]] = {}
    for one in candidates:
        groups.setdefault(group(one), []).append(one.key)
    return list(groups.items())


def any_on(program: Program, rule: str, about: tuple[str, ...], keys: Sequence[str], day: str) -> Terms:
    """Give in[m,d] ≥ y[e,d] for e of m: 1 where a session has any of the exercises; nothing where it cannot."""
    singles = [terms for key in keys if (terms := program.chosen(key, day))]
    if len(singles) < 2:
        return singles[0] if singles else {}
    there = program.variable(0, 1)
    for terms in singles:
        program.row(rule, terms | {there: -1.0}, high=0, unit="exercises", about=":".join(about), day=day)
    return {there: 1.0}


REPEATS = (
    Goal("twins", twin_rows, twins_missed),
    Goal("kindred", kindred_rows, kindred_missed),
    Goal("next_day", next_day_rows, next_day_missed),
    Goal("rested", rested_rows, rested_missed),
    Goal("repeats", repeat_rows, repeats_missed),
)
