"""What two people entered unaware of each other is shown to whoever opens the page, and no clock decides it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import pytest

from tests.web.client import TestClient
from tests.web.plant import Job, begin
from whitemetal.desk import Desk, Writer

TOVE, BO = Writer("Tove Invented", "t" * 26), Writer("Bo Invented", "b" * 26)


@pytest.fixture
def both(browser_named: Callable[[str], TestClient]) -> tuple[TestClient, TestClient]:
    return browser_named("Tove Invented"), browser_named("Bo Invented")


def heads(client: TestClient, job: str) -> str:
    """The heads that a page of this job carries."""
    found = re.search(r'name="seen" value="([0-9a-f ]*)"', client.get(f"/jobs/{job}").text)
    assert found is not None
    return found[1]


def send(client: TestClient, at: str, body: Mapping[str, object], ago: int = 0) -> None:
    """As a device sends what it kept: how long ago it was written is said by its own clock."""
    headers = {"accept": "application/json", "written-ago": str(ago)}
    assert client.post(at, json=body, headers=headers).status_code == 200


def shown(client: TestClient, at: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", client.get(at).text)).replace("&#34;", '"')


def nuts(desk: Desk) -> Job:
    job = begin(desk, TOVE)
    return Job(job.bearing, job.job, desk.start_check(job.job, "tightening", "as left", TOVE, id="n" * 26))


@pytest.mark.parametrize("first", [0, 1])
def test_a_nut_pulled_further_on_one_device_and_struck_on_another_is_shown(
    desk: Desk, both: tuple[TestClient, TestClient], first: int
) -> None:
    """Whoever of the two comes in first: the same sentence stands on the page of the nuts and on the bench."""
    job = nuts(desk)
    nut = desk.job(job.job).state.checks[job.check].places[0].label
    pulled = desk.keep_reading(job.job, job.check, nut, "210 N m", TOVE)
    assert pulled.entry is not None
    seen = heads(both[0], job.job)
    again = {"id": "r" * 26, "place": nut, "text": "420 N m", "squeeze": 1, "mode": "again", "seen": seen}

    def pull() -> None:
        send(both[0], f"{job.at}/readings", again, ago=7_200_000)

    def strike() -> None:
        entry = pulled.entry.id if pulled.entry is not None else ""
        body = {"seen": seen, "entry": entry, "why": "wrong nut"}
        assert both[1].post(f"/jobs/{job.job}/strikes", data=body, follow_redirects=False).status_code == 303

    for step in (pull, strike) if first == 0 else (strike, pull):
        step()
    state = desk.job(job.job).state.checks[job.check]
    assert [one.text for one in state.readings] == ["420 N m"] and len(state.struck) == 1
    for client in both:
        for page in (f"{job.at}/nuts", job.at):
            text = shown(client, page)
            assert 'Bo Invented struck "210 N m" (wrong nut)' in text, page
            assert 'Tove Invented went on from it and wrote "420 N m"' in text, page
    assert desk.judgement(job.job, job.check).verdict == "not proven"
    desk.strike(job.job, "r" * 26, "looked at the nut", BO)
    assert desk.job(job.job).state.checks[job.check].contradictions == ()


def test_one_who_strikes_and_pulls_anew_is_not_told_of_himself(desk: Desk) -> None:
    job = nuts(desk)
    nut = desk.job(job.job).state.checks[job.check].places[0].label
    pulled = desk.keep_reading(job.job, job.check, nut, "210 N m", TOVE).entry
    assert pulled is not None
    desk.strike(job.job, pulled.id, "wrench slipped", TOVE)
    desk.keep_reading(job.job, job.check, nut, "420 N m", TOVE)
    assert desk.job(job.job).state.checks[job.check].contradictions == ()


def test_a_hold_point_closed_on_one_device_and_opened_on_another_stays_open_and_is_shown(
    desk: Desk, both: tuple[TestClient, TestClient]
) -> None:
    job = begin(desk, TOVE)
    seen = heads(both[0], job.job)
    for client, state, ago in ((both[0], "closed", 0), (both[1], "open", 3_600_000)):
        send(client, f"{job.at}/holds", {"hold": "cap_held", "state": state, "text": "", "seen": seen}, ago)
    hold = desk.job(job.job).state.holds[f"cap_held@{job.check}"]
    assert (hold.closed, hold.by_hand) == (False, "both")
    for client in both:
        assert "by people who had not seen each other" in shown(client, job.at)


@pytest.mark.parametrize("ago", [0, 86_400_000])
def test_a_scraping_and_readings_unaware_of_each_other_make_the_check_stale_whatever_the_clocks_say(
    desk: Desk, both: tuple[TestClient, TestClient], ago: int
) -> None:
    job = begin(desk, TOVE)
    seen = heads(both[0], job.job)
    scraped = {"what": "scraping", "half": "lower", "text": "blue spots taken down", "seen": seen}
    assert both[1].post(f"/jobs/{job.job}/fit", data=scraped, follow_redirects=False).status_code == 303
    body = {"id": "r" * 26, "place": "DE top", "text": "0.231", "unit": "mm", "seen": seen}
    send(both[0], f"{job.at}/readings", body, ago)
    state = desk.job(job.job).state.checks[job.check]
    assert state.stale and any("neither had seen the other" in text for text in state.contradictions)
    for client in both:
        text = shown(client, job.at)
        assert "blue spots taken down" in text and "neither had seen the other" in text
