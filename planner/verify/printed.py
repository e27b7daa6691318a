"""All else that is printed: credits, doses, order, minutes, library facts, loads, sources, proof."""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from library.schema import Exercise
from planner.document import PlannedExercise, PlannedSession, exercises_of
from planner.verify import asked as wishes
from planner.verify import sums
from planner.verify.asked import ALSO_THERE, HELD, WHOLE, Asked, asked, is_careful, wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.sums import PAIR, SECONDS_PER_MINUTE, blocks, by_movers, credit, dose, leading

NINE_TENTHS = 0.9  # chance_target90 is the chance of nine tenths of the target
DOSE_UNIT = "missed sets"


def credits_stated(case: Case) -> Iterator[Finding]:
    """Printed credit = c[e,h]; a head with a target that is not printed is worth 0."""
    for session, planned in case.planned():
        for head in dict.fromkeys((*wanted(case), *planned.credits)):
            worth, stated = credit(case, planned.exercise, head), planned.credits.get(head, 0.0)
            what = f"{session.id}: credit of {planned.exercise} for {head}"
            yield from differs(what, worth, stated, case.tolerance.credit, "direct sets a set")


def doses_stated(case: Case) -> Iterator[Finding]:
    """One line a head with a target, none for a watched one; every dose in it = the sum done anew. Planned +
    elsewhere = counted = own + helping: which of the sets that help comes first is left open."""
    lines = Counter(line.head for line in case.document.dose)
    for head in wanted(case):
        yield from differs(f"lines of dose of {head}", 1, lines[head])
    for head in lines.keys() - set(case.trained):
        yield Finding("misstates", f"dose of {head}", "a head that is only watched", "a dose")
    for line in case.document.dose:
        wish, week = asked(case, line.head), dose(case, line.head)
        least, most = week.elsewhere
        movers = sum(by_movers(case, key, line.head) * sets for key, sets in case.sets().items())
        for word, worked_out, stated in (
            ("planned dose", week.counted - line.elsewhere, line.planned),
            ("dose from elsewhere", min(max(line.elsewhere, least), most), line.elsewhere),
            ("own dose", week.own + week.own_elsewhere, line.own), ("helping dose", week.aside, line.helping),
            ("dose beyond", week.helping + week.helping_elsewhere - week.aside, line.beyond),
            ("movers' count", movers, line.by_movers), ("floor", wish.floor, line.floor),
            ("target", wish.target, line.target), ("ceiling", wish.ceiling, line.ceiling),
        ):  # fmt: skip
            yield from differs(f"{word} of {line.head}", worked_out, stated, case.tolerance.dose, "sets")


def chances_hold(case: Case) -> Iterator[Finding]:
    """0 ≤ low90 ≤ total ≤ high90; 0 ≤ chance ≤ 1; the nearer of floor and 90 % of target is the likelier."""
    for line in case.document.dose:
        total, slack = line.planned + line.elsewhere, case.tolerance.goal
        if line.low90 < 0 or not line.low90 - slack <= total <= line.high90 + slack:
            stated = f"{line.low90:.4g} to {line.high90:.4g}"
            yield Finding("misstates", f"90 % interval of {line.head}", f"total {total:.4g}", stated, "sets")
        chances = (line.chance_floor, line.chance_target90)
        for chance in (chance for chance in chances if not 0 <= chance <= 1):
            yield Finding("misstates", f"chance for {line.head}", "a chance from 0 to 1", chance)
        near, far = chances if line.floor <= NINE_TENTHS * line.target else chances[::-1]
        if near < far - case.tolerance.full:
            what = f"chances of {line.head}: the farther dose is no likelier than the nearer"
            yield Finding("misstates", what, far, near)


def mark_stated(case: Case) -> Iterator[Finding]:
    """The block's mark fits: k-th week from the first, lighter where due, rise at most a fifth; RIR as asked."""
    mark = case.document.block
    if mark is not None:
        what, kinds = f"week {mark.number} of the block from {mark.first}", ("hard", "lighter")
        yield from differs(what, kinds[wishes.in_lighter_week(case)], kinds[mark.lighter])
        start = wishes.block_weeks(case)[-1].isoformat()
        yield from differs(f"start of {what}", start, case.document.week_start)
        yield from exceeds("rise of a step", mark.ramp_share, case.number("ramp_share_most"), WHOLE)
    for session, planned in case.planned():
        what = f"{session.id}: reserve of {planned.exercise}"
        warned = {of.kind for of in case.document.exercise_warnings if of.exercise == planned.exercise}
        least = case.number("pain_reserve_least") if warned & {"fewer", "back"} else 0
        yield from differs(what, max(wishes.reserve(case), least), planned.rir, unit="repetitions")


def pairs_sound(case: Case) -> Iterator[Finding]:
    """Order = 1 … n; a block letter is shared by neighbours only: by 2 where the brief asks for pairs, else by
    nobody. Two in turns have as many sets, no head and no equipment but what is held in common, and neither is a
    heavy lift; no session begins with a pair that holds a multi-joint lift."""
    most = PAIR if case.brief.preferences.paired else 1
    for session in case.document.sessions:
        orders = [planned.order for planned in session.exercises]
        yield from differs(f"{session.id}: order", str(list(range(1, len(orders) + 1))), str(orders))
        for block in blocks(session):
            places = [session.exercises.index(planned) for planned in block]
            if len(block) > most or places[-1] - places[0] != len(places) - 1:
                what = f"{session.id}: exercises in block {block[0].block}"
                yield Finding("breaks", what, len(block), most, "neighbours")
            reasons = [*_unpaired(case, session, *block)] if len(block) == PAIR else []
            if reasons:
                what = f"{session.id}: {block[0].exercise} in turns with {block[1].exercise}"
                yield Finding("breaks", what, ", ".join(reasons), "what can be done in turns")


def _unpaired(case: Case, session: PlannedSession, *block: PlannedExercise) -> Iterator[str]:
    """Why two exercises cannot be done in turns; a head works in one that is chosen for it, or in a lift of several joints
    that gives it nearly direct sets."""
    direct = case.number("pair_working_credit") + case.tolerance.credit
    known = [case.library.exercises[planned.exercise] for planned in block]

    def works(exercise: Exercise, head: str) -> bool:
        many = exercise.multi_joint or not exercise.trains
        return head == exercise.trains or (many and credit(case, exercise.key, head) > direct)

    occupied = [{*e.needs, *(also for item in e.needs for also in ALSO_THERE.get(item, ()))} for e in known]
    if block[0].sets != block[1].sets:
        yield f"{block[0].sets} and {block[1].sets} sets"
    yield from (f"both for {head}" for head in case.trained if all(works(e, head) for e in known))
    yield from (f"both at {key}" for key in sorted((occupied[0] & occupied[1]) - HELD))
    if {e.implement for e in known} <= {"cable", "machine", "smith_machine"}:
        yield "two stations taken"
    for planned, exercise in zip(block, known, strict=True):
        if exercise.multi_joint and planned.warmup_sets >= case.number("pair_heavy_warmup_sets"):
            yield f"{exercise.key} is a heavy lift"
        if exercise.multi_joint and planned.warmup_sets and session.exercises[0] in block:
            yield f"{exercise.key} begins the session"


def stations_once(case: Case) -> Iterator[Finding]:
    """No i < j < k with needs[i] = needs[k] ≠ ∅ and needs[j] ∩ needs[i] = ∅, i and k alone in their blocks. A pair
    stands at two stations at once, so that some walks cannot be spared; nor can those back to where a head that leads
    was trained first: its priority is so many times the next."""
    lead = leading(case)
    for session in case.document.sessions:
        known = case.library.exercises
        needs = {each.exercise: set(known[each.exercise].needs) for each in session.exercises}
        pairs = ([planned.exercise for planned in block] for block in blocks(session))
        together = {exercise: block for block in pairs for exercise in block}
        for first, between, last in combinations(needs, 3):
            there = set[str]().union(*(needs[key] for key in together[between]))
            alone = len(together[first]) == len(together[last]) == 1
            alone &= not lead or known[first].trains != lead
            if alone and there and needs[first] and needs[first] == needs[last] and not needs[first] & there:
                what = f"{session.id}: {last} goes back to the station of {first}"
                yield Finding("breaks", what, "2 visits", "1 visit")


def minutes_stated(case: Case) -> Iterator[Finding]:
    """Printed minutes = (t·x + u) / 60, the two of a pair share theirs; a session's = general warm-up + their sum."""
    slack = case.tolerance.minutes
    for session in case.document.sessions:
        for block in blocks(session):
            minutes = sums.block_seconds(case, block) / SECONDS_PER_MINUTE
            what = f"{session.id}: time of {' with '.join(planned.exercise for planned in block)}"
            stated = sum(planned.minutes for planned in block)
            yield from differs(what, minutes, stated, slack * len(block), "min")
        used, stated = sums.session_minutes(case, session), session.minutes.used
        warm_up = case.number("general_warmup_minutes")
        if session.exercises or abs(stated - warm_up) > slack:  # an empty session may print its warm-up
            yield from differs(f"{session.id}: minutes used", used, stated, slack, "min")


def as_in_library(case: Case) -> Iterator[Finding]:
    """Library facts as in the library, work = ⌈mean repetitions × tempo⌉, loads in the gym's unit."""
    for session, planned in case.planned():
        known, tempo = case.library.exercises[planned.exercise], planned.tempo
        each = tempo.lift + tempo.top + tempo.lower + tempo.bottom
        loaded = planned.load is not None or planned.load_unit is not None or planned.warmup_loads
        for word, found, stated in (
            ("name", known.name, planned.name), ("tempo", known.tempo.model_dump(), tempo.model_dump()),
            ("rest", known.rest_seconds, planned.rest_s), ("set-up", known.setup_seconds, planned.setup_s),
            ("warm-up sets", known.warmup_sets, planned.warmup_sets), ("sides", known.sides, planned.sides),
            ("kind of load", known.load_is, planned.load_is), ("repetitions", _reps(case, known), planned.reps),
            ("work", -(-sum(planned.reps) * each // 2), planned.work_s),
            ("head", known.trains if known.trains in wanted(case) else "", planned.trains),
            ("unit", case.gyms[session.gym].unit if loaded else None, planned.load_unit),
        ):  # fmt: skip
            yield from differs(f"{session.id}: {word} of {planned.exercise}", str(found), str(stated))
        for other in planned.instead:
            reps = _reps(case, case.library.exercises[other.exercise])
            what = f"{session.id}: repetitions of {other.exercise}"
            yield from differs(what, str(reps), str(other.reps))


def _reps(case: Case, exercise: Exercise) -> tuple[int, int]:
    """The library's range; of a lift of several joints moved up for skill 1 or where a region is not clear."""
    low, high = exercise.reps
    more = int(case.number("reps_least_careful")) - low if exercise.multi_joint and is_careful(case) else 0
    return low + max(0, more), high + max(0, more)


def loads_stated(case: Case) -> Iterator[Finding]:
    """A load is one that the gym's list makes."""
    for session, planned in case.planned():
        gym, source = case.gyms[session.gym], case.library.exercises[planned.exercise].load_from
        loads = [*planned.warmup_loads, *([] if planned.load is None else [planned.load])]
        made = gym.loads_of(source or "")
        for load in loads if made else ():
            if min(abs(each - load) for each in made) >= case.tolerance.full:
                what = f"{session.id}: load of {planned.exercise}"
                yield Finding("misstates", what, f"no such load in {session.gym}", load, gym.unit)


def sources_stated(case: Case) -> Iterator[Finding]:
    """Sources ⊆ evidence and the athlete's own rows; rows behind a printed credit of the library ⊆ sources."""
    known, stated = {row.id for row in case.library.evidence}, set(case.document.sources)
    pooled = case.pooled or {}
    own = {head: {row for row in of.rows if row.startswith("own:")} for head, of in pooled.items()}
    for source in sorted(stated - known.union(*own.values())):
        yield Finding("misstates", "source", "no such row of evidence", source)
    for key in case.sets():
        for head in wanted(case):
            filed = case.library.profiles.get(head, {}).get(key)
            missing = ", ".join(sorted(set(filed.rows) - stated)) if filed and not own.get(head) else ""
            if missing and credit(case, key, head) > 0:
                yield Finding("misstates", f"sources of {key} for {head}", missing, "none of these")


def missed_price(case: Case, total: float, wish: Asked) -> float:
    """Price of a dose: a missed set costs 1 down to midway to the floor, 2 down to it, 4 below; × priority."""
    missed, half = max(0.0, wish.target - total), (wish.target - wish.floor) / 2
    near = min(missed, half)
    lower = min(missed - near, half)
    prices = (("near", near), ("low", lower), ("below", missed - near - lower))
    return wish.priority * sum(sets * case.number(f"dose_price_{where}") for where, sets in prices)


def lift_price(case: Case) -> float:
    """Price of the main lifts that a week lacks, × priority."""
    stated = (missed.goal.partition(":") for missed in case.document.missed)  # `goals`: what may be stated
    priorities = (asked(case, head).priority for goal, _, head in stated if goal == "main_lift")
    return case.number("dose_price_main_lift") * sum(priorities)


def proof_stated(case: Case) -> Iterator[Finding]:
    """One row for the first aim (dose, of a cautious week shortfall) in missed sets, at most one for the rest. Value
    of dose = Σ price of missed sets; bound ≤ value; gap = value − bound; seconds ≥ 0. Where a later week of a block
    keeps its exercises, or the price holds a change (swap), a bound above 0 says among which plans it holds."""
    count, slack = Counter(row.aim for row in case.document.proof), case.tolerance.value
    first, other = ("shortfall", "dose") if case.document.cautious else ("dose", "shortfall")
    if count[first] != 1 or count[other] or count["rest"] > 1:  # type: ignore[index]
        stated = ", ".join(f"{aim} {times}" for aim, times in count.items())
        yield Finding("misstates", "rows of proof", f"{first} 1, rest 0 or 1", stated)
    for row in case.document.proof:
        what = f"of the {row.aim} aim"
        if row.aim == first:
            yield from differs(f"unit {what}", DOSE_UNIT, row.unit)
        if row.aim == "dose":
            value = sum(missed_price(case, dose(case, h).counted, asked(case, h)) for h in wanted(case))
            value += lift_price(case)
            yield from differs(f"value {what}", value, row.value, slack, DOSE_UNIT)
        if row.bound > row.value + slack:
            yield Finding("misstates", f"bound {what}", f"at most {row.value:.4g}", row.bound, row.unit)
        yield from differs(f"gap {what}", max(0.0, row.value - row.bound), row.gap, slack, row.unit)
        if not row.among and row.bound > slack and _is_among_some(case, row.aim == "rest"):
            yield Finding("misstates", f"bound {what}", "a bound among some plans", "not among which")
        if row.seconds < 0:
            yield Finding("misstates", f"seconds {what}", "0 or more", row.seconds, "s")


def _is_among_some(case: Case, rest: bool) -> bool:
    """Whether a bound cannot hold among all plans: the block's exercises stay, or (the rest) a change is priced. A
    cautious week that stays as it is keeps its own proof, in which no change is priced."""
    mark, before = case.document.block, case.last_week
    over = len(case.open_sessions) < len(case.document.sessions)
    if rest and case.document.cautious is None and (case.document.changes or over):
        return bool(case.sets())
    after_hard = before is not None and before.block is not None and not before.block.lighter
    return bool(mark and mark.number > 1) and after_hard and exercises_of(before) == case.sets().keys()


CHECKS: tuple[Check, ...] = (credits_stated, doses_stated, chances_hold, mark_stated, pairs_sound)
CHECKS += (stations_once, minutes_stated, as_in_library, loads_stated, sources_stated)
CHECKS += (proof_stated,)
