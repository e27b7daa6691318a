"""Paired sets: two exercises of different heads alternate, so that one head rests while the other works.

n sets each, straight: n·(t₁ + rest₁) + n·(t₂ + rest₂); in turns: n·(t₁ + swap + t₂ + rest), with the longer of
both rests (training facts §10). Heavy first lifts are left alone: a trial lost load on them.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from library.schema import with_included
from planner.document import Plan
from planner.method import WeekSettings
from planner.model.problem import Candidate, Problem, SessionKind
from planner.model.program import Program, Terms

Pair = tuple[str, str]  # keys of two exercises done in turns
IN_HAND = frozenset({"dumbbells", "kettlebells", "plates", "bands"})  # lie ready for both of a pair
STATIONS = frozenset({"cable", "machine", "smith_machine"})  # nobody keeps two of them from others


def saved_seconds(settings: WeekSettings, one: Candidate, other: Candidate, sets: int) -> int:
    """Seconds that n sets each in turns take less than straight; as always, no rest follows the last set."""
    longest = max(one.rest_seconds, other.rest_seconds)
    straight = sum(sets * each.set_seconds - each.rest_seconds for each in (one, other))
    work = one.set_seconds - one.rest_seconds + other.set_seconds - other.rest_seconds
    turn = work + settings.pair_swap_seconds + longest
    return straight - (sets * turn - longest)


def may_pair(settings: WeekSettings, one: Candidate, other: Candidate, lead: str = "") -> bool:
    """Whether two exercises may alternate: no head in common, no equipment but what is held, no two stations, neither a
    heavy lift.

    Nor does the head that leads wait for a lift of several joints, which is no pair to open a session with.
    """
    if is_heavy(settings, one) or is_heavy(settings, other) or {one.implement, other.implement} <= STATIONS:
        return False
    both = (one, other), (other, one)
    if lead and any(first.trains == lead and second.multi_joint for first, second in both):
        return False
    heads = worked(settings, one), worked(settings, other)
    if not all(heads) or heads[0] & heads[1]:
        return False
    return with_included(one.station).isdisjoint(set(with_included(other.station)) - IN_HAND)


def worked(settings: WeekSettings, candidate: Candidate) -> frozenset[str]:
    """Heads that an exercise works too hard for a rest, its main one among them."""
    hard = {head for head, credit in candidate.credits.items() if credit >= settings.pair_working_credit}
    return frozenset(hard | ({candidate.main_head} - {""}))


def is_heavy(settings: WeekSettings, candidate: Candidate) -> bool:
    """Whether a lift is heavy by its warm-up: multi-joint, with two lighter sets before the first hard one."""
    return candidate.multi_joint and candidate.warmup_sets >= settings.pair_heavy_warmup_sets


def pairs_of(problem: Problem, plan: Plan, day: str) -> tuple[Pair, ...]:
    """Pairs of a session that save most time together; none unless the brief asks for pairs.

    A multi-joint lift is in a pair only where another stands alone and can come first.
    """
    if not problem.paired:
        return ()
    sets = {key: count for (key, where), count in plan.items() if where == day}
    lifts = sorted((problem.by_key[key] for key in sets), key=lambda lift: lift.place)
    possible = {
        (one.key, other.key): saved
        for one, other in combinations(lifts, 2)
        if sets[one.key] == sets[other.key] and may_pair(problem.settings, one, other, problem.leading)
        if (saved := saved_seconds(problem.settings, one, other, sets[one.key])) > 0
    }
    best: tuple[Pair, ...] = ()
    for pairs in matchings(tuple(possible)):
        if sum(possible[pair] for pair in pairs) > sum(possible[pair] for pair in best):
            best = pairs if leaves_a_first_lift(lifts, pairs) else best
    return best


def matchings(possible: Sequence[Pair]) -> Iterator[tuple[Pair, ...]]:
    """All sets of pairs without a common exercise, in a fixed order."""
    if not possible:
        yield ()
        return
    (one, other), *rest = possible
    for pairs in matchings([pair for pair in rest if one not in pair and other not in pair]):
        yield ((one, other), *pairs)
    yield from matchings(rest)


def leaves_a_first_lift(lifts: Sequence[Candidate], pairs: Sequence[Pair]) -> bool:
    """Whether some multi-joint lift stands alone, if any is in a pair."""
    in_pairs = {key for pair in pairs for key in pair}
    multi_joint = {lift.key for lift in lifts if lift.multi_joint}
    return not multi_joint & in_pairs or bool(multi_joint - in_pairs)


def seconds_saved(problem: Problem, plan: Plan, day: str) -> int:
    """Seconds that the pairs of a session save."""
    return sum(
        saved_seconds(problem.settings, problem.by_key[one], problem.by_key[other], plan[one, day])
        for one, other in pairs_of(problem, plan, day)
    )


def seconds_of(problem: Problem, plan: Plan, key: str, day: str) -> float:
    """Seconds of one exercise in a session; of a pair, each has half of what they save."""
    straight = problem.by_key[key].seconds(plan[key, day])
    pair = next((pair for pair in pairs_of(problem, plan, day) if key in pair), None)
    if pair is None:
        return straight
    one, other = (problem.by_key[name] for name in pair)
    return straight - saved_seconds(problem.settings, one, other, plan[key, day]) / 2


def pair_rows(program: Program, session: SessionKind) -> Terms:
    """Σj p[i,j,n] ≤ Σ blocks of kind i with n sets, p whole: so many pairs of kinds i and j in a session, n sets each.

    Exercises that work the same heads at the same equipment and rest as long are one kind. A multi-joint lift is in a pair
    only where another of the session stands alone, to come first. Gives each column of pairs with the seconds it saves.
    """
    problem, settings = program.problem, program.problem.settings
    if not problem.paired:
        return {}
    kinds: dict[tuple[object, ...], tuple[Candidate, int, list[int]]] = {}
    for candidate, day in program.pairs:
        if day.id == session.id and not is_heavy(settings, candidate):
            leads = candidate.trains == problem.leading
            alike = (worked(settings, candidate), frozenset(candidate.station), candidate.rest_seconds, leads)
            for sets, column in program.blocks[candidate.key, day.id].items():
                kind = kinds.setdefault((*alike, candidate.multi_joint, sets), (candidate, sets, []))
                kind[2].append(column)
    saved: Terms = {}
    of_kind: dict[int, Terms] = {}
    lifts: Terms = {}
    for (at, first), (other_at, second) in combinations(enumerate(kinds.values()), 2):
        if first[1] != second[1] or not may_pair(settings, first[0], second[0], problem.leading):
            continue
        seconds = saved_seconds(settings, first[0], second[0], first[1])
        if seconds > 0:
            column = program.variable(0, min(len(first[2]), len(second[2])), whole=True)
            saved[column] = seconds
            of_kind.setdefault(at, {})[column] = of_kind.setdefault(other_at, {})[column] = 1.0
            if joints := first[0].multi_joint + second[0].multi_joint:
                lifts[column] = float(joints)
    for at, (_, _, blocks) in enumerate(kinds.values()):
        if at in of_kind:
            terms = of_kind[at] | dict.fromkeys(blocks, -1.0)
            program.row("pairs", terms, high=0, unit="pairs", about=str(at), day=session.id)
    _leave_a_first_lift(program, session, lifts)
    program.saved |= {column: int(seconds) for column, seconds in saved.items()}
    return saved


def _leave_a_first_lift(program: Program, session: SessionKind, lifts: Terms) -> None:
    """Σ multi-joint lifts in pairs ≤ most·first and Σ multi-joint lifts alone ≥ first, first = 0 or 1."""
    if lifts:
        first = program.variable(0, 1, whole=True)
        most = sum(count * program.variables[column].high for column, count in lifts.items())
        program.row("pairs", {**lifts, first: -most}, high=0, unit="lifts", about="lifts", day=session.id)
        alone = program.count(lambda one: one.multi_joint, session.id)
        alone |= {column: -count for column, count in lifts.items()} | {first: -1.0}
        program.row("pairs", alone, low=0, unit="lifts", about="first", day=session.id)
