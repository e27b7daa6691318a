"""The command line: each command a function, found by name; errors become one message and an exit code."""

import importlib
import io
import os
import sys
from collections.abc import Iterable

import typer

from library.errors import PlannerError

# in the order of a coach's day: where the function of each stands
COMMANDS = {
    "week": "planner.commands.plan",
    "roster": "planner.commands.roster",
    "desk": "planner.commands.desk",
    "block": "planner.commands.plan",
    "swap": "planner.commands.plan",
    "why": "planner.commands.plan",
    "instead": "planner.commands.plan",
    "log": "planner.commands.follow",
    "progress": "planner.commands.follow",
    "check": "planner.check",
    "measure": "planner.commands.measure",
    "library": "planner.commands.library",
    "pool": "planner.commands.library",
    "doctor": "planner.doctor",
}

app = typer.Typer(name="planner", no_args_is_help=True, add_completion=False)
app.pretty_exceptions_enable, app.rich_markup_mode = False, None


def register(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """Hang the named commands on the application; their heavy imports happen only when they run."""
    for name in names:
        module = importlib.import_module(COMMANDS[name])
        alone = getattr(module, "run", None)  # a command with a module to itself, whose docstring is the help
        app.command(name, help=module.__doc__ if alone else None)(alone or getattr(module, name))
    return app


@app.callback()
def group() -> None:
    """From what a muscle showed to what a client trains. Coaching, not medical advice."""


def main() -> None:
    """Run one command; tell a person's error in words on stderr and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without × or ≤ shows ?, and all goes on
    # one command that is asked for: no other is imported; all of them for help or a slip
    asked = sys.argv[1:2]
    register(asked if COMMANDS.keys() & asked else COMMANDS)
    try:
        app()
    except PlannerError as error:
        typer.echo(str(error), err=True)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # the reader of our output went away (`planner library | head`): nothing to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as fault:
        if os.environ.get("PLANNER_TRACEBACK"):
            raise
        told = f"{type(fault).__name__}: {fault}"
        typer.echo(f"A fault of ours: {told}. Set PLANNER_TRACEBACK=1 to see where.", err=True)
        sys.exit(1)
