"""What the command `studio` does: serves the page of one folder on this machine until it is stopped."""

from __future__ import annotations

import socket
from pathlib import Path

import uvicorn

from ..faults import Fault
from ..settings import Settings
from .app import studio_app

HERE = "127.0.0.1"
"""Of this machine only: no other one reaches it."""


def run_studio(folder: Path, settings: Settings, *, port: int) -> None:
    """Serve the page.

    Args:
        folder: of designs.
        settings: of her workshop.
        port: where it listens; 0 for any free one.

    Raises:
        Fault: no such folder, or the port is taken.
    """
    if not folder.is_dir():
        raise Fault("no such folder", str(folder), "a folder of designs", "FOLDER")
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HERE, port))
            listening.listen()  # who comes before the page is ready waits
        except OSError as error:
            found = f"{port}: {error.strerror}"
            raise Fault("the port is taken", found, "another one, or 0 for any", "--port") from error
        taken = listening.getsockname()[1]
        app = studio_app(folder, settings, [f"{name}:{taken}" for name in (HERE, "localhost")])
        said = f"The studio of {folder} is open at http://{HERE}:{taken}/ (Ctrl+C closes it)"
        print(said, flush=True)  # noqa: T201 - the command's own output
        config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, lifespan="off")
        uvicorn.Server(config).run(sockets=[listening])
