"""A check begun where there is no connection: begun, read and judged on the device, in the record afterwards."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER
from tests.flow.test_apart import HEIGHT, WIDTH, Server, read_at, server, state_of
from tests.web.plant import CARD, GAUGE
from whitemetal.desk import Desk

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
__all__ = ["server"]
TAKEN = "async () => Boolean(await caches.match(`${location.pathname.split('/').slice(0, 3).join('/')}/begin/key`))"


def opened(server: Server) -> str:
    desk = Desk.open(str(server.record))
    bearing = desk.keep_card(CARD, OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    job = desk.open_job(bearing, "W-1", "", OWNER)
    desk.close()
    return job


def taken(page: Page) -> None:
    """Wait until the worker holds the pages of checks that may be begun."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        if page.evaluate(TAKEN):
            return
        page.wait_for_timeout(100)
    raise AssertionError("the pages did not come along")


def begin(page: Page, title: str) -> None:
    """Begin a check as left from the page of its job."""
    page.evaluate(
        "() => { for (const one of document.querySelectorAll('details.starts, .starts details')) one.open = true; }"
    )
    page.locator("details.starts label.segment", has_text="as left").click()
    page.locator("details.starts button.tick", has_text=title).first.click()


def signed_on(page: Page, at: str, name: str) -> None:
    """Open a page and say who one is."""
    page.goto(at)
    page.locator("#who-name").fill(name)
    page.locator("form.who button").last.click()
    page.wait_for_load_state()
    page.goto(at)


def test_a_check_begun_apart_is_read_apart_and_arrives_in_order(
    server: Server, window: Callable[..., Page]
) -> None:
    job = opened(server)
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    signed_on(phone, f"{server.at}/jobs/{job}", "Tove Invented")
    taken(phone)
    server.kill()
    phone.goto(f"{server.at}/jobs/{job}")
    begin(phone, "Soft-wire clearance")
    phone.wait_for_url("**/checks/*")
    assert phone.locator("h1").inner_text() == "Soft-wire clearance"
    assert "as left" in phone.locator("main").inner_text()
    at = phone.url
    read_at(phone, "DE top", "0.221")
    read_at(phone, "DE left", "0.219")
    phone.wait_for_function("() => document.querySelector('#only-here').textContent.startsWith('3 ')")
    phone.goto(f"{server.at}/jobs/{job}")
    phone.locator(".begun-here a").click()
    phone.wait_for_url(at)
    assert phone.locator('input.reading[data-place="DE top"]').input_value() == "0.221"

    server.start()
    phone.reload()
    phone.wait_for_function("() => document.querySelector('#only-here').hidden")
    server.kill()
    server.start()
    phone.reload()
    assert phone.locator('input.reading[data-place="DE left"]').input_value() == "0.219"
    server.kill()

    state = state_of(server.record, job)
    assert [(one.check, one.purpose) for one in state.checks.values()] == [(at.rpartition("/")[2], "as left")]
    found = state.checks[at.rpartition("/")[2]]
    assert [(one.place, one.text) for one in found.readings] == [("DE top", "0.221"), ("DE left", "0.219")]
