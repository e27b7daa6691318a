"""Whether this installation works: one look a part, each tells what it finds and what would do. The solver is asked for
a toy integer program through the very path that plans a week: maximize 5x + 4y with 6x + 4y ≤ 24, x + 2y ≤ 6: 20 at
(4, 0) in whole numbers, by hand, and 21 at (3, 1.5) for a solver that forgets them."""

import shutil
from collections.abc import Callable, Sequence
from importlib.metadata import version
from typing import Literal, NamedTuple, TypeAlias

import typer

from library.errors import PaperNotMade, PlannerError
from planner.cli import AsJson, tell

Need = Literal["week", "paper"]  # what cannot be done without it
Part: TypeAlias = "tuple[str, Need, Finding]"  # of the installation: its name, what needs it, what was found
Look: TypeAlias = "Callable[[], Finding]"
OPTIMUM, TOLERANCE = 20.0, 1e-6  # of the toy program
PAGE = "<!doctype html><html lang='en'><title>Test page</title><p>3 × 8–12, rest ≤ 90 s</p></html>"
AGAIN = "Install the planner again"
INSTALL_AGAIN = f"{AGAIN} with its locked packages (in a checkout: make clean, then make demo)."
SET_RIGHT = f"{AGAIN}; in a checkout set the files right (planner pool rebuilds profiles.csv)."
INSTALL_PANGO = {
    "apt-get": "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 fontconfig",
    "dnf": "sudo dnf install pango fontconfig",
    "brew": "brew install pango fontconfig",
}
UNKNOWN = "Install Pango and fontconfig with this system's package manager."
AFTERWARDS = "Then ask again: planner doctor. Until then weeks are written as HTML, without PDF."


class Finding(NamedTuple):
    """Whether a part works, what was found, and where it does not, what would do (one line an entry)."""

    state: Literal["works", "missing", "broken"]
    found: str
    remedy: tuple[str, ...] = ()


def solve_toy() -> tuple[float, float]:
    """Solve the program; give value and bound of the maximization."""
    import pulp

    from planner.solve.search import Stops
    from planner.solve.solver import solve

    program = pulp.LpProblem("toy", pulp.LpMinimize)
    x, y = (pulp.LpVariable(name, 0, 10, pulp.LpInteger) for name in ("x", "y"))
    program.setObjective(-5 * x - 4 * y)
    program.addConstraint(6 * x + 4 * y <= 24)
    program.addConstraint(x + 2 * y <= 6)
    answer = solve(program, Stops(gap=TOLERANCE, nodes=1000, seconds=60))
    return -answer.value, -answer.bound


def look_at_solver() -> Finding:
    """Tell whether the toy program's optimum and its bound are the known ones."""
    value, bound = solve_toy()
    solver = f"HiGHS {version('highspy')} through PuLP {version('pulp')}"
    told = f"{solver}: {value:g}, bound {bound:g}; known optimum {OPTIMUM:g}"
    if max(abs(value - OPTIMUM), abs(bound - OPTIMUM)) <= TOLERANCE:
        return Finding("works", told)
    return Finding("broken", told, (INSTALL_AGAIN,))


def look_at_data() -> Finding:
    """Read the shipped library whole and tell what is in it."""
    from library.read import read_library

    try:
        library = read_library()
    except PlannerError as error:
        first, *others = str(error).splitlines()
        return Finding("broken", f"{first} (and {len(others)} more)" if others else first, (SET_RIGHT,))
    rows = f"{len(library.evidence)} evidence rows"
    return Finding("works", f"{len(library.exercises)} exercises, {rows}, version {library.digest}")


def look_at_paper() -> Finding:
    """Print one page with the renderer of the sheets and tell whether a PDF came out."""
    from planner.sheets import render

    try:
        page = render.html_to_pdf(PAGE)
    except PaperNotMade as error:
        reason = error.__cause__ or error
        first = (str(reason).splitlines() or [""])[0].split(".  ")[0]  # the rest is the search
        if not isinstance(reason, OSError):  # that is a system library that does not load
            return Finding("broken", f"{type(reason).__name__}: {first}", (INSTALL_AGAIN,))
        manager = next((name for name in INSTALL_PANGO if shutil.which(name)), "")
        return Finding("missing", first, (INSTALL_PANGO.get(manager, UNKNOWN), AFTERWARDS))
    return Finding("works", f"WeasyPrint {version('weasyprint')} printed a page of {len(page) / 1000:.0f} kB")


LOOKS: tuple[tuple[str, Need, Look], ...] = (
    ("solver", "week", look_at_solver), ("library data", "week", look_at_data),
    ("PDF", "paper", look_at_paper),
)  # fmt: skip
EXIT_CODES: dict[Need, int] = {"week": 1, "paper": 4}  # the graver first


def examine(looks: Sequence[tuple[str, Need, Look]] = LOOKS) -> list[Part]:
    """Look at every part, in order; a look that itself fails tells of that part alone and never ends the others."""
    parts = list[Part]()
    for name, need, look in looks:
        try:
            finding = look()
        except Exception as error:
            finding = Finding("broken", f"{type(error).__name__}: {error}", (INSTALL_AGAIN,))
        parts.append((name, need, finding))
    return parts


def doctor(as_json: AsJson = False) -> None:
    """Tell which parts of this installation work, and what to do about those that do not."""
    parts = examine()
    failing = {need for _, need, finding in parts if finding.state != "works"}
    code = next((code for need, code in EXIT_CODES.items() if need in failing), 0)
    rows = [{"name": name, "need": need, **finding._asdict()} for name, need, finding in parts]
    tell(as_json, lambda: {"works": code == 0, "exit": code, "parts": rows}, lambda: _table(parts))
    raise typer.Exit(code)


def _table(parts: Sequence[Part]) -> str:
    wide = max(len(name) for name, *_ in parts)
    lines = []
    for name, _, (state, found, remedy) in parts:
        lines.append(f"{name:<{wide}}  {state:<8}  {found}")
        lines += [f"{'':<{wide}}  {'':<8}  {line}" for line in remedy]
    return "\n".join(lines)
