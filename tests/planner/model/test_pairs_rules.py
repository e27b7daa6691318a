"""Paired sets: the published worked example, what may be paired, and the pairs that save most."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.model.limits.time import seconds_used
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, tiny
from week_cases import random_problem

from planner.document import Plan
from planner.method import WeekSettings
from planner.model.aims import rest_value
from planner.model.order import in_blocks
from planner.model.pairs import (
    leaves_a_first_lift,
    matchings,
    may_pair,
    pair_seconds,
    pairs_of,
    saved_seconds,
    seconds_of,
    straight_seconds,
)
from planner.model.problem import Candidate, Problem

DEFAULT = WeekSettings()
LATERAL = replace(RAISE, rest_seconds=75)  # works 45 s
REVERSE = replace(FLY, rest_seconds=60, credits={"rear": 1.0}, direct=frozenset({"rear"}))  # works 40 s
LIFT = replace(PRESS, rest_seconds=120, warmup_sets=1)  # works 40 s, multi-joint
ROW = replace(
    REVERSE, key="row", place=3, multi_joint=True, station=("seated_row_station",), implement="machine"
)


def test_the_worked_example_takes_35_9_per_cent_less() -> None:
    # training facts §10: 6 exercises of 4 sets, 40 s of work, 120 s of rest, 5 s to change over;
    # Burke et al. 2024 (preprint) measured 36 % less
    straight = 6 * straight_seconds(4, 40, 120)
    in_turns = 3 * pair_seconds(4, 40, 40, 5, 120)
    assert (straight, in_turns) == (3840, 2460)
    assert 1 - in_turns / straight == pytest.approx(0.359, abs=0.0005)


def test_what_a_pair_saves_by_hand() -> None:
    # straight 3·(45 + 75) − 75 and 3·(40 + 60) − 60; in turns 3·(45 + 5 + 40 + 75) − 75
    assert saved_seconds(DEFAULT, LATERAL, REVERSE, 3) == (285 + 240) - 420
    assert saved_seconds(DEFAULT, REVERSE, LATERAL, 3) == 105
    slow = replace(DEFAULT, pair_swap_seconds=60)
    assert saved_seconds(slow, LATERAL, REVERSE, 3) == 105 - 3 * 55


@pytest.mark.parametrize(
    ("changes", "may"),
    [
        ({}, True),
        ({"credits": {"rear": 1.0, "side": 0.6}}, True),  # a helper's share is no direct set
        ({"credits": {"rear": 1.0, "side": 0.75}, "direct": frozenset({"rear", "side"})}, False),
        (
            {"credits": {"side": 0.6, "rear": 0.5}, "direct": frozenset()},
            False,
        ),  # most of it goes to the side
        ({"credits": {}, "direct": frozenset()}, False),  # of no head at all
        ({"station": ("dumbbells", "flat_bench")}, False),
        ({"station": ()}, True),  # the floor is free
        ({"multi_joint": True, "warmup_sets": 2}, False),
        ({"multi_joint": True, "warmup_sets": 1}, True),
        ({"multi_joint": False, "warmup_sets": 2}, True),
    ],
)
def test_what_may_be_paired(changes: dict[str, Any], may: bool) -> None:
    other = replace(REVERSE, **changes)
    assert may_pair(DEFAULT, LATERAL, other) is may
    assert may_pair(DEFAULT, other, LATERAL) is may


def test_two_pulleys_are_also_one() -> None:
    one, other = (
        replace(LATERAL, station=("cable_station",)),
        replace(REVERSE, station=("dual_cable_station",)),
    )
    assert not may_pair(DEFAULT, one, other)


def paired(*candidates: Candidate, **changes: Any) -> Problem:
    keys = frozenset(one.key for one in candidates)
    sessions = tuple(replace(one, allowed=keys) for one in (MONDAY, TUESDAY))
    return tiny(candidates=candidates, sessions=sessions, paired=True, **changes)


def test_a_pair_needs_as_many_sets_and_the_brief_to_ask() -> None:
    problem = paired(LATERAL, REVERSE)
    same: Plan = {("raise", "Mon"): 3, ("fly", "Mon"): 3}
    assert pairs_of(problem, same, "Mon") == (("raise", "fly"),)
    assert pairs_of(problem, same, "Tue") == ()
    assert pairs_of(problem, {("raise", "Mon"): 3, ("fly", "Mon"): 2}, "Mon") == ()
    assert pairs_of(replace(problem, paired=False), same, "Mon") == ()


def test_a_pair_that_saves_nothing_is_none() -> None:
    problem = paired(LATERAL, REVERSE, settings={"pair_swap_seconds": 60})
    assert pairs_of(problem, {("raise", "Mon"): 2, ("fly", "Mon"): 2}, "Mon") == ()


def test_a_multi_joint_lift_is_in_a_pair_only_after_another_one() -> None:
    plan: Plan = {("raise", "Mon"): 3, ("row", "Mon"): 3}
    assert pairs_of(paired(LATERAL, ROW), plan, "Mon") == ()
    heavy = replace(LIFT, warmup_sets=2)
    problem = paired(heavy, LATERAL, ROW)
    plan = {**plan, ("press", "Mon"): 3}
    assert pairs_of(problem, plan, "Mon") == (("raise", "row"),)
    blocks = in_blocks(problem, ["raise", "row", "press"], pairs_of(problem, plan, "Mon"))
    assert blocks == [("press",), ("row", "raise")]
    assert leaves_a_first_lift((ROW, LATERAL), ()) and not leaves_a_first_lift(
        (ROW, LATERAL), [("row", "raise")]
    )


def test_the_first_block_is_no_pair_with_a_lift_though_walks_would_be_spared() -> None:
    # priority puts the raise and its row first; the push-up needs no station and stands alone
    push_up = replace(LIFT, key="push_up", station=(), place=9)
    twin, shrug = (
        replace(ROW, key="twin", station=("plates",)),
        replace(LATERAL, key="low", station=("bands",)),
    )
    problem = paired(LATERAL, shrug, ROW, twin, push_up)
    blocks = in_blocks(
        problem, ["raise", "low", "row", "twin", "push_up"], [("raise", "row"), ("low", "twin")]
    )
    assert blocks[0] == ("push_up",)
    assert {frozenset(block) for block in blocks[1:]} == {
        frozenset({"raise", "row"}),
        frozenset({"low", "twin"}),
    }


@pytest.mark.parametrize(("nodes", "count"), [(1, 1), (2, 2), (4, 10), (6, 76)])
def test_every_way_to_pair_is_tried_once(nodes: int, count: int) -> None:
    # the number of involutions, 1, 2, 4, 10, 26, 76 (Knuth, The Art of Computer Programming 3, 5.1.4)
    found = list(matchings(list(combinations("abcdef"[:nodes], 2))))
    assert len(found) == len({frozenset(one) for one in found}) == count


@given(seed=st.integers(0, 10_000))
@settings(max_examples=40, deadline=None)
def test_pairs_are_sound_and_minutes_add_up(seed: int) -> None:
    problem = replace(random_problem(seed, exercises=(5, 8), sessions=(2, 2)), paired=True)
    plan: Plan = {(one.key, problem.sessions[0].id): 2 + one.place % 2 for one in problem.candidates[:6]}
    day = problem.sessions[0].id
    pairs = pairs_of(problem, plan, day)
    names = [key for pair in pairs for key in pair]
    assert len(names) == len(set(names))
    for one, other in pairs:
        assert may_pair(problem.settings, problem.candidate(one), problem.candidate(other))
        assert plan[one, day] == plan[other, day]
    shares = sum(seconds_of(problem, plan, key, day) for key, _ in plan)
    assert shares == pytest.approx(seconds_used(problem, plan, day))
    straight = replace(problem, paired=False)
    saved = seconds_used(straight, plan, day) - seconds_used(problem, plan, day)
    assert saved >= 0 and (saved > 0) == bool(pairs)
    assert rest_value(straight, plan) - rest_value(problem, plan) == pytest.approx(saved / 60)
    blocks = in_blocks(problem, [key for key, _ in plan], pairs)
    assert sorted(key for block in blocks for key in block) == sorted(key for key, _ in plan)
    lifts = [key for key in blocks[0] if problem.candidate(key).multi_joint]
    assert len(blocks[0]) == 1 or not lifts
