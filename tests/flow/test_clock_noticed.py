"""A device whose clock is wrong is told so, on any page, in whole minutes; one that is right is not."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import Served
from tests.flow.test_apart import MOVED_CLOCK, put_clock

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
TEN_MINUTES, MINUTE = 600_000, 60_000
COMPARED = "() => localStorage.getItem('whitemetal:ahead') !== null"


@pytest.mark.parametrize(
    ("moved", "said"),
    [
        (TEN_MINUTES, "This device's clock is 10 min ahead of the record's."),
        (-TEN_MINUTES, "This device's clock is 10 min behind the record's."), (MINUTE, ""),
    ],
)  # fmt: skip
def test_a_clock_that_is_wrong_is_said(
    served: Served, window: Callable[..., Page], moved: int, said: str
) -> None:
    phone = window(360, 740, has_touch=True, is_mobile=True)
    phone.add_init_script(MOVED_CLOCK)
    phone.goto(f"{served.at}/static/mark.svg")
    put_clock(phone, moved)
    bar = phone.locator("#clock-wrong")
    for page in ("/", "/instruments"):
        phone.goto(served.at + page)
        phone.wait_for_function(COMPARED)
        if said:
            bar.filter(has_text=said).wait_for()
        else:
            assert bar.is_hidden()
