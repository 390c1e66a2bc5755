"""A served plant with one bearing and one gauge, and the windows people look at it through."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.web.plant import CARD, GAUGE
from whitemetal.desk import Desk, Writer

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

OWNER = Writer("Ida Invented", "a" * 26)
PATIENCE = 10_000
"""How long a step of a person may take [ms] before the test gives up."""


@dataclass(frozen=True)
class Served:
    """A running server. at: its address. desk: the one it serves. bearing: the book of the one bearing."""

    at: str
    desk: Desk
    bearing: str


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    import uvicorn

    from whitemetal.web.app import make_app

    desk = Desk.open(str(tmp_path / "plant.db"))
    bearing = desk.keep_card(CARD, OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    listener = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(make_app(desk), log_level="error", ws="none", lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    until = time.monotonic() + 10
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    yield Served(f"http://127.0.0.1:{listener.getsockname()[1]}", desk, bearing)
    server.should_exit = True
    thread.join(10)
    listener.close()
    desk.close()


@pytest.fixture
def window(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens a window with cookies of its own; closes all at the end. Anything the page's script or the
    browser's security policy complains of fails the test. Without ``service_workers="allow"`` pages come from
    the server alone, so that a test can hold their requests."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def open_one(width: int, height: int, **more: Any) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height}, **{"service_workers": "block", **more}
        )
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text) if _serious(said) else None)
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert complaints == []


def _serious(said: Any) -> bool:
    return said.type == "error" and "Failed to load resource" not in said.text


@pytest.fixture
def phone(window: Callable[..., Page]) -> Page:
    return window(360, 740, has_touch=True, is_mobile=True)


@pytest.fixture
def laptop(window: Callable[..., Page]) -> Page:
    return window(1280, 800)
