"""A whole job, done as a person does it: with a thumb on a phone, and by keyboard alone on a laptop."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import Served
from tests.flow.hands import (
    box,
    focused_place,
    job_at,
    pdf_text,
    readings,
    saved,
    tab_to,
    tap,
    to_type,
    turned,
)

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

AFTER = ("Wires out equals wires in", "Grease and blue wiped off", "Final closing repeats")


def test_a_whole_job_with_a_thumb(served: Served, phone: Page) -> None:
    phone.goto(served.at)
    with turned(phone):
        phone.get_by_role("link", name="New job").tap()
    phone.get_by_label("Job number").fill("W-2231")
    phone.get_by_label("What is to be done").fill("rebabbitted shell back in")
    phone.get_by_label("Who is writing?").fill("Tove Invented")
    phone.get_by_role("radio", name="as left").tap()
    phone.get_by_role("button", name="Open the job").tap()
    phone.wait_for_url("**/checks/*")

    assert "Take soft lead wire of 0.40 mm" in phone.locator("#h-wire ~ ul").inner_text()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360, "nothing hangs over the edge"
    _hold_points_before(phone)
    _facts(phone)
    wanted = to_type(served.desk, phone.url)
    _thumb_readings(phone, wanted)
    assert sorted(readings(served.desk, phone.url)) == sorted(wanted.items())
    assert "within limits" in phone.locator("#strip").inner_text()
    assert "0.225" in phone.locator("#strip").inner_text()

    for text in AFTER:
        phone.get_by_role("button", name=text).tap()
        phone.wait_for_function(
            "text => [...document.querySelectorAll('#holds-after button')]"
            ".some(b => b.textContent.includes(text) && b.getAttribute('aria-pressed') === 'true')",
            arg=text,
        )
    assert "not fit" in phone.locator("#live").inner_text(), "hold points of the bearing are still open"
    phone.get_by_role("link", name="Finished judgement").tap()
    phone.wait_for_url("**/judgement*")
    shown = phone.locator("main").inner_text()
    assert "within limits" in shown
    assert "Alignment checked" in shown, "an open hold point stands beside the verdict"
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    with phone.expect_download() as waiting:
        phone.get_by_role("link", name="Data sheet (PDF)").tap()
    text = pdf_text(waiting.value)
    for expected in ("W-2231", "TM-31-F02", "within limits", "DE top", "0.225", "0.223", "Tove Invented",
                     "maker's figure for this machine"):  # fmt: skip
        assert expected in text, expected


def _hold_points_before(phone: Page) -> None:
    phone.get_by_label("Note, e.g. permit number").fill("permit 118")
    for text in ("Isolated, locked and tried", "Rotor blocked", "Cap lifted", "Lead:", "Journal proven down",
                 "Oil and blue wiped off, no wire"):  # fmt: skip
        button = phone.locator("#holds-before").get_by_role("button", name=text)
        button.tap()
        phone.wait_for_function(
            "text => [...document.querySelectorAll('#holds-before button')]"
            ".some(b => b.textContent.includes(text) && b.getAttribute('aria-pressed') === 'true')",
            arg=text,
        )
    assert "permit 118" in phone.locator("#holds-before").inner_text()


def _facts(phone: Page) -> None:
    tap(phone.get_by_label("Wire diameter"))
    phone.keyboard.type("0.40")
    phone.keyboard.press("Enter")
    assert phone.get_by_role("group", name="Journal at rest").count() == 0, "the hold point has asked it"
    tap(phone.get_by_role("radio", name="metal to metal"))
    tap(phone.get_by_role("radio", name="final value", exact=True))
    for label, text in (("Reading at zero, before", "0.000"), ("Reading at zero, after", "0.000")):
        tap(phone.get_by_label(label))
        phone.keyboard.type(text)
        phone.keyboard.press("Enter")
    saved(phone)


def _thumb_readings(phone: Page, wanted: dict[str, str]) -> None:
    """Tap the first box, type, and let Enter lead on; one slip of the key is struck out on the way."""
    tap(phone.locator("input.reading").first)
    place = focused_place(phone)
    assert place is not None
    for step in range(len(wanted)):
        at = focused_place(phone)
        assert at in wanted, at
        phone.keyboard.type("0.322" if step == 1 else wanted[at])
        phone.keyboard.press("Enter")
        assert focused_place(phone) != at, "Enter goes to the next place"
        if step == 1:
            slipped = at
    saved(phone)
    wrong = box(phone, slipped)
    wrong.tap()
    wrong.fill(wanted[slipped])
    phone.keyboard.press("Enter")
    question = phone.locator("#ask")
    question.wait_for()
    assert "0.322" in question.inner_text()
    question.locator("select").select_option("slip of the key")
    question.get_by_role("button", name="Struck out, written again").tap()
    saved(phone)
    phone.wait_for_function("() => document.querySelector('#table s')")
    assert "struck out by Tove Invented: slip of the key" in phone.locator("#table").inner_text()


def test_a_whole_job_by_keyboard_alone(served: Served, laptop: Page) -> None:
    keys = laptop.keyboard
    laptop.goto(served.at)
    tab_to(laptop, "a[href$='/jobs/new']")
    keys.press("Enter")
    laptop.wait_for_url("**/jobs/new")
    for field, text in (("#number", "W-2232"), ("#title", "as found"), ("#job-name", "Ole Invented")):
        tab_to(laptop, field)
        keys.type(text)
    keys.press("Enter")
    laptop.wait_for_url("**/checks/*")

    for _ in range(6):
        tab_to(laptop, "#holds-before button[aria-pressed=false]")
        keys.press("Space")
        saved(laptop)
    assert laptop.locator("#holds-before button[aria-pressed=false]").count() == 0
    tab_to(laptop, "[name='fact.wire_diameter']")
    keys.type("0.40")
    keys.press("Enter")
    for name, presses in (("fact.joint", 1), ("fact.tightened", 1)):
        tab_to(laptop, f"[name='{name}']")
        for _ in range(presses):
            keys.press("Space")
    tab_to(laptop, "[name='fact.instrument.M-07.zero_before']")
    keys.type("0.000")
    keys.press("Enter")
    saved(laptop)

    wanted = to_type(served.desk, laptop.url)
    tab_to(laptop, "input.reading")
    for _ in range(len(wanted)):
        at = focused_place(laptop)
        assert at in wanted
        keys.type(wanted[at])
        keys.press("Enter")
    saved(laptop)
    assert sorted(readings(served.desk, laptop.url)) == sorted(wanted.items())
    onward = laptop.evaluate("document.activeElement.name")
    assert onward == "fact.instrument.M-07.zero_after", "after the last: the zero once more"
    keys.type("0.000")
    keys.press("Enter")
    saved(laptop)
    assert "within limits" in laptop.locator("#strip").inner_text()

    job, check = job_at(laptop.url)
    tab_to(laptop, f"a[href$='/checks/{check}/judgement']")
    keys.press("Enter")
    laptop.wait_for_url("**/judgement*")
    tab_to(laptop, "a[href$='/sheet.pdf']")
    with laptop.expect_download() as waiting:
        keys.press("Enter")
    text = pdf_text(waiting.value)
    for expected in ("W-2232", "within limits", "Ole Invented", "0.225"):
        assert expected in text, expected
    assert served.desk.job(job).state.entries > len(wanted)
