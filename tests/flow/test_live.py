"""A page that stands open says by itself that others wrote, and leaves what is being typed alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from whitemetal.desk import Writer

if TYPE_CHECKING:
    from playwright.sync_api import Page

BO = Writer("Bo Invented", "b" * 26)


@pytest.mark.browser
def test_two_people_see_each_other_without_asking(served: Served, window: Callable[..., Page]) -> None:
    job = served.desk.open_job(served.bearing, "4711", "opening", OWNER)
    check = served.desk.start_check(job, "wire", "as left", OWNER)
    place = served.desk.job(job).state.checks[check].places[0].label
    office, phone = window(1200, 900), window(360, 740)
    asked: list[str] = []
    office.on("request", lambda one: asked.append(one.url))
    office.goto(f"{served.at}/jobs/{job}")
    office.get_by_text("Write a note").click()
    office.get_by_label("Note", exact=True).fill("half a sentence")
    phone.goto(f"{served.at}/jobs/{job}/checks/{check}")
    assert office.locator("#others").is_hidden()
    served.desk.keep_reading(job, check, place, "0.213 mm", BO)
    office.locator("#others").wait_for()
    assert office.get_by_label("Note", exact=True).input_value() == "half a sentence"
    assert not any(url.endswith("/heads") for url in asked), "what is told is not asked for as well"
    phone.get_by_text("0.213").first.wait_for(state="attached")
    phone.wait_for_function(
        "() => [...document.querySelectorAll('input')].some((box) => box.value.includes('0.213'))"
    )
    office.get_by_role("button", name="Show it").click()
    office.wait_for_function("() => document.getElementById('others').hidden")
