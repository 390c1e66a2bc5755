"""A whole job at the fictional Tarn Mill on a phone: from the work pack to the signed report, and the second opening
of the same bearing two years later with its wear and its next opening. Every page is asked for what it must say."""

from __future__ import annotations

import io
import re
import time
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import job_at, pdf_text, saved, tap, turned
from tests.flow.slow import PATIENCE, listening
from tests.web.plant import GAUGE
from whitemetal.demo_mill.load import demo_text
from whitemetal.desk import Desk
from whitemetal.words import say

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.sqlite_only]
FIRST = datetime(2026, 3, 18, 6, 30, tzinfo=UTC)
SECOND = datetime(2028, 4, 5, 6, 30, tzinfo=UTC)


class Clock:
    """The record's clock: it goes on by itself and can be set to another day."""

    def __init__(self) -> None:
        self.set(FIRST)

    def set(self, day: datetime) -> None:
        self._day, self._began = day, time.monotonic()

    def __call__(self) -> datetime:
        return self._day + timedelta(seconds=time.monotonic() - self._began)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def mill(tmp_path: Path, clock: Clock) -> Iterator[Served]:
    """A served record with the fan's card and a gauge."""
    from whitemetal.web.app import make_app

    desk = Desk.open(str(tmp_path / "mill.db"), clock=clock)
    bearing = desk.keep_card(demo_text("fan_drive_end.toml"), OWNER).bearing
    desk.keep_instrument("M-07", GAUGE, OWNER)
    with listening(make_app(desk)) as at:
        yield Served(at, desk, bearing)
    desk.close()


def fits(page: Page) -> None:
    """Nothing hangs over the edge, and nothing went wrong."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 360, page.url
    assert page.locator("#problems").count() == 0, page.locator("#problems").inner_text()


def stage(page: Page, word: str) -> None:
    """Go from the job's page to one of its stages."""
    with turned(page):
        page.locator(".stages a", has_text=word).tap()
    fits(page)


def press(page: Page, name: str | re.Pattern[str], within: str = "main") -> None:
    """Tap a button and wait for the page that answers."""
    with turned(page):
        page.locator(within).get_by_role("button", name=name).first.tap()
    fits(page)


def fetched(page: Page, link: str | re.Pattern[str]) -> Any:
    with page.expect_download(timeout=5 * PATIENCE) as waiting:  # it is reckoned first, films and all
        page.locator("main").get_by_role("link", name=link).first.tap()
    return waiting.value


def bytes_of(download: Any) -> bytes:
    return Path(download.path()).read_bytes()


def hold_points(page: Page, when: str) -> None:
    """Tick every open hold point of a check."""
    page.wait_for_load_state()
    while page.locator(f"#holds-{when} button[aria-pressed=false]").count():
        button = page.locator(f"#holds-{when} button[aria-pressed=false]").first
        fold = page.locator(f"#holds-{when} details:not([open]) > summary")
        if not button.is_visible() and fold.count():
            fold.first.tap()
        before = page.locator(f"#holds-{when} button[aria-pressed=false]").count()
        button.tap()
        page.wait_for_function(
            "([when, n]) => document.querySelectorAll(`#holds-${when} button[aria-pressed=false]`).length < n",
            arg=[when, before],
        )
    saved(page)


def answer(page: Page, key: str, text: str) -> None:
    """Answer a fact of a check by its key, whatever kind of field it has."""
    choice = page.locator(f"input[type=radio][name='fact.{key}'][value='{text}']")
    field = choice.first if choice.count() else page.locator(f"[name='fact.{key}']").first
    if not field.is_visible():
        page.locator("details:not([open])", has=page.locator(f"[name='fact.{key}']")).locator(
            "summary"
        ).first.tap()
    if choice.count():
        tap(page.locator("label.answer, label", has=choice).first)
    else:
        field.fill(text)
        page.keyboard.press("Enter")
    saved(page)


def wire_check(page: Page, clearance: Callable[[Any], str], desk: Desk) -> None:
    """A soft-wire check on its bench page."""
    hold_points(page, "before")
    for key, text in (("wire_diameter", "0.35"), ("joint", "metal to metal"), ("tightened", "final value"),
                      ("instrument.M-07.zero_before", "0.000"), ("instrument.M-07.zero_after", "0.000")):  # fmt: skip
        answer(page, key, text)
    job, check = job_at(page.url)
    for place in desk.job(job).state.checks[check].places:
        page.locator(f'input.reading[data-place="{place.label}"]').fill(clearance(place))
        page.keyboard.press("Enter")
    saved(page)
    hold_points(page, "after")
    fits(page)


def wire(mm: float) -> Callable[[Any], str]:
    import math

    return lambda place: f"{mm * (1 + math.cos(place.angle)) / 2:.3f}"


def picture() -> bytes:
    """A photograph as a phone takes it: large, with a place in its metadata."""
    from PIL import Image

    image = Image.effect_noise((3200, 2400), 40).convert("RGB")
    exif = Image.Exif()
    exif[0x010E] = "taken at the invented mill"
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", exif=exif, quality=90)
    return buffer.getvalue()


def run_log(settles: float) -> str:
    """A logger's file, decimal commas and a row of units: 22 °C rising towards what it settles at."""
    import math

    rows = ["Time;Bearing metal", "hh:mm:ss;°C"]
    for minute in range(121):
        value = 22.0 + (settles - 22.0) * (1.0 - math.exp(-minute / 22.0))
        rows.append(f"{9 + minute // 60:02d}:{minute % 60:02d}:00;{value:.1f}".replace(".", ","))
    return "\n".join(rows) + "\n"


def test_from_the_work_pack_to_the_signed_report_and_the_opening_two_years_later(
    mill: Served, clock: Clock, window: Callable[..., Page]
) -> None:
    phone = window(360, 740, has_touch=True, is_mobile=True)
    other = window(360, 740, has_touch=True, is_mobile=True)
    job = opened(mill, phone, "TM-5001")
    as_found(mill, phone)
    prepared(mill, phone, job)
    looked_at(mill, phone, job)
    fitted(mill, phone, job)
    closed(mill, phone, job)
    run_in(mill, phone, job)
    signed(mill, phone, other, job)
    filed(mill, phone, job)

    clock.set(SECOND)
    again = opened(mill, phone, "TM-6120")
    as_found(mill, phone, 0.207)
    foreseen(mill, phone, again)


def opened(mill: Served, phone: Page, number: str) -> str:
    """A job opened from the plant's page, with the clearance as found to begin with. Returns the job."""
    phone.goto(mill.at)
    with turned(phone):
        phone.get_by_role("link", name="New job").tap()
    phone.get_by_label("Job number").fill(number)
    phone.get_by_label("What is to be done").fill("open, inspect, put back (invented)")
    if phone.get_by_label("Who is writing?").count():
        phone.get_by_label("Who is writing?").fill("Tove Invented")
    phone.get_by_role("radio", name="as found").tap()
    phone.get_by_role("button", name="Open the job").tap()
    phone.wait_for_url("**/checks/*")
    return job_at(phone.url)[0]


def as_found(mill: Served, phone: Page, clearance: float = 0.195) -> None:
    """The clearance before anything is taken apart."""
    wire_check(phone, wire(clearance), mill.desk)
    assert "within limits" in phone.locator("#strip").inner_text(), phone.locator("#live").inner_text()


def at_job(mill: Served, phone: Page, job: str) -> None:
    phone.goto(f"{mill.at}/jobs/{job}")
    fits(phone)


def prepared(mill: Served, phone: Page, job: str) -> None:
    """The procedure ticked with the permit's number, and the work pack on paper."""
    at_job(mill, phone, job)
    stage(phone, "Procedure")
    pack = pdf_text(fetched(phone, "Work pack (PDF)"))
    for expected in ("TM-5001", "TM-31-F02", "420 N m", "0.15 mm", "DE top", "Isolated"):
        assert expected in pack, expected
    before = phone.locator("button.tick[aria-pressed=true]").count()
    for _ in range(3):
        with turned(phone):
            phone.locator("button.tick[aria-pressed=false]:visible").first.tap()
    assert phone.locator("button.tick[aria-pressed=true]").count() == before + 3
    permit = phone.locator("form.noted", has_text="ermit")
    permit.locator("input[name=text]").fill("118")
    with turned(phone):
        permit.get_by_role("button", name="Done").tap()
    fits(phone)
    assert "118" in phone.locator("main").inner_text()


def looked_at(mill: Served, phone: Page, job: str) -> None:
    """Stripped, looked at, photographed."""
    phone.goto(f"{mill.at}/jobs/{job}/fit")
    phone.locator("summary", has_text=say("fit.note_stripped")).tap()
    phone.get_by_label(say("fit.stripped_text")).fill("cap off, upper shell out")
    press(phone, say("fit.note_stripped"))
    phone.goto(f"{mill.at}/jobs/{job}/photographs")
    phone.locator("#photograph").set_input_files(
        {"name": "IMG_1.JPG", "mimeType": "image/jpeg", "buffer": picture()}
    )
    phone.get_by_label(say("photo.caption")).fill("match marks at the drive end")
    press(phone, say("photo.keep"))
    shot = phone.locator(".shots img").first
    shot.scroll_into_view_if_needed()
    phone.wait_for_function("() => document.querySelector('.shots img').naturalWidth > 0")
    [kept] = mill.desk.job(job).state.photographs
    assert max(kept.width, kept.height) == 2560 and kept.taken


def fitted(mill: Served, phone: Page, job: str) -> None:
    """One finishing pass on the unloaded half, and the clearance again as left."""
    phone.goto(f"{mill.at}/jobs/{job}/fit?what=scraping#change")
    phone.get_by_role("radio", name=re.compile("^upper")).first.check(force=True)
    phone.locator("#fit-text").fill("high spots off, one finishing pass")
    press(phone, say("web.fit_keep"))
    begin(mill, phone, job, "wire")
    wire_check(phone, wire(0.2), mill.desk)
    assert "within limits" in phone.locator("#strip").inner_text(), phone.locator("#live").inner_text()


def begin(mill: Served, phone: Page, job: str, method: str) -> None:
    """Begin a check as left from the job's page."""
    at_job(mill, phone, job)
    starts = phone.locator("details.starts")
    if starts.get_attribute("open") is None:
        starts.locator(":scope > summary").tap()
    starts.locator("label.segment", has_text="as left").tap()
    button = phone.locator(f"button[name=method][value={method}]")
    starts.locator("details.group", has=button).locator("summary").tap()
    button.tap()
    phone.wait_for_url("**/checks/*")


def closed(mill: Served, phone: Page, job: str) -> None:
    """Nut by nut in four passes, counted out, and every point of the order of trust closed."""
    at_job(mill, phone, job)
    stage(phone, "Close up")
    press(phone, re.compile(say("closing.begin_tightening")))
    nuts = phone.url
    for _ in range(4 * 4):
        if not phone.locator("button.pull").count():
            with turned(phone):
                phone.get_by_role("link", name=re.compile("Go on", re.IGNORECASE)).tap()
        with turned(phone):
            phone.locator("button.pull").tap()
        fits(phone)
    press(phone, say("closing.none_moved"))
    with turned(phone):
        phone.goto(nuts.split("/nuts")[0])
    hold_points(phone, "before")
    for key, text in (("thread", "oiled"), ("grade", "8.8"), ("threads", "yes"), ("tapped", "yes"),
                      ("joint_feeler", "0.00")):  # fmt: skip
        answer(phone, key, text)
    assert "within limits" in phone.locator("#strip").inner_text(), phone.locator("#live").inner_text()
    at_job(mill, phone, job)
    stage(phone, "Close up")
    press(phone, re.compile(say("closing.begin_closed_up")))
    counted_out(phone)
    for link in mill.desk.chain(job).links:
        if link.by_hand and not link.stands:
            by_hand(mill, phone, job, link.key)
    assert mill.desk.chain(job).still_open == ()


def counted_out(phone: Page) -> None:
    """What was put in came out again, and every part is in."""
    hold_points(phone, "before")
    for key in ("blue_off", "oil_holes", "dowels_in", "locked", "ring_screws", "seals_in", "oil_in"):
        answer(phone, key, "yes")
    answer(phone, "gasket", "none on this bearing")
    answer(phone, "oil_grade", "ISO VG 68")
    answer(phone, "oil_quantity", "6 l")
    for key in ("wires_in", "wires_out", "rags_in", "rags_out", "plugs_in", "plugs_out"):
        answer(phone, key, "4")
    hold_points(phone, "after")
    assert "within limits" in phone.locator("#strip").inner_text(), phone.locator("#live").inner_text()


def by_hand(mill: Served, phone: Page, job: str, key: str) -> None:
    phone.goto(f"{mill.at}/jobs/{job}/fit#p-{key}")
    point = phone.locator(f"#p-{key}")
    point.locator("details > summary").tap()
    point.locator("input[name=text]").fill("seen, as the book says (invented)")
    with turned(phone):
        point.get_by_role("button", name=say("fit.close_by_hand")).tap()
    fits(phone)


def run_in(mill: Served, phone: Page, job: str) -> None:
    """Two hours from a logger's file, ring seen turning, settled."""
    at_job(mill, phone, job)
    stage(phone, "Run-in")
    phone.locator("#new-start").fill(f"{FIRST:%Y-%m-%d} 09:00")
    phone.locator("#new-ambient").fill("22")
    press(phone, say("run_in.begin"))
    phone.locator("#log-file").set_input_files(
        {"name": "fan.csv", "mimeType": "text/csv", "buffer": run_log(53.0).encode()}
    )
    press(phone, say("run_in.keep_file"))
    assert "the file does not say" in phone.locator("main").inner_text(), "a zone is asked, never guessed"
    phone.get_by_label("Zone of its clock").fill("UTC")
    phone.get_by_label("Day of the first line").fill(f"{FIRST:%Y-%m-%d}")
    phone.locator("#w-2").select_option("metal")
    press(phone, say("run_in.read_so"))
    phone.goto(f"{mill.at}/jobs/{job}/run-in")
    told = phone.locator("main").inner_text()
    assert "121 values from 123 lines; 0 lines refused" in told
    assert "Settled; still to be seen" in told and "52.9 °C after 120 minutes" in told
    while phone.locator("li.holdpoint:not(.closed)").count():
        point = phone.locator("li.holdpoint:not(.closed)").first
        point.locator("summary").tap()
        point.locator("input[name=text]").fill("seen by Tove (invented)")
        with turned(phone):
            point.locator("button").first.tap()
    fits(phone)
    print(phone.locator("main").inner_text()[:700])


def signed(mill: Served, phone: Page, other: Page, job: str) -> None:
    """Two people sign; afterwards the job takes no more."""
    at_job(mill, phone, job)
    stage(phone, "Sign")
    press(phone, say("signing.i_did"))
    other.goto(f"{mill.at}/jobs/{job}/sign")
    other.locator("#sign-name").fill("Bo Invented")
    press(other, say("signing.i_checked"))
    assert mill.desk.job(job).state.signing.signed
    told = other.locator("main").inner_text()
    assert (
        "Both have signed" in told and "Tove Invented: did it" in told and "Bo Invented: checked it" in told
    )
    at_job(mill, phone, job)
    phone.locator("summary", has_text="Write a note").tap()
    phone.locator("#note").fill("one thing more")
    with turned(phone):
        phone.get_by_role("button", name="Keep the note").tap()
    assert "open it again" in phone.locator("main").inner_text().casefold(), "a signed job takes nothing more"
    assert phone.locator("#note").input_value() == "one thing more", "and loses nothing that was typed"


def filed(mill: Served, phone: Page, job: str) -> None:
    """The report, everything as files, and the next opening as a day in a calendar."""
    phone.goto(f"{mill.at}/jobs/{job}/sign")
    report = pdf_text(fetched(phone, re.compile("^Report$")))
    for expected in ("TM-5001", "fit", "0.195", "0.200", "Tove Invented", "Bo Invented", "match marks", "420 N m",
                     "ring", "scraping", mill.desk.job(job).state.digest[:12]):  # fmt: skip
        assert expected in report, expected
    from pypdf import PdfReader

    pages = PdfReader(io.BytesIO(bytes_of(fetched(phone, re.compile("^Report$"))))).pages
    assert sum(len(page.images) for page in pages) >= 1, "the photograph is printed"
    with zipfile.ZipFile(io.BytesIO(bytes_of(fetched(phone, "CSV")))) as packed:
        names = packed.namelist()
        rows = b"".join(packed.read(name) for name in names if name.endswith(".csv")).decode()
    assert "0.195" in rows and any(name.endswith(".jpg") for name in names)
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(bytes_of(fetched(phone, "Workbook"))))
    assert any("Tove Invented" in str(cell.value) for sheet in book for row in sheet for cell in row)


def foreseen(mill: Served, phone: Page, job: str) -> None:
    """What two openings say of the wear, and when to open next: on the page, in the list and in the calendar."""
    at_job(mill, phone, job)
    stage(phone, "Next opening")
    told = phone.locator("main").inner_text()
    assert "As found 0.207 mm, as left the time before 0.200 mm: 0.007 mm" in told
    assert "Running hours are not known" in told and "The rate rests on one run alone" in told
    found = re.search(r"Open it by (\d{4}-\d{2}-\d{2})", told)
    assert found is not None and found[1] > f"{SECOND:%Y-%m-%d}"
    for date, hours in ((FIRST, "12000"), (SECOND, "28400")):
        phone.locator("details", has=phone.locator("#c-date")).locator("summary").first.tap()
        phone.locator("#c-date").fill(f"{date:%Y-%m-%d}")
        phone.locator("#c-hours").fill(hours)
        press(phone, "Keep the counters")
    assert "Running hours are not known" not in phone.locator("main").inner_text()
    phone.goto(f"{mill.at}/openings")
    fits(phone)
    assert "TM-31-F02" in phone.locator("main").inner_text()
    calendar = phone.request.get(f"{mill.at}/bearings/{mill.bearing}/days.ics")
    assert calendar.status == 200
    import vobject

    days = [event.dtstart.value for event in vobject.readOne(calendar.text()).contents["vevent"]]
    due = re.search(r"Open it by (\d{4}-\d{2}-\d{2})", life_of(mill, phone))
    assert due is not None and due[1] in {str(day)[:10] for day in days}


def life_of(mill: Served, phone: Page) -> str:
    phone.goto(f"{mill.at}/bearings/{mill.bearing}/life")
    return phone.locator("main").inner_text()
