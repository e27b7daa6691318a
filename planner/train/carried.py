"""What the log carries into the week that is planned: loads, pain, and what the last week left open. The week takes
`pain` (exercises barred or capped, regions lowered) and `loads`; the papers print the lines. Nothing that was left
open is added to the new week: it is said, and the coach decides."""

import datetime
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean

from library.method import CreditSettings
from library.read import Library
from planner.athlete.brief import DAYS
from planner.athlete.gym import Gym
from planner.document import ExerciseWarning, Plan, WeekDocument, exercises_of, plan_of, week_name
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import FIRST_BACK_AFTER, counted, joined, name_of
from planner.train.delivered import delivered_week, done_otherwise, is_done, left_open, library_credits
from planner.train.kin import waiting_heads
from planner.train.loads import NextLoad, percent
from planner.train.notes import bad_days, habits, notes_said, to_judge, weeks_back
from planner.train.pain import PainState, pain_rules
from planner.train.rules import AskedThen, LoadRules, Place, as_applied, back_from, dead_ends, lighter_asked


@dataclass(frozen=True)
class Carried:
    """What the log says before a week is planned. `loads`: (exercise, gym) → next load, for what was done there
    before. `lines`: what the coach's page says of it, and what of the last planned week was left open."""

    pain: PainState
    loads: Mapping[Place, NextLoad]
    lines: tuple[str, ...]
    asks: tuple[str, ...] = ()  # what the coach has to judge first
    back: Plan = field(default_factory=dict)  # sets of what comes back; 0: it waits a week more


def carried_over(
    log: Sequence[LoggedSet], library: Library, gyms: Mapping[str, Gym], start: datetime.date, before: WeekDocument | None,
    rir: int, *, last_plan: Plan | None = None, lighter_weeks: frozenset[str] = frozenset(),
    asked_then: AskedThen = LoadRules.asked_then, earlier: Sequence[WeekDocument] = (), settings: TrainSettings = TRAIN,
) -> Carried:  # fmt: skip
    """Read the log for the week that starts on `start`; `before` is the last week that was planned, `last_plan` what
    it was before any swap. `rir`: repetitions in reserve that the new week asks, in the library's ranges; the others
    as `LoadRules` has them. `earlier`: the last weeks as they were planned, oldest first."""
    known = [row for row in log if row.date < start]
    pain = pain_rules(log, library, start, settings)
    if last_plan is None:
        last_plan = plan_of(before) if before else last_logged(known)
    there = {key for key, _ in last_plan}
    pain = _nothing_new(pain, there, library) if pain.unsafe else pain
    waiting = waiting_heads(pain.barred, library, there)
    illness = weeks_back(known, start, settings)
    ill = illness == 1
    rir += settings.lighter_rir_more if waiting else 0
    newest = max((row.date for row in known), default=datetime.date.max)
    away = back_from(known, before, start, settings)
    rules = LoadRules(library, gyms, pain, lighter_weeks, asked_then, settings, start, illness, away > 0)
    done = rules.by_place(known)
    rules = rules.weakened(done)
    loads = {of: load for of, rows in done.items() if (load := rules.decided(of, rows, None, rir))}
    last = [row for row in known if row.week == week_name(newest)]
    asks = (*to_judge(last, pain, library, settings), *filter(None, rules.weak.values()))
    whole = "illness" if ill else "a break" if away > 1 else ""
    cleared = coming_back(pain, known)
    back = cleared | (dict.fromkeys(there, start) if whole else {})
    comes = _coming(last_plan, back, cleared, known, library, settings)
    fewer = _fewer(rules, loads, week_name(newest), last_plan)
    capped = _capped(rules, fewer, known, last_plan, comes, back)
    pain = replace(as_applied(pain, loads), capped=capped, fewer=fewer, returning=back)
    said = _back_lines(comes, cleared, library, max(rir, settings.pain_reserve_least))
    pain = replace(pain, lines=(*pain.lines, *said))
    lines = _pain_lines(pain, library)
    lines += _first_back_said(comes, last_plan, whole, library)
    lines += [*notes_said(last), *habits(earlier, known, settings)]
    bad = bad_days(row for row in last if is_done(row))
    lines += ["Sets of days of illness or without sleep decide no load"] if bad else []
    lines += _while_heads_wait(waiting, pain, library, settings)
    lines += () if ill else _after_a_break(newest, start, away, settings)
    lines += () if waiting else lighter_asked(rules, done, week_name(start))  # lighter it is already
    lines += dead_ends(rules, done, loads, rir)
    lines += _of_the_week_before(before, known, library, settings) if before and known else ()
    return Carried(pain, loads, tuple(lines), asks, comes)


def _nothing_new(pain: PainState, there: set[str], library: Library) -> PainState:
    """Bar what last week's plan did not have, until a shoulder that is numb or slips has been seen."""
    why = "nothing new until a doctor or physiotherapist has seen the shoulder"
    return replace(pain, barred={**dict.fromkeys(library.exercises.keys() - there, why), **pain.barred})


def _a_week(plan: Plan) -> Counter[str]:
    """Sets of each exercise of a plan."""
    sums = Counter[str]()
    for (key, _), sets in plan.items():
        sums[key] += sets
    return sums


def _coming(
    last_plan: Plan, back: Container[str], cleared: Container[str], known: Iterable[LoggedSet], library: Library,
    settings: TrainSettings,
) -> Plan:  # fmt: skip
    """Give the sets with which blocks of last week's plan come back: half. What was `cleared` after pain comes back with one
    exercise of each family, if there is one that did not hurt itself, on few days; the others wait a week more: 0."""
    hurt, sums = {row.exercise for row in known if row.is_clearance}, _a_week(last_plan)
    best_last = sorted(sums, key=lambda key: (key not in hurt, sums[key], key))
    first = {
        library.exercises[key].family: key for key in best_last if key in cleared and key in library.exercises
    }
    days, comes = Counter[str](), dict[tuple[str, str], int]()
    for (key, day), sets in last_plan.items():
        if key not in back:
            continue
        days[key] += 1
        waits = key in cleared and (key not in first.values() or days[key] > settings.returning_days_most)
        comes[key, day] = 0 if waits else first_back(sets, settings)
    return comes


def _back_lines(
    comes: Plan, cleared: Mapping[str, datetime.date], library: Library, rir: int
) -> Iterator[ExerciseWarning]:
    """Say of what comes back after pain that it keeps more in reserve."""
    for key, sets in _a_week(comes).items():
        if sets and key in cleared:
            easy = f"{counted(sets, 'set')} at most, with {rir} in reserve"
            said = f"{name_of(library, key)}: first week back, cleared on {cleared[key]}: {easy}"
            yield ExerciseWarning(exercise=key, text=said, kind="back", since=cleared[key])


def _first_back_said(comes: Plan, last_plan: Plan, whole: str, library: Library) -> Iterator[str]:
    """Say how many sets of last week's plan come back at most in the first week after pain, illness or a break (`whole`)."""
    if comes:
        waits = [name_of(library, key) for key, sets in sorted(_a_week(comes).items()) if not sets]
        later = f"; {joined(waits)} a week later" if waits else ""
        fewer = f"{sum(comes.values())} sets at most instead of {sum(last_plan[of] for of in comes)}"
        yield f"{FIRST_BACK_AFTER} {whole + ', lighter' if whole else 'pain'}: {fewer}, nothing new{later}"


def _while_heads_wait(
    waiting: Container[str], pain: PainState, library: Library, settings: TrainSettings
) -> Iterator[str]:
    some = {one.trains for one in library.exercises.values() if one.key not in pain.barred}
    names = [head.name for key, head in library.heads.items() if key in waiting and key in some]
    more = f"all exercises with {counted(settings.lighter_rir_more, 'repetition')} more in reserve"
    if names:
        half = percent(settings.lighter_share)
        yield f"{joined(names)}: {half} of the sets, {more}, nothing new, until cleared"


def _after_a_break(
    newest: datetime.date, start: datetime.date, away: int, settings: TrainSettings
) -> Iterator[str]:
    weeks, how = (start - newest).days / 7, ""
    if weeks >= settings.break_weeks:
        how = "loads begin lighter, and the first week is for finding them again"
    elif weeks >= settings.break_weeks - 1:
        how = "after a break that long, begin the first sets lighter"
    elif away or weeks > settings.hold_weeks:
        how = "first week back: loads as last time, no more"
    if how:
        yield f"Nothing is logged since {newest}: {how}"


def _of_the_week_before(
    before: WeekDocument, known: Sequence[LoggedSet], library: Library, settings: TrainSettings
) -> Iterator[str]:
    newest = max(row.date for row in known)
    # every day was missed, or nothing was planned; or it was told of a week ago
    if not exercises_of(before) or week_name(newest) > before.week:
        return
    if newest.isoformat() < before.week_start:
        yield f"Week {before.week} is not logged yet: loads follow the log up to {newest}"
        return
    delivered = delivered_week(before, known, library_credits(library, CreditSettings()), library)
    heads = {key: head.name for key, head in library.heads.items()}
    asked = {line.exercise: line.rir for session in before.sessions for line in session.exercises}
    sets = [row for row in known if row.week == before.week and row.exercise in asked and row.rir is not None]
    missing = fmean(asked[row.exercise] - (row.rir or 0.0) for row in sets) if sets else 0.0
    effort = f"sets stopped {missing:.2g} repetitions closer to failure than its sheets ask"
    hard = (effort,) if missing >= 2 * settings.points_to_act else ()
    lines = (*done_otherwise(before, known, library), left_open(delivered, heads), *hard)
    yield from (f"Week {before.week}, {line}" for line in lines if line)


def for_later_weeks(carried: Carried, library: Library) -> Carried:
    """Give what still holds for weeks after the next: who waits, waits; loads and open sets are the next week's."""
    pain = carried.pain
    lines = tuple(line for line in pain.lines if line.kind == "out")
    pain = PainState(pain.out, pain.barred, pain.regions, lines=lines)
    return Carried(pain, {}, tuple(_pain_lines(pain, library)))


def last_logged(log: Iterable[LoggedSet]) -> Plan:
    """Give the sets by exercise and day of the last week in the log that has any."""
    weeks: dict[str, Counter[tuple[str, str]]] = {}
    for row in log:
        if is_done(row):
            weeks.setdefault(row.week, Counter())[row.exercise, DAYS[row.date.weekday()]] += 1
    return dict(weeks[max(weeks)]) if weeks else {}


def coming_back(pain: PainState, known: Iterable[LoggedSet]) -> dict[str, datetime.date]:
    """Give what was cleared and not done since, and the day of that."""
    newest: dict[str, datetime.date] = {}
    for row in known:
        if not row.is_clearance:
            newest[row.exercise] = max(row.date, newest.get(row.exercise, row.date))
    return {key: day for key, day in pain.returning.items() if newest.get(key, day) <= day}


def first_back(sets: int, settings: TrainSettings = TRAIN) -> int:
    """Give the sets with which a block comes back after pain."""
    return min(sets, max(settings.returning_sets_least, sets // 2))


def _fewer(rules: LoadRules, loads: Mapping[Place, NextLoad], newest: str, last_plan: Plan) -> Plan:
    """Give a set less in each session of what hurts where no lighter load is, of what did not while its family waits, and
    of what lost strength."""
    pain, settings = rules.pain, rules.settings
    recent = (item for item in pain.out if item.alone and week_name(item.since) == newest)
    keys = {key for item in recent for key in item.tolerated if key not in pain.barred} | {
        key for key, ask in rules.weak.items() if ask
    }
    eased = {item.exercise for item in pain.eased}
    keys |= {key for (key, _), load in loads.items() if load.fewer_sets and key in eased}
    least, less = settings.returning_sets_least, settings.pain_fewer_sets
    return {of: max(min(sets, least), sets - less) for of, sets in last_plan.items() if of[0] in keys}


def _capped(
    rules: LoadRules,
    fewer: Plan,
    known: Sequence[LoggedSet],
    last_plan: Plan,
    comes: Plan,
    back: Iterable[str],
) -> dict[str, int]:
    """Cap what hurt in the last trained week, and its kin, at what was done last; a set less in each session what hurt and
    has no lighter load, and of a family that waits what did not hurt; what comes back as `comes` has it; at half what is
    left of a head that waits and, after numbness or a slip, all."""
    newest, settings = max((row.week for row in known), default=""), rules.settings
    less = _a_week(fewer)
    last, halved = _a_week(last_plan), _a_week({of: first_back(n, settings) for of, n in last_plan.items()})
    capped = {key: last[key] for key in rules.weak_kin()} | rules.pain.most_sets(newest, last, rules.library)
    if any(last[key] for key in back):  # the first time back nothing else is new: the dose may stay short
        capped |= {key: 0 for key in rules.library.exercises if not last[key]}
    waiting = waiting_heads(rules.pain.barred, rules.library, last)
    # halved once, not week after week
    begins = any(week_name(item.since) == newest for item in rules.pain.out)
    held = (key for key in last if key in {*capped, *less} and begins)
    some = (key for key in held if rules.pain.unsafe or rules.library.exercises[key].trains in waiting)
    most = (
        {key: halved[key] for key in some}
        | dict.fromkeys(back, settings.returning_sets_least)
        | _a_week(comes)
    )
    for key, sets in (*less.items(), *most.items()):
        capped[key] = min(sets, capped.get(key, sets))
    return capped


def _pain_lines(pain: PainState, library: Library) -> list[str]:
    lowered = "allowed one level less until it is cleared"
    names = {region: library.regions[region].name for region in pain.regions if region in library.regions}
    regions = [f"{name}: {lowered} ({pain.regions[region]})" for region, name in names.items()]
    spared = {key for item in pain.out if item.alone for key in item.tolerated if key not in pain.barred}
    spared_names = joined([name_of(library, key) for key in sorted(spared)])
    kept = [f"{spared_names}: done without pain, so not out: the last load, fewer sets"] if spared else []
    return [*pain.sheet_lines, *regions, *kept]
