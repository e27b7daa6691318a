"""The same work in the browser, on this computer alone: Sunday page, briefs as forms, weeks to sign, the log."""

import secrets
import webbrowser
from pathlib import Path
from typing import Any

from typer import Argument, Option, echo

from library.errors import Fault, FaultyInput
from planner.files.text import refuse
from planner.options import whole_number

LOOPBACK = "127.0.0.1"
FREE = "Default: a free one."


def run(
    folder: Path = Argument(
        Path(), metavar="[FOLDER]", help="Where the athletes' folders lie; default: here."
    ),
    port: int | None = Option(None, metavar="N", parser=whole_number("--port", 1024, 65535), help=FREE),
    no_browser: bool = Option(False, "--no-browser", help="Print the address alone."),
) -> None:
    """Open the desk and stay until Ctrl-C. The address holds a token that opens once; nothing leaves this computer."""
    if not folder.is_dir():
        remedy = "Name the folder in which the athletes' folders lie"
        raise refuse(folder, "", "there is no such folder", remedy)
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

    quiet: dict[str, Any] = {"access_log": False, "log_level": "critical", "server_header": False}
    settings = uvicorn.Config("", LOOPBACK, port, ws="none", lifespan="off", **quiet)
    try:
        listener = settings.bind_socket()
    except SystemExit:
        fault = Fault("--port", "", f"{port} is taken", "Leave it out, or name another")
        raise FaultyInput([fault]) from None
    listener.listen()
    host, token = f"{LOOPBACK}:{listener.getsockname()[1]}", secrets.token_urlsafe(32)
    address = f"http://{host}/open/{token}"
    echo(f"The desk for {folder}; this address opens once, Ctrl-C ends it:\n{address}", err=True)
    settings.app = Guard(make_app(Room(folder)), host, token)
    if not no_browser:
        webbrowser.open(address)
    uvicorn.Server(settings).run(sockets=[listener])
