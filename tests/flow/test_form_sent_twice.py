"""A form whose answer is lost on the way is sent again by itself, and the record has it once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box, only_here, until
from tests.flow.test_begun_apart import signed_on

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = pytest.mark.browser


def test_a_form_whose_answer_was_lost_is_kept_once(served: Served, phone: Page) -> None:
    """The record has it each time, and the answer does not come: by its key it is one note, also on a page that is
    opened afterwards."""
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    reached: list[str] = []
    through: list[str] = []

    def lost(route: Route) -> None:
        answer = route.fetch(max_redirects=0)
        reached.append(route.request.headers["idempotency-key"])
        if through:
            route.fulfill(response=answer)
        else:
            route.abort("connectionreset")

    signed_on(phone, f"{served.at}/jobs/{job}", "Tove Invented")
    phone.route("**/notes", lost)
    form = phone.locator(f"form[action$='/jobs/{job}/notes']")
    form.evaluate(
        "one => { for (let on = one; on; on = on.parentElement) if (on.tagName === 'DETAILS') on.open = true; }"
    )
    form.locator("[name=note]").fill("oil drained")
    form.locator("button").first.click()
    only_here(phone, 1)
    until(phone, lambda: len(reached) >= 2)
    through.append("from now on")
    phone.goto(f"{served.at}/on-this-device")
    phone.locator("#nothing-here").wait_for()
    assert len(reached) >= 3 and len(set(reached)) == 1
    assert [one.text for one in served.desk.job(job).state.notes] == ["oil drained"]


KEPT = """Object.defineProperty(navigator, "storage", { value: { persist: async () => {
globalThis.asked = (globalThis.asked || 0) + 1; return true; } } });"""


def test_a_browser_is_asked_not_to_throw_away_what_is_only_here(served: Served, phone: Page) -> None:
    """Asked when there is something to keep, and not before: some browsers put the question to the person."""
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    phone.add_init_script(KEPT)
    check = served.desk.start_check(job, "wire", "as left", OWNER)
    signed_on(phone, f"{served.at}/jobs/{job}/checks/{check}", "Tove Invented")
    only_here(phone, 0)
    assert phone.evaluate("() => globalThis.asked") is None
    phone.context.set_offline(True)
    for place in ("DE top", "DE left"):
        box(phone, place).fill("0.231")
        phone.keyboard.press("Enter")
    only_here(phone, 2)
    phone.wait_for_function("() => globalThis.asked === 1")
