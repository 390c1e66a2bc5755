"""Two phones that worked apart: both write without a connection, the server is killed meanwhile, both come back."""

from __future__ import annotations

import random
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.request import urlopen

import pytest

from tests.flow.conftest import OWNER
from tests.flow.hands import box, only_here, say_who, turned, until
from tests.flow.slow import PATIENCE
from tests.web.plant import CARD, GAUGE
from whitemetal.desk import Desk
from whitemetal.job.state import JobState

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
WIDTH, HEIGHT = 360, 740
MOVED_CLOCK = """(() => { const real = Date.now.bind(Date);
Date.now = () => real() + Number(localStorage.getItem("moved") || 0); })()"""
HELD = """async () => { const held = []; for (const name of await caches.keys())
for (const one of await (await caches.open(name)).keys()) held.push(one.url); return held; }"""


def free_port() -> int:
    """A port that nobody has, and that nobody is given while the server is down: a system gives ports of its own
    choice from 32,768 on."""
    while True:
        port = random.randrange(20_000, 30_000)
        with suppress(OSError), socket.create_server(("127.0.0.1", port)):
            return port


class Server:
    """A server in a process of its own, that can be killed and started again on the same record and port."""

    def __init__(self, record: Path) -> None:
        self.record = record
        self.port = free_port()
        self.at = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        serve = ["serve", "--database", str(self.record), "--port", str(self.port)]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "whitemetal", *serve], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        end = time.monotonic() + PATIENCE / 1000
        while time.monotonic() < end and self.process.poll() is None:
            try:
                with urlopen(self.at, timeout=10):
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def kill(self) -> None:
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    one = Server(tmp_path / "plant.db")
    yield one
    one.kill()


def begun(record: Path) -> tuple[str, str]:
    desk = Desk.open(str(record))
    bearing = desk.keep_card(CARD, OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    job = desk.open_job(bearing, "W-1", "", OWNER)
    check = desk.start_check(job, "wire", "as found", OWNER)
    desk.close()
    return job, check


def state_of(record: Path, job: str) -> JobState:
    desk = Desk.open(str(record))
    state = desk.job(job).state
    assert desk.verify() == ()
    desk.close()
    return state


def named(page: Page, at: str, name: str) -> None:
    page.goto(at)
    say_who(page, name)


def along(page: Page) -> None:
    """Wait until the worker holds the job's pages."""
    until(page, lambda: any(url.endswith("/judgement") for url in page.evaluate(HELD)))


def put_clock(page: Page, by: int) -> None:
    """Put the device's clock on or back, in milliseconds."""
    page.evaluate("by => localStorage.setItem('moved', by)", str(by))


def all_sent(page: Page, server: Server) -> None:
    """Wait until the device says that nothing is left on it; its badge is hidden before it has looked, too."""
    page.goto(f"{server.at}/on-this-device")
    page.locator("#nothing-here").wait_for()


def read_at(page: Page, place: str, text: str) -> None:
    box(page, place).fill(text)
    page.keyboard.press("Enter")


def test_two_phones_apart_and_a_killed_server_lose_nothing(
    server: Server, window: Callable[..., Page]
) -> None:
    job, check = begun(server.record)
    server.start()
    bench, fit = f"{server.at}/jobs/{job}/checks/{check}", f"{server.at}/jobs/{job}"
    tove, bo = (
        window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow") for _ in range(2)
    )
    for page, name in ((tove, "Tove Invented"), (bo, "Bo Invented")):
        named(page, bench, name)
        along(page)
        page.goto(bench)
    server.kill()
    for page in (tove, bo):
        page.context.set_offline(True)

    for page, mine in ((tove, "0.231"), (bo, "0.219")):
        read_at(page, "DE top", mine)
        read_at(page, "DE left" if page is tove else "DE right", "0.229")
        page.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('2')")
        page.goto(fit)
        assert page.locator("h1").inner_text().startswith("Job W-1"), "the page comes from the device"
        page.locator("summary", has_text="Write a note").click()
        page.locator("#note").fill(f"written apart by {mine}")
        page.locator("#note").press("Tab")
        page.get_by_role("button", name="Keep the note").click()
        page.locator(".kept-here").wait_for()
        only_here(page, 3)
    assert state_of(server.record, job).notes == ()

    server.start()
    for page in (tove, bo):
        page.context.set_offline(False)
        all_sent(page, server)

    state = state_of(server.record, job)
    found = state.checks[check]
    told = sorted((one.place, one.text) for one in found.readings)
    assert told == [("DE left", "0.229"), ("DE right", "0.229"), ("DE top", "0.219"), ("DE top", "0.231")]
    assert sorted(note.text for note in state.notes) == ["written apart by 0.219", "written apart by 0.231"]
    assert any("DE top" in text for text in found.contradictions), "two readings of one place are shown"
    shown = []
    for page in (tove, bo):
        page.goto(bench)
        assert page.get_by_text("DE top", exact=False).count() > 0
        shown.append(page.locator("#live").inner_text())
    assert shown[0] == shown[1]
    assert "not proven" in shown[0].casefold()


def test_what_one_device_entered_comes_to_the_record_in_the_order_it_was_entered(
    server: Server, window: Callable[..., Page]
) -> None:
    """A reading, a note about it, another reading: a device's later entry counts as written by somebody who
    knew its earlier ones, so a reading that came after an opening of the cap would stand as taken after it.
    The device's clock is put back an hour, then an hour ahead meanwhile: neither order nor time are its. And
    somebody else has the device when there is a connection again: what was entered is not theirs."""
    job, check = begun(server.record)
    server.start()
    began = datetime.now(UTC)
    bench, fit = f"{server.at}/jobs/{job}/checks/{check}", f"{server.at}/jobs/{job}"
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    phone.add_init_script(MOVED_CLOCK)
    named(phone, bench, "Tove Invented")
    along(phone)
    phone.goto(bench)
    server.kill()
    read_at(phone, "DE top", "0.231")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('1')")
    put_clock(phone, -3_600_000)
    phone.goto(fit)
    phone.locator("summary", has_text="Write a note").click()
    phone.locator("#note").fill("shim out")
    phone.get_by_role("button", name="Keep the note").click()
    phone.locator(".kept-here").wait_for()
    phone.goto(bench)
    read_at(phone, "DE left", "0.229")
    put_clock(phone, 3_600_000)
    only_here(phone, 3)
    phone.context.add_cookies([{"name": "whitemetal_name", "value": "Bo%20Invented", "url": server.at}])
    server.start()
    all_sent(phone, server)
    server.kill()

    desk = Desk.open(str(server.record))
    last = desk.entries(job)[-3:]
    times, near = [datetime.fromisoformat(entry.at) for entry in last], timedelta(minutes=3)
    assert began - near < min(times) and max(times) < datetime.now(UTC) + near, times
    assert [entry.by["name"] for entry in last] == 3 * ["Tove Invented"]
    told = [(entry.kind, entry.body.get("place", entry.body.get("text"))) for entry in desk.entries(job)]
    desk.close()
    assert told[-3:] == [("reading/1", "DE top"), ("note/1", "shim out"), ("reading/1", "DE left")]


def test_a_form_waits_for_what_was_entered_before_it(server: Server, window: Callable[..., Page]) -> None:
    """The record can be reached again, but what waits has not been tried since: a form does not overtake it."""
    job, check = begun(server.record)
    server.start()
    bench = f"{server.at}/jobs/{job}/checks/{check}"
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    named(phone, bench, "Tove Invented")
    along(phone)
    phone.goto(bench)
    server.kill()
    read_at(phone, "DE top", "0.231")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('1')")
    phone.goto(f"{server.at}/jobs/{job}")
    phone.locator("summary", has_text="Write a note").click()
    phone.wait_for_timeout(3000)  # two tries have failed: the next is seconds away
    server.start()
    phone.locator("#note").fill("shim out")
    with turned(phone):
        phone.get_by_role("button", name="Keep the note").click()
    all_sent(phone, server)
    server.kill()

    desk = Desk.open(str(server.record))
    told = [entry.kind for entry in desk.entries(job)]
    desk.close()
    assert told[-2:] == ["reading/1", "note/1"]


def test_what_the_record_refuses_stays_on_the_device_with_the_reason(
    server: Server, window: Callable[..., Page]
) -> None:
    job, check = begun(server.record)
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    named(phone, f"{server.at}/jobs/{job}/checks/{check}", "Tove Invented")
    phone.goto(f"{server.at}/jobs/{job}")
    phone.evaluate(
        """([to]) => new Promise((done) => { const asked = indexedDB.open('whitemetal', 1);
        asked.onsuccess = () => { const work = asked.result.transaction('kept', 'readwrite');
        work.objectStore('kept').add({ id: 'abcdefghij', to, fields: [['hold', 'no such point'], ['state', 'closed']],
        files: null, written: Date.now(), title: 'made up' }); work.oncomplete = done; }; })""",
        [f"{server.at}/jobs/{job}/holds"],
    )
    phone.goto(f"{server.at}/on-this-device")
    phone.locator("#kept-here .finding").wait_for()
    assert "no such point" in phone.locator("#kept-here .finding").inner_text(), "and not for want of a name"
    only_here(phone, 1)
    assert phone.locator("#only-here").is_visible()
    assert check in state_of(server.record, job).checks


def test_cells_that_wait_are_let_go_of_one_by_one(server: Server, window: Callable[..., Page]) -> None:
    """Cells go together and have no id of their own: those that were sent take no others with them."""
    job, check = begun(server.record)
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    named(phone, f"{server.at}/jobs/{job}/checks/{check}", "Tove Invented")
    phone.goto(f"{server.at}/jobs/{job}")
    phone.evaluate(
        """([at, gone]) => localStorage.setItem("whitemetal:unsaved:" + at, JSON.stringify(
        [at, gone].map((to, i) => ({ where: "cells " + i, written: Date.now() + i, to: location.origin + to + "/readings",
        body: { seen: "", squeeze: 1, instrument: "",
        cells: [{ id: "abcdefghijklmnopqrstuvwxy" + "ae"[i], place: "DE top", text: "0.231", unit: "mm", entry: "" }] } }))))""",
        [f"/jobs/{job}/checks/{check}", f"/jobs/{job}/checks/none"],
    )
    phone.goto(f"{server.at}/on-this-device")
    only_here(phone, 1)
    assert phone.evaluate("() => Object.values(localStorage).join()").count("cells 1") == 1
    assert [one.text for one in state_of(server.record, job).checks[check].readings] == ["0.231"]


UNREADY = """if (!sessionStorage.getItem("ready")) Object.defineProperty(navigator.serviceWorker, "ready", {
get() { globalThis.asked = true; return new Promise(() => {}); } })"""
"""A worker that is not there yet: what a page asks of it never comes."""


def test_a_page_that_is_left_before_its_job_came_along_leaves_it_to_the_next(
    server: Server, window: Callable[..., Page]
) -> None:
    job, _ = begun(server.record)
    server.start()
    phone = window(WIDTH, HEIGHT, has_touch=True, is_mobile=True, service_workers="allow")
    phone.add_init_script(UNREADY)
    phone.goto(f"{server.at}/jobs/{job}")
    phone.wait_for_function("() => globalThis.asked")
    phone.evaluate("() => sessionStorage.setItem('ready', '1')")
    phone.goto(f"{server.at}/jobs/{job}")
    along(phone)
