"""Start the desk's server on this computer alone."""

from __future__ import annotations

import secrets
import socket
import sys
import webbrowser
from pathlib import Path

import uvicorn

from library.errors import Fault, FaultyInput
from planner.desk.app import make_app
from planner.desk.room import Room
from planner.desk.safety import Guard

LOOPBACK = "127.0.0.1"


def serve(folder: Path, port: int, open_browser: bool) -> None:
    """Serve the desk until Ctrl-C; `port` 0: one that is free. Raises FaultyInput where the port is taken."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except OSError as fault:
        raise FaultyInput(
            [Fault("--port", "", f"{port}: {fault.strerror}", "Leave it out, or name another")]
        ) from None
    host, token = f"{LOOPBACK}:{listener.getsockname()[1]}", secrets.token_urlsafe(32)
    address = f"http://{host}/open/{token}"
    print(f"The desk for {folder} (opens once; Ctrl-C ends it):\n{address}", file=sys.stderr, flush=True)
    app = Guard(make_app(Room(folder)), host, token)
    settings = uvicorn.Config(
        app,
        access_log=False,
        log_level="error",
        server_header=False,
        proxy_headers=False,
        ws="none",
        lifespan="off",
    )
    listener.listen()
    if open_browser:
        webbrowser.open(address)
    uvicorn.Server(settings).run(sockets=[listener])
