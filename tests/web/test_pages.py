"""Every page answers, shows what it must, and escapes what people typed."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi.routing import APIRoute

from tests.desk.pictures import as_jpeg, pattern
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, begin, fill
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.web.app import ROOMS

HOSTILE = "<script>alert(1)</script>\"'&"


def photographed(desk: Desk, job: Job) -> str:
    """The digest of a photograph of the job."""
    kept = keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), BENCH_HAND, caption="the cap")
    assert kept.entry is not None
    return str(kept.entry.body["digest"])


def addresses(desk: Desk, job: Job) -> dict[str, str]:
    """An address for every page there is, by its route."""
    card = desk.bearing(job.bearing).card.digest
    named = {
        "book": job.bearing, "job": job.job, "check": job.check, "digest": card, "place": "DE left", "method": "tightening",
        "photograph": photographed(desk, job),
    }  # fmt: skip
    return {
        route: re.sub(r"\{(\w+)\}", lambda found: named[found.group(1)], route)
        for route in ROUTES_SHOWN
    }  # fmt: skip


ROUTES_SHOWN = (
    "/api/1/bearings/{book}", "/api/1/bearings/{book}/births", "/api/1/instruments",
    "/api/1/books/{book}/changed", "/bring", "/jobs/{job}/job-file.zip", "/api/1/jobs/{job}/job-file.zip",
    "/jobs/{job}/as-found", "/api/1/jobs/{job}/as-found", "/jobs/{job}/inspection", "/api/1/jobs/{job}/inspection",
    "/jobs/{job}/photographs", "/api/1/jobs/{job}/photographs", "/photographs/{photograph}.jpg", "/photographs/{photograph}.small.jpg",
    "/", "/drawing.css", "/instruments", "/verify", "/bearings/new", "/bearings/{book}", "/bearings/{book}/edit",
    "/bearings/{book}/revisions/{digest}", "/bearings/{book}/jobs/new", "/bearings/{book}/births", "/bearings/{book}/blank-sheet.pdf",
    "/cards/{digest}.toml", "/jobs/{job}", "/jobs/{job}/checks/{check}", "/jobs/{job}/checks/{check}/live",
    "/jobs/{job}/checks/{check}/places/{place}", "/jobs/{job}/checks/{check}/judgement",
    "/jobs/{job}/checks/{check}/sheet.pdf", "/jobs/{job}/checks/{check}/film",
    "/jobs/{job}/agreement", "/api/1/jobs/{job}/agreement", "/jobs/{job}/checks/{check}/film/part", "/jobs/{job}/checks/{check}/film/tried/part", "/jobs/{job}/checks/{check}/film/sheet.pdf", "/record/{book}", "/api/1/plant", "/api/1/jobs/{job}",
    "/api/1/books/{book}/entries", "/api/1/jobs/{job}/checks/{check}/judgement", "/api/1/verify", "/api/1/methods",
    "/jobs/{job}/checks/{check}/plan", "/jobs/{job}/checks/{check}/plan/part", "/jobs/{job}/order",
    "/jobs/{job}/checks/{check}/plan/film/part", "/api/1/jobs/{job}/checks/{check}/plan",
    "/sign-in", "/sign-in/provider", "/sign-in/back", "/sign-in/code", "/me/confirm", "/people", "/people/first", "/people/join", "/me", "/api/1/me", "/api/1/people",
    "/jobs/{job}/order.pdf", "/api/1/jobs/{job}/order", "/jobs/{job}/fit", "/api/1/jobs/{job}/fit",
    "/jobs/{job}/run-in", "/jobs/{job}/run-in/live", "/jobs/{job}/run-in/log", "/api/1/jobs/{job}/run-in",
    "/jobs/{job}/sign", "/api/1/jobs/{job}/sign", "/jobs/{job}/report.pdf", "/jobs/{job}/export.zip", "/jobs/{job}/export.xlsx", "/jobs/{job}/export.json",
    "/export.zip", "/export.xlsx", "/export.json", "/bearings/{book}/days.ics",
    "/bearings/{book}/life", "/api/1/bearings/{book}/life", "/openings", "/api/1/openings",
    "/bearings/{book}/paper", "/bearings/{book}/paper/blank.csv",
    "/jobs/{job}/procedure", "/api/1/jobs/{job}/procedure", "/api/1/jobs/{job}/sheets", "/jobs/{job}/type-in", "/jobs/{job}/work-pack.pdf", "/procedure", "/api/1/procedure",
    "/api/1/jobs/{job}/checks/{check}/carried", "/api/1/jobs/{job}/along", "/jobs/{job}/begin/{method}", "/jobs/{job}/begin/{method}/nuts", "/api/1/jobs/{job}/begin/{method}/carried", "/api/1/jobs/{job}/heads", "/worker.js", "/on-this-device", "/api/1/news",
    "/jobs/{job}/close-up", "/api/1/jobs/{job}/close-up", "/jobs/{job}/checks/{check}/nuts",
    "/api/1/jobs/{job}/checks/{check}/nuts", "/bearings/{book}/torque", "/api/1/bearings/{book}/torque",
)  # fmt: skip

FILM_SHEET = "/jobs/{job}/checks/{check}/film/sheet.pdf"
"""Refused for this card: it says neither load nor oil."""

PLAN = "/api/1/jobs/{job}/checks/{check}/plan"
"""Refused while nothing was read: a plan goes from somewhere."""

PROVIDER = dict.fromkeys(("/sign-in/provider", "/me/confirm"), 422)
"""Refused where the plant names no provider."""

DAYS = "/bearings/{book}/days.ics"
"""Refused while nothing can be said of the next opening and nobody gave a concession."""


def test_no_route_is_left_out_of_these_tests() -> None:
    routes = [route for room in ROOMS for route in room.router.routes if isinstance(route, APIRoute)]
    shown = {route.path for route in routes if "GET" in (route.methods or ())}
    assert shown == set(ROUTES_SHOWN)


@pytest.mark.parametrize("read", [False, True], ids=["before the readings", "after them"])
def test_every_route_answers(desk: Desk, job: Job, client: TestClient, read: bool) -> None:
    if read:
        fill(desk, job, BENCH_HAND)
    answers = {route: client.get(at) for route, at in addresses(desk, job).items()}
    expected = {
        **dict.fromkeys(ROUTES_SHOWN, 200),
        FILM_SHEET: 422,
        PLAN: 200 if read else 422,
        DAYS: 422,
        **PROVIDER,
    }
    assert {route: answer.status_code for route, answer in answers.items()} == expected


def test_unknown_addresses_say_so_without_a_trace(job: Job, client: TestClient) -> None:
    for at in ("/nowhere", "/jobs/NONE", "/bearings/NONE", f"/jobs/{job.job}/checks/NONE", "/cards/00.toml",
               f"{job.at}/places/nowhere", f"/jobs/{job.job}/checks/NONE/judgement"):  # fmt: skip
        answer = client.get(at)
        assert answer.status_code == 404, at
        assert "Traceback" not in answer.text
        assert "There is no such page" in answer.text, at


def test_hostile_text_is_shown_as_text(desk: Desk, browser_named: Callable[[str], TestClient]) -> None:
    client = browser_named(HOSTILE)
    card = CARD.replace(
        'name = "Induced-draught fan (invented)"', f"name = '''{HOSTILE.replace(chr(39), '')}'''"
    )
    job = begin(desk, BENCH_HAND, card, number=HOSTILE)
    fill(desk, job, BENCH_HAND)
    client.post(f"{job.at}/readings", json={"id": "", "place": "DE left", "text": HOSTILE, "mode": "again"},
                headers={"accept": "application/json"})  # fmt: skip
    client.post(f"/jobs/{job.job}/fit", data={"what": "scraping", "half": "lower", "text": HOSTILE})
    pages = [at for route, at in addresses(desk, job).items() if route[:4] != "/api" and "." not in route]
    shown = 0
    for at in [*pages, f"/record/{job.job}"]:
        text = client.get(at).text
        assert "<script>alert" not in text, at
        shown += "&lt;script&gt;alert" in text
    assert shown >= 6, "the hostile text is shown, not dropped"


def test_pages_ask_for_nothing_from_outside(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    for route, at in addresses(desk, job).items():
        if route.startswith("/api") or "." in route or route.endswith(("/live", "/part")):
            continue
        answer = client.get(at)
        links = re.findall(r'(?:src|href|action)="([^"]*)"', answer.text)
        assert links
        assert [link for link in links if re.match(r"(?:\w+:)?//", link)] == [], at
        assert re.findall(r"<script(?![^>]*\bsrc=)", answer.text) == [], at
        assert not re.search(r"\son\w+=|style=\"|javascript:", answer.text), at
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy


def test_no_place_is_left_without_a_box(desk: Desk, job: Job, client: TestClient) -> None:
    text = client.get(job.at).text
    for place in desk.job(job.job).state.checks[job.check].places:
        assert f'name="reading.{place.label}"' in text
    assert "isolated" in text.lower()


def test_a_good_check_is_not_leave_to_run(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    text = client.get(f"{job.at}/judgement").text
    assert "within limits" in text
    assert "not fit" in text
    assert "Wires out equals wires in" in text, "an open hold point stands beside the verdict"
    assert "A good check is not leave to close and run." in text
    assert "0.225 mm" in text
    assert "0.113 mm" in text or "0.112 mm" in text, "the radial value is named beside the diametral one"


def test_standing_at_the_other_end_turns_the_names(job: Job, client: TestClient) -> None:
    from_drive_end = _boxes(client.get(f"{job.at}?stand=0").text)
    from_other_end = _boxes(client.get(f"{job.at}?stand=180").text)
    assert from_drive_end[0] == "OE left", "far left as seen from the drive end"
    assert from_other_end[0] == "DE right", "far left as seen from the other end"
    assert sorted(from_drive_end) == sorted(from_other_end)
    assert _boxes(client.get(job.at).text) == from_other_end, "the stand is remembered"


def _boxes(text: str) -> list[str]:
    return re.findall(r'name="reading\.([^"]+)"', text)


def test_sheet_is_a_pdf_for_keeping(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    answer = client.get(f"{job.at}/sheet.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert 'filename="data-sheet-4711.pdf"' in answer.headers["content-disposition"]


def test_a_gauge_whose_calibration_is_past_says_so(desk: Desk, client: TestClient) -> None:
    desk.keep_instrument("OLD", {"name": "micrometer", "calibration_due": "2020-03-01"}, BENCH_HAND)
    assert re.findall(
        r"2020-03-01</span> <small>is past: readings taken with it are held", client.get("/instruments").text
    )
    desk.keep_instrument("OLD", {"name": "micrometer", "calibration_due": "2999-03-01"}, BENCH_HAND)
    assert "is past" not in client.get("/instruments").text
