"""Signing where there is no connection: for the state that was shown, or not at all."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.test_accounts import PASSWORD, keeper, sign_in
from tests.flow.test_apart import HEIGHT, WIDTH, Server, all_sent, server, state_of
from tests.flow.test_begun_apart import opened, signed_on, taken
from whitemetal.people import passwords

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
__all__ = ["server"]


def sign(page: Page, name: str) -> None:
    page.locator("#sign-name").fill(name)
    page.locator("label.answer", has_text="out of service").click()
    page.locator("form[data-signs] button[value=did]").click()
    page.locator("form[data-signs] .kept-here").wait_for()


def test_a_signature_that_waited_counts_only_for_the_state_its_page_showed(
    server: Server, window: Callable[..., Page]
) -> None:
    job = opened(server)
    server.start()
    at = f"{server.at}/jobs/{job}/sign"
    tove, bo = (
        window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow") for _ in range(2)
    )
    for page, name in ((tove, "Tove Invented"), (bo, "Bo Invented")):
        signed_on(page, f"{server.at}/jobs/{job}", name)
        taken(page)
        page.goto(at)
    server.kill()
    for page, name in ((tove, "Tove Invented"), (bo, "Bo Invented")):
        page.goto(at)
        sign(page, name)
    sign(bo, "Bo Invented")
    bo.locator(".kept-here", has_text="something of this job is only on this device").wait_for()
    assert state_of(server.record, job).signing.signatures == ()

    bo.goto("about:blank")
    server.start()
    all_sent(tove, server)
    bo.goto(f"{server.at}/on-this-device")
    bo.locator("#kept-here .finding").wait_for()
    assert "Send again" in bo.locator("#kept-here").inner_text()
    assert "look again before you sign" in bo.locator("#kept-here .finding").inner_text()
    server.kill()
    assert [(one.by, one.part) for one in state_of(server.record, job).signing.signatures] == [
        ("Tove Invented", "did")
    ]


def test_a_signature_with_a_password_says_in_words_that_it_cannot_wait(
    served: Served, window: Callable[..., Page], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    keeper(served)
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True)
    sign_in(phone, served, "kit keeper")
    phone.goto(f"{served.at}/jobs/{job}/sign")
    form = phone.locator("form[action$='/sign']")
    phone.context.set_offline(True)
    form.locator("label.answer", has_text="out of service").click()
    form.locator("[name=password]").fill(PASSWORD)
    form.locator("button[value=did]").click()
    form.locator(".kept-here").wait_for()
    assert "never kept on this device" in form.locator(".kept-here").inner_text()
    assert form.locator("[name=password]").input_value() == PASSWORD
    kept = phone.evaluate(
        """() => new Promise((done) => { const asked = indexedDB.open('whitemetal', 1); asked.onsuccess = () => {
        const all = asked.result.transaction('kept').objectStore('kept').getAll();
        all.onsuccess = () => done(JSON.stringify([all.result, {...localStorage}])); }; })"""
    )
    assert PASSWORD not in kept and kept.startswith("[[],")
    assert served.desk.job(job).state.signing.signatures == ()
