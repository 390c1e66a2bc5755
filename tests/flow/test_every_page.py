"""Every page there is, by day and by night, without accounts and with them: axe-core finds nothing, nothing hangs
over the edge of a phone, and every target is a thumb's."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.conftest import OWNER, Served
from tests.web.plant import Job, begin, fill
from tests.web.test_pages import addresses
from whitemetal.desk import people
from whitemetal.people import passwords

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

FINGER = 44
"""Least height of what is tapped [px]: WCAG 2.5.5 names 44 by 44."""

PASSWORD = "four brass feeler gauges"
ABOUT_PEOPLE = ("/sign-in", "/people", "/people/first", "/people/join", "/me")
NO_PAGES = ("/live", "/part", "/drawing.css", "/worker.js")
LOOKED_AT_ELSEWHERE = (
    "/", "/instruments", "/verify", "/procedure", "/openings", "/bearings/new", "/bearings/{book}",
    "/bearings/{book}/edit", "/bearings/{book}/jobs/new", "/bearings/{book}/life", "/bearings/{book}/paper",
    "/jobs/{job}", "/jobs/{job}/checks/{check}", "/jobs/{job}/checks/{check}/places/{place}",
    "/jobs/{job}/checks/{check}/judgement", "/jobs/{job}/checks/{check}/plan", "/jobs/{job}/order",
    "/jobs/{job}/fit", "/jobs/{job}/procedure", "/jobs/{job}/type-in",
)  # fmt: skip
"""Routes whose pages test_look opens, with more on them, in the same colours. Every other one is opened here."""
SMALL = """least => [...document.querySelectorAll('button, input:not([type=hidden]), select, textarea, summary, a.button')]
    .filter(one => one.offsetParent && !one.closest('[hidden], .hidden'))
    .map(one => [one.name || one.textContent.trim(),
                 (one.closest('label.answer') || one.closest('label') || one).getBoundingClientRect().height,
                 one.getBoundingClientRect().height])
    .filter(([, around, own]) => Math.max(around, own) < least)"""


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


def pages(served: Served) -> tuple[Job, dict[str, str]]:
    """A job with readings, and the address of every page that is not looked at elsewhere, by its route."""
    job = begin(served.desk, OWNER, number="88")
    fill(served.desk, job, OWNER)
    found = addresses(served.desk, job).items()
    shown = {
        route: at
        for route, at in found
        if not route.startswith("/api/") and not route.endswith(NO_PAGES) and "." not in route
        if route not in (*LOOKED_AT_ELSEWHERE, *ABOUT_PEOPLE)
    }
    nuts = served.desk.start_check(job.job, "tightening", "as left", OWNER)
    return job, {**shown, "nuts of a tightening": f"/jobs/{job.job}/checks/{nuts}/nuts"}


def wrong_with(page: Page, full: bool) -> dict[str, Any]:
    """What is wrong with the page in the window. full: else only its colours are looked at."""
    from axe_playwright_python.sync_playwright import Axe

    options = None if full else {"runOnly": ["color-contrast"]}
    answer = Axe().run(page, options=options).response
    assert answer["passes"], page.url
    found = {v["id"]: [n["html"][:120] for n in v["nodes"]][:3] for v in answer["violations"]}
    if not full:
        return found
    wide = page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(SMALL, FINGER)
    return {**found, **({"wide": wide} if wide > 360 else {}), **({"small": small} if small else {})}


def look_at(page: Page, address: str) -> dict[str, Any]:
    """What is wrong with a page, everything that is folded in folded out, by day and by night."""
    page.emulate_media(color_scheme="light")
    page.goto(address)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    by_day = wrong_with(page, full=True)
    page.emulate_media(color_scheme="dark")
    return {**by_day, **{f"by night: {rule}": nodes for rule, nodes in wrong_with(page, full=False).items()}}


def test_nothing_is_wrong_with_any_page(served: Served, phone: Page) -> None:
    _, shown = pages(served)
    assert len(shown) >= 16
    found = {route: look_at(phone, served.at + at) for route, at in shown.items()}
    assert {route: wrong for route, wrong in found.items() if wrong} == {}


def test_nothing_is_wrong_with_a_page_of_accounts(
    served: Served, phone: Page, window: Callable[..., Page]
) -> None:
    job, _ = pages(served)
    people.open_first(served.desk, "Kit Keeper", PASSWORD, people.first_code(served.desk), "k" * 26)
    found = {"signed out": look_at(window(360, 740), f"{served.at}/sign-in")}
    phone.goto(f"{served.at}/sign-in")
    phone.get_by_label("Name").fill("Kit Keeper")
    phone.get_by_label("Password").fill(PASSWORD)
    phone.keyboard.press("Enter")
    phone.get_by_text("Signed in as Kit Keeper").wait_for()
    for at in (*ABOUT_PEOPLE, "/", f"/jobs/{job.job}", f"/jobs/{job.job}/sign"):
        found[at] = look_at(phone, served.at + at)
    assert {route: wrong for route, wrong in found.items() if wrong} == {}


WORD = "x" * 180
"""A word that fits no line."""


def test_a_word_that_fits_no_line_is_broken(served: Served, phone: Page) -> None:
    desk = served.desk
    job = begin(desk, OWNER, number=WORD[:60])
    desk.keep_reading(job.job, job.check, "DE left", WORD, OWNER, unit="mm")
    desk.change_fit(job.job, "scraping", "lower", "", WORD, OWNER)
    desk.keep_note(job.job, WORD, OWNER)
    wide = {}
    for route, at in addresses(desk, job).items():
        if route.startswith(("/jobs/", "/record/")) and "." not in route and not route.endswith(NO_PAGES):
            phone.goto(served.at + at)
            wide[route] = phone.evaluate("document.documentElement.scrollWidth")
    assert len(wide) > 15
    assert {route: width for route, width in wide.items() if width > 360} == {}


def test_what_is_only_on_this_device_is_opened_by_a_thumb(served: Served, phone: Page) -> None:
    at = begin(served.desk, OWNER).at
    phone.goto(served.at + at)
    phone.route("**/readings", lambda route: route.abort())
    phone.locator("input.reading").first.fill("0.231")
    phone.keyboard.press("Enter")
    phone.locator("#only-here").wait_for()
    phone.goto(f"{served.at}/on-this-device")
    phone.locator("#kept-here a").first.wait_for()
    heights = "() => [...document.querySelectorAll('#kept-here a')].map((a) => a.offsetHeight)"
    held = phone.evaluate(heights)  # in one go: the list is made anew at each try to send
    assert held and min(held) >= FINGER
    assert wrong_with(phone, full=True) == {}
