"""What `planner instead` says: every replacement of one exercise of the week in force, with its price."""

from collections.abc import Iterator

from library.errors import Fault, FaultyInput, nearest
from library.read import Library
from planner.change.swap import Standing
from planner.change.told import key_of
from planner.document import Piece, plan_of
from planner.files.text import as_written, listed
from planner.model.build import build_problem, careful_regions
from planner.model.problem import SessionKind
from planner.plain import WORTH, columns, counted, day_name, joined, signed
from planner.week.instead import Instead
from planner.week.keeping import still_possible

NONE = "nothing else gives the same with other equipment, no joint worse and no limit broken"

CAPTION = (
    "Changes of the week, nothing where there is none: sets of each head, minutes, sets missed of the targets, "
    f"and the cost of all else in {WORTH}."
)


class Choice(Piece):
    """One replacement: `differs` direct sets a head, `said` those above a tenth of what the exercise gave.

    `missed_sets` and `priced_minutes` are what the two aims of the week lose by it; below 0 they gain.
    """

    exercise: str
    name: str
    needs: tuple[str, ...]
    sets: int
    reps: tuple[int, int]
    differs: dict[str, float]
    said: dict[str, float]
    minutes: float
    eased: tuple[str, ...]
    loaded: tuple[str, ...]
    missed_sets: float
    priced_minutes: float


class SessionChoices(Piece):
    """The replacements in one session still to come, best first."""

    id: str
    gym: str
    sets: int
    choices: tuple[Choice, ...]


class InsteadList(Piece):
    """What `planner instead --json` prints."""

    week: str
    exercise: str
    name: str
    heads: tuple[str, ...]
    sessions: tuple[SessionChoices, ...]


def instead_list(standing: Standing, word: str) -> InsteadList:
    """List the replacements of an exercise (its key or name). Raises FaultyInput if it is not planned any more."""
    inputs, library = standing.asked.inputs, standing.asked.library
    key, problem = planned_key(standing, word), build_problem(inputs)
    plan = still_possible(problem, plan_of(standing.in_force))
    instead = Instead(problem, plan, careful_regions(inputs))
    sessions = []
    for of in (of for of in problem.sessions if (key, of.id) in plan and not of.frozen):
        offers = tuple(choices(library, instead, key, of))
        sessions.append(SessionChoices(id=of.id, gym=of.gym, sets=plan[key, of.id], choices=offers))
    if not sessions:
        remedy = "Its sessions are over, or it can no longer be trained in them: see `planner swap`"
        raise FaultyInput([Fault("EXERCISE", "", as_written(word), remedy)])
    heads, name = tuple(goal.head for goal in problem.heads), library.exercises[key].name
    return InsteadList(
        week=standing.in_force.week, exercise=key, name=name, heads=heads, sessions=tuple(sessions)
    )


def planned_key(standing: Standing, word: str) -> str:
    """Find an exercise of the week in force by key or printed name."""
    library = standing.asked.inputs.library
    planned = list(dict.fromkeys(key for key, _ in plan_of(standing.in_force)))
    key = key_of(word, library.exercises)
    if key in planned:
        return str(key)
    if key is None:
        remedy = f"No exercise has this name{nearest(word, [*planned, *library.exercises]) or '.'}"
    else:
        remedy = f"It is not in the week in force ({standing.in_force.week})."
    raise FaultyInput([Fault("EXERCISE", "", as_written(word), f"{remedy} Planned: {listed(planned)}")])


def choices(library: Library, instead: Instead, key: str, session: SessionKind) -> Iterator[Choice]:
    """Put every exchange into words and numbers."""
    for exchange in instead.of(key, session, twins=True):
        exercise = library.exercises[exchange.key]
        missed, priced = instead.price(key, session, exchange)
        differs = {
            goal.head: round(exchange.differs.get(goal.head, 0.0), 3) for goal in instead.problem.heads
        }
        yield Choice(
            exercise=exchange.key,
            name=exercise.name,
            needs=exercise.needs,
            sets=exchange.sets,
            reps=exercise.reps,
            differs=differs,
            said=dict(exchange.said),
            minutes=round(exchange.seconds / 60, 1),
            eased=exchange.eased,
            loaded=exchange.loaded,
            missed_sets=round(missed, 3),
            priced_minutes=round(priced, 1),
        )


def instead_text(found: InsteadList, library: Library) -> str:
    """Write the list for the terminal; a star marks a head whose dose moves by more than a tenth."""
    parts = [f"{found.name}, week {found.week}"]
    for session in found.sessions:
        title = f"{day_name(session.id)}, {session.gym}: {counted(session.sets, 'set')}"
        heading = ("instead", "sets x reps", *found.heads, "minutes", "missed sets", WORTH, "joints")
        rows = [row(choice, found.heads, library) for choice in session.choices]
        parts.append("\n".join([title, *columns([heading, *rows])]) if rows else f"{title}; {NONE}.")
    if any(session.choices for session in found.sessions):
        parts.append(CAPTION)
    if any(choice.said for session in found.sessions for choice in session.choices):
        parts.append("* more than a tenth of what the exercise gives this head")
    return "\n\n".join(parts)


def row(choice: Choice, heads: tuple[str, ...], library: Library) -> tuple[str, ...]:
    """Write one replacement: changes with their sign, nothing where nothing changes."""
    low, high = choice.reps
    reps = f"{low}-{high}" if low != high else f"{low}"
    doses = [signed(choice.differs[head]) + ("*" if head in choice.said else "") for head in heads]
    costs = map(signed, (choice.minutes, choice.missed_sets, choice.priced_minutes))
    joints = [
        f"{how} on {joined([library.regions[region].name for region in regions])}"
        for how, regions in (("easier", choice.eased), ("a little", choice.loaded))
        if regions
    ]
    return (choice.name, f"{choice.sets} x {reps}", *doses, *costs, "; ".join(joints))
