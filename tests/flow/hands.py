"""What a person does with thumbs and keys."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from tests.flow.slow import PATIENCE
from tests.web.plant import wire_reading

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from whitemetal.desk import Desk

MOST_TABS = 250


def tab_to(page: Page, wanted: str) -> None:
    """Press Tab until what has the focus matches a selector; fail when the page has no such stop."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate(
            "wanted => !!document.activeElement && document.activeElement.matches(wanted)", wanted
        ):
            return
    raise AssertionError(f"no way to {wanted} by keyboard")


def tap(what: Locator) -> None:
    """Tap, and wait until the page has had the click: a browser makes it of the touch by itself, and it may come
    after the touch was acknowledged. For what the page answers itself; where another page comes, wait for that."""
    what.page.evaluate(
        """() => { globalThis.tapped = false;
        addEventListener("click", () => { globalThis.tapped = true; }, { capture: true, once: true }); }"""
    )
    what.tap()
    what.page.wait_for_function("() => globalThis.tapped")


@contextmanager
def turned(page: Page) -> Iterator[None]:
    """Do something that brings another page, or this one anew, and wait until it is there. A script that brings this
    page anew may name an anchor of it first, which is a navigation too, but no other page."""
    from playwright.sync_api import Error as PlaywrightError

    page.evaluate("() => { globalThis.turnedFrom = true; }")
    yield
    for _ in range(3):
        with suppress(PlaywrightError):
            page.wait_for_function("() => !globalThis.turnedFrom && document.readyState === 'complete'")
            return
    raise AssertionError(f"no other page came after {page.url}")


def say_who(page: Page, name: str) -> None:
    """Give one's name where a page asks for it first, and wait for the page that comes of it."""
    if page.locator("#first-name").count():
        page.locator("#first-name").fill(name)
        with page.expect_navigation():  # also where there is no script
            page.keyboard.press("Enter")


def until(page: Page, held: Callable[[], bool]) -> None:
    """Look again and again until something holds that is not on the page."""
    end = time.monotonic() + PATIENCE / 1000
    while not held():
        assert time.monotonic() < end, "it did not come to hold"
        page.wait_for_timeout(50)


def focused_place(page: Page) -> str | None:
    place: str | None = page.evaluate("() => document.activeElement.dataset.place || null")
    return place


def box(page: Page, place: str) -> Locator:
    return page.locator(f'input.reading[data-place="{place}"]')


def saved(page: Page) -> None:
    """Wait until everything typed is acknowledged. What was tapped counts once the page has had it (`tap`)."""
    from playwright.sync_api import TimeoutError as TooLate

    try:
        page.wait_for_function(
            "() => Object.keys(localStorage).every(key => !key.startsWith('whitemetal:unsaved:'))"
        )
    except TooLate:
        left = page.evaluate("() => JSON.stringify(localStorage)")
        raise AssertionError(f"not saved: {left}; {page.locator('.state').all_inner_texts()}") from None


def only_here(page: Page, count: int) -> None:
    """Wait until the badge has counted this many things that are only on the device. Before it has counted it is
    hidden and empty, which is not the same as nothing."""
    page.wait_for_selector(f'#only-here[data-count="{count}"]', state="attached")


def job_at(address: str) -> tuple[str, str]:
    """Job and check from the bench page's address."""
    found = re.search(r"/jobs/([^/?#]+)/checks/([^/?#]+)", address)
    assert found is not None, address
    return found.group(1), found.group(2)


def readings(desk: Desk, address: str) -> list[tuple[str, str]]:
    job, check = job_at(address)
    return [(one.place, one.text) for one in desk.job(job).state.checks[check].readings]


def to_type(desk: Desk, address: str) -> dict[str, str]:
    """What the wire reads at each place of the check."""
    job, check = job_at(address)
    return {place.label: wire_reading(place) for place in desk.job(job).state.checks[check].places}


def pdf_text(download: Any) -> str:
    """All text of a downloaded PDF, blanks made single."""
    from pypdf import PdfReader

    with open(download.path(), "rb") as file:
        pages = PdfReader(io.BytesIO(file.read())).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
