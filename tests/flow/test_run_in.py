"""A run-in on a phone: the page is left open, a logger writes its file, and the warning comes by itself while
there is time; axe-core finds nothing, and nothing hangs over the edge."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.closing.run_in.test_logger_file import ODD
from tests.desk.test_run_in import LIMITS, hot
from tests.flow.conftest import OWNER, Served
from tests.flow.hands import turned
from tests.web.plant import CARD
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.desk.follow_log import Follower
from whitemetal.desk.run_in import begin_run, keep_log, keep_run_reading, read_log_so, see
from whitemetal.job.run_state import said_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

START = "2026-02-03T13:00:00Z"
THUMB = 44
"""Least height of what is tapped [px]."""


def begun(served: Served) -> tuple[str, str]:
    served.desk.keep_card(CARD + LIMITS, OWNER)
    job = served.desk.open_job(served.bearing, "R-1", "", OWNER)
    kept = begin_run(served.desk, job, "uncoupled", START, "25.0 degC", OWNER)
    assert kept.entry is not None
    return job, str(kept.entry.body["run"])


def test_the_open_page_warns_by_itself_as_the_file_grows(served: Served, phone: Page, tmp_path: Path) -> None:
    """The file holds twelve minutes when the page must say it; the alarm is passed at the fifty-first."""
    job, run = begun(served)
    path = tmp_path / "live.csv"
    lines = [f"2026-02-03 13:{minute:02d};{hot(minute):.1f}\n".replace(".", ",") for minute in range(13)]
    path.write_text("time;lining [degC]\n" + "".join(lines[:9]))
    follower = Follower(served.desk, job, run, path, OWNER, {"zone": "UTC"})
    follower.look()
    phone.goto(f"{served.at}/jobs/{job}/run-in")
    phone.get_by_text("after 8 minutes").first.wait_for()
    assert phone.get_by_text("There is time to stop").count() == 0
    with path.open("a") as grows:
        grows.write("".join(lines[9:]))
    follower.look()
    phone.get_by_text("There is time to stop").first.wait_for()
    assert phone.get_by_text("after 12 minutes").count() == 1
    assert phone.get_by_text("at or above the alarm").count() == 0


def test_a_reading_and_the_ring_by_thumb(served: Served, phone: Page) -> None:
    job, _ = begun(served)
    phone.goto(f"{served.at}/jobs/{job}/run-in")
    phone.locator("#who-name").fill("Ada Invented")
    with turned(phone):
        phone.get_by_role("button", name="Keep name").tap()
    phone.locator("#r-text").fill("26.5")
    phone.locator("#r-time").fill("2026-02-03 13:01")
    with turned(phone):
        phone.get_by_role("button", name="Keep the reading").tap()
    phone.get_by_text("26.5 °C after 1 minutes").wait_for()
    phone.locator("#r-text").fill("hot")
    phone.locator("#r-time").fill("2026-02-03 13:02")
    phone.get_by_role("button", name="Keep the reading").tap()
    phone.locator("#problems").wait_for()
    texts = [entry.body["text"] for entry in served.desk.entries(job) if entry.kind == "run_reading/1"]
    assert texts == ["26.5", "hot"], "kept as typed, once"
    phone.goto(f"{served.at}/jobs/{job}/run-in")
    ring = phone.locator("li.holdpoint", has_text="Oil ring seen turning")
    ring.get_by_text("Say what was seen").tap()
    ring.get_by_label("What was seen, and how").fill("through the cap")
    ring.get_by_role("button", name="yes", exact=True).tap()
    phone.get_by_text("yes, Ada Invented: through the cap").wait_for()
    assert served.desk.job(job).state.runs[0].seen["ring_turning"].state == "yes"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_hangs_over_the_edge(
    served: Served, window: Callable[..., Page], scheme: str
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    job, run = begun(served)
    for minute in range(13):
        at = f"2026-02-03T13:{minute:02d}:00Z"
        keep_run_reading(served.desk, job, run, "metal", at, f"{hot(minute):.1f} degC", OWNER)
    log = keep_log(served.desk, job, run, "odd.csv", ODD.encode(), OWNER)
    read_log_so(served.desk, job, run, log, {**said_of(propose(ODD).read_as), "zone": "Europe/Berlin"}, OWNER)
    page = window(360, 740, has_touch=True, is_mobile=True, color_scheme=scheme)
    for address in (f"/jobs/{job}/run-in", f"/jobs/{job}/run-in/log?log={log}"):
        page.goto(served.at + address)
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        found = Axe().run(page)
        assert found.response["passes"]
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 360
        small = page.evaluate(
            """least => [...document.querySelectorAll(
                    'main button, main input:not([type=hidden]):not([type=radio]), main select, main summary')]
                .filter(one => one.offsetParent && one.getBoundingClientRect().height < least)
                .map(one => [one.name || one.textContent.trim(), one.getBoundingClientRect().height])""",
            THUMB,
        )
        assert small == []


def test_a_line_of_the_logger_is_no_news_but_what_others_see_is(
    served: Served, phone: Page, tmp_path: Path
) -> None:
    job, run = begun(served)
    path = tmp_path / "live.csv"
    path.write_text("time;lining [degC]\n2026-02-03 13:00;20,5\n2026-02-03 13:01;21,5\n")
    follower = Follower(served.desk, job, run, path, OWNER, {"zone": "UTC"})
    follower.look()
    phone.goto(f"{served.at}/jobs/{job}/run-in")
    with path.open("a") as grows:
        grows.write("2026-02-03 13:02;22,5\n")
    follower.look()
    phone.get_by_text("after 2 minutes").first.wait_for()
    assert phone.locator("#others").is_hidden()
    shown = " ".join(served.desk.job(job).state.heads)
    boxes = phone.locator("main input[name=seen]")
    assert {one.input_value() for one in boxes.all()} == {shown}, "a line shown above was seen"
    see(served.desk, job, run, "ring_turning", "yes", "through the cap", OWNER)
    phone.locator("#others").wait_for(state="visible")
    assert {one.input_value() for one in boxes.all()} == {shown}, "what is not shown yet was not seen"
