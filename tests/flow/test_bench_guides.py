"""What the bench page does under the hands: folds what is done, says what cannot be read, keeps the focus."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import job_at, saved, tab_to, tap, until
from tests.flow.test_unsaved import bench, type_at

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = pytest.mark.browser


def test_the_last_tick_folds_the_hold_points_and_the_focus_stays(served: Served, laptop: Page) -> None:
    bench(served, laptop)
    for left in range(6, 0, -1):
        assert laptop.locator("#holds-before button").first.is_visible()
        assert laptop.locator("#holds-before button[aria-pressed=false]").count() == left
        tab_to(laptop, "#holds-before button[aria-pressed=false]")
        laptop.keyboard.press("Space")
        saved(laptop)
    assert not laptop.locator("#holds-before button").first.is_visible()
    assert "all 6 closed · Tove Invented" in laptop.locator("#holds-before").inner_text()
    assert laptop.evaluate("document.activeElement.matches('#fold-before > summary')")
    laptop.keyboard.press("Enter")
    assert laptop.locator("#holds-before button").first.is_visible()
    tab_to(laptop, "#holds-before button")
    laptop.keyboard.press("Space")
    saved(laptop)
    assert laptop.locator("#fold-before").count() == 0, "an open point is in sight"


def test_a_fold_opened_by_hand_stays_open_while_others_write(served: Served, phone: Page) -> None:
    bench(served, phone)
    for _ in range(6):
        tap(phone.locator("#holds-before button[aria-pressed=false]").first)
        saved(phone)
    tap(phone.locator("#fold-before > summary"))
    type_at(phone, "DE top", "0.231")
    saved(phone)
    assert phone.locator("#holds-before button").first.is_visible()


def test_why_a_fact_cannot_be_read_stays_until_it_is_put_right(served: Served, phone: Page) -> None:
    bench(served, phone)
    field = phone.get_by_label("Wire diameter")
    field.fill("0.4 kg")
    phone.keyboard.press("Enter")
    saved(phone)
    phone.wait_for_timeout(2800)
    said = phone.locator("[data-key=wire_diameter] .state")
    assert "expected" in said.inner_text()
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("0.40")
    phone.keyboard.press("Enter")
    saved(phone)
    assert field.get_attribute("aria-invalid") is None
    assert "expected" not in said.inner_text()


def test_the_question_about_a_second_reading_stands_at_the_drawing(served: Served, phone: Page) -> None:
    bench(served, phone)
    type_at(phone, "DE top", "0.231")
    saved(phone)
    type_at(phone, "DE top", "0.213")
    phone.locator("#ask").wait_for()
    both = phone.evaluate(
        """() => ['input.reading[data-place="DE top"]', '#ask button'].map(
            s => document.querySelector(s).getBoundingClientRect().top)"""
    )
    assert 0 <= both[0] < both[1] <= 740, "what was typed and the question are in sight together"


def test_what_is_lacking_leads_to_its_field(served: Served, phone: Page) -> None:
    bench(served, phone)
    tap(phone.locator("#live").get_by_role("link", name="Cap tightened to"))
    phone.wait_for_function("() => location.hash === '#ask-tightened'")
    at = phone.locator("#ask-tightened").bounding_box()
    assert at is not None
    assert 0 <= at["y"] <= 740 - at["height"]


@pytest.mark.parametrize("by", ["mouse", "key"])
def test_what_is_pressed_while_an_answer_comes_is_pressed(served: Served, laptop: Page, by: str) -> None:
    """The answer to one tick makes the hold points anew; the next is held down meanwhile."""
    bench(served, laptop)
    held: list[Route] = []
    laptop.route("**/holds", lambda route: route.continue_() if held else held.append(route))
    points = laptop.locator("#holds-before button")
    points.nth(0).click()
    until(laptop, lambda: len(held) == 1)
    if by == "mouse":
        points.nth(1).hover()
        laptop.mouse.down()
    else:
        points.nth(1).focus()
        laptop.keyboard.down("Space")
    held[0].continue_()
    saved(laptop)
    assert laptop.locator("#holds-before button[aria-pressed=true]").count() == 0, (
        "nothing moves under the hand"
    )
    laptop.mouse.up() if by == "mouse" else laptop.keyboard.up("Space")
    laptop.wait_for_function(
        "() => document.querySelectorAll('#holds-before button[aria-pressed=true]').length === 2"
    )


def test_a_note_that_is_being_written_stays_while_others_write(served: Served, laptop: Page) -> None:
    at = bench(served, laptop)
    job, check = job_at(at)
    note = laptop.get_by_label("Note, e.g. permit number")
    note.click()
    laptop.keyboard.type("permit 18")
    laptop.keyboard.press("ArrowLeft")
    served.desk.keep_reading(job, check, "DE top", "0.231 mm", OWNER)
    laptop.evaluate("() => dispatchEvent(new Event('focus'))")
    laptop.wait_for_function("() => document.querySelector('#table').textContent.includes('0.231')")
    assert note.input_value() == "permit 18"
    laptop.keyboard.type("1")
    assert note.input_value() == "permit 118"
