"""Two people with accounts in a browser: the record shut, a job signed by both, what waited on a phone sent after
signing in again, the pages for small hands and axe-core."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import only_here, until
from tests.flow.test_apart import HELD
from whitemetal.desk import people, signing_in
from whitemetal.desk.people import Acting
from whitemetal.people import passwords, signature
from whitemetal.people.accounts import Account
from whitemetal.people.roles import ROLES

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PASSWORD = "four brass feeler gauges"
CODE = re.compile(r"(?:[a-z2-7]{8}-){3}[a-z2-7]{8}")
THUMB = 44
"""Least height of what is tapped [px]."""


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


def keeper(served: Served) -> Account:
    return people.open_first(served.desk, "Kit Keeper", PASSWORD, people.first_code(served.desk), "k" * 26)


def person(served: Served, name: str, roles: str) -> Account:
    by = Acting("", "at the terminal")
    held, code = people.add(served.desk, name, frozenset(r for r in ROLES if r in roles.split()), by)
    return people.join(served.desk, held.name, code, PASSWORD, "p" * 26)


def sign_in(page: Page, served: Served, name: str, at: str = "/sign-in") -> None:
    page.goto(served.at + at)
    page.fill("#s-name", name)
    page.fill("#s-password", PASSWORD)
    page.click("form[action='/sign-in'] button")
    page.wait_for_url(lambda address: "/sign-in" not in address)


def test_a_new_hand_joins_with_a_code_and_comes_to_the_plant(
    served: Served, window: Callable[..., Page]
) -> None:
    keeper(served)
    desktop = window(1100, 800)
    sign_in(desktop, served, "kit keeper")
    desktop.goto(f"{served.at}/people")
    desktop.fill("#n-name", "Ada Invented")
    desktop.check("#new ~ form input[value=fit]")
    desktop.click("#new ~ form button")
    desktop.get_by_text(CODE).first.wait_for()
    found = CODE.search(desktop.content())
    assert found is not None
    phone = window(360, 740, has_touch=True, is_mobile=True)
    phone.goto(served.at)
    assert phone.url.endswith("/sign-in?back=/")
    phone.click("a[href='/people/join']")
    for field, text in (("code", found.group(0)), ("name", "ada invented"), ("new_password", PASSWORD), ("again_password", PASSWORD)):  # fmt: skip
        phone.fill(f"[name={field}]", text)
    phone.click("form[action='/people/join'] button")
    phone.wait_for_url(served.at + "/")
    assert "Signed in as Ada Invented." in phone.inner_text("body")
    phone.goto(f"{served.at}/people")
    assert "Not open to you" in phone.inner_text("h1")


def test_two_people_sign_with_their_own_keys(served: Served, window: Callable[..., Page]) -> None:
    keeper(served)
    ada, bo = person(served, "Ada Invented", "fit"), person(served, "Bo Invented", "engineer")
    job = served.desk.open_job(served.bearing, "N-1", "", OWNER)
    for name, button in (("Ada Invented", "I did it"), ("Bo Invented", "I checked it")):
        page = window(390, 800)
        sign_in(page, served, name, f"/sign-in?back=/jobs/{job}/sign")
        assert page.url == f"{served.at}/jobs/{job}/sign"
        form = page.locator("form", has=page.get_by_role("button", name=button))
        form.locator("[name=password]").fill(PASSWORD)
        form.get_by_label("out of service").check()
        with page.expect_navigation():
            form.get_by_role("button", name=button).click()
        assert "the seal is whole" in page.inner_text("main")
    signed = [entry for entry in served.desk.entries(job) if entry.kind == "signed/1"]
    assert [(entry.by["id"], signature.standing(entry)) for entry in signed] == [
        (ada.id, "good"),
        (bo.id, "good"),
    ]
    assert served.desk.job(job).state.signing.signed


def test_what_is_entered_after_the_session_ended_waits_and_is_sent(
    served: Served, window: Callable[..., Page]
) -> None:
    keeper(served)
    ada = person(served, "Ada Invented", "fit")
    job = served.desk.open_job(served.bearing, "N-1", "", OWNER)
    page = window(390, 800)
    sign_in(page, served, "Ada Invented", f"/sign-in?back=/jobs/{job}/fit")
    page.goto(f"{served.at}/jobs/{job}/fit?what=shim#change")
    signing_in.sign_out_everywhere(served.desk, ada.id, Acting("", "at the terminal"))
    page.fill("#fit-text", "0.1 mm out, left")
    page.locator("form", has=page.locator("#fit-text")).locator("button").click()
    page.wait_for_selector("#only-here:visible, .kept-here:visible")
    assert served.desk.job(job).state.fit_changes == ()
    sign_in(page, served, "Ada Invented")
    page.goto(f"{served.at}/jobs/{job}")
    only_here(page, 0)
    kept = served.desk.job(job).state.fit_changes
    assert [(change.text, change.by) for change in kept] == [("0.1 mm out, left", "Ada Invented")]


def test_a_reading_that_waits_is_never_sent_as_somebody_elses(
    served: Served, window: Callable[..., Page]
) -> None:
    """Ada reads, her session is over, Bo signs in on the same phone: the reading waits for Ada."""
    keeper(served)
    ada = person(served, "Ada Invented", "fit")
    person(served, "Bo Invented", "fit")
    job = served.desk.open_job(served.bearing, "N-1", "", OWNER)
    check = served.desk.start_check(job, "wire", "as left", OWNER)
    page = window(390, 800)
    sign_in(page, served, "Ada Invented", f"/sign-in?back=/jobs/{job}/checks/{check}")
    signing_in.sign_out_everywhere(served.desk, ada.id, Acting("", "at the terminal"))
    page.locator('input.reading[data-place="DE top"]').fill("0.231")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('1')")
    sign_in(page, served, "Bo Invented")
    with page.expect_response(f"**/checks/{check}/readings") as sent:
        page.goto(f"{served.at}/jobs/{job}")
    assert sent.value.status == 403
    assert served.desk.job(job).state.checks[check].readings == ()
    only_here(page, 1)
    sign_in(page, served, "Ada Invented")
    page.goto(f"{served.at}/jobs/{job}")
    only_here(page, 0)
    kept = [entry for entry in served.desk.entries(job) if entry.kind == "reading/1"]
    assert [(entry.body["text"], entry.by["id"]) for entry in kept] == [("0.231", ada.id)]


def test_signing_out_leaves_no_page_of_ones_own_on_the_device(
    served: Served, window: Callable[..., Page]
) -> None:
    """The next pair of hands, without a connection, gets the page of what waits, and nobody's name on it."""
    keeper(served)
    person(served, "Ada Invented", "fit")
    job = served.desk.open_job(served.bearing, "N-1", "", OWNER)
    page = window(390, 800, service_workers="allow")
    sign_in(page, served, "Ada Invented", f"/sign-in?back=/jobs/{job}")
    held_until(page, f"/jobs/{job}", True)
    with page.expect_download():
        page.evaluate(f"location.href = '/jobs/{job}/export.zip'")
    assert not any(url.endswith(".zip") for url in page.evaluate(HELD)), (
        "what is saved once is not kept twice"
    )
    page.goto(f"{served.at}/me")
    page.click("form[action='/sign-out'] button")
    page.wait_for_url("**/sign-in")
    held_until(page, f"/jobs/{job}", False)
    held_until(page, "/on-this-device", True)
    page.context.set_offline(True)
    page.goto(f"{served.at}/jobs/{job}")
    assert page.locator("#kept-here").count() == 1
    assert "Ada" not in page.content()


def held_until(page: Page, end: str, there: bool) -> None:
    until(page, lambda: any(url.endswith(end) for url in page.evaluate(HELD)) == there)


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_the_pages_of_accounts_fit_a_hand(served: Served, window: Callable[..., Page], colours: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = window(360, 740, color_scheme=colours)
    keeper(served)
    person(served, "Ada Invented", "fit check")
    page.goto(f"{served.at}/sign-in")
    small = []
    for at in ("/sign-in", "/people/join", "/me", "/people"):
        if at == "/me":
            sign_in(page, served, "Kit Keeper")
        page.goto(served.at + at)
        for summary in page.locator("main summary").all():
            summary.click()
        found = Axe().run(page)
        assert [(one["id"], len(one["nodes"])) for one in found.response["violations"]] == [], at
        for button in page.locator("main button:visible, main input:visible:not([type=checkbox])").all():
            box = button.bounding_box()
            if box is not None and box["height"] < THUMB:
                small.append((at, button.inner_text(), box["height"]))
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, at
    assert small == []
