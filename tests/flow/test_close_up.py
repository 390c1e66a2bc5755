"""A cap closed by thumb on a phone: the big key leads, the pages fit the hand, axe-core finds nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import say_who, turned

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

THUMB = 44
"""Least height of what is tapped [px]."""


def begun(served: Served) -> tuple[str, str]:
    """A job and its check of tightening."""
    job = served.desk.open_job(served.bearing, "N-1", "", OWNER)
    return job, served.desk.start_check(job, "tightening", "as left", OWNER)


def addresses(served: Served) -> dict[str, str]:
    job, check = begun(served)
    served.desk.keep_reading(job, check, "nut 1", "126 N m", OWNER)
    nuts = f"/jobs/{job}/checks/{check}/nuts"
    asked = "size=M24&grade=8.8&lubricant=oiled&housing=cast steel&engagement=30 mm&grip=120 mm"
    return {
        "nuts": nuts, "last round": f"{nuts}?pass=4", "close up": f"/jobs/{job}/close-up",
        "torque": f"/bearings/{served.bearing}/torque?{asked}",
    }  # fmt: skip


def test_a_cap_is_pulled_with_one_thumb(served: Served, phone: Page) -> None:
    """Four nuts in three passes are twelve taps, and one more says that none moved."""
    job, check = begun(served)
    phone.goto(f"{served.at}/jobs/{job}/checks/{check}/nuts")
    say_who(phone, "Ada Invented")
    for torque in ("126 N m", "252 N m", "420 N m"):
        for nut in (1, 3, 2, 4):
            with turned(phone):
                phone.get_by_role("button", name=f"Nut {nut} pulled to {torque}").tap()
    with turned(phone):
        phone.get_by_role("button", name="No nut moved").tap()
    phone.get_by_text("This pass is through").wait_for()
    pulled = [(one.squeeze, one.place) for one in served.desk.job(job).state.checks[check].readings]
    assert pulled == [(squeeze, f"nut {nut}") for squeeze in (1, 2, 3) for nut in (1, 3, 2, 4)]
    assert served.desk.job(job).state.checks[check].facts["last_round"].text == "no nut moved"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_hangs_over_the_edge(
    served: Served, window: Callable[..., Page], scheme: str
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = window(360, 740, color_scheme=scheme)
    for name, address in addresses(served).items():
        page.goto(served.at + address)
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        found = Axe().run(page).response
        assert found["passes"], name
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found["violations"]] == [], name
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, name


def test_thumbs_find_their_targets(served: Served, phone: Page) -> None:
    for name, address in addresses(served).items():
        phone.goto(served.at + address)
        small = phone.evaluate(
            """least => [...document.querySelectorAll(
                    'main button, main input:not([type=hidden]), main select, main summary, main nav a, .turns a')]
                .filter(one => one.offsetParent && one.getBoundingClientRect().height < least)
                .map(one => [one.name || one.textContent.trim(), one.getBoundingClientRect().height])""",
            THUMB,
        )
        assert small == [], name
