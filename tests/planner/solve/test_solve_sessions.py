"""What a session can hold is searched exactly: against counting every content of small sessions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tiny_week import tiny

from planner.model.program import Program
from planner.solve.sessions import Choice, Knapsack, Pattern, Room, rooms_of

DUST = 1e-6


@st.composite
def sessions(draw: st.DrawFn, *, forced: bool = True) -> tuple[Room, dict[int, float]]:
    """A session of up to five exercises with one to three set counts each, and a value for every block."""
    choices, values, column = [], {}, 0
    for number in range(draw(st.integers(1, 5))):
        count = draw(st.integers(1, 3))
        columns = tuple(range(column, column + count))
        column += count
        seconds = tuple(draw(st.integers(0, 9)) for _ in columns)
        values |= {at: draw(st.integers(-12, 20)) / 4 for at in columns}
        choices.append(Choice(f"e{number}", columns, seconds, forced and draw(st.integers(0, 5)) == 0))
    return Room("Mon", draw(st.integers(0, 20)), draw(st.integers(1, 4)), tuple(choices)), values


def every_pattern(room: Room) -> Iterator[Pattern]:
    """All contents of a session that fit, by counting."""
    options = [
        [*([] if choice.forced else [None]), *zip(choice.columns, choice.seconds, strict=True)]
        for choice in room.choices
    ]
    for chosen in product(*options):
        taken = [one for one in chosen if one is not None]
        if len(taken) <= room.places and sum(seconds for _, seconds in taken) <= room.seconds:
            yield tuple(sorted(column for column, _ in taken))


def worth(values: dict[int, float], pattern: Pattern) -> float:
    return sum(values[column] for column in pattern)


@given(session=sessions())
@settings(max_examples=150, deadline=None)
def test_the_best_content_is_the_best_of_all(session: tuple[Room, dict[int, float]]) -> None:
    room, values = session
    possible = set(every_pattern(room))
    value, pattern = Knapsack(room, values).best()
    if not possible:
        assert value == float("-inf")
        return
    assert value == pytest.approx(max(worth(values, one) for one in possible), abs=DUST)
    assert tuple(sorted(pattern)) in possible
    assert worth(values, pattern) == pytest.approx(value, abs=DUST)


@given(session=sessions(), slack=st.integers(1, 30))
@settings(max_examples=150, deadline=None)
def test_all_nearly_best_contents_are_found_once_each(
    session: tuple[Room, dict[int, float]], slack: int
) -> None:
    room, values = session
    possible = list(every_pattern(room))
    assume(possible)
    near = slack / 4 - 0.1  # values come in quarters: nothing lies on the edge
    best = max(worth(values, one) for one in possible)
    wanted = sorted(one for one in possible if worth(values, one) >= best - near)
    found = Knapsack(room, values).patterns(near, most=len(possible))
    assert found is not None
    assert sorted(tuple(sorted(one)) for one in found) == wanted


@given(session=sessions())
@settings(max_examples=150, deadline=None)
def test_what_forcing_a_block_costs(session: tuple[Room, dict[int, float]]) -> None:
    room, values = session
    possible = list(every_pattern(room))
    assume(possible)
    best = max(worth(values, one) for one in possible)
    costs = Knapsack(room, values).forcing_costs()
    for choice in room.choices:
        for column in choice.columns:
            with_it = [worth(values, one) for one in possible if column in one]
            if with_it:
                assert costs[column] == pytest.approx(best - max(with_it), abs=DUST)
            else:
                assert costs.get(column, float("inf")) == float("inf")


@given(session=sessions())
@settings(max_examples=100, deadline=None)
def test_no_content_lies_farther_below_the_best_than_the_spread(
    session: tuple[Room, dict[int, float]],
) -> None:
    room, values = session
    worths = [worth(values, one) for one in every_pattern(room)]
    assume(worths)
    assert max(worths) - min(worths) <= Knapsack(room, values).spread() + DUST


def test_more_contents_than_asked_for_are_not_listed() -> None:
    room = Room("Mon", 10, 3, tuple(Choice(f"e{n}", (n,), (1,), False) for n in range(3)))
    knapsack = Knapsack(room, dict.fromkeys(range(3), 0.0))
    assert knapsack.patterns(1.0, most=7) is None
    assert len(knapsack.patterns(1.0, most=8) or ()) == 8


def test_a_session_that_is_over_holds_what_was_done_however_long_it_took() -> None:
    problem = tiny(pins={("press", "Mon"): 3, ("raise", "Mon"): 2})
    monday, tuesday = problem.sessions
    short = type(monday)("Mon", "Mon", "club", 60, monday.allowed, state="done")
    room, open_room = rooms_of(Program(tiny(sessions=(short, tuesday), pins=problem.pins)))
    assert room.seconds == 540 + 210 and open_room.seconds == tuesday.seconds
    assert [choice.exercise for choice in room.choices] == ["press", "raise"]
    assert all(choice.forced for choice in room.choices)
    assert Knapsack(room, dict.fromkeys(range(99), -1.0)).best()[0] == -2
