"""A save that is felt, heard and read back on every page that takes readings, and a gauge that types there too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import only_here, saved, turned
from tests.flow.test_unsaved import bench

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
NOTED = """(() => {
const note = (what, how) => sessionStorage.setItem("noted", (sessionStorage.getItem("noted") || "") + what + " " + how + "\\n");
Object.defineProperty(navigator, "vibrate", { value: (how) => { note("buzz", how); return true; } });
globalThis.AudioContext = class { constructor() { note("tone", "made"); throw new Error("none"); } };
SpeechSynthesis.prototype.speak = (one) => note("said", one.text);
localStorage.setItem("whitemetal:hand:voice", "1"); localStorage.setItem("whitemetal:hand:keys", "0");
})()"""
"""The device's buzz, tone and voice, noted down; voice wanted, large keys put away."""


def noted(page: Page, count: int) -> list[str]:
    """What the device did, once it has done so many things."""
    page.wait_for_function(
        "n => (sessionStorage.getItem('noted') || '').split('\\n').length === n + 1", arg=count
    )
    return str(page.evaluate("() => sessionStorage.getItem('noted')")).splitlines()


def opened(served: Served, page: Page, method: str, tail: str = "") -> tuple[str, str]:
    page.add_init_script(NOTED)
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    check = served.desk.start_check(job, method, "as left", OWNER)
    bench(served, page, job=f"{served.at}/jobs/{job}/checks/{check}{tail}")
    return job, check


def test_a_nut_is_felt_heard_and_read_back(served: Served, phone: Page) -> None:
    """The page goes on after each nut; with no connection it stays, and says that the tick is only here."""
    job, check = opened(served, phone, "tightening", "/nuts")
    with turned(phone):
        phone.locator("button.pull").click()
    assert noted(phone, 3) == ["buzz 40", "tone made", "said nut 1: 126 N m. "]
    assert [one.text for one in served.desk.job(job).state.checks[check].readings] == ["126 N m"]
    phone.context.set_offline(True)
    phone.locator("button.pull").click()
    told = noted(phone, 6)[3:]
    assert told[:2] == ["buzz 40", "tone made"]
    assert told[2].startswith("said nut 3: 126 N m. ") and len(told[2]) > len("said nut 3: 126 N m. ")
    only_here(phone, 1)


def test_a_gauge_types_and_a_save_is_felt_where_a_check_has_questions_only(
    served: Served, phone: Page
) -> None:
    """End float is two numbers and no places: the dial gauge types into the first that is empty."""
    job, check = opened(served, phone, "end_float")
    phone.locator("h1").click()
    phone.keyboard.type("6.02")
    phone.keyboard.press("Enter")
    saved(phone)
    facts = served.desk.job(job).state.checks[check].facts
    assert [one.text for one in facts.values() if one.entry] == ["6.02"]
    told = noted(phone, 3)
    assert told[:2] == ["buzz 40", "tone made"] and told[2].endswith(": 6 point 02. ")
    phone.locator("#this-device summary").click()
    assert phone.get_by_label("Read each reading back aloud").is_checked()


LIT = """Object.defineProperty(navigator, "wakeLock", { value: { request: async (what) => {
globalThis.lit = [...(globalThis.lit || []), what]; return { released: true }; } } });"""


def test_the_screen_stays_on_again_after_the_phone_was_put_away(served: Served, phone: Page) -> None:
    """A browser lets go of the screen whenever the page is hidden; on the nuts it is asked for again too."""
    phone.add_init_script(LIT)
    opened(served, phone, "tightening", "/nuts")
    phone.wait_for_function("() => (globalThis.lit || []).length === 1")
    phone.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    phone.wait_for_function("() => globalThis.lit.length === 2")
    assert phone.evaluate("() => globalThis.lit") == ["screen", "screen"]
