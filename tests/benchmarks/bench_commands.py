"""The demo by `block` and `why`, against one week; `swap --json` and `library --json`, against bare imports: whole processes."""

from bench_week import PDFS, WEEK
from folders import copy_of_demo
from processes import Row, fresh_folder, imports, in_turn, planner, ratio, run, seconds

BLOCK_WEEKS = 12
TAKEN = "dual_cable_station"


def rows() -> list[Row]:
    with fresh_folder() as folder:
        athlete = str(copy_of_demo(folder / "demo_athlete"))
        run([planner(), "week", athlete, "--week", WEEK])
        commands = {
            "library": ["library", "--json"], "swap": ["swap", athlete, "--without", TAKEN, "--json"],
            "why": ["why", athlete, "--json"], "week": ["week", athlete, "--week", WEEK, "--json"],
        }  # fmt: skip
        runs = in_turn(
            {name: lambda words=words: run([planner(), *words]) for name, words in commands.items()}
            | {"block": lambda: papers("block", BLOCK_WEEKS), "papers": lambda: papers("week", 1)}
            | {"few": lambda: run(imports("typer", "pydantic"))}
            | {"more": lambda: run(imports("pulp", "highspy", "pydantic", "typer"))}
        )

    def against(name, one, other, most):
        note = f"the latter {seconds(runs[other]):.2f} s"
        return Row(name, ratio([each.seconds for each in runs[one]], runs[other]), most, note=note)

    return [
        against("library --json / imports", "library", "few", 3),
        against("swap --json / imports", "swap", "more", 3),
        against("why / one week", "why", "week", 15),
        against(f"block of {BLOCK_WEEKS} weeks / one week", "block", "papers", 6),
        Row("block, peak memory", max(one.megabytes for one in runs["block"]), unit="MB"),
    ]


def papers(command, weeks):
    with fresh_folder() as folder:
        athlete = copy_of_demo(folder / "demo_athlete")
        more = ("--weeks", str(weeks), "--sheets", str(weeks)) if command == "block" else ()
        ended = run([planner(), command, str(athlete), "--week", WEEK, *more])
        made = sorted((athlete / "weeks").glob("20*"))
        assert len(made) == weeks
        assert all((week / name).read_bytes().startswith(b"%PDF") for week in made for name in PDFS)
        return ended
