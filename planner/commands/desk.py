"""The same work in the browser, on this computer alone: Sunday page, briefs as forms, weeks to sign, the log."""

import secrets
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from library.errors import Fault, FaultyInput
from planner.files.text import refuse
from planner.options import whole_number

LOOPBACK = "127.0.0.1"
Folder = Annotated[
    Path, typer.Argument(metavar="[FOLDER]", help="Where the athletes' folders lie; default: here.")
]
Port = Annotated[
    int | None,
    typer.Option(metavar="N", parser=whole_number("--port", 1024, 65535), help="Default: a free one."),
]


def run(
    folder: Folder = Path(),
    port: Port = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address alone.")] = False,
) -> None:
    """Open the desk and stay until Ctrl-C. The address holds a token that opens once; nothing leaves this computer."""
    if not folder.is_dir():
        raise refuse(
            folder, "", "there is no such folder", "Name the folder in which the athletes' folders lie"
        )
    try:
        import planner.desk.app  # noqa: F401
    except ModuleNotFoundError as missing:
        read, remedy = f"{missing.name} is not installed", 'Install it: pip install "deltoid-planner[desk]"'
        raise FaultyInput([Fault("planner desk", "", read, remedy)]) from None
    _serve(folder.resolve(), port or 0, no_browser)


def _serve(folder: Path, port: int, no_browser: bool) -> None:
    """Listen on this computer alone until Ctrl-C. Raises FaultyInput where the port is taken."""
    import uvicorn

    from planner.desk.app import make_app
    from planner.desk.room import Room
    from planner.desk.safety import Guard

    settings = uvicorn.Config(
        "",
        LOOPBACK,
        port,
        access_log=False,
        log_level="critical",
        server_header=False,
        ws="none",
        lifespan="off",
    )
    try:
        listener = settings.bind_socket()
    except SystemExit:
        raise FaultyInput(
            [Fault("--port", "", f"{port} is taken", "Leave it out, or name another")]
        ) from None
    listener.listen()
    host, token = f"{LOOPBACK}:{listener.getsockname()[1]}", secrets.token_urlsafe(32)
    address = f"http://{host}/open/{token}"
    typer.echo(f"The desk for {folder}; this address opens once, Ctrl-C ends it:\n{address}", err=True)
    settings.app = Guard(make_app(Room(folder)), host, token)
    if not no_browser:
        webbrowser.open(address)
    uvicorn.Server(settings).run(sockets=[listener])
