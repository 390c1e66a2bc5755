"""A thumb with oil on it: large keys, and a gauge that types."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box, readings, saved, tap, turned
from tests.flow.test_unsaved import bench

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def test_a_reading_is_taken_with_large_keys_that_show_place_and_unit(served: Served, phone: Page) -> None:
    at = bench(served, phone)
    tap(box(phone, "DE top"))
    keys = phone.locator("#hand-keys")
    assert keys.locator(".head").inner_text() == "DE top · mm"
    for one in "0.2317":
        tap(keys.get_by_role("button", name=one, exact=True))
    tap(keys.get_by_role("button", name="Rub out the last digit"))
    for key in keys.get_by_role("button").all():
        size = key.bounding_box()
        assert size is not None and size["height"] >= 48 and size["width"] >= 48
    tap(keys.get_by_role("button", name="Next place"))
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231")]
    assert keys.is_visible() and keys.locator(".head").inner_text() != "DE top · mm"
    tap(keys.get_by_role("button", name="Letters"))
    assert keys.is_hidden()


def test_the_keys_do_not_cover_the_place_they_write_into(served: Served, window: Callable[..., Page]) -> None:
    """A short phone: the keys take the lower half, the box in hand stands above them."""
    phone = window(360, 640, has_touch=True, is_mobile=True)
    bench(served, phone)
    for place in ("DE top", "OE left"):
        tap(box(phone, place))
        keys, held = phone.locator("#hand-keys").bounding_box(), box(phone, place).bounding_box()
        assert keys is not None and held is not None
        assert held["y"] >= 0 and held["y"] + held["height"] <= keys["y"], place


def test_a_reading_that_is_left_for_another_place_is_kept(served: Served, phone: Page) -> None:
    """Nobody has to press "next place": the thumb may go anywhere."""
    at = bench(served, phone)
    for place, text in (("DE top", "0.231"), ("DE left", "0.229")):
        tap(box(phone, place))
        for one in text:
            tap(phone.locator("#hand-keys").get_by_role("button", name=one, exact=True))
    tap(phone.locator("h1"))
    saved(phone)
    assert readings(served.desk, at) == [("DE top", "0.231"), ("DE left", "0.229")]


def test_large_keys_can_be_put_away_for_good(served: Served, phone: Page) -> None:
    bench(served, phone)
    phone.locator("#this-device summary").tap()
    phone.get_by_label("Large keys for readings").uncheck()
    phone.reload()
    tap(box(phone, "DE top"))
    assert phone.locator("#hand-keys").is_hidden()


def test_a_gauge_that_types_fills_the_next_empty_place(served: Served, laptop: Page) -> None:
    at = bench(served, laptop)
    laptop.locator("h1").click()
    for text in ("0.229", "0.231"):
        laptop.keyboard.type(text)
        laptop.keyboard.press("Enter")
        laptop.locator("h1").click()
    saved(laptop)
    assert [text for _, text in readings(served.desk, at)] == ["0.229", "0.231"]


def test_a_kept_reading_is_read_back_aloud_where_the_device_can(served: Served, phone: Page) -> None:
    bench(served, phone)
    phone.evaluate("() => { globalThis.told = []; speechSynthesis.speak = (one) => told.push(one.text); }")
    phone.locator("#this-device summary").tap()
    phone.get_by_label("Read each reading back aloud").check()
    box(phone, "DE top").fill("0.231")
    phone.keyboard.press("Enter")
    saved(phone)
    assert phone.evaluate("() => told") == ["DE top: 0 point 231. "]


def test_keys_and_gauge_serve_every_page_that_takes_readings(
    served: Served, window: Callable[..., Page]
) -> None:
    """On the nuts the keys name the unit and their last key sends; a gauge that types opens what is folded."""
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    check = served.desk.start_check(job, "tightening", "as left", OWNER)
    at = f"/jobs/{job}/checks/{check}"
    phone = window(360, 640, has_touch=True, is_mobile=True)
    bench(served, phone, job=f"{served.at}{at}/nuts")
    phone.keyboard.type("205")
    assert phone.locator("#read").input_value() == "205"
    tap(phone.locator("h1"))
    tap(phone.locator("#read"))
    keys = phone.locator("#hand-keys")
    assert keys.locator(".head").inner_text().endswith(" · N m")
    tap(keys.get_by_role("button", name="Rub out the last digit"))
    tap(keys.get_by_role("button", name="3", exact=True))
    with turned(phone):
        keys.get_by_role("button", name="Next place").tap()
    assert [one.text for one in served.desk.job(job).state.checks[check].readings] == ["203"]
    bench(served, phone)
    tap(phone.locator('[name="fact.wire_diameter"]'))
    assert keys.locator(".head").inner_text() == "Wire diameter · mm"


def test_the_screen_stays_on_while_a_check_is_open(served: Served, window: Callable[..., Page]) -> None:
    phone = window(360, 640, has_touch=True, is_mobile=True)
    phone.add_init_script(
        """Object.defineProperty(navigator, "wakeLock", { value: { request: async (what) => {
        globalThis.lit = [...(globalThis.lit || []), what]; return { released: false }; } } });"""
    )
    bench(served, phone)
    phone.wait_for_function("() => (globalThis.lit || []).length === 1")
    phone.locator("#this-device summary").tap()
    phone.get_by_label("Keep the screen on").uncheck()
    phone.reload()
    tap(phone.locator("h1"))
    assert phone.evaluate("() => globalThis.lit") is None
