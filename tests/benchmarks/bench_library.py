"""`planner library --json` against only importing typer and pydantic."""

from processes import imports, in_turn, planner, run, seconds
from row import Row


def rows() -> list[Row]:
    """Measure the ratio of the two medians."""
    runs = in_turn(
        {
            "library": lambda: run([planner(), "library", "--json"]),
            "imports": lambda: run(imports("typer", "pydantic")),
        }
    )
    bare = seconds(runs["imports"])
    return [
        Row(
            "library --json / imports", seconds(runs["library"]) / bare, 3, note=f"imports alone {bare:.2f} s"
        )
    ]
