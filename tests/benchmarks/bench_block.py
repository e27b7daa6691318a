"""`planner block demo_athlete` with twelve weeks and all PDFs, against one week with its PDFs."""

from bench_week import PDFS, WEEK
from folders import copy_of_demo
from processes import Run, fresh_folder, in_turn, planner, ratio, run, seconds
from row import Row

WEEKS = 12


def rows() -> list[Row]:
    """Measure the ratio of the two whole commands, one after the other."""
    runs = in_turn(
        {
            "block": lambda: planned("block", "--weeks", str(WEEKS), "--sheets", str(WEEKS)),
            "week": lambda: planned("week"),
        }
    )
    ours = [one.seconds for one in runs["block"]]
    note = f"one week {seconds(runs['week']):.2f} s"
    return [
        Row(f"block of {WEEKS} weeks / one week", ratio(ours, runs["week"]), 6, note=note),
        Row("block, peak memory", max(one.megabytes for one in runs["block"]), unit="MB"),
    ]


def planned(command: str, *options: str) -> Run:
    """Plan the demo in a copy; every week's PDFs must be there."""
    with fresh_folder() as folder:
        athlete = folder / "demo_athlete"
        copy_of_demo(athlete)
        ended = run([planner(), command, str(athlete), "--week", WEEK, *options])
        weeks = sorted((athlete / "weeks").glob("20*"))
        assert len(weeks) == (WEEKS if command == "block" else 1)
        assert all((week / name).read_bytes().startswith(b"%PDF") for week in weeks for name in PDFS)
        return ended
