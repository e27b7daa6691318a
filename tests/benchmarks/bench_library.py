"""`planner library --json` against only importing typer and pydantic."""

from processes import imports, in_turn, planner, ratio, run, seconds
from row import Row


def rows() -> list[Row]:
    """Measure the ratio of the two."""
    runs = in_turn(
        {
            "library": lambda: run([planner(), "library", "--json"]),
            "imports": lambda: run(imports("typer", "pydantic")),
        }
    )
    ours = [one.seconds for one in runs["library"]]
    note = f"imports alone {seconds(runs['imports']):.2f} s"
    return [Row("library --json / imports", ratio(ours, runs["imports"]), 3, note=note)]
