"""Blocks: smin·y ≤ x ≤ smax·y and y ≤ z."""

from __future__ import annotations

from dataclasses import replace

from row_printer import added, written
from tiny_week import MONDAY, PRESS, TUESDAY, tiny

from planner.model.limits import blocks
from planner.model.program import Program

ALONE = {"candidates": (PRESS,)}


def test_rows() -> None:
    assert added(blocks.rows, tiny(**ALONE)) == written("""
        blocks:press:Mon: 1|1 press:Mon + -1 used:press <= 0 blocks
        blocks:press:Tue: 1|1 press:Tue + -1 used:press <= 0 blocks
        used:press: -1|-1 press:Mon + -1|-1 press:Tue + 1 used:press <= 0 blocks
    """)


def test_only_counts_from_smallest_to_largest_have_a_column() -> None:
    program = Program(tiny(settings={"smallest_block_sets": 3, "largest_block_sets": 5}))
    assert {tuple(counts) for counts in program.blocks.values()} == {(3, 4, 5)}


def test_an_exercise_that_a_room_cannot_hold_has_no_column() -> None:
    program = Program(tiny())
    assert ("fly", "Mon") in program.blocks
    assert ("fly", "Tue") not in program.blocks


def test_a_pin_brings_its_own_count_and_must_be_chosen() -> None:
    program = Program(tiny(**ALONE, pins={("press", "Mon"): 5}))
    assert list(program.blocks["press", "Mon"]) == [5]
    column = program.variables[program.blocks["press", "Mon"][5]]
    assert (column.low, column.high, column.whole) == (1.0, 1, True)
    assert list(program.blocks["press", "Tue"]) == [2, 3]


def test_a_session_that_is_over_keeps_its_pins_alone() -> None:
    problem = tiny(sessions=(replace(MONDAY, state="done"), TUESDAY), pins={("fly", "Mon"): 4})
    program = Program(problem)
    assert {pair: list(counts) for pair, counts in program.blocks.items()} == {
        ("press", "Tue"): [2, 3],
        ("raise", "Tue"): [2, 3],
        ("fly", "Mon"): [4],
    }


def test_nothing_to_report() -> None:
    assert list(blocks.use(tiny(), {("press", "Mon"): 2})) == []
