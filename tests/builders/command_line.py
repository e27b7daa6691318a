"""Every command and its options, as the program itself knows them."""

import typer

from planner.cli import COMMANDS, register

GROUP = typer.main.get_command(register())
OPTIONS = {
    name: {
        option
        for parameter in GROUP.commands[name].params
        for option in (*parameter.opts, *parameter.secondary_opts)
        if option.startswith("--")
    }
    for name in COMMANDS
}
