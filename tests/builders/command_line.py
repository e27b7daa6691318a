"""Every command and its options, as the program itself knows them."""

import typer

from planner.cli import COMMANDS, register

GROUP = typer.main.get_command(register())


def of(name):
    words = (word for one in GROUP.commands[name].params for word in (*one.opts, *one.secondary_opts))
    return {word for word in words if word.startswith("--")}


OPTIONS = {name: of(name) for name in COMMANDS}
