"""What the bench page does under the hands: folds what is done, says what cannot be read, keeps the focus."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import Served
from tests.flow.hands import saved, tab_to, tap
from tests.flow.test_unsaved import bench, type_at

if TYPE_CHECKING:
    from playwright.sync_api import Page

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
