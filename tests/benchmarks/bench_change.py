"""`planner swap --json` against bare imports, `planner why` against planning one week: the demo, whole processes."""

from folders import copy_of_demo
from processes import fresh_folder, imports, in_turn, planner, ratio, run, seconds
from row import Row

STANDS_ON = ("pulp", "highspy", "pydantic", "typer")
WEEK = "2026-W49"
TAKEN = "dual_cable_station"


def rows() -> list[Row]:
    """Measure both ratios, solving included."""
    with fresh_folder() as folder:
        athlete = folder / "demo_athlete"
        copy_of_demo(athlete)
        run([planner(), "week", str(athlete), "--week", WEEK])
        runs = in_turn(
            {
                "swap": lambda: run([planner(), "swap", str(athlete), "--without", TAKEN, "--json"]),
                "imports": lambda: run(imports(*STANDS_ON)),
                "why": lambda: run([planner(), "why", str(athlete), "--json"]),
                "week": lambda: run([planner(), "week", str(athlete), "--week", WEEK, "--json"]),
            }
        )
    return [
        Row(
            "swap --json / imports", ratio([one.seconds for one in runs["swap"]], runs["imports"]), 3,
            note=f"imports alone {seconds(runs['imports']):.2f} s",
        ),
        Row(
            "why / one week", ratio([one.seconds for one in runs["why"]], runs["week"]), 15,
            note=f"one week {seconds(runs['week']):.2f} s",
        ),
    ]  # fmt: skip
