"""A check begun where there is no connection: begun, read and judged on the device, in the record afterwards."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER
from tests.flow.hands import only_here, turned, until
from tests.flow.test_apart import HEIGHT, HELD, WIDTH, Server, all_sent, read_at, server
from tests.flow.test_cut_upload import Wire
from tests.web.plant import CARD, GAUGE
from whitemetal.desk import Desk
from whitemetal.units import clearance_step, show, show_number
from whitemetal.web.nut_pages import nuts_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
__all__ = ["server"]
FACTS = {
    "wire_diameter": "0.40", "joint": "metal to metal", "tightened": "final value",
    "instrument.M-07.zero_before": "+0.002", "instrument.M-07.zero_after": "0.003",
}  # fmt: skip
SAYS = "() => document.querySelector('#carried [data-line]').textContent.includes('within limits')"
TAKEN = "async () => Boolean(await caches.match(`${location.pathname.split('/').slice(0, 3).join('/')}/begin/key`))"


EMPTY = """async () => (await (await caches.open('whitemetal-begun')).keys()).map((one) => one.url)"""


def opened(server: Server) -> str:
    desk = Desk.open(str(server.record))
    bearing = desk.keep_card(CARD, OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    job = desk.open_job(bearing, "W-1", "", OWNER)
    desk.close()
    return job


def taken(page: Page) -> None:
    """Wait until the worker holds the pages of checks that may be begun."""
    until(page, lambda: bool(page.evaluate(TAKEN)))


def begin(page: Page, title: str, purpose: str = "as left") -> None:
    """Begin a check from the page of its job."""
    page.evaluate(
        "() => { for (const one of document.querySelectorAll('details.starts, .starts details')) one.open = true; }"
    )
    page.locator("details.starts label.segment", has_text=purpose).click()
    page.locator("details.starts button.tick", has_text=title).first.click()


def signed_on(page: Page, at: str, name: str) -> None:
    """Open a page and say who one is."""
    page.goto(at)
    page.locator("#who-name").fill(name)
    with turned(page):
        page.locator("form.who button").last.click()
    page.goto(at)


def tell(page: Page, key: str, text: str) -> None:
    """Answer a fact at the bench."""
    page.evaluate("() => { for (const one of document.querySelectorAll('details')) one.open = true; }")
    field = page.locator(f'[data-facts] [name="fact.{key}"]')
    if field.first.get_attribute("type") == "radio":
        page.locator(f'label:has([name="fact.{key}"][value="{text}"])').click()
    elif field.evaluate("one => one.tagName") == "SELECT":
        field.select_option(text)
    else:
        field.fill(text)
        field.press("Tab")


def test_what_hangs_on_a_check_that_the_record_refused_is_told_and_thrown_away(
    server: Server, window: Callable[..., Page]
) -> None:
    """Begun as found although the page said that it was stripped: the record takes neither the check nor what
    was read in it. The reading stays in sight, with the reason, until a person has done with it."""
    job = opened(server)
    desk = Desk.open(str(server.record))
    desk.strip_down(job, "cap off", OWNER)
    desk.close()
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    signed_on(phone, f"{server.at}/jobs/{job}", "Tove Invented")
    taken(phone)
    server.kill()
    phone.goto(f"{server.at}/jobs/{job}")
    begin(phone, "Soft-wire clearance", "as found")
    phone.wait_for_url("**/checks/*")
    read_at(phone, "DE top", "0.231")
    only_here(phone, 2)
    server.start()
    phone.goto(f"{server.at}/on-this-device")
    kept = phone.locator("#kept-here li")
    phone.wait_for_function("() => document.querySelectorAll('#kept-here .finding').length === 2")
    assert "no longer as it was found" in kept.nth(0).inner_text()
    assert "DE top" in kept.nth(1).inner_text() and "0.231" in kept.nth(1).inner_text()
    assert phone.locator("#only-here.stuck").count() == 1
    phone.on("dialog", lambda asked: asked.accept())
    for left in (1, 0):
        kept.last.locator("button.quiet").click()
        phone.wait_for_function(f"() => document.querySelectorAll('#kept-here li').length === {left}")
    only_here(phone, 0)
    server.kill()
    desk = Desk.open(str(server.record))
    assert desk.job(job).state.checks == {}
    desk.close()


def on_a_phone(server: Server, window: Callable[..., Page]) -> tuple[str, Page]:
    """A job opened on a phone that somebody wrote their name on."""
    job = opened(server)
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    signed_on(phone, f"{server.at}/jobs/{job}", "Tove Invented")
    return job, phone


LACKS = """async () => { const at = location.pathname.split('/').slice(0, 3).join('/');
const told = await (await fetch(`/api/1${at}/along`)).json(), lacks = [];
for (const one of told.begin.pages) if (!(await caches.match(one))) lacks.push(one);
return told.begin.pages.length > 20 ? lacks : ["too few"]; }"""


def test_what_did_not_come_along_because_the_network_went_comes_the_next_time(
    server: Server, window: Callable[..., Page]
) -> None:
    job = opened(server)
    server.start()
    wire = Wire(server.at)
    wire.ask, wire.asks = b"GET " + f"/jobs/{job}/begin/".encode(), 3
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    phone.goto(f"{wire.at}/jobs/{job}")
    until(phone, lambda: "asked" in wire.cuts)
    until(phone, lambda: any("/begin/" in one for one in phone.evaluate(HELD)))
    wire.asks = 0
    assert len(phone.evaluate(LACKS)) > 10, "it was cut off in the middle"
    phone.evaluate("() => sessionStorage.clear()")
    phone.goto(f"{wire.at}/jobs/{job}")
    taken(phone)
    assert phone.evaluate(LACKS) == []
    wire.close()


def test_a_check_begun_apart_is_read_and_judged_apart_and_arrives_in_order(
    server: Server, window: Callable[..., Page]
) -> None:
    job, phone = on_a_phone(server, window)
    taken(phone)
    server.kill()
    phone.goto(f"{server.at}/jobs/{job}")
    begin(phone, "Soft-wire clearance")
    phone.wait_for_url("**/checks/*")
    assert phone.locator("h1").inner_text() == "Soft-wire clearance"
    at, check = phone.url, phone.url.rpartition("/")[2]
    phone.goto(f"{server.at}/jobs/{job}")
    phone.locator(".begun-here a").click()
    phone.wait_for_url(at)
    for key, text in FACTS.items():
        tell(phone, key, text)
    phone.locator("form[data-hold]:has([value=journal_down]) button").click()
    read_at(phone, "DE top", "0.321")
    read_at(phone, "DE top", "0.221")
    phone.locator("#ask-why").select_option(index=1)
    phone.locator("#ask [data-mode=strike]").click()
    for place in ("DE left", "DE right", "OE left", "OE top", "OE right"):
        read_at(phone, place, "0.221")
    phone.wait_for_function(SAYS)
    told = phone.locator("#carried [data-line]").inner_text()
    only_here(phone, len(FACTS) + 9)

    phone.reload()
    assert phone.locator('input.reading[data-place="DE top"]').input_value() == "0.221"
    only_here(phone, len(FACTS) + 9)
    phone.goto("about:blank")  # nothing may be sent before the page is asked for
    server.start()
    phone.goto(at)
    assert phone.locator("h1").inner_text() == "Soft-wire clearance", "also before the record has heard of it"
    all_sent(phone, server)
    assert phone.evaluate(EMPTY), "the record has heard, but its own page has not been seen yet"
    phone.goto(at)
    until(phone, lambda: phone.evaluate(EMPTY) == [])  # no empty page of a check that has readings
    server.kill()

    desk = Desk.open(str(server.record))
    found, theirs = desk.job(job).state.checks, desk.judgement(job, check)
    assert desk.verify() == ()
    assert [(one, state.purpose) for one, state in found.items()] == [(check, "as left")]
    assert [one.text for one in found[check].readings] == ["0.221"] * 6
    assert [one.reading.text for one in found[check].struck] == ["0.321"]
    entries = [entry for entry in desk.entries(job) if entry.by.get("name") == "Tove Invented"]
    assert entries[0].id == check and len(entries) == len(FACTS) + 11, "the hold point is a fact too"
    assert theirs.clearance is not None and theirs.verdict == "within limits"
    step = clearance_step("mm")
    figures = (theirs.clearance.diametral_m, theirs.clearance.radial_m)
    shown = [show_number(value, "mm", "length", step=step) for value in figures]
    expanded = show(theirs.clearance.expanded_m, "mm", "length", step=step)
    assert told == f"{shown[0]} mm diametral, {shown[1]} mm radial, ± {expanded}: within limits."
    desk.close()


def test_nuts_are_ticked_one_by_one_without_a_connection(server: Server, window: Callable[..., Page]) -> None:
    """A tightening begun apart; its page goes on from nut to nut and never ticks another than it shows."""
    job, phone = on_a_phone(server, window)
    taken(phone)
    server.kill()
    phone.goto(f"{server.at}/jobs/{job}")
    begin(phone, "Tightening")
    phone.wait_for_url("**/nuts")
    order = phone.locator("ol.turns li b").all_inner_texts()
    for number in order[:2]:
        assert number in phone.locator("#next").inner_text()
        phone.locator("button.pull").click()
        phone.locator("ol.turns li", has=phone.locator(f"b:text-is('{number}')")).get_by_text(
            "only on this device"
        ).wait_for()
    phone.reload()
    phone.wait_for_function("n => document.querySelector('#next').textContent.includes(n)", arg=order[2])
    phone.locator("ol.turns li a", has=phone.locator(f"b:text-is('{order[3]}')")).click()
    phone.wait_for_function("n => document.querySelector('#next').textContent.includes(n)", arg=order[3])
    phone.locator("button.pull").click()
    only_here(phone, 4)
    server.start()
    all_sent(phone, server)
    server.kill()
    desk = Desk.open(str(server.record))
    (found,) = desk.job(job).state.checks.values()
    turns = [turn.label for turn in nuts_of(desk.job(job).card, found, {}).progress.rounds[0].turns]  # type: ignore[union-attr]
    assert [one.place for one in found.readings] == [turns[0], turns[1], turns[3]]
    desk.close()
