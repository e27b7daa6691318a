"""Planning what is proposed: a week anew, a change of one, an earlier version, a trial, a block; nothing is written."""

import datetime
from dataclasses import replace
from pathlib import Path

from library.errors import NoWeekPossible, refuse
from planner.athlete.folder import read_week, replaced, require_in_step, weeks
from planner.change.easings import all_easings
from planner.change.swap import Standing, replan, swapped, told_of, with_loads
from planner.change.swap_report import SwapReport, report, swap_text
from planner.change.told import Options, Told, only_there
from planner.desk.proposals import Proposal
from planner.desk.room import fingerprint
from planner.document import WeekDocument, plan_of
from planner.model.aims import dose_value
from planner.model.build import build_problem
from planner.publish import check_sound
from planner.sheets.table import missed_lines
from planner.solve.solve import BestDose, best_dose
from planner.week.block import BlockAsked, block_table, plan_block
from planner.week.gather import Asked, gather
from planner.week.keeping import Keeping, as_solved, still_possible
from planner.week.plan import document_of, plan_week


def planned(folder: Path, week: str | None, today: datetime.date) -> Proposal:
    """Plan a week anew, as `planner week` does. Raises PlannerError."""
    files, asked = fingerprint(folder), gather(folder, week, today)
    made = proposed(folder, plan_week(asked), asked, files)
    return replace(made, text="\n\n".join(filter(None, [*only_there(folder, asked), made.text])))


def proposed(folder: Path, document: WeekDocument, asked: Asked, files: str) -> Proposal:
    """Propose a week that was planned whole, rechecked, beside the one on disk."""
    check_sound(document, asked)
    if asked.week not in weeks(folder):
        return Proposal(document, asked, files)
    return _shown(report(read_week(folder, asked.week), document, "", {}), asked, files)


def brought_back(folder: Path, week: str, version: str, today: datetime.date) -> Proposal:
    """Propose an earlier version of a week, as far as it can still be trained. Raises PlannerError."""
    files, old, in_force = fingerprint(folder), dict(replaced(folder, week))[version], read_week(folder, week)
    asked = Standing(gather(folder, week, today), in_force, today).under(old.changes, {})
    problem = build_problem(asked.inputs)
    plan = {**still_possible(problem, plan_of(old)), **problem.pins}
    best, broken = best_dose(problem), Keeping(problem).broken(plan)
    if best is None or broken:
        what = ", ".join(broken) or "a limit"
        raise NoWeekPossible(f"{version} cannot come back as it is: it breaks {what}")
    staying = replace(problem, in_force=plan)
    document = with_loads(document_of(asked, staying, as_solved(staying, plan, best)), old)
    check_sound(document, asked)
    return _shown(report(in_force, document, version, {}), asked, files)


def tried(folder: Path, standing: Standing, name: str) -> Proposal:
    """Plan a week as it would be with one easing of `planner why`; it is a trial of what is not written yet."""
    asked, full = standing.asked, [use.limit for use in standing.in_force.limits if use.binds]
    easings = all_easings(asked.inputs, asked.changes, full)
    edit = next((one for one in easings if one.name == name), None)
    if edit is None:
        raise refuse("the week", "", f"nothing is called {name}", "Look once more at what would help")
    eased = replace(asked, inputs=edit.apply(asked.inputs))
    document = replan(eased, standing.in_force, []).document
    made = report(standing.in_force, document, "", {})
    return replace(_shown(made, eased, fingerprint(folder)), trial=str(edit))


def blocked(folder: Path, told: BlockAsked, sheets: int | None, today: datetime.date) -> Proposal:
    """Plan a block, as `planner block` does. Raises PlannerError."""
    files, block = fingerprint(folder), plan_block(folder, told, today)
    for document, asked in zip(block.document.weeks, block.asked, strict=True):
        check_sound(document, asked)
    text = block_table(block.document)
    return Proposal(block.document.weeks[0], block.asked[0], files, text=text, block=block, sheets=sheets)


def changed(folder: Path, week: str, last: Proposal | None, added: Options, today: datetime.date) -> Proposal:
    """Give the estimate of a week changed by one thing more, with the work that plans it. Raises PlannerError."""
    files, base = fingerprint(folder), (last.base or last.document) if last else read_week(folder, week)
    filed = gather(folder, week, today)
    require_in_step(folder, base, filed.inputs.library, filed.inputs.brief)
    steps = (*(last.steps if last else ()), added)
    standing, on_disk = Standing(filed, base, today), last is None or last.base is not None
    told = told_of(standing, steps, today)
    asked = standing.under(told.changes, told.states)

    def work() -> Proposal | None:
        made = swapped(standing, told, replaced(folder, week))
        check_sound(made.document, made.asked)
        if not made.news and on_disk:
            return None
        return replace(_shown(made.report, made.asked, files), base=base, steps=steps)

    left = estimate(standing, told)
    return Proposal(left, asked, files, base, steps, notes=told.notes, work=work)


def _shown(made: SwapReport, asked: Asked, files: str) -> Proposal:
    text = swap_text(made, asked.library, missed_lines(made.week, asked.library))
    return Proposal(made.week, asked, files, text=text, notes=made.notes)


def estimate(standing: Standing, told: Told) -> WeekDocument:
    """Give the part of a week that a change leaves, before anything is planned in the place of what is gone."""
    asked = standing.under(told.changes, told.states)
    problem = build_problem(asked.inputs)
    left = {**still_possible(problem, plan_of(standing.in_force)), **problem.pins}
    plan = {pair: sets for pair, sets in left.items() if pair[0] in problem.by_key}
    best = BestDose(plan, dose_value(problem, plan), 0.0, stopped=True)
    return document_of(asked, replace(problem, in_force=plan), as_solved(problem, plan, best))
