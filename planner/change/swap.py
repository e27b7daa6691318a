"""Swap: re-plan the week in force after something has changed, moving as little as possible. Three ways, tried in
this order: an earlier plan of this week that was made under the very same conditions comes back; the plan in force is
kept; a new plan is made with change priced before everything but dose. A plan that was planned whole stays within the
tolerance it was planned with. One that has lost something, or is new, misses no head by more than the tolerance of
one: change is dearer than dose, so that it would use it all."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from library.errors import NoWeekPossible
from planner.athlete.brief import DAYS
from planner.athlete.folder import is_patched, plan_in_force, replaced, require_in_step
from planner.change.swap_report import SwapReport, report, says_more
from planner.change.told import Changes, Known, Options, States, Told, in_options, notes_of, read_options
from planner.document import Plan, State, WeekDocument, plan_of, states_of
from planner.model import aims, build
from planner.model.inputs import Inputs
from planner.model.problem import Held, Problem
from planner.plain import day_name
from planner.plain import joined as joined_words
from planner.solve.solve import BestDose, best_dose
from planner.week import keeping
from planner.week.edits import changed_inputs, joined, made_alike
from planner.week.gather import Asked, gather
from planner.week.keeping import Keeping
from planner.week.plan import document_of, refused_pins

Earlier = list[tuple[str, WeekDocument]]
NOTHING_NEW = "plans that make up little for what was missed"
LOAD_FIELDS = ("load", "load_unit", "load_reason", "load_note", "reps_now", "warmup_loads")
FIGURES = ("cautious", "proof", "status")  # the proof of a cautious week is of its shortfall
NO_LONGER_CAUTIOUS = (  # what was judged was another week
    "{week} was planned cautiously. What stays of it stays; what moves is planned by the plain dose, and nothing "
    "is said any more of its bad cases. To plan it cautiously anew: planner week --week {week} --cautious {level:g}"
)


@dataclass(frozen=True)
class Standing:
    """A plan in force and what its athlete's files say: `filed` knows no change of this week. `today`: a session
    before it takes nothing more once a later one is over."""

    filed: Asked
    in_force: WeekDocument
    today: datetime.date | None = None

    def passed(self, states: States) -> tuple[str, ...]:
        """Days gone by before one that is known to be over: they are over too, and their sets count as planned."""
        told = {**states_of(self.in_force), **states}.items()
        known = {*self.filed.logged_days(self.in_force), *(day for day, state in told if state != "planned")}
        gone = (self.today - datetime.date.fromisoformat(self.in_force.week_start)).days if self.today else 0
        last = max((DAYS.index(day) for day in known), default=0)
        days = DAYS[: max(0, min(gone, last))]
        return tuple(one.day for one in self.in_force.sessions if one.day in days and one.day not in known)

    @property
    def asked(self) -> Asked:
        """What is asked under the changes that hold already."""
        return self.under(self.in_force.changes, {})

    def under(self, changes: Changes, states: States, passed: tuple[str, ...] | None = None) -> Asked:
        """Give what is asked under these changes, with the sessions that are over, or are told to be."""
        over = (*self.filed.logged_days(self.in_force), *(self.passed(states) if passed is None else passed))
        logged: dict[str, State] = dict.fromkeys(over, "done")
        inputs = changed_inputs(self.filed.inputs, changes, {**logged, **states}, self.in_force)
        return replace(self.filed, inputs=inputs, changes=changes)


def open_week(folder: Path, today: datetime.date, week: str | None = None) -> Standing:
    """Read the newest week of an athlete's folder, or the one that is named, and the files of today. Raises
    FaultyInput (no plan in force, a file is wrong, plan and library out of step), NotCleared."""
    in_force = plan_in_force(folder, week, today)
    filed = gather(folder, in_force.week, today)
    require_in_step(folder, in_force, filed.inputs.library, filed.inputs.brief)
    return Standing(filed, in_force, today)


class Replanned(NamedTuple):
    """The week after a swap, the version whose plan came back ("v1"), if one did, and whether it was planned anew."""

    document: WeekDocument
    problem: Problem
    back_to: str = ""
    fresh: bool = False


def replan(asked: Asked, in_force: WeekDocument, earlier: Earlier, passed: Sequence[str] = ()) -> Replanned:
    """Re-plan the week that `asked` (changes applied) is about; `earlier` are its replaced plans, newest first.
    `passed`: days to be left as they are, though nobody said that they are over. Raises NoWeekPossible if what must
    hold cannot hold together."""
    problem = build.build_problem(asked.inputs)
    # a movement once more costs nothing here: what is known is worth more than variety
    settings = problem.settings.but(price_repeat=0.0, price_share=0.0)
    problem = replace(problem, settings=settings)
    refused = refused_pins(asked.inputs, problem)
    if refused:
        raise NoWeekPossible(in_options("\n".join(refused), asked.changes))
    unpatched = [one for _, one in [("", in_force), *earlier] if not is_patched(one)]
    first = unpatched[0] if unpatched else in_force
    # the sets of the days passed stand as they are
    stand = {pair: sets for pair, sets in plan_of(in_force).items() if pair[1] in passed}
    days = tuple(replace(one, allowed=frozenset()) if one.id in passed else one for one in problem.sessions)
    strict = keeping.for_one_head(problem)
    alone = replace(problem, pins={**problem.pins, **stand}, sessions=days)
    for name, document in [*alike(asked, in_force, earlier), ("", in_force)]:
        left = keeping.still_possible(problem, plan_of(document))
        easy = asked.inputs.returning or (document.block and document.block.lighter)
        more = 0 if easy else settings.missed_sets_more
        known, best = best_of(asked.inputs, (after_a_miss(alone, document, first, more), alone), left)
        among = "" if known is alone else NOTHING_NEW
        most = None if name or left == plan_of(in_force) else aims.dose_room(replace(known, settings=strict))
        if keeping.can_stay(Keeping(known), left, best, most):
            staying = replace(problem, in_force=left)
            solved = replace(keeping.as_solved(staying, left, best), dose_among=among)
            return Replanned(with_loads(document_of(asked, staying, solved), in_force), staying, name)
    problem, known = (replace(one, in_force=plan_of(in_force)) for one in (problem, known))
    solved = keeping.least_change(replace(known, settings=strict), best)
    # what the days left alone miss is no part of the search: it is the same in all plans
    more = aims.rest_value(problem, solved.plan) - aims.rest_value(known, solved.plan)
    solved = replace(solved, rest_bound=solved.rest_bound + more, dose_among=among)
    document = document_of(asked, problem, solved)
    return Replanned(with_loads(document, in_force), problem, fresh=not solved.among)


def best_of(inputs: Inputs, problems: Iterable[Problem], left: Plan) -> tuple[Problem, BestDose]:
    """Give the first problem that has a plan, and its best dose; what is left of a plan may show it at once. Raises
    NoWeekPossible."""
    for problem in problems:
        if not aims.dose_value(problem, left) and not Keeping(problem).broken(left):
            return problem, BestDose(left, 0.0, 0.0, stopped=False)  # no plan has a better one
        if best := best_dose(problem):
            return problem, best
    from planner.week.clash import no_week

    raise no_week(inputs)


def alike(asked: Asked, in_force: WeekDocument, earlier: Earlier) -> Earlier:
    """Give the replaced plans that were made under these very conditions, if the one in force was not; where a change
    is taken back, those that held the changes that are left, the days that are over being as they are now."""
    inputs = asked.inputs
    if made_alike(in_force, inputs):
        return []
    same = [of for of in earlier if made_alike(of[1], inputs)]
    if same or {*asked.changes} >= {*in_force.changes}:
        return same
    over = {pair: sets for pair, sets in plan_of(in_force).items() if pair[1] in inputs.states}
    left = [(of, plan_of(of[1])) for of in earlier if of[1].changes == asked.changes]
    return [of for of, plan in left if over == {at: n for at, n in plan.items() if at[1] in inputs.states}]


def after_a_miss(problem: Problem, document: WeekDocument, first: WeekDocument, more: int) -> Problem:
    """Give the week that is left where a missed day alone took something; `first`: as it was before any swap. What
    stands may gain `more` sets, and nothing joins it: the rest is let go. Only a head that has lost all its own
    movements gets them on the days left, where more is allowed at all."""
    plan, before = plan_of(document), plan_of(first)
    missed = {one.id for one in problem.sessions if one.state == "missed"}
    lost = {day for _, day in plan.keys() - keeping.still_possible(problem, plan).keys()}
    if not missed or lost - missed:
        return problem
    stay = {pair: sets for pair, sets in plan.items() if pair[1] not in missed}
    most = {pair: max(sets, before.get(pair, 0) + more) for pair, sets in stay.items()}
    trained = {problem.by_key[key].trains for key, _ in most if key in problem.by_key}
    for (key, day), sets in before.items():
        if day in missed and key in problem.by_key and problem.by_key[key].trains not in trained and more:
            most |= {(key, one.id): sets for one in problem.open_sessions if problem.can_hold(key, one.id)}
    return replace(problem, held=Held(most, sets="at_most"))


def with_loads(document: WeekDocument, in_force: WeekDocument) -> WeekDocument:
    """Carry loads over from the plan in force: all of a session that is done, else where no new one is known."""
    at = [(line, session.gym) for session in in_force.sessions for line in session.exercises]
    at.sort(key=lambda one: one[0].load is not None)  # on two days, the line that has a load counts
    known, sessions = {(line.exercise, gym): line for line, gym in at}, []
    for session in document.sessions:
        lines = list(session.exercises)
        for place, line in enumerate(lines):
            old = known.get((line.exercise, session.gym))
            if old is not None and (session.state == "done" or line.load is None):
                lines[place] = line.model_copy(update={name: getattr(old, name) for name in LOAD_FIELDS})
        sessions.append(session.model_copy(update={"exercises": tuple(lines)}))
    return document.model_copy(update={"sessions": tuple(sessions)})


def with_figures(again: Replanned, standing: Standing, earlier: Mapping[str, WeekDocument]) -> WeekDocument:
    """Give the re-planned week with the figures of the cautious week whose plan it is; else as it is. Days that are
    over only take away from what else could be planned, so figures and bounds hold still. A week that stays must have
    been judged under the same files, method and changes."""
    document, before = again.document, standing.in_force
    source = earlier[again.back_to] if again.back_to else before
    same = document.changes == before.changes and document.made_with.method == before.made_with.method
    stands = again.back_to or (same and made_alike(before, standing.asked.inputs))
    if source.cautious is None or plan_of(source) != plan_of(document) or not stands:
        return document
    return document.model_copy(update={name: getattr(source, name) for name in FIGURES})


class Swapped(NamedTuple):
    """What came of a swap: the report with the week that holds now, and what it was asked with. `document` is the
    week as re-planned; with `news` it says more than the one in force, and is to be written."""

    report: SwapReport
    document: WeekDocument
    asked: Asked
    news: bool


def swap_week(folder: Path, options: Options, today: datetime.date, week: str | None = None) -> Swapped:
    """Re-plan the newest week of an athlete's folder, or the one that is named; writes nothing. Raises FaultyInput (a
    file or option is wrong, no plan in force, plan and library out of step), NotCleared, NoWeekPossible."""
    standing = open_week(folder, today, week)
    told = told_of(standing, [options], today)
    return swapped(standing, told, replaced(folder, standing.in_force.week))


def told_of(standing: Standing, steps: Sequence[Options], today: datetime.date) -> Told:
    """Read what swap is told, step after step, and join it; `notes` are those of the last one. Raises FaultyInput."""
    in_force, inputs = standing.in_force, standing.filed.inputs
    told = Told(in_force.changes, {})
    for options in steps:
        over, start = {**states_of(in_force), **told.states}, datetime.date.fromisoformat(in_force.week_start)
        known = Known(inputs.library, inputs.brief, tuple(inputs.gyms), over, start, today, told.changes)
        new = read_options(options, known)
        changes = joined(told.changes, new.changes, inputs.brief, inputs.gyms, inputs.library)
        notes = tuple(notes_of(inputs, in_force, told.changes, new))
        told = Told(changes, {**told.states, **new.states}, notes)
    return told


def swapped(standing: Standing, told: Told, earlier: Earlier) -> Swapped:
    """Re-plan a week for what was told; `earlier`: its replaced plans. Raises NoWeekPossible."""
    in_force, notes = standing.in_force, list(told.notes)
    passed = standing.passed(told.states)
    alone = () if told.changes else passed  # nothing was said of these days: they are only left as they are
    asked = standing.under(told.changes, told.states, () if alone else None)
    if passed:
        over = joined_words([day_name(day) for day in passed])
        notes.append(f"{over}: over and not logged, counted as trained. If not: --missed DAY.")
    replanned = replan(asked, in_force, earlier, alone)
    notes += [keeping.FRESH] if replanned.fresh else []
    document = with_figures(replanned, standing, dict(earlier))
    news = says_more(in_force, document)
    if in_force.cautious and news and document.cautious is None:
        notes.append(NO_LONGER_CAUTIOUS.format(week=in_force.week, level=in_force.cautious.level))
    holds = document if news else in_force
    made = report(in_force, holds, replanned.back_to, emptied(replanned, in_force), tuple(notes))
    return Swapped(made, document, asked, news)


def emptied(replanned: Replanned, in_force: WeekDocument) -> dict[str, str]:
    """Say of each session that had exercises why nothing can be trained there any more: no block fits into it."""
    problem, said = replanned.problem, {}
    full = {session.id for session in in_force.sessions if session.exercises}
    for session in (one for one in problem.sessions if one.id in full and not one.frozen):
        blocks = ((one, sets) for one in problem.candidates for sets in problem.choices(one.key, session))
        if not any(one.seconds(sets) <= session.seconds for one, sets in blocks):
            where = f"{session.gym} on {day_name(session.day)}"
            said[session.id] = f"Nothing can be trained in {where} now: the session is empty."
    return said
