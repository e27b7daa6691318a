"""Swap: re-plan the week in force after something has changed, moving as little as possible.

Three ways, tried in this order: an earlier plan of this week that was made under the very same conditions comes back;
the plan in force is kept; a new plan is made with change priced before everything but dose. A plan that was planned whole
stays within the tolerance it was planned with. One that has lost something, or is new, misses no head by more than the
tolerance of one: change is dearer than dose, so that it would use it all.
"""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.athlete.folder import plan_in_force, replaced, require_in_step
from planner.change.swap_report import SwapReport, report, says_more
from planner.change.told import Known, Options, Told, in_options, notes_of, read_options
from planner.document import (
    Caution,
    MadeChange,
    Plan,
    PlannedExercise,
    PlannedSession,
    State,
    WeekDocument,
    plan_of,
    states_of,
)
from planner.errors import NoWeekPossible
from planner.model.aims import dose_room, dose_value
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem, SessionKind
from planner.plain import day_name
from planner.solve.solve import BestDose, best_dose
from planner.week.edits import changed_inputs, joined, made_alike
from planner.week.gather import Asked, gather
from planner.week.keeping import (
    FRESH,
    Keeping,
    as_solved,
    can_stay,
    for_one_head,
    least_change,
    still_possible,
)
from planner.week.plan import document_of, refused_pins


@dataclass(frozen=True)
class Standing:
    """A plan in force and what its athlete's files say: `filed` knows no change of this week."""

    filed: Asked
    in_force: WeekDocument

    @property
    def asked(self) -> Asked:
        """What is asked under the changes that hold already."""
        return self.under(self.in_force.changes, {})

    def under(self, changes: tuple[MadeChange, ...], states: Mapping[str, State]) -> Asked:
        """Give what is asked under these changes, with the sessions that are over, or are told to be."""
        logged: dict[str, State] = dict.fromkeys(self.filed.logged_days(self.in_force), "done")
        inputs = changed_inputs(self.filed.inputs, changes, {**logged, **states}, self.in_force)
        return replace(self.filed, inputs=inputs, changes=changes)


def open_week(folder: Path, today: datetime.date, week: str | None = None) -> Standing:
    """Read the newest week of an athlete's folder, or the one that is named, and the files of today.

    Raises FaultyInput (no plan in force, a file is wrong, plan and library out of step), NotCleared.
    """
    in_force = plan_in_force(folder, week, today)
    filed = gather(folder, in_force.week, today)
    require_in_step(folder, in_force, filed.inputs.library, filed.inputs.brief)
    return Standing(filed, in_force)


Earlier = list[tuple[str, WeekDocument]]


@dataclass(frozen=True)
class Replanned:
    """The week after a swap, the version whose plan came back ("v1"), if one did, and whether it was planned anew."""

    document: WeekDocument
    problem: Problem
    back_to: str = ""
    fresh: bool = False


def replan(asked: Asked, in_force: WeekDocument, earlier: Earlier) -> Replanned:
    """Re-plan the week that `asked` (changes applied) is about; `earlier` are its replaced plans, newest first.

    Raises NoWeekPossible if what must hold cannot hold together.
    """
    problem = build_problem(asked.inputs)
    refused = refused_pins(asked.inputs, problem)
    if refused:
        raise NoWeekPossible(in_options("\n".join(refused), asked.changes))
    keeping, left = Keeping(problem), still_possible(problem, plan_of(in_force))
    best: BestDose | None = BestDose(left, 0.0, 0.0, stopped=False)
    if dose_value(problem, left) or keeping.broken(
        left
    ):  # else no plan has a better dose: nothing is to be solved
        best = best_dose(problem)
    if best is None:
        from planner.week.clash import no_week

        raise no_week(asked.inputs)
    strict = replace(problem, settings=for_one_head(problem))
    for name, plan in plans_to_keep(asked.inputs, left, in_force, earlier):
        is_whole = bool(name) or plan == plan_of(in_force)
        if can_stay(keeping, plan, best, None if is_whole else dose_room(strict)):
            staying = replace(problem, in_force=plan)
            document = document_of(asked, staying, as_solved(staying, plan, best))
            return Replanned(with_loads(document, in_force), staying, name)
    before = plan_of(in_force)
    problem, strict = replace(problem, in_force=before), replace(strict, in_force=before)
    solved = least_change(strict, best)
    document = document_of(asked, problem, solved)
    return Replanned(with_loads(document, in_force), problem, fresh=not solved.among)


def plans_to_keep(
    inputs: Inputs, left: Plan, in_force: WeekDocument, earlier: Earlier
) -> Iterator[tuple[str, Plan]]:
    """Give the plans that may stay: one that was made under these very conditions, then what is left in force."""
    if not made_alike(in_force, inputs):
        for name, old in earlier:
            if made_alike(old, inputs):
                yield name, plan_of(old)
    yield "", left


LOAD_FIELDS = ("load", "load_unit", "load_reason", "load_note", "reps_now", "warmup_loads")


def with_loads(document: WeekDocument, in_force: WeekDocument) -> WeekDocument:
    """Carry loads over from the plan in force: all of a session that is done, else where no new one is known."""
    lines = [(line, session.gym) for session in in_force.sessions for line in session.exercises]
    lines.sort(key=lambda at: at[0].load is not None)  # of one exercise on two days the line that has a load counts
    known = {(line.exercise, gym): line for line, gym in lines}
    return document.model_copy(
        update={"sessions": tuple(_with_loads(session, known) for session in document.sessions)}
    )


def _with_loads(session: PlannedSession, known: Mapping[tuple[str, str], PlannedExercise]) -> PlannedSession:
    lines = []
    for line in session.exercises:
        old = known.get((line.exercise, session.gym))
        if old is not None and (session.state == "done" or line.load is None):
            line = line.model_copy(update={name: getattr(old, name) for name in LOAD_FIELDS})
        lines.append(line)
    return session.model_copy(update={"exercises": tuple(lines)})


FIGURES = ("cautious", "proof", "status")  # the proof of a cautious week is of its shortfall


def with_figures(
    replanned: Replanned, standing: Standing, earlier: Mapping[str, WeekDocument]
) -> WeekDocument:
    """Give the re-planned week with the figures of the cautious week whose plan it is; else as it is.

    Days that are over only take away from what else could be planned, so figures and bounds hold still.
    """
    document = replanned.document
    source = earlier[replanned.back_to] if replanned.back_to else standing.in_force
    if source.cautious is None or plan_of(source) != plan_of(document):
        return document
    if not replanned.back_to and not _unchanged(document, standing):
        return document
    return document.model_copy(update={name: getattr(source, name) for name in FIGURES})


def _unchanged(document: WeekDocument, standing: Standing) -> bool:
    """Whether files, method and changes are those that the week in force was judged under."""
    before = standing.in_force
    return (
        made_alike(before, standing.asked.inputs)
        and document.changes == before.changes
        and document.made_with.method == before.made_with.method
    )


def no_longer_cautious(week: str, caution: Caution) -> str:
    """Say that a cautious week is planned plainly from here on: what was judged was another week."""
    return (
        f"{week} was planned cautiously. What stays of it stays; what moves is planned by the plain dose, and nothing "
        f"is said any more of its bad cases. To plan it cautiously anew: planner week --week {week} "
        f"--cautious {caution.level:g}"
    )


@dataclass(frozen=True)
class Swapped:
    """What came of a swap: the report with the week that holds now, and what it was asked with.

    `document` is the week as re-planned; with `news` it says more than the one in force, and is to be written.
    """

    report: SwapReport
    document: WeekDocument
    asked: Asked
    news: bool


def swap_week(
    folder: Path,
    options: Options,
    today: datetime.date,
    week: str | None = None,
) -> Swapped:
    """Re-plan the newest week of an athlete's folder, or the one that is named; writes nothing.

    Raises FaultyInput (a file or option is wrong, no plan in force, plan and library out of step), NotCleared,
    NoWeekPossible.
    """
    standing = open_week(folder, today, week)
    told = told_of(standing, [options], today)
    return swapped(standing, told, replaced(folder, standing.in_force.week))


def told_of(standing: Standing, steps: Sequence[Options], today: datetime.date) -> Told:
    """Read what swap is told, step after step, and join it; `notes` are those of the last one. Raises FaultyInput."""
    in_force, inputs = standing.in_force, standing.filed.inputs
    told = Told(in_force.changes, {})
    for options in steps:
        known = Known(
            library=inputs.library,
            brief=inputs.brief,
            gyms=tuple(inputs.gyms),
            over={**states_of(in_force), **told.states},
            start=datetime.date.fromisoformat(in_force.week_start),
            today=today,
            before=told.changes,
        )
        new = read_options(options, known)
        changes = joined(told.changes, new.changes, inputs.brief, inputs.gyms, inputs.library)
        told = Told(changes, {**told.states, **new.states}, notes_of(inputs, in_force, told.changes, new))
    return told


def swapped(standing: Standing, told: Told, earlier: Earlier) -> Swapped:
    """Re-plan a week for what was told; `earlier`: its replaced plans. Raises NoWeekPossible."""
    in_force, notes = standing.in_force, list(told.notes)
    asked = standing.under(told.changes, told.states)
    replanned = replan(asked, in_force, earlier)
    notes += [FRESH] if replanned.fresh else []
    document = with_figures(replanned, standing, dict(earlier))
    news = says_more(in_force, document)
    if in_force.cautious and news and document.cautious is None:
        notes.append(no_longer_cautious(in_force.week, in_force.cautious))
    holds = document if news else in_force
    made = report(in_force, holds, replanned.back_to, emptied(replanned, in_force), tuple(notes))
    return Swapped(made, document, asked, news)


def emptied(replanned: Replanned, in_force: WeekDocument) -> dict[str, str]:
    """Say of each session that had exercises why nothing can be trained there any more."""
    held = {session.id for session in in_force.sessions if session.exercises}
    return {
        session.id: f"Nothing can be trained in {session.gym} on {day_name(session.day)} now: the session is empty."
        for session in replanned.problem.sessions
        if session.id in held and not session.frozen and not possible(replanned.problem, session)
    }


def possible(problem: Problem, session: SessionKind) -> bool:
    """Whether any block fits into a session."""
    return any(
        one.seconds(sets) <= session.seconds
        for one in problem.candidates
        for sets in problem.choices(one.key, session)
    )
