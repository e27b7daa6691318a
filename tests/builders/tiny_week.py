"""A week small enough to write its rows down by hand: three exercises, two sessions on neighbouring days. Blocks have
2 or 3 sets. The club (Mon) has everything, the home (Tue) has no fly machine."""

from dataclasses import replace

from hypothesis import strategies as st

from planner.method import WeekSettings
from planner.model.problem import Candidate, HeadGoal, JointBudget, Problem, SessionKind
from planner.week.keeping import still_possible

SETTINGS = WeekSettings().but(smallest_block_sets=2, largest_block_sets=3)

PRESS = Candidate(
    key="press", place=0, family="overhead_press", implement="dumbbell",
    station=("dumbbells", "adjustable_bench"), credits={"front": 1.0, "side": 0.5}, trains="front",
    grades={"shoulder": 2, "wrist": 1}, trapezius=0.5, set_seconds=160, block_seconds=60, multi_joint=True,
)  # fmt: skip
RAISE = Candidate(
    key="raise", place=1, family="lateral_raise", implement="dumbbell", station=("dumbbells",),
    credits={"front": 0.4, "side": 1.0}, trains="side", grades={"shoulder": 1}, trapezius=0.9,
    set_seconds=120, block_seconds=-30, multi_joint=False,
)  # fmt: skip
FLY = Candidate(
    key="fly", place=2, family="rear_fly", implement="machine", station=("fly_machine",),
    credits={"side": 0.8, "rear": 1.0}, trains="rear", grades={"shoulder": 0}, trapezius=0.3,
    set_seconds=100, block_seconds=-20, multi_joint=False,
)  # fmt: skip
MONDAY = SessionKind("Mon", "Mon", "club", 1200, frozenset({"press", "raise", "fly"}))
TUESDAY = SessionKind("Tue", "Tue", "home", 900, frozenset({"press", "raise"}))


def goal(head, **changes):
    """A head that wants 6 direct sets, floor 2 and ceiling 8, on two days; nothing comes from elsewhere."""
    facts = {"head": head, "floor": 2.0, "target": 6.0, "ceiling": 8.0}
    return HeadGoal(**facts | changes)


def tiny(**changes):
    """The tiny week; `settings` may be a table of changed settings, everything else replaces a field."""
    facts = {
        "candidates": (PRESS, RAISE, FLY), "sessions": (MONDAY, TUESDAY),
        "heads": (goal("front"), goal("side"), goal("rear")), "joints": (JointBudget("shoulder", 20.0, 0.0),),
        "settings": SETTINGS.but(**changes.pop("settings", {})),
    }  # fmt: skip
    return Problem(**facts | changes)


# changes of the tiny week that several tests make
FRONT = {"heads": (goal("front"),)}
DONE = {"sessions": (replace(MONDAY, state="done"), TUESDAY)}

# --- tiny weeks with some plan in force, after some change: small enough to count every plan
SETS = st.sampled_from([0, 0, 2, 3])
PAIRS = [(c.key, s.id) for c in (PRESS, RAISE, FLY) for s in (MONDAY, TUESDAY) if c.key in s.allowed]


@st.composite
def swapped_weeks(draw):
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
