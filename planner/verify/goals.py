"""By how much each goal is missed, recomputed from the printed plan."""

import math
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import accumulate, chain, combinations
from typing import NamedTuple

from library.schema import Exercise
from planner.athlete.brief import DAYS
from planner.document import PlannedSession, exercises_of
from planner.verify import sums
from planner.verify.asked import WHOLE, asked, faults, may_be_planned, smallest_block, wanted
from planner.verify.case import Case, once
from planner.verify.sums import PAIR, credit, dose, is_own, leading, own_wanted, session_dose

# each goal by its name, with the amount, or two, by which it is missed; reached where every reading says so
Misses = Iterator[tuple[str, float] | tuple[str, float, float]]
Rule = Callable[[Case], Misses]


class Goal(NamedTuple):
    """By how much a goal is missed, in its unit; words of the method leave a few amounts open: from least to most."""

    least: float
    most: float

    def __str__(self) -> str:
        return f"{self.least:.4g}" if self.least == self.most else f"{self.least:.4g} to {self.most:.4g}"


def doses(case: Case) -> Misses:
    """counted[h] + short[h] ≥ T[h], counted[h] − over[h] ≤ U[h], own[h] + miss ≥ (1 − a)·T[h] − own elsewhere."""
    for head in wanted(case):
        wish, week = asked(case, head), dose(case, head)
        yield f"dose:{head}", wish.target - week.counted
        yield f"ceiling:{head}", week.counted - wish.ceiling
        yield f"own:{head}", own_wanted(case, head) - week.own


def session_cap(case: Case) -> Misses:
    """Σe c·x[e,d] ≤ 11 a head and session, over the movements that are chosen for it; where it is wanted on two days or more
    at most the largest block above an even share."""
    block, most = case.number("largest_block_sets"), case.number("session_cap_sets")
    for head in wanted(case):
        even = [own_wanted(case, head) / days + block if days > 1 else most for days in _days(case, head)]
        for session in case.document.sessions:
            own = (each for each in session.exercises if is_own(case, each.exercise, head))
            given = sum(credit(case, each.exercise, head) * each.sets for each in own)
            over = [given - min(most, share) for share in even]
            yield f"session_cap:{head}:{session.id}", min(over), max(over)


def _days(case: Case, head: str) -> tuple[int, int]:
    """Days on which a head should be trained: as many as its own sets surely fill, and as asked. Days of its lifts elsewhere
    are some of them; one stays."""
    hard = {
        key: case.library.exercises[key].multi_joint and credit(case, key, head)
        for key in case.brief.elsewhere
    }
    least = case.number("pair_working_credit")
    lifts = {done.day for key, done in case.brief.elsewhere.items() if done.day and hard[key] >= least}
    sessions = [session for session in case.document.sessions if session.state != "missed"]
    want = min(max(1, asked(case, head).sessions - len(lifts)), len(sessions))
    return min(want, int((own_wanted(case, head) - case.tolerance.dose) // case.number("spread_sets"))), want


def _owes(case: Case) -> bool:
    """Whether a week owes variety and full days: not an empty one, and none in which no head lacks dose beside what is
    done elsewhere and nothing is pinned."""
    lacking = any(asked(case, head).target > dose(case, head).elsewhere[1] for head in wanted(case))
    return bool(case.sets()) and (bool(case.brief.preferences.pin) or lacking)


def booked(case: Case) -> Misses:
    """No session to come without work, two exercises in each, none above 1.5 times its share of the week's minutes. A
    week that needs nothing owes nothing, nor does a session that cannot hold so much. Minutes are training time:
    without the warm-up, pairs one after the other."""
    room = {session.id: max(0.0, _room(case, session)) for session in case.open_sessions}
    used = {of.id: sum(sums.exercise_seconds(case, p) for p in of.exercises) for of in case.open_sessions}
    for session in case.open_sessions:
        count, called = len(session.exercises), _called(case, session)
        fits, pair = _fits(case, session) if _owes(case) else 0, min(PAIR, called)
        if count == 0:
            yield f"booked:empty:{session.id}", fits > 0, 1
        else:
            yield f"booked:thin:{session.id}", min(pair, fits) - count, pair - count
            most = max(PAIR, count)
            yield f"booked:few:{session.id}", max(0, fits - most), max(0, called - most)
        share = case.number("booked_share_most") * room[session.id] / (sum(room.values()) or 1)
        over = used[session.id] - share * sum(used.values())
        yield f"booked:long:{session.id}", over / sums.SECONDS_PER_MINUTE


def _called(case: Case, session: PlannedSession) -> int:
    """Exercises that a session's booked minutes call for: one for each ten, two or three, above two in full blocks alone."""
    block = _variety(case, "short_block_sets_novice", "short_block_sets") * case.number("block_worth")
    own = sum(own_wanted(case, head) for head in wanted(case))
    full = math.ceil(own / len(case.open_sessions) / block - case.tolerance.dose)
    each = max(PAIR, min(full, int(session.minutes.allowed // case.number("booked_minutes_each"))))
    return min(int(case.number("booked_exercises")), each)


@once
def _block_seconds(case: Case, key: str, sets: int) -> float:
    return sums.exercise_seconds(case, sums.replaced(case, key, sets))


def _room(case: Case, session: PlannedSession) -> float:
    """Seconds of a session without its warm-up."""
    return sums.SECONDS_PER_MINUTE * (session.minutes.allowed - case.number("general_warmup_minutes"))


def _smallest(case: Case, session: PlannedSession, head: str = "") -> list[float]:
    """Seconds of the smallest block of each exercise (own movement of a head) that surely fits into a session, rising."""
    out = {key for key, days in case.brief.preferences.not_on.items() if session.day in days} | {*case.capped}
    some = (e for e in _candidates(case, True) if e.key not in out and head in ("", e.trains))
    fewest, keys = int(smallest_block(case)), (e.key for e in some if not faults(case, e.key, session.gym))
    seconds = (_block_seconds(case, key, fewest) for key in keys)
    return sorted(each for each in seconds if each <= _room(case, session))


def _fits(case: Case, session: PlannedSession) -> int:
    """How many smallest blocks, up to what is called for, surely fit into a session."""
    totals = accumulate(_smallest(case, session)[: _called(case, session)])
    return sum(total <= _room(case, session) for total in totals)


def twins(case: Case) -> Misses:
    """In one session no two exercises of one family with the same implement, of main lifts with any; and no two
    movements of one family, main lifts and those of a head that leads or needs too many sets aside."""
    most = case.number("largest_block_sets")
    free = {head for head in wanted(case) if own_wanted(case, head) > most * asked(case, head).sessions}
    free |= {leading(case)} - {""}
    for session in case.document.sessions:
        light = (e for e in _there(case, session) if not _is_lift(case, e) and e.trains not in free)
        counts = Counter(f"twins:{session.id}:{_movement(case, e)}" for e in _there(case, session))
        counts += Counter(f"kindred:{session.id}:{_version(case, e)}" for e in light)
        for name, count in counts.items():
            yield name, (count - 1) * _to_come(session), count - 1


def _there(case: Case, session: PlannedSession) -> list[Exercise]:
    return [case.library.exercises[planned.exercise] for planned in session.exercises]


def _to_come(*sessions: PlannedSession) -> bool:
    """Whether some of them is: of sessions that are all over either word will do."""
    return any(session.state == "planned" for session in sessions)


def _neighbours(case: Case) -> Iterator[tuple[str, PlannedSession, PlannedSession]]:
    """Sessions on days next to each other with both names, in the order of the week, so that its turn is "Mon-Sun"."""
    in_week_order = sorted(case.document.sessions, key=lambda session: DAYS.index(session.day))
    for one, other in combinations(in_week_order, 2):
        if DAYS.index(other.day) - DAYS.index(one.day) in (1, len(DAYS) - 1):
            yield f"{one.id}-{other.id}", one, other


def next_day(case: Case) -> Misses:
    """No movement on two days running: a family with one implement, of a main lift with any. Over the week's end
    either will do."""
    for names, *both in _neighbours(case):
        owed = _to_come(*both) and DAYS.index(both[1].day) - DAYS.index(both[0].day) == 1
        for movement in set.intersection(*({_movement(case, e) for e in _there(case, day)} for day in both)):
            yield f"next_day:{movement}:{names}", owed, 1


def rested(case: Case) -> Misses:
    """No head, by own movements, on three days running, the week's end included; not on two where it leads or is wanted
    on more days than usual."""
    on = {session.day: session for session in case.document.sessions}
    for head in wanted(case):
        named = asked(case, head).sessions > case.number("spread_sessions")
        length = 2 if named or head == leading(case) else 3
        for at in range(len(DAYS)):
            run = [on[day] for day in (*DAYS, *DAYS)[at : at + length] if day in on]
            own = all(any(e.trains == head for e in _there(case, day)) for day in run)
            if own and len(run) == length:
                yield f"rested:{head}:{'-'.join(day.id for day in run)}", _to_come(*run), 1


def _is_lift(case: Case, exercise: Exercise) -> bool:
    return bool(exercise.trains) and case.library.families[exercise.family].main_lift


def _movement(case: Case, exercise: Exercise) -> str:
    held = "lift" if _is_lift(case, exercise) else _held(exercise)
    return f"{_version(case, exercise)}:{held}"


def _version(case: Case, exercise: Exercise) -> str:
    return case.library.families[exercise.family].version_of or exercise.family


def _variety(case: Case, novice: str, other: str) -> float:
    return case.number(novice if case.brief.athlete.training_status == "novice" else other)


def repeats(case: Case) -> Misses:
    """A family with one implement, of main lifts with any, stands in two sessions of the week at most."""
    most = _variety(case, "repeat_sessions_novice", "repeat_sessions")
    there = (_there(case, session) for session in case.document.sessions)
    kinds = ({f"{e.family}:lift" if _is_lift(case, e) else _kind(e) for e in of} for of in there)
    for kind, sessions in Counter(chain.from_iterable(kinds)).items():
        yield f"repeats:{kind}", sessions - most


def mixed(case: Case) -> Misses:
    """A session with two exercises or more has own movements of every head that its gym has some of."""
    for session in case.open_sessions:
        trained = len({e.trains for e in _there(case, session)} & {*wanted(case)})
        possible = sum(bool(_smallest(case, session, head)) for head in wanted(case)) if _owes(case) else 0
        owed = min(_fits(case, session), possible) > 1
        yield f"mixed:{session.id}", owed * (possible - trained), len(wanted(case)) - trained


def heavy_days(case: Case) -> Misses:
    """Not both Σ c·x[e,d] > 6 and Σ c·x[e,d'] > 6 on days next to each other, Sunday to Monday too."""
    for names, one, other in _neighbours(case):
        for head in wanted(case):
            lighter = min(session_dose(case, one, head), session_dose(case, other, head))
            heavy = lighter > case.number("heavy_day_sets") + WHOLE
            yield f"heavy_days:{head}:{names}", float(heavy)


def spread(case: Case) -> Misses:
    """Sessions with two own sets or more are at least min(2, sessions not missed), where so much own work is wanted.
    Two sets: of an own movement, or read as direct sets, of their credits."""
    least_sets = case.number("spread_sets")
    for head in wanted(case):
        sessions = [session for session in case.document.sessions if session.state != "missed"]
        enough, want = _days(case, head)
        days = [[p for p in session.exercises if is_own(case, p.exercise, head)] for session in sessions]
        maybe = sum(sum(p.sets for p in own) >= least_sets for own in days)
        surely = sum(sum(p.sets * credit(case, p.exercise, head) for p in own) >= least_sets for own in days)
        yield f"spread:{head}", enough - maybe, want - surely


def share(case: Case) -> Misses:
    """Σ c·x ≤ max(s·T, smallest block·c) over a kind (family and implement) that trains h, main lifts aside, where h has two."""
    part = case.brief.variety.share or _variety(case, "share_novice", "share_of_target")
    block, sets = smallest_block(case), case.sets()
    for head in wanted(case):
        own = ([e for e in of if e.trains == head and not _is_lift(case, e)] for of in _lists(case))
        planned, *could_be = ([(_kind(e), e.key, credit(case, e.key, head)) for e in of] for of in own)
        for kind in dict.fromkeys(kind for kind, *_ in planned):
            given = sum(sets[key] * worth for of, key, worth in planned if of == kind)
            over = [0.0, 0.0]
            for at, of in enumerate(could_be):
                best = [worth for other, _, worth in of if other == kind]
                if best and len({other for other, *_ in of}) > 1:
                    over[at] = given - max(part * asked(case, head).target, block * max(best))
            yield f"share:{head}:{kind}", min(over), max(over)


def _kind(exercise: Exercise) -> str:
    return f"{exercise.family}:{_held(exercise)}"


def _held(exercise: Exercise) -> str:
    return "dumbbell" if exercise.implement in ("dumbbell", "kettlebell", "plate") else exercise.implement


@once
def _candidates(case: Case, surely: bool) -> list[Exercise]:
    """Exercises that some session held or may hold; `surely`: worth something to a wanted head, and called for. What
    coaches reach for only with a reason is called for if it is named or stood in last week's plan; in a later week of
    a block nothing but what stood there is."""
    wishes, before, mark = case.brief.preferences, exercises_of(case.last_week), case.document.block
    named, done = {*wishes.prefer, *wishes.pin, *before}, case.sets("done")
    open_to_us = [e for e in case.library.exercises.values() if e.key in done or may_be_planned(case, e.key)]
    if not surely:
        return open_to_us
    worth = [e for e in open_to_us if any(credit(case, e.key, head) > 0 for head in wanted(case))]
    if mark and mark.number > 1:
        return [e for e in worth if e.key in before]
    return [e for e in worth if e.key in named or e.choice <= case.number("usual_choice")]


def _lists(case: Case) -> tuple[list[Exercise], list[Exercise], list[Exercise]]:
    """What is planned, what surely could be, and what may be."""
    planned = [case.library.exercises[key] for key in case.sets()]
    return planned, _candidates(case, True), _candidates(case, False)


def implements(case: Case) -> Misses:
    """Different implements of own movements, the bare body aside, ≥ min(i, those that the rooms offer)."""
    want = case.brief.variety.implements or int(case.number("variety_implements"))
    own = ([e for e in of if e.trains in wanted(case)] for of in _lists(case))
    used, narrow, wide = (len({e.implement for e in of if e.needs}) for of in own)
    yield "implements", (min(want, narrow) - used) * _owes(case), min(want, wide) - used


def named(case: Case) -> Misses:
    """Each asked family has an exercise in the week, where the rooms have one (`raise` asks for any kind of raise), and
    each preferred exercise that the rooms and joints allow is in it."""
    wishes = [("family", word) for word in case.brief.variety.families]
    for kind, word in [*wishes, *(("prefer", key) for key in case.brief.preferences.prefer)]:
        planned, narrow, wide = (
            any(e.key == word if kind == "prefer" else f"_{e.family}".endswith(f"_{word}") for e in of)
            for of in _lists(case)
        )
        if not planned:
            yield f"{kind}:{word}", narrow and _owes(case), wide


def main_lift(case: Case) -> Misses:
    """One main lift of each head that wants one is in the week: its target is 3 or more, a session has time for it."""
    pinned, least = case.brief.preferences.pin, int(case.number("smallest_block_sets"))
    room = max((_room(case, session) for session in case.open_sessions), default=0.0)
    for head in wanted(case):
        surely, maybe = (
            {e.key for e in of if _is_lift(case, e) and e.trains == head and credit(case, e.key, head) > 0}
            for of in _lists(case)[1:]
        )
        fitting = {key for key in maybe if key in pinned or _block_seconds(case, key, least) <= room}
        enough = asked(case, head).target >= case.number("main_lift_target")
        if enough and fitting.isdisjoint(case.sets()):
            owed = bool(surely & fitting) and own_wanted(case, head) > 0 and _owes(case)
            yield f"main_lift:{head}", owed, bool(fitting)


def rotation(case: Case) -> Misses:
    """Kept exercises of last week ≥ r, every change may be counted; at most one new own movement a head."""
    if case.last_week is None:
        return
    before = exercises_of(case.last_week)
    kept = len(before & case.sets().keys())
    still_open = sum(exercise.key in before for exercise in _candidates(case, True))
    least = min(case.brief.variety.keep or 0, still_open) - kept
    yield "rotation", least, len(before) - kept
    most = int(case.number("new_exercises_per_head"))
    for head in wanted(case) if before else ():
        new = sum(is_own(case, key, head) and key not in before for key in case.sets())
        yield f"new:{head}", new - most


RULES: tuple[Rule, ...] = (doses, session_cap, booked, twins, next_day, rested, repeats)
RULES += (mixed, heavy_days, spread, share, implements, named, main_lift, rotation)


def missed_goals(case: Case) -> dict[str, Goal]:
    """Every goal that is or may be called missed, by name."""
    found = ((name, amounts) for rule in RULES for name, *amounts in rule(case))
    return {name: Goal(min(amounts), max(amounts)) for name, amounts in found if max(amounts) > 0}
