"""`planner week demo_athlete` with both PDFs, against only importing the packages that it stands on."""

import json
from statistics import median

from folders import copy_of_demo
from processes import Row, fresh_folder, imports, in_turn, planner, ratio, run, seconds

STANDS_ON = ("pulp", "highspy", "pandas", "typer", "jinja2", "weasyprint", "pydantic", "icalendar")
WEEK = "2026-W49"  # a fixed week, so that every run plans the same
PDFS = ("sheets.pdf", "coach.pdf")


def rows() -> list[Row]:
    solving = []

    def plan():
        with fresh_folder() as folder:
            return planned(folder, solving)

    runs = in_turn({"week": plan, "imports": lambda: run(imports(*STANDS_ON))})
    without = [one.seconds - spent for one, spent in zip(runs["week"], solving[1:], strict=True)]
    whole = [one.seconds for one in runs["week"]]
    note = f"imports alone {seconds(runs['imports']):.2f} s"
    return [
        Row("week, whole / imports", ratio(whole, runs["imports"]), 2.8, note=note),
        Row("week, solving left out / imports", ratio(without, runs["imports"]), 2.5, note=note),
        Row("week, solving alone", median(solving), 10, "s", note="of week.json's proof rows"),
        Row("week, peak memory", max(one.megabytes for one in runs["week"]), 300, "MB"),
    ]


def planned(folder, solving):
    """Plan the demo in a copy; note the seconds that solving took; both PDFs must be there."""
    athlete = folder / "demo_athlete"
    copy_of_demo(athlete)
    ended = run([planner(), "week", str(athlete), "--week", WEEK])
    week = athlete / "weeks" / WEEK
    assert all((week / name).read_bytes().startswith(b"%PDF") for name in PDFS)
    proof = json.loads((week / "week.json").read_text(encoding="utf-8"))["proof"]
    solving.append(sum(aim["seconds"] for aim in proof))
    return ended
