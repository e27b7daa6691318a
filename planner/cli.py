"""The command line: one thin module a command, found by name; errors become one message and an exit code."""

import importlib
import io
import os
import sys

import typer

from library.errors import PlannerError

COMMANDS = (
    # in the order of a coach's day; each is planner/commands/<name>.py with a function `run`
    "week",
    "roster",
    "desk",
    "block",
    "swap",
    "why",
    "instead",
    "log",
    "progress",
    "check",
    "measure",
    "library",
    "pool",
    "doctor",
)

app = typer.Typer(
    name="planner",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def register(names: tuple[str, ...] = COMMANDS) -> typer.Typer:
    """Hang the named commands on the application; their heavy imports happen only when they run."""
    for name in names:
        module = importlib.import_module(f"planner.commands.{name}")
        app.command(name, help=module.__doc__)(module.run)
    return app


@app.callback()
def group() -> None:
    """From what a muscle showed to what a client trains. Coaching, not medical advice."""


def named(arguments: list[str]) -> tuple[str, ...]:
    """Give the one command that is asked for, so that no other is imported; all of them for help or a slip."""
    return (arguments[0],) if arguments and arguments[0] in COMMANDS else COMMANDS


def main() -> None:
    """Run one command; tell a person's error in words on stderr and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without × or ≤ shows ?, and all goes on
    register(named(sys.argv[1:]))
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
