"""Goals of variety: implements, families, last week's exercises, new ones, preferred ones. Each missed for a price."""

from collections.abc import Iterator

from planner.document import Plan
from planner.model.problem import Candidate, Problem, exercises_in
from planner.model.program import INFINITE, Goal, Miss, Program, Terms, miss


def in_use(program: Program, keys: Iterator[str]) -> int:
    """Add a column that is 1 at most where one of these exercises is used: in_use ≤ Σ z[e]."""
    column = program.variable(0, 1)
    terms: Terms = {program.used[key]: 1.0 for key in keys if key in program.used}
    program.row("in_use", {**terms, column: -1.0}, low=0, unit="exercises")
    return column


def implement_rows(program: Program) -> None:
    """in_use[i] ≤ Σ z[e] over own movements with implement i, and Σ in_use[i] + miss ≥ min(wanted, available)."""
    problem, wanted = program.problem, implements_wanted(program.problem)
    if wanted:
        most = 0.0 if problem.variety_must else INFINITE
        counted: Terms = {program.miss(problem.settings.price_implement, most=most): 1.0}
        for name in implements_there(problem):
            keys = (one.key for one in problem.candidates if one.implement == name and one.trains)
            counted[in_use(program, keys)] = 1.0
        program.row("implements", counted, low=wanted, unit="implements")


def implements_there(problem: Problem) -> list[str]:
    """Implements that some own movement of the rooms uses, in alphabetical order; the bare body is none."""
    own = (one for one in problem.candidates if one.key in problem.rooms and one.trains)
    return sorted({one.implement for one in own if one.station})


def implements_wanted(problem: Problem) -> int:
    """Implements wanted, as far as the rooms have them; none if nothing is to be trained."""
    return min(problem.implements_wanted, len(implements_there(problem))) if problem.anything_needed else 0


def implements_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Say how many implements are too few."""
    there = {one.implement for one in (problem.by_key[key] for key, _ in plan) if one.station and one.trains}
    by = implements_wanted(problem) - len(there)
    yield from miss("implements", by, "implements", problem.settings.price_implement)


def family_rows(program: Program) -> None:
    """Σ z[e] over exercises of family f + miss ≥ 1, exercises a week, for every asked family the rooms have."""
    problem = program.problem
    for family in families_wanted(problem):
        column = program.miss(problem.settings.price_family, most=0.0 if problem.variety_must else 1.0)
        terms: Terms = {column: 1.0}
        for one in problem.candidates:
            if is_of(one, family) and one.key in program.used:
                terms[program.used[one.key]] = 1.0
        program.row("family", terms, low=1, unit="exercises", about=family)


def families_wanted(problem: Problem) -> list[str]:
    """Asked families of which some exercise can be done in some room, all where they must; none if nothing is to be trained."""
    if problem.variety_must and problem.anything_needed:
        return list(problem.families_wanted)
    there = [one for one in problem.candidates if one.key in problem.rooms] if problem.anything_needed else []
    return [family for family in problem.families_wanted if any(is_of(one, family) for one in there)]


def is_of(candidate: Candidate, family: str) -> bool:
    """Whether an exercise is of an asked family; `raise` asks for any family of raises."""
    return candidate.family == family or candidate.family.endswith(f"_{family}")


def family_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each asked family that is not trained."""
    planned = [problem.by_key[key] for key in exercises_in(plan)]
    for family in families_wanted(problem):
        by = float(not any(is_of(one, family) for one in planned))
        yield from miss(f"family:{family}", by, "exercises", problem.settings.price_family)


def rotation_rows(program: Program) -> None:
    """Σ z[e] over last week's exercises + miss ≥ keep, exercises; keep counts only what can still be planned."""
    problem, wanted = program.problem, kept_wanted(program.problem)
    if wanted:
        terms = {program.used[key]: 1.0 for key in sorted(problem.last_week) if key in program.used}
        terms[program.miss(problem.settings.price_rotation)] = 1.0
        program.row("rotation", terms, low=wanted, unit="exercises")


def kept_wanted(problem: Problem) -> int:
    """Exercises to keep: as many as asked, at most those of last week that some session can still hold."""
    return min(problem.keep, len(problem.last_week & problem.rooms)) if problem.anything_needed else 0


def rotation_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Say how many of last week's exercises were dropped that should have stayed."""
    by = kept_wanted(problem) - len(exercises_in(plan) & problem.last_week)
    yield from miss("rotation", by, "exercises", problem.settings.price_rotation)


def new_rows(program: Program) -> None:
    """Σ z[e] over own movements of h that were not done last week − miss ≤ 1, exercises a week.

    Does not apply in an athlete's first week.
    """
    problem = program.problem
    for goal in problem.heads if problem.last_week else ():
        terms = {at: 1.0 for key, at in program.used.items() if is_new(problem, key, goal.head)}
        if terms:
            terms[program.miss(problem.settings.price_new_exercise)] = -1.0
            most = problem.settings.new_exercises_per_head
            program.row("new", terms, high=most, unit="exercises", about=goal.head)


def is_new(problem: Problem, key: str, head: str) -> bool:
    """Whether an exercise is chosen for a head and was not done last week."""
    return key not in problem.last_week and problem.by_key[key].trains == head


def new_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head with too many new exercises."""
    for goal in problem.heads if problem.last_week else ():
        new = sum(is_new(problem, key, goal.head) for key in exercises_in(plan))
        by = new - problem.settings.new_exercises_per_head
        yield from miss(f"new:{goal.head}", by, "exercises", problem.settings.price_new_exercise)


def prefer_rows(program: Program) -> None:
    """z[e] + miss ≥ 1, exercises a week, for every preferred exercise that some session can hold."""
    for key in preferred(program.problem):
        column = program.miss(program.problem.settings.price_prefer, most=1)
        terms = {program.used[key]: 1.0, column: 1.0}
        program.row("prefer", terms, low=1, unit="exercises", about=key)


def preferred(problem: Problem) -> list[str]:
    """Preferred exercises that some session can hold; none if nothing is to be trained."""
    return [key for key in problem.preferred if key in problem.rooms] if problem.anything_needed else []


def prefer_missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each preferred exercise that is not used."""
    planned = exercises_in(plan)
    for key in preferred(problem):
        by = float(key not in planned)
        yield from miss(f"prefer:{key}", by, "exercises", problem.settings.price_prefer)


VARIETY = (
    Goal("implements", implement_rows, implements_missed),
    Goal("family", family_rows, family_missed),
    Goal("rotation", rotation_rows, rotation_missed),
    Goal("new", new_rows, new_missed),
    Goal("prefer", prefer_rows, prefer_missed),
)
