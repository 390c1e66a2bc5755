"""What cannot be sent stays in its box, says so, and is kept once when the way is free again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box, readings, saved, say_who, tap

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def bench(served: Served, page: Page, name: str = "Tove Invented", job: str = "") -> str:
    """Open a bench page as a named person; returns its address."""
    if not job:
        opened = served.desk.open_job(served.bearing, "W-1", "", OWNER)
        check = served.desk.start_check(opened, "wire", "as found", OWNER)
        job = f"{served.at}/jobs/{opened}/checks/{check}"
    page.goto(job)
    say_who(page, name)
    return job


def type_at(page: Page, place: str, text: str) -> None:
    box(page, place).fill(text)
    page.keyboard.press("Enter")


def test_a_lost_network_loses_nothing(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    phone.context.set_offline(True)
    type_at(phone, "DE top", "0.231")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('1')")
    type_at(phone, "DE left", "0.229")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('2')")
    phone.wait_for_function(
        "() => document.querySelector('[data-place=\"DE top\"] .state').textContent.includes('not saved yet')"
    )
    assert box(phone, "DE top").input_value() == "0.231"
    assert readings(served.desk, at) == []
    phone.context.set_offline(False)
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231"), ("DE left", "0.229")], "in the order typed"
    assert phone.locator("#unsaved").is_hidden()


def test_a_closed_page_remembers_what_was_not_saved(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    phone.route("**/readings", lambda route: route.abort())
    type_at(phone, "OE right", "0.237")
    phone.wait_for_function("() => !document.querySelector('#unsaved').hidden")
    phone.goto(served.at)
    assert readings(served.desk, at) == []
    phone.unroute("**/readings")
    phone.goto(at)
    saved(phone)
    assert readings(served.desk, at) == [("OE right", "0.237")]
    assert box(phone, "OE right").input_value() == "0.237"


def test_a_lost_answer_is_no_second_reading(served: Served, phone: Page) -> None:
    """The server keeps the reading, but its answers are lost for a while: the page sends the same entry again."""
    at = bench(served, phone)

    def lose(route: Any) -> None:
        route.fetch()
        route.abort()

    phone.route("**/readings", lose)
    type_at(phone, "DE top", "0.231")
    phone.wait_for_function(
        "() => document.querySelector('[data-place=\"DE top\"] .state').textContent.includes('not saved yet')"
    )
    assert readings(served.desk, at) == [("DE top", "0.231")]
    phone.unroute("**/readings")
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231")]
    assert "1 of 6" in phone.locator("#strip").inner_text()


def test_a_refused_save_keeps_the_text_and_says_why(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    phone.context.clear_cookies(name="whitemetal_name")
    type_at(phone, "DE top", "0.231")
    phone.wait_for_function("() => document.querySelector('#said').textContent.includes('your name')")
    assert box(phone, "DE top").input_value() == "0.231"
    assert readings(served.desk, at) == []
    bench(served, phone, job=at)
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231")]


def test_unreadable_text_stays_and_is_taken_over_by_the_next(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    type_at(phone, "DE top", "1,234")
    phone.wait_for_function("() => document.querySelector('#table').textContent.includes('1,234')")
    assert box(phone, "DE top").input_value() == "1,234"
    assert phone.locator("#said").inner_text().startswith("DE top, kept as typed, but cannot be read: ")
    assert box(phone, "DE top").get_attribute("aria-invalid") == "true"
    type_at(phone, "DE top", "0.234")
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.234")]
    assert box(phone, "DE top").get_attribute("aria-invalid") is None


def test_two_windows_that_did_not_know_of_each_other(
    served: Served, phone: Page, window: Callable[..., Page]
) -> None:
    other = window(1280, 800)
    for news in ("**/changed?**", "**/live?**"):
        other.route(news, lambda route: route.abort())  # it is not told, however long this takes
    at = bench(served, phone)
    bench(served, other, "Ole Invented", at)
    type_at(phone, "DE top", "0.221")
    saved(phone)
    type_at(other, "DE top", "0.241")
    saved(other)
    other.wait_for_function("() => document.querySelector('#live').textContent.includes('at the same time')")
    assert sorted(readings(served.desk, at)) == [("DE top", "0.221"), ("DE top", "0.241")]
    phone.evaluate("dispatchEvent(new Event('focus'))")
    phone.wait_for_function("() => document.querySelector('#live').textContent.includes('at the same time')")


def test_what_others_write_appears_by_itself(
    served: Served, phone: Page, window: Callable[..., Page]
) -> None:
    other = window(1280, 800)
    at = bench(served, phone)
    bench(served, other, "Ole Invented", at)
    type_at(phone, "OE top", "0.225")
    saved(phone)
    box(other, "DE left").fill("0.22")
    other.evaluate("dispatchEvent(new Event('focus'))")
    other.wait_for_function("() => document.querySelector('[data-place=\"OE top\"] input').value === '0.225'")
    assert box(other, "DE left").input_value() == "0.22", "half-typed text is left alone"


def test_measured_again_is_a_repeat(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    type_at(phone, "DE top", "0.231")
    saved(phone)
    type_at(phone, "DE top", "0.233")
    phone.get_by_role("button", name="Measured again").tap()
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231"), ("DE top", "0.233")]
    type_at(phone, "DE top", "0.239")
    tap(phone.get_by_role("button", name="Leave it as it was"))
    assert box(phone, "DE top").input_value() == "0.233"
    assert len(readings(served.desk, at)) == 2


def test_without_script_the_plain_form_works(served: Served, window: Callable[..., Page]) -> None:
    page = window(360, 740, java_script_enabled=False)
    at = bench(served, page)
    box(page, "DE top").fill("0.231")
    with page.expect_navigation():
        page.get_by_role("button", name="Save the readings").click()
    assert readings(served.desk, at) == [("DE top", "0.231")]
    box(page, "DE top").fill("0.233")
    with page.expect_navigation():
        page.get_by_role("button", name="Save the readings").click()
    assert box(page, "DE top").input_value() == "0.233", "what was typed is kept on the page"
    assert "either a repeat of" in page.locator("#problems").inner_text()
    assert readings(served.desk, at) == [("DE top", "0.231")]


def test_an_unanswered_question_survives_a_closed_page(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    type_at(phone, "DE top", "0.231")
    saved(phone)
    type_at(phone, "DE top", "0.244")
    phone.locator("#ask").wait_for()
    phone.goto(served.at)
    phone.goto(at)
    phone.locator("#ask").wait_for()
    assert "0.244" in phone.locator("#ask-text").inner_text()
    assert phone.evaluate("innerWidth") == 360, "nothing hangs over the edge"
    phone.get_by_role("button", name="Measured again").tap()
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231"), ("DE top", "0.244")]


def test_a_job_page_says_that_others_have_written_and_changes_only_when_asked(
    served: Served, laptop: Page
) -> None:
    job = served.desk.open_job(served.bearing, "W-9", "", OWNER)
    laptop.goto(f"{served.at}/jobs/{job}")
    laptop.locator("summary", has_text="Write a note").click()
    laptop.locator("#note").fill("half a sentence")
    served.desk.keep_note(job, "somebody else's note", OWNER)
    laptop.evaluate("() => dispatchEvent(new Event('focus'))")
    laptop.locator("#others").wait_for()
    assert laptop.locator("#note").input_value() == "half a sentence"
    assert laptop.get_by_text("somebody else's note").count() == 0
    laptop.locator("#others button").click()
    laptop.get_by_text("somebody else's note").wait_for()
    assert laptop.locator("#others").is_hidden()


def test_two_windows_of_one_device_keep_what_either_waits_with(served: Served, phone: Page) -> None:
    """The same check opened twice on one phone; the phone puts the first window away before it is sent."""
    at = bench(served, phone)
    other = phone.context.new_page()
    other.goto(at)
    phone.context.set_offline(True)
    type_at(phone, "DE top", "0.231")
    type_at(other, "DE left", "0.229")
    phone.close()
    phone = other
    kept = phone.evaluate("() => Object.values(localStorage).join()")
    assert "0.231" in kept and "0.229" in kept
    phone.context.set_offline(False)
    phone.reload()
    saved(phone)
    assert sorted(readings(served.desk, at)) == [("DE left", "0.229"), ("DE top", "0.231")]
