"""Order inside a session: no station gone back to, and among such orders the most urgent exercises first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny_week import FLY, PRESS, RAISE, goal, tiny

from planner.model.order import in_order, station, urgency
from planner.model.problem import Candidate, Problem

SMALL = {"shoulder": 0}


def exercise(key: str, *needs: str, **facts: object) -> Candidate:
    return replace(RAISE, key=key, station=needs, grades=SMALL, **facts)  # type: ignore[arg-type]


def ordered(*candidates: Candidate, **more: object) -> list[str]:
    problem = tiny(candidates=candidates, **more)
    return in_order(problem, [one.key for one in candidates])


def test_priority_comes_first_then_large_lifts() -> None:
    assert ordered(FLY, RAISE, PRESS) == [
        "press",
        "raise",
        "fly",
    ]  # all heads alike: multi-joint, then longest
    rear_first = (goal("front"), goal("side"), goal("rear", priority=2.0))
    assert ordered(PRESS, RAISE, FLY, heads=rear_first) == ["fly", "press", "raise"]


def test_ties_fall_to_the_library() -> None:
    twin = replace(RAISE, key="twin", place=9)
    assert ordered(twin, RAISE) == ["raise", "twin"]


def test_a_station_is_not_gone_back_to() -> None:
    slow_cable = exercise("slow_cable", "cable", set_seconds=200)
    quick_cable = exercise("quick_cable", "cable", set_seconds=50)
    machine = exercise("machine", "machine", set_seconds=100)
    assert ordered(machine, quick_cable, slow_cable) == ["slow_cable", "quick_cable", "machine"]


def test_near_twins_stand_apart_where_something_fits_between() -> None:
    slow, quick = (
        exercise("slow", "dumbbells", set_seconds=200),
        exercise("quick", "dumbbells", set_seconds=150),
    )
    rear = exercise("rear", "dumbbells", family="rear_fly", set_seconds=100)
    assert ordered(slow, quick, rear) == ["slow", "rear", "quick"]
    assert ordered(slow, quick) == ["slow", "quick"]
    cable = exercise(
        "cable", "cable", family="rear_fly", set_seconds=100
    )  # no station is gone back to for it
    assert ordered(slow, quick, cable) == ["slow", "quick", "cable"]


def test_the_most_urgent_exercise_stays_first_even_if_twins_then_meet() -> None:
    side_first = (goal("front"), goal("side", priority=2.0), goal("rear"))
    side = exercise("side", "dumbbells", set_seconds=100)
    rear, other = (
        exercise(key, "dumbbells", family="rear_fly", direct=frozenset({"rear"})) for key in ("rear", "other")
    )
    assert ordered(rear, side, other, heads=side_first)[0] == "side"


def test_two_multi_joint_lifts_of_a_family_come_first_side_by_side() -> None:
    first, second = (
        exercise(key, "dumbbells", multi_joint=True, family="row", set_seconds=seconds)
        for key, seconds in (("one_arm", 200), ("two_arm", 150))
    )
    rear = exercise("rear", "dumbbells", family="rear_fly")
    assert ordered(rear, second, first) == ["one_arm", "two_arm", "rear"]


def test_a_bench_is_pulled_along() -> None:
    seated = exercise("seated", "dumbbells", "flat_bench", set_seconds=200)
    cable = exercise("cable", "cable", set_seconds=150)
    standing = exercise("standing", "dumbbells", set_seconds=100)
    assert ordered(seated, cable, standing) == ["seated", "standing", "cable"]
    push_up = exercise("push_up", "flat_bench", set_seconds=150)  # the bench alone is no walk
    assert ordered(seated, push_up, standing) in (
        ["seated", "standing", "push_up"],
        ["push_up", "seated", "standing"],
    )


def test_what_needs_nothing_fits_between_only_if_no_station_is_left_by_it() -> None:
    floor = exercise("floor", set_seconds=150)
    slow, quick = exercise("slow", "cable", set_seconds=200), exercise("quick", "cable", set_seconds=100)
    assert ordered(slow, floor, quick) == ["slow", "quick", "floor"]


def test_where_going_back_cannot_be_helped_it_is_done_once() -> None:
    # each pair shares a station: any order of the three comes back to one
    first, second, third = exercise("a", "x", "y"), exercise("b", "y", "z"), exercise("c", "x", "z")
    found = ordered(first, second, third)
    assert sorted(found) == ["a", "b", "c"]
    assert ordered() == []


PLACES = st.lists(st.sets(st.sampled_from(("x", "y", "z", "flat_bench")), max_size=2), min_size=1, max_size=5)


def returns(candidates: list[Candidate]) -> int:
    """How often a station is gone back to."""
    runs = 0
    for place in set().union(*map(station, candidates)):
        at = [number for number, one in enumerate(candidates) if place in station(one)]
        runs += sum(later != earlier + 1 for earlier, later in pairwise(at))
    return runs


def twins(candidates: Sequence[Candidate]) -> int:
    """How often two of a family stand side by side."""
    return sum(one.family == other.family for one, other in pairwise(candidates))


@given(places=PLACES, seconds=st.lists(st.integers(50, 200), min_size=5, max_size=5))
@settings(max_examples=60, deadline=None)
def test_the_order_is_the_best_of_all(places: list[set[str]], seconds: list[int]) -> None:
    candidates = [
        exercise(
            f"e{number}", *sorted(needs), set_seconds=seconds[number], place=number, family="abb"[number % 3]
        )
        for number, needs in enumerate(places)
    ]
    problem: Problem = tiny(candidates=tuple(candidates))
    priority = {head.head: head.priority for head in problem.heads}
    urgent = [[urgency(one, priority) for one in order] for order in permutations(candidates)]
    walked = [returns(list(order)) for order in permutations(candidates)]
    ranked = sorted(zip(walked, urgent, permutations(candidates), strict=True), key=lambda entry: entry[:2])
    first = ranked[0][2][:1]
    begun = [entry for entry in ranked if entry[2][:1] == first]
    best = min(begun, key=lambda entry: (entry[0], twins(entry[2]), entry[1]))[2]
    found = [problem.candidate(key) for key in in_order(problem, [one.key for one in candidates])]
    assert returns(found) == returns(list(best))
    assert [one.key for one in found] == [one.key for one in best]


@pytest.mark.parametrize("given_order", list(permutations(("press", "raise", "fly"))))
def test_the_order_asked_in_does_not_matter(given_order: tuple[str, ...]) -> None:
    assert in_order(tiny(), given_order) == ["press", "raise", "fly"]
