"""Near-equal weeks: other exercises for nearly the same dose and effort, with what each trades (`planner week --choices`).

No proof is claimed for the difference: the search stops after a small budget of nodes.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from library.errors import Fault, FaultyInput
from library.read import Library
from planner.document import Piece, Plan, WeekDocument, exercise_names
from planner.files.text import as_written
from planner.model.aims import build, rest_value
from planner.model.problem import Problem, exercises_in
from planner.model.program import Program, Row, Terms, add
from planner.plain import UNSHOWN, WORTH, columns, joined, name_of, signed
from planner.solve.search import Stops, hold, over_blocks, plan_in
from planner.solve.solve import Solved
from planner.week.gather import Asked
from planner.week.plan import document_of, solve_asked

LETTERS = "ABCDEFGHI"  # names of the weeks, in order: A is the first
DIFFERENT = 0.5  # gap in exercises: a whole one less is found, its place in the library is not fought for


def near_equal_weeks(problem: Problem, first: Solved, count: int) -> list[Plan]:
    """Find up to `count` - 1 further plans, each as far as can be from all before it; fewer if there are no more."""
    program, found = build(problem), [first.plan]
    rows = near_rows(program, first)
    while len(found) < count:
        plan = farthest(program, rows, found)
        if plan is None or any(exercises_in(plan) == exercises_in(other) for other in found):
            break
        found.append(plan)
    return found[1:]


def near_rows(program: Program, first: Solved) -> list[Row]:
    """Dose price ≤ best + 0.5 a head, and rest, less what no week can avoid, ≤ 1.1 times that of the first week."""
    problem, settings = program.problem, program.problem.settings
    dose = first.dose_best + settings.choices_dose_sets * len(problem.heads)
    unavoidable = settings.price_missed_set * first.dose_best
    rest = rest_value(problem, first.plan)
    rest += settings.choices_rest_share * max(0.0, rest - unavoidable)
    return [hold(program.dose_price, dose, "near"), hold(program.rest_price, rest, "near")]


def farthest(program: Program, rows: Sequence[Row], found: Sequence[Plan]) -> Plan | None:
    """Minimize the exercises shared with the plans found so far, each counted as often as it stands in one."""
    settings, model = program.problem.settings, over_blocks(program)
    for row in rows:
        model.add_row(row)
    shared: Terms = {
        at: settings.choices_tie * price for at, price in program.rest_price.items()
    }  # breaks ties
    for key, times in Counter(key for plan in found for key in exercises_in(plan)).items():
        add(shared, {program.used[key]: float(times)})
    stops = Stops(DIFFERENT, settings.choices_nodes, settings.emergency_seconds, quick=True)
    answer, point = model.minimize(shared, stops)
    return plan_in(program, point) if answer.values is not None else None


NO_PROOF = "No proof is claimed that these differ as much as they could."


class Choice(Piece):
    """A near-equal week and what it trades against the first: above 0 is more.

    `heads` direct sets, `minutes` of the week, `priced_minutes` of the second aim, `joints` grade-sets a region;
    `misses` and `reaches` name goals that only one of the two misses.
    """

    name: str
    left: tuple[str, ...]
    joined: tuple[str, ...]
    heads: dict[str, float]
    minutes: float
    priced_minutes: float
    joints: dict[str, float]
    misses: tuple[str, ...]
    reaches: tuple[str, ...]
    week: WeekDocument


class Choices(Piece):
    """What `planner week --choices N --json` prints: the first week, in force once written, and its near-equals."""

    name: str
    week: WeekDocument
    choices: tuple[Choice, ...]


def near_equal(asked: Asked, count: int) -> Choices:
    """Plan a week and look for its near-equals. Raises NoWeekPossible, SolverFault."""
    problem, solved = solve_asked(asked.inputs)
    first = document_of(asked, problem, solved)
    plans = near_equal_weeks(problem, solved, count)
    others = (document_of(asked, problem, replace(solved, plan=plan)) for plan in plans)
    found = (compared(letter, first, other) for letter, other in zip(LETTERS[1:], others, strict=False))
    return Choices(name=LETTERS[0], week=first, choices=tuple(found))


def compared(name: str, first: WeekDocument, other: WeekDocument) -> Choice:
    """Say what another week trades against the first."""
    was, now = exercise_names(first), exercise_names(other)
    before, after = joint_use(first), joint_use(other)
    missed, misses = ({goal.goal for goal in of.missed if goal.by >= UNSHOWN} for of in (first, other))
    minutes, doses = minutes_of(other) - minutes_of(first), zip(first.dose, other.dose, strict=True)
    return Choice(
        name=name,
        left=tuple(key for key in was if key not in now),
        joined=tuple(key for key in now if key not in was),
        heads={dose.head: round(dose.planned - old.planned, 3) for old, dose in doses},
        minutes=round(minutes, 1),
        priced_minutes=round(other.proof[1].value - first.proof[1].value, 1),
        joints={of: round(used - before[of], 1) for of, used in after.items() if used != before[of]},
        misses=tuple(sorted(misses - missed)),
        reaches=tuple(sorted(missed - misses)),
        week=other,
    )


def joint_use(document: WeekDocument) -> dict[str, float]:
    """Grade-sets a region."""
    rows = (row for row in document.limits if row.limit.startswith("joints:"))
    return {row.limit.removeprefix("joints:"): row.used for row in rows}


def minutes_of(document: WeekDocument) -> float:
    """Minutes of all sessions, warm-ups included."""
    return sum(session.minutes.used for session in document.sessions)


def choices_text(found: Choices, library: Library) -> str:
    """Write the comparison for the terminal."""
    if not found.choices:
        return "The search found no other week that comes near this one in dose and effort; there may be one."
    heads = list(found.choices[0].heads)
    rows = [(f"against {found.name}", *heads, "minutes", WORTH)]
    for choice in found.choices:
        changes = (*(choice.heads[head] for head in heads), choice.minutes, choice.priced_minutes)
        rows.append((choice.name, *map(signed, changes)))
    lines = ["Near-equal weeks, and what each trades:", *columns(rows)]
    for choice in found.choices:
        lines += ["", *exchanged(found, choice, library)]
    return "\n".join([*lines, "", NO_PROOF])


def exchanged(found: Choices, choice: Choice, library: Library) -> Iterator[str]:
    """Say which exercises one week exchanges, and for what."""
    was, now = exercise_names(found.week), exercise_names(choice.week)
    yield f"{choice.name}: {joined([now[key] for key in choice.joined]) or 'nothing new'}"
    yield f"   instead of {joined([was[key] for key in choice.left]) or 'nothing'}"
    changed = {of: signed(change) for of, change in choice.joints.items() if signed(change)}
    if changed:
        said = (f"{library.regions[region].name} {change}" for region, change in changed.items())
        yield f"   joint stress in grade-sets: {'; '.join(said)}"
    for word, goals in (("misses", choice.misses), ("does not miss", choice.reaches)):
        if goals:
            parts = [goal.replace("_", " ", goal.partition(":")[0].count("_")).split(":") for goal in goals]
            said = (" ".join([kind, *(name_of(library, key) for key in about)]) for kind, *about in parts)
            yield f"   {word}: {'; '.join(said)}"


def require_choices(take: str | None, count: int) -> None:
    """Raise FaultyInput if a week is to be taken while only one is looked for."""
    if take and count < 2:
        remedy = f"It names one of several weeks: say how many to look for, such as --choices 3 --take {take}"
        raise FaultyInput([Fault("--take", "", f"{as_written(take)} without --choices", remedy)])


def taken(found: Choices, name: str) -> WeekDocument:
    """Give the week of one name. Raises FaultyInput if there is none."""
    weeks = {found.name: found.week, **{choice.name: choice.week for choice in found.choices}}
    if name.upper() not in weeks:
        remedy = f"The weeks found are {joined(list(weeks))}; --choices says how many are looked for"
        raise FaultyInput([Fault("--take", "", as_written(name), remedy)])
    return weeks[name.upper()]
