"""The pages a thumb comes to next, where there is no connection and nobody had opened them: the next pass of the
nuts, the next squeeze, the photographs."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.desk.pictures import as_jpeg, pattern
from tests.flow.conftest import OWNER
from tests.flow.hands import only_here, until
from tests.flow.test_apart import HEIGHT, HELD, WIDTH, Server, all_sent, begun, read_at, server
from tests.flow.test_begun_apart import signed_on
from whitemetal.desk import Desk

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
__all__ = ["server"]


def taken(page: Page, last: str) -> None:
    """Wait until the worker holds a page."""
    until(page, lambda: any(url.endswith(last) for url in page.evaluate(HELD)))


def test_passes_squeezes_and_photographs_go_on_without_a_connection(
    server: Server, window: Callable[..., Page]
) -> None:
    job, check = begun(server.record)
    desk = Desk.open(str(server.record))
    nuts = desk.start_check(job, "tightening", "as left", OWNER)
    desk.close()
    server.start()
    root = f"{server.at}/jobs/{job}"
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    signed_on(phone, root, "Tove Invented")
    taken(phone, f"{nuts}/nuts?pass=3")
    server.kill()

    phone.goto(f"{root}/checks/{nuts}/nuts")
    for left in (3, 2, 1, 0):
        phone.locator("button.pull:visible").click()
        phone.wait_for_function(
            "n => document.querySelectorAll('ol.turns a.fix').length === 0 && [...document.querySelectorAll("
            "'ol.turns span')].filter(one => one.textContent === 'not yet').length === n",
            arg=left,
        )
    phone.locator("nav.passes a").nth(1).click()
    phone.wait_for_url("**pass=2*")
    phone.locator("button.pull:visible").click()
    only_here(phone, 5)

    phone.goto(f"{root}/checks/{check}")
    phone.locator("nav.tabs a[href*='squeeze=2']").first.click()
    phone.wait_for_url("**squeeze=2**")
    read_at(phone, "DE top", "0.231")
    only_here(phone, 6)

    phone.locator(f"a[href*='photographs?of={check}']").click()
    phone.wait_for_url("**/photographs?of=**")
    assert phone.locator("#of").input_value() == check, "the page was kept for the whole job"
    phone.locator("#photograph").set_input_files(
        {"name": "cap.jpg", "mimeType": "image/jpeg", "buffer": as_jpeg(pattern(320, 200))}
    )
    phone.get_by_role("button", name="Keep", exact=False).first.click()
    only_here(phone, 7)

    server.start()
    all_sent(phone, server)
    server.kill()
    desk = Desk.open(str(server.record))
    state = desk.job(job).state
    assert [one.squeeze for one in state.checks[nuts].readings] == [1, 1, 1, 1, 2]
    assert [(one.squeeze, one.text) for one in state.checks[check].readings] == [(2, "0.231")]
    assert [one.of for one in state.photographs] == [check]
    assert desk.verify() == ()
    desk.close()
