"""What a person does with thumbs and keys."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any

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


def focused_place(page: Page) -> str | None:
    place: str | None = page.evaluate("() => document.activeElement.dataset.place || null")
    return place


def box(page: Page, place: str) -> Locator:
    return page.locator(f'input.reading[data-place="{place}"]')


def saved(page: Page) -> None:
    """Wait until everything typed is acknowledged."""
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
    page.wait_for_selector(f'#only-here[data-count="{count}"]', state="attached", timeout=20_000)


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
