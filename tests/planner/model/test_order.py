"""Order inside a session: no station gone back to, and among such orders the most urgent exercises first."""

from dataclasses import replace
from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tiny_week import FLY, RAISE, goal, tiny
from tiny_week import PRESS as LIGHT_PRESS

from planner.model.order import in_blocks, in_order, station, urgency

PRESS = replace(LIGHT_PRESS, warmup_sets=1)


def exercise(key, *needs, **facts):
    return replace(RAISE, key=key, station=needs, grades={}, **facts)


def ordered(*candidates, **more):
    problem = tiny(candidates=candidates, **more)
    return in_order(problem, [one.key for one in candidates])


ROW = replace(PRESS, key="row", trains="", credits={"rear": 0.6}, family="row", set_seconds=90)
ROW = replace(ROW, station=("dumbbells",))
HERE = replace(FLY, station=("dumbbells",))


@pytest.mark.parametrize("asked_in", list(permutations((HERE, RAISE, PRESS, ROW))))
def test_presses_and_pulls_come_before_raises(asked_in):
    rear_first = (goal("front"), goal("side"), goal("rear", priority=2.0))
    assert ordered(*asked_in) == ["press", "row", "raise", "fly"]  # own before helping, then the longest
    assert ordered(*asked_in, heads=rear_first) == ["fly", "row", "press", "raise"]


def test_own_movements_come_before_helping_ones_and_ties_fall_to_the_library():
    twin, helper = (replace(RAISE, key=key, place=9) for key in ("twin", "helper"))
    helper = replace(helper, trains="", set_seconds=300, credits={"side": 0.6})
    assert ordered(helper, twin, RAISE) == ["raise", "twin", "helper"]


def test_the_first_block_is_no_pair_with_a_lift_though_walks_would_be_spared():
    low = exercise("low", "bands")
    push_up = replace(PRESS, key="push_up", station=(), place=9)
    twin = replace(ROW, key="twin", station=("machine",), place=8)
    problem = tiny(candidates=(RAISE, low, ROW, twin, push_up))
    pairs = [("raise", "row"), ("low", "twin")]
    first, *others = in_blocks(problem, list(problem.by_key), pairs)
    assert first == ("push_up",)
    assert {frozenset(block) for block in others} == {frozenset(pair) for pair in pairs}


PLACES = st.lists(st.sets(st.sampled_from(("x", "y", "z", "flat_bench")), max_size=2), min_size=1, max_size=5)


def returns(candidates):
    """How often a station is gone back to."""
    runs = 0
    for place in frozenset().union(*map(station, candidates)):
        at = [number for number, one in enumerate(candidates) if place in station(one)]
        runs += sum(later != earlier + 1 for earlier, later in pairwise(at))
    return runs


def twins(candidates):
    """How often two of a family stand side by side."""
    return sum(one.family == other.family for one, other in pairwise(candidates))


@given(places=PLACES, seconds=st.lists(st.integers(50, 200), min_size=5, max_size=5))
def test_the_order_is_the_best_of_all(places, seconds):
    candidates = [
        exercise(f"e{at}", *sorted(needs), set_seconds=seconds[at], place=at, family="abb"[at % 3])
        for at, needs in enumerate(places)
    ]
    problem = tiny(candidates=tuple(candidates))
    priority = {head.head: head.priority for head in problem.heads}
    ranked = []
    for order in permutations(candidates):
        ranked.append((returns(order), [urgency(one, priority, "") for one in order], order))
    first = min(ranked, key=lambda entry: entry[:2])[2][0]
    begun = [entry for entry in ranked if entry[2][0] is first]
    best = min(begun, key=lambda entry: (entry[0], twins(entry[2]), entry[1]))[2]
    assert in_order(problem, list(problem.by_key)) == [one.key for one in best]
