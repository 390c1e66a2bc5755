"""The slider of the plan page: what work of one's own comes to follows the thumb, with and without script."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.web.plant import Job, fill

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def plan_page(served: Served) -> str:
    """The plan page of a check with its readings, 0.225 mm all over between 0.15 and 0.30 mm."""
    opened = served.desk.open_job(served.bearing, "W-1", "as found", OWNER)
    job = Job(served.bearing, opened, served.desk.start_check(opened, "wire", "as found", OWNER))
    fill(served.desk, job, OWNER)
    return f"{served.at}{job.at}/plan"


def test_what_it_comes_to_follows_the_slider(served: Served, phone: Page) -> None:
    """Five rough passes at one end: 0.225 + 5 x 0.015 = 0.300 mm, at its limit and never proven within."""
    phone.goto(plan_page(served))
    slider = phone.locator("input[type=range]").first
    slider.focus()
    for _ in range(4):
        phone.keyboard.press("ArrowRight")
    with phone.expect_response(lambda answer: "/plan/part?" in answer.url and "=5" in answer.url):
        phone.keyboard.press("ArrowRight")
    assert phone.locator("input[type=number]").first.input_value() == "5"
    own = phone.locator("#own")
    own.get_by_text("0.300 mm").first.wait_for(state="attached")
    own.get_by_text("This would not be kept").wait_for()
    assert "not proven" in own.inner_text() or "outside limits" in own.inner_text()
    own.get_by_text("Place by place").click()
    assert "0.300 mm" in own.inner_text()


def test_the_button_does_the_same_without_script(served: Served, window: Callable[..., Page]) -> None:
    page = window(360, 740, java_script_enabled=False)
    page.goto(plan_page(served))
    assert page.locator("input[type=range]").count() == 0
    page.locator("input[type=number]").first.fill("5")
    with page.expect_navigation():
        page.get_by_role("button", name="Show what it comes to").click()
    assert "This would not be kept" in page.locator("#own").inner_text()
