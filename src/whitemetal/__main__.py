"""Joins the faces: the command line, and the pages it serves."""

from __future__ import annotations

import argparse
import errno
import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from collections.abc import Callable

    import uvicorn
    from fastapi import FastAPI

PORTS_TRIED = 20
"""How many ports after the first are tried where it is taken. Our own."""

THIS_MACHINE = ("127.0.0.1", "localhost", "::1")


def main() -> int:
    """The program ``whitemetal``. Returns the exit status."""
    from whitemetal.cli import run

    return run(sys.argv[1:], serve)


def serve(options: argparse.Namespace) -> int:
    """Serve the pages until stopped. Every step is told on standard error before it is taken."""
    from whitemetal.cli.record import make_demo
    from whitemetal.cli.screen import progress, progress_done

    listening = listen(options.host, options.port, progress)
    try:
        if options.demo and not Path(options.database).exists():
            make_demo(options.database)
        progress(say("terminal.serve_opening", name=options.database))
        from whitemetal.desk import Desk

        desk = Desk.open(options.database)
        try:
            progress(say("terminal.serve_loading"))
            from whitemetal.web.app import make_app

            address = _address(options.host, listening)
            if options.host not in THIS_MACHINE:
                progress_done(say("terminal.serve_open_to_all", host=options.host))
            server = _server(make_app(desk), lambda: _ready(address, options.open, progress_done))
            server.run(sockets=[listening])
        finally:
            desk.close()
    finally:
        listening.close()
    return 0


def listen(host: str, port: int, tell: Callable[[str], object]) -> socket.socket:
    """A listening socket on the port or, where it is taken, on the next free one. Raises InputError."""
    if not 0 <= port <= 65535:
        raise InputError(Problem("--port", str(port), say("terminal.serve_port_range")))
    last = min(port + PORTS_TRIED, 65535) if port else 0
    for tried in range(port, last + 1):
        try:
            return _bound(host, tried)
        except OSError as bad:
            if bad.errno != errno.EADDRINUSE:
                reason = (bad.strerror or type(bad).__name__).lower()
                field = "--port" if bad.errno == errno.EACCES else "--host"
                typed = str(port) if bad.errno == errno.EACCES else host
                raise InputError(Problem(field, typed, say("terminal.serve_host", reason=reason))) from None
            tell(say("terminal.serve_port", port=tried, other=tried + 1))
    raise InputError(Problem("--port", str(port), say("terminal.serve_no_port", port=port, last=last)))


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(128)
    except BaseException:
        made.close()
        raise
    return made


def _address(host: str, listening: socket.socket) -> str:
    named = f"[{host}]" if ":" in host else host
    return f"http://{named}:{listening.getsockname()[1]}/"


def _server(app: FastAPI, ready: Callable[[], None]) -> uvicorn.Server:
    """A server that says when it answers."""
    import uvicorn

    class Saying(uvicorn.Server):
        """Calls ``ready`` once it has started."""

        async def startup(self, sockets: list[Any] | None = None) -> None:
            await super().startup(sockets)
            if self.started:
                ready()

    return Saying(uvicorn.Config(app, log_level="warning", access_log=False))


def _ready(address: str, show: bool, tell: Callable[[str], None]) -> None:
    tell(say("terminal.serve_at", address=address))
    if show:
        import webbrowser

        webbrowser.open(address)


if __name__ == "__main__":
    sys.exit(main())
