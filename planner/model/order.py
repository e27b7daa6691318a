"""Order inside a session: a head that leads, then heavy lifts, no station visited twice, pairs together."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count

from planner.model.pairs import Pair
from planner.model.problem import Candidate, Problem

FURNITURE = frozenset({"flat_bench", "adjustable_bench"})  # what another client can lend
Rank = tuple[bool, int, float, int, bool, bool, int, int]
Stations = frozenset[str]
Block = tuple[Candidate, ...]  # one exercise, or two that are done in turns


@dataclass(frozen=True)
class Walk:
    """Where the client has come to: the block just done, the stations of it, and those that were left; the head that leads."""

    lead: str
    last: Block | None = None
    at: Stations = frozenset()
    behind: Stations = frozenset()


@dataclass(frozen=True)
class Spare:
    """What an order may still cost: stations gone back to, and near twins side by side."""

    returns: int
    twins: int


def in_order(problem: Problem, keys: Sequence[str]) -> list[str]:
    """Put the exercises of one session in the order in which they are trained, each by itself."""
    return [key for block in in_blocks(problem, keys, ()) for key in block]


def in_blocks(problem: Problem, keys: Sequence[str], pairs: Sequence[Pair]) -> list[tuple[str, ...]]:
    """Put the blocks of one session in the order in which they are trained: single exercises and pairs.

    Large and multi-joint lifts come first (ACSM 2009), after the own movements of a head that leads. Among such
    orders those that go back to as few stations as can be, and of those the one with the most urgent exercises first
    (the priority head, own movements before helping: our choice). What follows its first block is set so that as few
    near twins as can be stand side by side (our choice). A pair with a multi-joint lift does not come first: a heavy
    first lift is left alone.
    """
    priority = {goal.head: goal.priority for goal in problem.heads}
    lead = problem.leading
    ranked = sorted((problem.by_key[key] for key in keys), key=lambda one: urgency(one, priority, lead))
    blocks = list(together(ranked, pairs))
    returns, order = next(
        (returns, order)
        for returns in count()
        if (order := first_order(blocks, Walk(lead), Spare(returns, len(blocks)))) is not None
    )
    apart = (
        first_order(blocks, Walk(lead), Spare(returns, twins), order[:1]) for twins in range(len(blocks))
    )
    found = next((one for one in apart if one is not None), order)
    return [tuple(one.key for one in block) for block in found]


def together(ranked: Sequence[Candidate], pairs: Sequence[Pair]) -> Iterator[Block]:
    """Give the blocks, the most urgent first; a pair is as urgent as the more urgent of its two."""
    partner = {key: other for pair in pairs for key, other in (pair, pair[::-1])}
    done: set[str] = set()
    for one in ranked:
        if one.key not in done:
            block = (one, *(other for other in ranked if other.key == partner.get(one.key)))
            done.update(member.key for member in block)
            yield block


def first_order(
    left: Sequence[Block], walk: Walk, spare: Spare, first: Sequence[Block] = ()
) -> list[Block] | None:
    """Find the first order of `left`, which is most urgent first, that needs no more than what is to spare.

    It begins with `first` where that is given. A head that leads, then multi-joint lifts come before all others, and outward
    rotations last, whatever walks that costs; where the session begins, a pair with such a lift waits.
    """
    if not left:
        return []
    begins = walk.last is None and len(left) > 1
    ready = [block for block in left if not (begins and is_heavy_pair(block))]
    leads = [block for block in ready if any(one.trains == walk.lead for one in block)] if walk.lead else []
    lifts = [block for block in ready if any(one.is_heavy for one in block)]
    others = [block for block in ready if any(one.trains or one.multi_joint for one in block)]
    for block in first or leads or lifts or others or ready:
        rest = [other for other in left if other is not block]
        here = stations(block)
        gone = (walk.behind | walk.at) - here
        needed_again = gone & frozenset().union(*map(stations, rest))
        returns = spare.returns - len(here & walk.behind)
        twins = spare.twins - (walk.last is not None and are_twins(walk.last, block))
        if returns >= len(needed_again) and twins >= 0:
            order = first_order(rest, Walk(walk.lead, block, here, gone), Spare(returns, twins))
            if order is not None:
                return [block, *order]
    return None


def are_twins(one: Block, other: Block) -> bool:
    """Whether two blocks hold single-joint exercises of one family: the second finds its head tired."""
    families = [{each.family for each in block if not each.multi_joint} for block in (one, other)]
    return not families[0].isdisjoint(families[1])


def is_heavy_pair(block: Block) -> bool:
    """Whether a block is a pair that holds a multi-joint lift."""
    return len(block) > 1 and any(one.is_heavy for one in block)


def stations(block: Block) -> Stations:
    """Equipment of a whole block that makes the client walk."""
    return frozenset().union(*map(station, block))


def station(candidate: Candidate) -> Stations:
    """Equipment that makes the client walk: all that is occupied but a bench, which is pulled along."""
    return frozenset(candidate.station) - FURNITURE or frozenset(candidate.station)


def urgency(candidate: Candidate, priority: Mapping[str, float], lead: str) -> Rank:
    """Give a sort key: the head that leads, main lifts, heavy pulls, other lifts that help, then by priority.

    Own movements come before helping ones. A light lift that is chosen for its head (a face pull) ranks with the
    raises; what has no load stands last, and free weights stand before machines.
    """
    wanted = priority.get(candidate.main_head, 0.0)
    kinds = (candidate.main_lift, candidate.is_heavy, candidate.multi_joint and not candidate.trains)
    return (
        not lead or candidate.trains != lead,
        kinds.index(True) if True in kinds else len(kinds),
        -wanted,
        0 if candidate.trains else 1,
        not candidate.station,
        candidate.implement == "machine",
        -candidate.set_seconds,
        candidate.place,
    )
