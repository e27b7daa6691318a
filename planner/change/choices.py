"""What else would do: other weeks for nearly the same (`planner week --choices`), other exercises (`planner
instead`). No proof is claimed for how far near-equal weeks differ: the search stops after a small budget of nodes."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from library.errors import as_written, listed, nearest, refuse
from library.read import Library
from planner import plain
from planner.change.swap import Standing
from planner.change.told import key_of
from planner.document import Piece, Plan, WeekDocument, exercise_names, plan_of
from planner.model.aims import build, rest_value
from planner.model.build import build_problem, careful_regions
from planner.model.problem import Problem, SessionKind, exercises_in
from planner.model.program import Terms, add
from planner.plain import UNSAID, UNSHOWN, WORTH, columns, joined, signed
from planner.solve.search import Stops, hold, over_blocks, plan_in
from planner.solve.solve import Solved
from planner.week import gather, keeping
from planner.week.instead import Instead
from planner.week.plan import document_of, solve_asked

LETTERS = "ABCDEFGHI"  # names of the weeks, in order: A is the first
DIFFERENT = 0.5  # gap in exercises: a whole one less is found, its place in the library is not fought for


def near_equal_weeks(problem: Problem, first: Solved, count: int) -> list[Plan]:
    """Find up to `count` - 1 further plans, each as far as can be from all before it; fewer if there are no more.
    Dose price ≤ best + 0.5 a head, and rest, less what no week can avoid, ≤ 1.3 times that of the first week; of its
    exercises and usual ones: a week of odd movements is nobody's choice. Minimized are the exercises shared with the
    plans found so far, each counted as often as it stands in one."""
    program, settings, found = build(problem), problem.settings, [first.plan]
    dose = first.dose_best + settings.choices_dose_sets * len(problem.heads)
    rest = rest_value(problem, first.plan)
    rest += settings.choices_rest_share * max(0.0, rest - settings.price_missed_set * first.dose_best)
    stops = Stops(DIFFERENT, settings.choices_nodes, settings.emergency_seconds, quick=True)
    keys = exercises_in(first.plan) | {e.key for e in problem.candidates if e.choice <= settings.usual_choice}
    usual = {at for (key, _), of in program.blocks.items() if key in keys for at in of.values()}
    while len(found) < count:
        model = over_blocks(program, usual)
        model.add_row(hold(program.dose_price, dose, "near"))
        model.add_row(hold(program.rest_price, rest, "near"))
        shared: Terms = {at: settings.choices_tie * price for at, price in program.rest_price.items()}
        for key, times in Counter(key for plan in found for key in exercises_in(plan)).items():
            add(shared, {program.used[key]: float(times)})
        answer, point = model.minimize(shared, stops)
        plan = plan_in(program, point)
        if answer.values is None or exercises_in(plan) in map(exercises_in, found):
            break
        found.append(plan)
    return found[1:]


class Choice(Piece):
    """A near-equal week and what it trades against the first: above 0 is more. `heads` direct sets, `minutes` of the
    week, `priced_minutes` of the second aim, `joints` grade-sets a region; `misses` and `reaches` name goals that
    only one of the two misses."""

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


def near_equal(asked: gather.Asked, count: int) -> Choices:
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
    before, after = (
        {row.limit[7:]: row.used for row in of.limits if row.limit.startswith("joints:")}
        for of in (first, other)
    )
    told = ([one for one in of.missed if not one.goal.startswith(UNSAID)] for of in (first, other))
    missed, misses = ({one.goal for one in of if one.by >= UNSHOWN} for of in told)
    minutes = [sum(session.minutes.used for session in of.sessions) for of in (first, other)]
    doses = zip(first.dose, other.dose, strict=True)
    return Choice(
        name=name, left=tuple(key for key in was if key not in now),
        joined=tuple(key for key in now if key not in was),
        heads={dose.head: round(dose.planned - old.planned, 3) for old, dose in doses},
        minutes=round(minutes[1] - minutes[0], 1),
        priced_minutes=round(other.proof[1].value - first.proof[1].value, 1),
        joints={of: round(used - before[of], 1) for of, used in after.items() if used != before[of]},
        misses=tuple(sorted(misses - missed)), reaches=tuple(sorted(missed - misses)), week=other,
    )  # fmt: skip


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
    return "\n".join([*lines, "", "No proof is claimed that these differ as much as they could."])


def exchanged(found: Choices, choice: Choice, library: Library) -> Iterator[str]:
    """Say which exercises one week exchanges, and for what."""
    was, now = exercise_names(found.week), exercise_names(choice.week)
    new, gone = joined([now[key] for key in choice.joined]), joined([was[key] for key in choice.left])
    parts = [new, f"{'in place of' if new else 'without'} {gone}" if gone else ""]
    yield f"{choice.name}: {' '.join(filter(None, parts)) or 'the same exercises, other sets or days'}"
    changed = {of: signed(change) for of, change in choice.joints.items() if signed(change)}
    if changed:
        said = (f"{library.regions[region].name} {change}" for region, change in changed.items())
        yield f"   joint stress in grade-sets: {'; '.join(said)}"
    both = ("worse", choice.week, choice.misses), ("not so here", found.week, choice.reaches)
    for word, week, goals in both:
        if missed := [goal for goal in week.missed if goal.goal in goals]:
            said = (
                plain.rule_said(library, "goal", goal.goal, by=plain.number(goal.by))[0] for goal in missed
            )
            yield f"   {word}: {'; '.join(said)}"


def require_choices(take: str | None, count: int) -> None:
    """Raise FaultyInput if a week is to be taken while only one is looked for."""
    if take and count < 2:
        remedy = f"It names one of several weeks: say how many to look for, such as --choices 3 --take {take}"
        raise refuse("--take", "", f"{as_written(take)} without --choices", remedy)


def taken(found: Choices, name: str) -> WeekDocument:
    """Give the week of one name. Raises FaultyInput if there is none."""
    weeks = {found.name: found.week, **{choice.name: choice.week for choice in found.choices}}
    if name.upper() not in weeks:
        remedy = f"The weeks found are {joined(list(weeks))}; --choices says how many are looked for"
        raise refuse("--take", "", as_written(name), remedy)
    return weeks[name.upper()]


# --- instead of one exercise

NONE = "nothing else gives the same, no joint worse and no limit broken"

CAPTION = (
    "Changes of the week, nothing where there is none: sets of each head, minutes, sets missed of the targets, "
    f"and the cost of all else in {WORTH}."
)


class Offer(Piece):
    """One replacement: `differs` direct sets a head, `said` those above a tenth of what the exercise gave.
    `missed_sets` and `priced_minutes` are what the two aims of the week lose by it; below 0 they gain. `load` is the next
    one in that gym, in words; "to find" where it was not done there."""

    exercise: str
    name: str
    needs: tuple[str, ...]
    sets: int
    reps: tuple[int, int]
    load: str
    differs: dict[str, float]
    said: dict[str, float]
    minutes: float
    eased: tuple[str, ...]
    loaded: tuple[str, ...]
    missed_sets: float
    priced_minutes: float


class SessionOffers(Piece):
    """The replacements in one session still to come, best first."""

    id: str
    gym: str
    sets: int
    choices: tuple[Offer, ...]


class InsteadList(Piece):
    """What `planner instead --json` prints."""

    week: str
    exercise: str
    name: str
    heads: tuple[str, ...]
    sessions: tuple[SessionOffers, ...]


def instead_list(standing: Standing, word: str) -> InsteadList:
    """List the replacements of an exercise (its key or name). Raises FaultyInput if it is not planned any more."""
    inputs, library = standing.asked.inputs, standing.asked.library
    key, problem = planned_key(standing, word), build_problem(inputs)
    plan = keeping.still_possible(problem, plan_of(standing.in_force))
    instead = Instead(problem, plan, careful_regions(inputs))
    sessions = []
    for of in (of for of in problem.sessions if (key, of.id) in plan and not of.frozen):
        offers = tuple(offers_of(standing, instead, key, of))
        sessions.append(SessionOffers(id=of.id, gym=of.gym, sets=plan[key, of.id], choices=offers))
    if not sessions:
        remedy = "Its sessions are over, or it can no longer be trained in them: see `planner swap`"
        raise refuse("EXERCISE", "", as_written(word), remedy)
    heads, name = tuple(goal.head for goal in problem.heads), library.exercises[key].name
    week = standing.in_force.week
    return InsteadList(week=week, exercise=key, name=name, heads=heads, sessions=tuple(sessions))


def planned_key(standing: Standing, word: str) -> str:
    """Find an exercise of the week in force by key or printed name."""
    library = standing.asked.inputs.library
    planned = list(dict.fromkeys(key for key, _ in plan_of(standing.in_force)))
    key = key_of(word, library.exercises)
    if key in planned:
        return str(key)
    remedy = f"It is not in the week in force ({standing.in_force.week})."
    names = f"Planned: {listed(planned)}" if planned else "Nothing is planned in it"
    if key is None:
        remedy = f"No exercise has this name{nearest(word, [*planned, *library.exercises]) or '.'}"
    raise refuse("EXERCISE", "", as_written(word), f"{remedy} {names}")


def offers_of(standing: Standing, instead: Instead, key: str, session: SessionKind) -> Iterator[Offer]:
    """Put every exchange into words and numbers."""
    loads, library = standing.asked.carried.loads, standing.asked.library.exercises
    for exchange in instead.of(key, session, taken=False):
        exercise, known = library[exchange.key], loads.get((exchange.key, session.gym))
        find = "" if exercise.load_is in plain.AGAIN else "to find"
        missed, priced = instead.price(key, session, exchange)
        moved = exchange.differs
        differs = {of.head: round(moved.get(of.head, 0.0), 3) for of in instead.problem.heads}
        yield Offer(
            exercise=exchange.key, name=exercise.name, needs=exercise.needs, sets=exchange.sets,
            reps=known.reps if known else exercise.reps, differs=differs,
            load=f"{known.load:g} {known.unit}" if known and known.load else find, said=dict(exchange.said),
            minutes=round(exchange.seconds / 60, 1), eased=exchange.eased, loaded=exchange.loaded,
            missed_sets=round(missed, 3), priced_minutes=round(priced, 1),
        )  # fmt: skip


def instead_text(found: InsteadList, library: Library) -> str:
    """Write the list for the terminal; a star marks a head whose dose moves by more than a tenth."""
    parts = [f"{found.name}, week {found.week}"]
    for session in found.sessions:
        title = f"{plain.day_name(session.id)}, {session.gym}: {plain.counted(session.sets, 'set')}"
        heading = ("instead", "sets x reps", "load", *found.heads, "minutes", "missed sets", WORTH, "joints")
        rows = [row(choice, found.heads, library) for choice in session.choices]
        parts.append("\n".join([title, *columns([heading, *rows])]) if rows else f"{title}; {NONE}.")
    offers = [choice for session in found.sessions for choice in session.choices]
    for day in [session for session in found.sessions if session.choices][:1]:
        one = next((of for of in day.choices if of.load[:1].isdigit()), day.choices[0])  # its load is known
        take = f"planner swap ATHLETE --sets {found.exercise}={day.id}:0 --sets {one.exercise}={day.id}:{one.sets}"
        parts += [CAPTION, f"To take one, this week alone: {take} (another: its name there, in quotes)"]
    parts += ["* more than a tenth of what the exercise gives this head"] * any(one.said for one in offers)
    return "\n\n".join(parts)


def row(choice: Offer, heads: tuple[str, ...], library: Library) -> tuple[str, ...]:
    """Write one replacement: changes with their sign, nothing where nothing changes."""
    reps = "-".join(map(str, dict.fromkeys(choice.reps)))
    doses = [signed(choice.differs[head]) + ("*" if head in choice.said else "") for head in heads]
    costs = map(signed, (choice.minutes, choice.missed_sets, choice.priced_minutes))
    felt = (("easier", choice.eased), ("a little", choice.loaded))
    names = ((how, joined([library.regions[region].name for region in of])) for how, of in felt if of)
    joints = "; ".join(f"{how} on {name}" for how, name in names)
    return (choice.name, f"{choice.sets} x {reps}", choice.load, *doses, *costs, joints)
