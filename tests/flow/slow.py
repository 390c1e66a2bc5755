"""A machine slower than this one, so that a test which leans on how fast a machine is fails here and not elsewhere.

``WHITEMETAL_TEST_SLOWNESS=6`` makes the processor of every page six times slower and lets every answer of a server
that runs in the test's own process wait up to 6 x 50 ms, each a different while. Nothing else changes: a test
must pass at any slowness, for it waits for what is to be seen and not for a while. `make slow` does it.
"""

from __future__ import annotations

import asyncio
import os
import random
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page

SLOWNESS = float(os.environ.get("WHITEMETAL_TEST_SLOWNESS") or 1)
PATIENCE = 60_000
"""How long a step of a person may take [ms] before the test gives up. It is met by a test that fails alone."""
WHILE = 0.05
"""Longest wait of an answer [s], times the slowness."""


def slow_down(page: Page) -> None:
    """Make the page's processor slower, for all pages that are opened in its window."""
    if SLOWNESS > 1:
        session = page.context.new_cdp_session(page)
        session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWNESS})


def _late(app: Any) -> Any:
    chance = random.Random()

    async def answer(scope: Any, receive: Any, send: Any) -> None:
        await asyncio.sleep(chance.uniform(0, WHILE * SLOWNESS))
        await app(scope, receive, send)

    return answer


@contextmanager
def listening(app: Any, listener: socket.socket | None = None) -> Iterator[str]:
    """Serve an app in a thread of this process; gives its address."""
    import uvicorn

    held = listener or socket.create_server(("127.0.0.1", 0))
    served = _late(app) if SLOWNESS > 1 else app
    server = uvicorn.Server(uvicorn.Config(served, log_level="error", ws="none", lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [held]}, daemon=True)
    thread.start()
    until = time.monotonic() + PATIENCE / 1000
    while not server.started:
        assert time.monotonic() < until and thread.is_alive(), "the server did not start"
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{held.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(10)
        held.close()
