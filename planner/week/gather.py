"""What is asked of a week: the athlete's files, the log's word on pain and loads, and the week's place in a block."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from library.errors import FaultyInput
from library.method import CreditSettings
from library.read import Library, read_library
from planner.athlete.folder import (
    as_planned,
    block_marks,
    last_hard_week,
    last_week,
    read_own_rows,
    read_week,
    weeks,
)
from planner.athlete.reading import method_of, read_athlete
from planner.athlete.targets import joint_allowances, require_clearance, screening_warnings, weekly_targets
from planner.document import (
    BlockMark,
    MadeChange,
    WeekDocument,
    exercises_of,
    plan_of,
    week_named,
    week_start,
)
from planner.log.blank import session_date
from planner.log.file import deciding_log
from planner.log.record import LoggedSet
from planner.method import AthleteSettings, TrainSettings, WeekSettings
from planner.model.admission import Admission, lacks, skill_of
from planner.model.inputs import Inputs
from planner.train.block import block_week, for_skill, is_careful, lighter_target, reserve_alone
from planner.train.carried import (
    Carried,
    carried_over,
    coming_back,
    for_later_weeks,
    last_logged,
)
from planner.train.delivered import is_done
from planner.train.kin import waiting_heads
from planner.train.notes import is_back_from_illness
from planner.train.pain import pain_rules
from planner.train.rules import asked_before, back_from

if TYPE_CHECKING:
    from library.pool import PooledHead


@dataclass(frozen=True)
class Filed:
    """The files of an athlete as inputs of a week of its own (no last week, no block), and what stands beside them.

    `lowered`: what is said of targets that one step does not reach. `marks`: weeks on disk that belong to a block.
    """

    folder: Path
    inputs: Inputs
    pooled: Mapping[str, PooledHead]
    log: tuple[LoggedSet, ...]
    marks: Mapping[str, BlockMark]
    lowered: tuple[str, ...]
    train: TrainSettings

    @property
    def lighter_weeks(self) -> frozenset[str]:
        """Weeks on disk that were easy on purpose: they decide no load."""
        return frozenset(week for week, mark in self.marks.items() if mark.lighter)

    def screening(self, start: datetime.date) -> tuple[str, ...]:
        """What the screening has to say of a week that begins on `start`."""
        brief = self.inputs.brief
        settings = method_of(brief, AthleteSettings)
        return tuple(screening_warnings(brief, self.inputs.library, start, settings))


@dataclass(frozen=True)
class Asked:
    """What is asked of the planner: the inputs, the week, and what the first page must say."""

    inputs: Inputs
    week: str
    start: datetime.date
    warnings: tuple[str, ...]
    before: WeekDocument | None
    filed: Filed
    carried: Carried  # what the log says: pain, next loads, what last week left open
    changes: tuple[MadeChange, ...] = ()  # what `planner swap` was told of this week
    ahead: bool = False  # planned before the week before it was trained: loads are yet to be decided

    def logged_days(self, in_force: WeekDocument) -> Iterator[str]:
        """Days to come in a plan whose session is in the log: it was trained, whether `--done` was said or not."""
        days = {row.date for row in self.filed.log if not row.is_clearance}
        for session in in_force.sessions:
            if session.state == "planned" and session_date(in_force, session) in days:
                yield session.day

    @property
    def library(self) -> Library:
        """The library as it is filed, where a block changes its repetitions."""
        return self.filed.inputs.library


@cache
def shipped() -> tuple[Library, Mapping[str, PooledHead]]:
    """Give the installed library and its ratios: read and pooled once, which takes longer than all of an athlete's files."""
    from library.pool import pool_library

    library = read_library()
    return library, pool_library(library)


@cache
def unrecorded() -> Mapping[str, PooledHead]:
    """Give the ratios of an athlete without own recordings, as most are."""
    from library.pool import for_athlete

    library, pooled = shipped()
    return for_athlete(pooled, library)


def read_filed(folder: Path) -> Filed:
    """Read library, brief, gyms, own evidence, log and the marks of blocks.

    Raises FaultyInput (a file is wrong), NotCleared (an operation without clearance).
    """
    from library.pool import for_athlete

    library, pooled = shipped()
    brief, gyms = read_athlete(folder, library)
    require_clearance(brief)
    targets, lowered = weekly_targets(brief, library, method_of(brief, AthleteSettings))
    own = read_own_rows(folder, library)
    profiles = for_athlete(pooled, library, own) if own else unrecorded()
    week, credit = method_of(brief, WeekSettings), method_of(brief, CreditSettings)
    recorded = frozenset(row.exercise for row in own)
    inputs = Inputs(library, brief, gyms, targets, profiles, week, credit, recorded=recorded)
    marks, train = block_marks(folder), method_of(brief, TrainSettings)
    week = week.but(reps_in_reserve=reserve_alone(brief, library, week, train))
    inputs = replace(
        inputs, week=week, library=in_longer_sets(inputs) if is_careful(brief, library, week) else library
    )
    log = deciding_log(folder, train.pain_go_most)
    return Filed(folder, inputs, profiles, log, marks, tuple(lowered), train)


def in_longer_sets(inputs: Inputs) -> Library:
    """The library with no lift of several joints in fewer repetitions than a careful person should do: its range moves up."""
    least, longer = inputs.week.reps_least_careful, dict(inputs.library.exercises)
    for key, one in longer.items():
        if one.multi_joint and one.reps[0] < least:
            longer[key] = one.model_copy(update={"reps": (least, one.reps[1] + least - one.reps[0])})
    return replace(inputs.library, exercises=longer)


def after_last_week(inputs: Inputs, before: WeekDocument | None) -> Inputs:
    """Give the inputs with what last week planned."""
    return replace(inputs, last_week=exercises_of(before), last_plan=plan_of(before) if before else {})


def gather(folder: Path, week: str | None, today: datetime.date) -> Asked:
    """Read all of an athlete's folder that a week depends on; None: next week.

    A week on disk that belongs to a block keeps its place in it. Raises FaultyInput (a file is wrong), NotCleared
    (an operation without clearance).
    """
    name = week_named(week or "next", today)  # a wrong name is told before anything is read
    filed = read_filed(folder)
    mark = filed.marks.get(name)
    hard = last_hard_week(folder, name, mark.first) if mark else None
    return asked_in(filed, name, week_before(filed, name), mark, hard and as_planned(folder, hard))


def weeks_before(filed: Filed, week: str) -> Iterator[WeekDocument]:
    """Give the last weeks as they were planned, oldest first: enough to see a habit."""
    for name in [name for name in weeks(filed.folder) if name < week][-2 * filed.train.habit_weeks :]:
        with suppress(FaultyInput):  # a damaged one is told where it is needed
            yield as_planned(filed.folder, read_week(filed.folder, name))


AWAY = "{} is a week without training (brief.toml: block.away): planned all the same, as it was asked for."


def week_before(filed: Filed, week: str) -> WeekDocument | None:
    """Give the week to go on from: the last one, past lighter ones and first weeks back, which were easy on purpose;
    after pain was cleared the last one that had what comes back, and none in which it waited."""
    before, back = last_week(filed.folder, week), returning_in(filed, week)
    waits = bool(pain_rules(filed.log, filed.inputs.library, week_start(week), filed.train).out)
    while before is not None:
        waited = any(line.kind == "out" for line in before.exercise_warnings)
        lighter = before.block and before.block.lighter
        easy = lighter or (waited and not waits) or returning_in(filed, before.week)
        if not easy and (not back or back & exercises_of(before)):
            return before
        before = last_week(filed.folder, before.week)
    return last_week(filed.folder, week)


def planned_before(filed: Filed, week: str) -> WeekDocument | None:
    """Give the last week that was planned, whatever was planned for weeks away apart."""
    before = last_week(filed.folder, week)
    while before and before.week in filed.inputs.brief.block.away:
        before = last_week(filed.folder, before.week)
    return before


def returning_in(filed: Filed, week: str) -> frozenset[str]:
    """Exercises that came back in a week after pain; after illness or a break all."""
    start = week_start(week)
    known = [row for row in filed.log if row.date < start]
    pain = pain_rules(filed.log, filed.inputs.library, start, filed.train)
    off = back_from(known, planned_before(filed, week), start, filed.train) > 1
    whole = off or is_back_from_illness(known, start, filed.train)
    done = {row.exercise for row in known}  # what was never done does not come back
    return frozenset(filed.inputs.library.exercises if whole else done & coming_back(pain, known).keys())


def asked_in(
    filed: Filed,
    week: str,
    before: WeekDocument | None,
    mark: BlockMark | None = None,
    hard: WeekDocument | None = None,
) -> Asked:
    """Give what is asked of a week: last week `before`; in a block its place and the last hard week of the block."""
    start = week_start(week)
    before = before and as_planned(filed.folder, before)
    known = frozenset(row.exercise for row in filed.log if row.date < start and is_done(row))
    inputs = replace(after_last_week(filed.inputs, before), known=known)
    if before is None:  # of what was logged the loads are known
        inputs = replace(inputs, last_plan=last_logged(row for row in filed.log if row.date < start))
    if mark is not None:
        inputs = in_block(inputs, mark, filed.train, hard)
    carried = carried_over(
        filed.log,
        inputs.library,
        inputs.gyms,
        start,
        planned_before(filed, week),
        inputs.week.reps_in_reserve,
        last_plan=inputs.last_plan,
        lighter_weeks=filed.lighter_weeks,
        asked_then=asked_before(
            filed.folder, (row for row in filed.log if row.date < start), filed.lighter_weeks
        ),
        earlier=tuple(weeks_before(filed, week)),
        settings=filed.train,
    )
    away = (AWAY.format(week),) if week in inputs.brief.block.away else ()
    warnings = (*away, *filed.screening(start), *filed.lowered)
    return Asked(after_pain(inputs, carried, filed.train), week, start, warnings, before, filed, carried)


def asked_ahead(
    first: Asked, week: str, before: WeekDocument, mark: BlockMark, hard: WeekDocument | None
) -> Asked:
    """Give what is asked of a later week of a block, planned before the weeks in between are trained.

    `first` is the block's first week. Loads follow from logs yet to be written: the sheet says by which rule.
    """
    start, filed = week_start(week), first.filed
    inputs = in_block(
        after_last_week(filed.inputs, before),
        mark,
        filed.train,
        hard,
    )
    carried = for_later_weeks(first.carried, inputs.library)
    return replace(
        first,
        inputs=after_pain(inputs, carried, filed.train),
        week=week,
        start=start,
        warnings=filed.screening(start),
        before=before,
        carried=carried,
        ahead=True,
    )


def after_pain(inputs: Inputs, carried: Carried, train: TrainSettings) -> Inputs:
    """Give the inputs after what pain says: movements barred or capped, doubtful joint regions one level lower.

    A head whose own movements wait gets half its sets, and the week more in reserve: what is left does not make up for
    them. Nothing is diagnosed; a movement waits until the coach records it cleared. brief.toml itself is never written.
    """
    pain, stated = carried.pain, joint_allowances(inputs.brief, inputs.library)
    lower = {region: pain.allowance(region, stated[region]) for region in pain.regions if region in stated}
    brief = inputs.brief.model_copy(update={"joints": {**inputs.brief.joints, **lower}})
    if waiting := waiting_heads(pain.barred, inputs.library, {key for key, _ in inputs.last_plan}):
        halved = {key: lighter_target(of, train) for key, of in inputs.targets.items() if key in waiting}
        rir = inputs.week.reps_in_reserve + train.lighter_rir_more
        inputs = replace(
            inputs, targets={**inputs.targets, **halved}, week=inputs.week.but(reps_in_reserve=rir)
        )
    capped = {**pain.capped, **dict.fromkeys(too_heavy(inputs, carried), 0)}
    sums = {key: sum(sets for (of, _), sets in pain.fewer.items() if of == key) for key, _ in pain.fewer}
    lessened = {of: sets for of, sets in pain.fewer.items() if sums[of[0]] <= capped[of[0]]}
    inputs = replace(inputs, brief=brief, barred=pain.barred, capped=capped)
    return replace(inputs, returning=carried.back, lessened=lessened)


def too_heavy(inputs: Inputs, carried: Carried) -> Iterator[str]:
    """Give what is too heavy by its lightest load wherever it was done, if something else can do its work."""
    library, admission, capped = inputs.library.exercises, Admission(inputs), carried.pain.capped
    for key in {key for (key, _), load in carried.loads.items() if load.too_heavy}:
        fits = any(of == key and not load.too_heavy for (of, _), load in carried.loads.items())
        rest = (one for one in library.values() if one.trains == library[key].trains and one.key != key)
        able = (one for one in rest if capped.get(one.key) != 0 and not admission.reason(one))
        if not fits and any(not lacks(one, room) for one in able for room in admission.rooms):
            yield key


def in_block(inputs: Inputs, mark: BlockMark, train: TrainSettings, hard: WeekDocument | None) -> Inputs:
    """Give the inputs of a week of its own as they are at its place in a block; `hard`: the block's last hard week.

    The mark says where; what that means follows the brief's targets and method as they are now.
    """
    week = inputs.week
    asked = block_week(
        inputs.targets, mark, inputs.brief.block, week.reps_in_reserve, week.smallest_block_sets, train
    )
    rir = for_skill(asked.rir, skill_of(inputs), train)
    return replace(
        inputs,
        targets=asked.targets,
        week=week.but(smallest_block_sets=asked.smallest_block, reps_in_reserve=rir),
        block=mark.model_copy(update={"lighter": asked.lighter}),
        hard=hard,
        share_left=train.lighter_share if asked.lighter else 1.0,
    )
