"""Tiny weeks with some plan in force, after some change: small enough to count every plan."""

from dataclasses import replace

from hypothesis import strategies as st
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.model.problem import Problem
from planner.week.keeping import still_possible

IN_TURNS = (  # two exercises that may alternate, and save time by it
    replace(RAISE, rest_seconds=75),
    replace(FLY, rest_seconds=60, credits={"rear": 1.0}),
)
SETS = st.sampled_from([0, 0, 2, 3])
PAIRS = [(c.key, s.id) for c in (PRESS, RAISE, FLY) for s in (MONDAY, TUESDAY) if c.key in s.allowed]


@st.composite
def swapped_weeks(draw: st.DrawFn) -> Problem:
    """A tiny week with some plan in force, after some change of equipment, minutes, joints or days done."""
    before = {pair: sets for pair in PAIRS if (sets := draw(SETS))}
    gone = draw(st.sampled_from(["", "press", "raise", "fly"]))
    state = draw(st.sampled_from(["planned", "planned", "done", "missed"]))
    sessions = (
        replace(MONDAY, allowed=MONDAY.allowed - {gone}, state=state),
        replace(TUESDAY, allowed=TUESDAY.allowed - {gone}, seconds=draw(st.sampled_from([400, 900, 1500]))),
    )
    pins = {pair: sets for pair, sets in before.items() if state == "done" and pair[1] == "Mon"}
    problem = tiny(
        sessions=sessions, pins=pins,
        heads=(goal("front"), goal("side", priority=2.0), goal("rear", target=draw(st.sampled_from([3.0, 6.0])))),
        settings={"price_moved_set": 100.0, "price_exchanged": 150.0},
    )  # fmt: skip
    return replace(problem, in_force=still_possible(problem, before))
