"""Who may ask, which device asks, and what happens when the record cannot be written."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi import FastAPI

from tests.web.client import TestClient
from tests.web.plant import Job
from whitemetal.desk import Desk
from whitemetal.errors import CannotWrite
from whitemetal.web.guard import DEVICE_COOKIE, host_name, new_id


def test_a_foreign_page_cannot_write(
    desk: Desk, job: Job, client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    before = desk.job(job.job).state.entries
    change = {"what": "scraping", "half": "lower", "text": "never happened"}
    for headers in (
        {"origin": "http://elsewhere.invalid"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
    ):
        answer = client.post(f"/jobs/{job.job}/fit", data=change, headers=headers)
        assert answer.status_code == 403, headers
    assert [one.getMessage()[:8] for one in caplog.records if one.name == "whitemetal.people"] == [
        "refused:"
    ] * 3
    assert desk.job(job.job).state.entries == before
    own = client.post(f"/jobs/{job.job}/fit", data=change, headers={"origin": "http://testserver"})
    assert own.status_code == 200
    assert desk.job(job.job).state.entries == before + 1


def test_on_the_loopback_address_only_its_own_names_are_answered(app: FastAPI) -> None:
    for name, status in (("127.0.0.1:8000", 200), ("localhost:8000", 200), ("rebound.invalid", 403)):
        with TestClient(app, base_url="http://127.0.0.1:8000") as client:
            assert client.get("/", headers={"host": name}).status_code == status, name


@pytest.mark.parametrize(
    ("host", "name"),
    [("localhost", "localhost"), ("localhost:80", "localhost"), ("[::1]:80", "[::1]"), ("[::1]", "[::1]")],
)
def test_host_name(host: str, name: str) -> None:
    assert host_name(host) == name


def test_every_browser_is_a_device_of_its_own(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    one, two = browser_named("Ada Invented"), browser_named("Ada Invented")
    assert one.cookies[DEVICE_COOKIE] != two.cookies[DEVICE_COOKIE]
    for client in (one, two, one):
        client.post(f"/jobs/{job.job}/fit", data={"what": "shim", "text": "0.1 mm out"})
    devices = [entry.device for entry in desk.entries(job.job)[-3:]]
    assert devices == [one.cookies[DEVICE_COOKIE], two.cookies[DEVICE_COOKIE], one.cookies[DEVICE_COOKIE]]


def test_a_made_up_device_cookie_is_not_believed(app: FastAPI) -> None:
    client = TestClient(app, cookies={DEVICE_COOKIE: "x'; drop"})
    answer = client.get("/")
    assert DEVICE_COOKIE in answer.headers["set-cookie"]
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


def test_names_beyond_ascii_travel_in_the_cookie(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    client = browser_named("Žofie Ł. Ölschläger")
    client.post(f"/jobs/{job.job}/fit", data={"what": "shim", "text": "out"})
    assert desk.entries(job.job)[-1].by["name"] == "Žofie Ł. Ölschläger"


def test_what_waited_on_a_device_stands_under_the_name_it_was_entered_under(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    """The name travels as the cookie had it when the entry was made; the cookie has gone to the next person."""
    before = browser_named("Žofie / Ł.").cookies["whitemetal_name"].strip('"')
    client = browser_named("Bo Invented")
    for headers in ({"written-by": before}, {}):
        client.post(f"/jobs/{job.job}/fit", data={"what": "shim", "text": "0.1 mm out"}, headers=headers)
    assert [entry.by["name"] for entry in desk.entries(job.job)[-2:]] == ["Žofie / Ł.", "Bo Invented"]


@pytest.mark.parametrize(
    ("to", "page"),
    [
        ("checks", ""),
        ("fit/change", "/fit"),
        ("inspection/damage", "/inspection"),
        ("run-in/begin", "/run-in"),
    ],
)
def test_who_says_their_name_after_a_refusal_comes_back_to_a_page(
    job: Job, browser_named: Callable[[str], TestClient], to: str, page: str
) -> None:
    """A phone that nobody wrote their name on sends a form; the answer stands at an address without a page."""
    client = browser_named("Ada Invented")
    client.cookies.delete("whitemetal_name")
    refused = client.post(f"/jobs/{job.job}/{to}", data={"method": "wire", "what": "shim", "text": "out"})
    assert refused.status_code == 422
    found = re.search(r'name="back" value="([^"]*)"', refused.text)
    assert found is not None and found[1] == f"/jobs/{job.job}{page}"
    assert client.get(found[1]).status_code == 200


def test_the_way_back_leads_nowhere_else(client: TestClient) -> None:
    for back in ("//elsewhere.invalid", "https://elsewhere.invalid", "/\\elsewhere.invalid"):
        answer = client.post("/who", data={"name": "Ada", "back": back}, follow_redirects=False)
        assert answer.headers["location"] == "/"


def test_a_record_that_cannot_be_written_loses_nothing_typed(
    desk: Desk, job: Job, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise CannotWrite("the disk is full")

    for verb in ("keep_reading", "keep_fact", "change_fit", "keep_card"):
        monkeypatch.setattr(type(desk), verb, full)
    script = {"accept": "application/json"}
    body = {"id": new_id(), "place": "DE top", "text": "0.243", "unit": "mm"}
    answer = client.post(f"{job.at}/readings", json=body, headers=script)
    assert answer.status_code == 503, "the page keeps it and sends it again"
    assert answer.json()["kept"] is False
    assert "the disk is full" in answer.json()["problem"]
    plain = client.post(f"{job.at}/readings", data={"reading.DE top": "0.243", "unit": "mm"})
    assert plain.status_code == 503
    assert "0.243" in plain.text
    fit = client.post(f"/jobs/{job.job}/fit", data={"what": "shim", "text": "0.1 mm out, left"})
    assert fit.status_code == 503
    assert "Nothing was saved" in fit.text
    assert "0.1 mm out, left" in fit.text
    card = client.post("/bearings/new", data={"text": "not = 'finished'"})
    assert "not = &#39;finished&#39;" in card.text


def test_an_error_inside_shows_no_trace(
    desk: Desk, job: Job, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("secret inner thing")

    monkeypatch.setattr(type(desk), "judgement", broken)
    answer = client.get(job.at)
    assert answer.status_code == 500
    assert "secret inner thing" not in answer.text
    assert "Traceback" not in answer.text
    assert "Something went wrong inside the program" in answer.text


def test_a_record_that_can_only_be_read_says_so_on_every_page(
    desk: Desk, job: Job, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    sentence = "The record is read-only here"
    assert sentence not in client.get(job.at).text
    monkeypatch.setattr(desk._ledger, "writable", False)
    for at in ("/", job.at, f"/jobs/{job.job}"):
        assert sentence in client.get(at).text, at
