"""The same work in the browser, on this computer alone: Sunday page, briefs as forms, weeks to sign, the log."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.options import whole_number


def run(
    folder: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="The folder in which the athletes' folders lie.")
    ] = Path(),
    port: Annotated[
        int | None,
        typer.Option(
            metavar="N", parser=whole_number("--port", 1024, 65535), help="Default: one that is free."
        ),
    ] = None,
    open_browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser.")] = True,
) -> None:
    """Open the desk and stay until Ctrl-C. The address holds a token that opens once; nothing leaves this computer."""
    from library.errors import Fault, FaultyInput
    from planner.files.text import refuse

    if not folder.is_dir():
        raise refuse(
            folder, "", "there is no such folder", "Name the folder in which the athletes' folders lie"
        )
    try:
        from planner.desk.serve import serve
    except ModuleNotFoundError as missing:
        read, remedy = f"{missing.name} is not installed", 'Install it: pip install "deltoid-planner[desk]"'
        raise FaultyInput([Fault("planner desk", "", read, remedy)]) from None
    serve(folder.resolve(), port or 0, open_browser)
