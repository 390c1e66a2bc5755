"""A served plant with one bearing and one gauge, and the windows people look at it through."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.slow import PATIENCE, listening, slow_down
from tests.web.plant import CARD, GAUGE
from whitemetal.desk import Desk, Writer

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

OWNER = Writer("Ida Invented", "a" * 26)


@dataclass(frozen=True)
class Served:
    """A running server. at: its address. desk: the one it serves. bearing: the book of the one bearing."""

    at: str
    desk: Desk
    bearing: str


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    from whitemetal.web.app import make_app

    desk = Desk.open(str(tmp_path / "plant.db"))
    bearing = desk.keep_card(CARD, OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    with listening(make_app(desk)) as at:
        yield Served(at, desk, bearing)
    desk.close()


@pytest.fixture
def window(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens a window with cookies of its own; closes all at the end. Anything the page's script or the
    browser's security policy complains of fails the test. It is as slow as is asked for (`slow`). Without ``service_workers="allow"`` pages come from
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
        slow_down(page)
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
