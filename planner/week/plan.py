"""Planning one week from what is asked: pins refused or kept, solved, judged, composed."""

from collections.abc import Iterator, Mapping

from library.errors import NoWeekPossible
from planner.document import Plan, WeekDocument, plan_of
from planner.model.admission import Admission, lacks, room_of
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.limits import grade_sets, loud_sets, seconds_used
from planner.model.problem import Problem, SessionKind, dose_of, sets_a_week
from planner.plain import ROUNDING, counted
from planner.solve.solve import Solved, solve_week
from planner.week.compose import Week, compose
from planner.week.gather import Asked
from planner.week.interval import Sureness, how_sure
from planner.week.keeping import solve_back, solve_held
from planner.week.notes import notes

NOTHING_LEFT = "Nothing is left to train this week: what is done elsewhere covers every target."
PINS = "brief.toml: preferences.pin"


def plan_week(asked: Asked) -> WeekDocument:
    """Plan the week that is asked for.

    Raises NoWeekPossible if what must hold cannot hold together, SolverFault if the solver fails.
    """
    return document_of(asked, *solve_asked(asked.inputs))


def solve_asked(inputs: Inputs) -> tuple[Problem, Solved]:
    """Solve a week, inside a block with what stays held; the problem is the one that the plan is judged by.

    Raises NoWeekPossible, SolverFault.
    """
    problem = build_problem(inputs)
    refused = refused_pins(inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    if inputs.hard is not None and plan_of(inputs.hard):
        held = solve_held(inputs, problem)
    else:
        solved = solve_back(inputs, problem) or solve_week(problem)
        held = (problem, solved) if solved else None
    if held is None:
        from planner.week.clash import no_week

        raise no_week(inputs)
    return held


def sureness(asked: Asked, problem: Problem, plan: Plan) -> dict[str, Sureness]:
    """Judge how sure the dose of a plan is, head by head."""
    return how_sure(asked.inputs, problem, sets_a_week(plan))


def document_of(
    asked: Asked, problem: Problem, solved: Solved, sure: Mapping[str, Sureness] | None = None
) -> WeekDocument:
    """Compose the document of a solved week, with how sure it is and what the first page must say."""
    nothing = () if problem.anything_needed else (NOTHING_LEFT,)
    pain = asked.carried.pain
    week = Week(
        asked.week,
        asked.start.isoformat(),
        pain=(*pain.sheet_lines, *asked.carried.asks),
        warnings=(*nothing, *asked.warnings),
        exercise_warnings=tuple(line for line in pain.lines if line.exercise),
        notes=(*asked.carried.lines, *notes(asked.inputs, problem, solved.plan, asked.before)),
        loads=asked.carried.loads,
        changes=asked.changes,
        ahead=asked.ahead,
    )
    return compose(asked.inputs, problem, solved, sure or sureness(asked, problem, solved.plan), week)


def refused_pins(inputs: Inputs, problem: Problem) -> list[str]:
    """Say of each pin that breaks a hard limit which one; if none does alone, of pins that do together."""
    admission = Admission(inputs)
    refused = [
        f"{PINS}.{key}: {counted(pin.sets, 'set')} on {pin.day}: {reason}"
        for key, pin in inputs.brief.preferences.pins
        if pin.day not in inputs.states and (reason := pin_reason(admission, key, pin.day, pin.sets))
    ]
    return refused or list(overrun(problem))


def pin_reason(admission: Admission, key: str, day: str, sets: int) -> str:
    """Say why one pin cannot stand; an empty text if it can."""
    inputs = admission.inputs
    fewest, most = inputs.week.smallest_block_sets, inputs.week.largest_block_sets
    if not fewest <= sets <= most:
        return (
            f"an exercise has {fewest} to {most} sets in a session. Pin so many, share them between two days, or "
            "set largest_block_sets or smallest_block_sets in [method]"
        )
    exercise = inputs.library.exercises[key]
    reason = admission.reason(exercise)
    if reason:
        return f"{reason}. Unpin it, or change the limit that it breaks"
    gym = next(session.gym for session in inputs.brief.session if session.day == day)
    missing = lacks(exercise, room_of(inputs, gym))
    if missing:
        return f"gym {gym} lacks {', '.join(missing)}. Pin it on a day in another gym, or add it to gym.toml"
    return ""


def overrun(problem: Problem) -> Iterator[str]:
    """Say of pins that break a limit together which one, and by how much: of their session, then of the week."""
    for session in problem.sessions:
        if not session.frozen:
            yield from session_overrun(problem, session)
    yield from week_overrun(problem)


def session_overrun(problem: Problem, session: SessionKind) -> Iterator[str]:
    """Say where the pins of one session need more time, more exercises or more dose than it may hold."""
    pinned = {pair: sets for pair, sets in problem.pins.items() if pair[1] == session.id}
    names, settings = ", ".join(key for key, _ in pinned), problem.settings
    seconds = seconds_used(problem, pinned, session.id)
    if seconds > session.seconds:
        yield (
            f"{PINS}: {names} on {session.id} take {seconds / 60:.1f} min of the "
            f"{session.seconds / 60:.0f} min after the warm-up. Pin fewer sets or give the session more minutes"
        )
    most = settings.exercises_per_session
    if len(pinned) > most:
        yield f"{PINS}: {len(pinned)} exercises on {session.id} ({names}), at most {most} fit on a sheet. Pin fewer"
    for goal in problem.heads:
        dose, cap = dose_of(problem, pinned, goal.head), settings.session_hard_cap_sets
        if dose > cap + ROUNDING:
            yield (
                f"{PINS}: {names} on {session.id} give {goal.head} {dose:.1f} sets, never more than {cap:g} in a "
                "session. Pin fewer sets, or on more days"
            )


def week_overrun(problem: Problem) -> Iterator[str]:
    """Say where the pins of the week are too many exercises, too much for a joint, or too loud for the trapezius."""
    different = dict.fromkeys(key for key, _ in problem.pins)
    most = max(problem.settings.exercises_per_week, len({key for key, _ in problem.trained}))
    if len(different) > most:
        yield f"{PINS}: {len(different)} different exercises ({', '.join(different)}), at most {most} a week. Pin fewer"
    for budget in problem.joints:
        used = grade_sets(problem, problem.pins, budget.region)
        done = grade_sets(problem, problem.trained, budget.region)
        if used > max(budget.room, done) + ROUNDING:
            loading = [key for key in different if problem.by_key[key].grades.get(budget.region, 0)]
            yield (
                f"{PINS}: {', '.join(loading)} put {used:g} grade-sets on {budget.region}, "
                f"{budget.room:g} are left of {budget.allowed:g} a week. Pin fewer sets, or raise "
                "that budget in [method]"
            )
    if (
        problem.quiet_trapezius
        and quietest(problem) > max(0.0, loud_sets(problem, problem.trained)) + ROUNDING
    ):
        level = sum(problem.by_key[key].trapezius * sets for (key, _), sets in problem.pins.items())
        yield (
            f"{PINS}: {', '.join(different)} have a mean trapezius level of {level / sum(problem.pins.values()):.2f}, "
            f"at most {problem.settings.trapezius_level:g} is allowed, and nothing beside them brings it down. "
            "Pin other exercises, or take preferences.trapezius back"
        )


def quietest(problem: Problem) -> float:
    """Trapezius level above the one allowed, times sets, of the pins with the quietest exercises beside them.

    Never more than that of any week with these pins: time and the other limits are left out.
    """
    level = loud_sets(problem, problem.pins)
    for session in problem.sessions:
        free = problem.settings.exercises_per_session - sum(day == session.id for _, day in problem.pins)
        offers = sorted(
            min(
                (one.trapezius - problem.settings.trapezius_level) * sets
                for sets in problem.choices(one.key, session)
            )
            for one in problem.candidates
            if (one.key, session.id) not in problem.pins and problem.choices(one.key, session)
        )
        level += sum(min(0.0, offer) for offer in offers[: max(0, free)])
    return level
