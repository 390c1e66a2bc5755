"""The second opening of a bearing two years later, through the desk and the pages: what was left then, what is
found now, the wear between, the next opening by a chosen risk, and the plant's rule over it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.desk.lives import IDA, RENEWED_AT, Years, a_desk, measure, seeing
from tests.web.client import TestClient
from whitemetal.desk import Desk
from whitemetal.web.app import make_app


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[Desk, Years, TestClient]]:
    desk, years = a_desk(tmp_path / "record.sqlite3")
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    client.post("/who", data={"name": "Ada Invented", "back": "/"})
    yield desk, years, client
    desk.close()


def opened(desk: Desk, client: TestClient, bearing: str, number: str, found: float, left: float) -> str:
    """A job begun on its page, measured as found, scraped through the fit's page, measured as left."""
    begun = client.post(
        f"/bearings/{bearing}/jobs/new", data={"number": number, "title": "opening"}, follow_redirects=False
    )
    assert begun.status_code == 303
    job = str(begun.headers["location"]).split("/")[2].partition("?")[0]
    measure(desk, job, "as found", found)
    scraped = {"what": "scraping", "half": "upper", "text": "high spots at the mark end",
               "seen": " ".join(seeing(desk, job).seen)}  # fmt: skip
    assert client.post(f"/jobs/{job}/fit", data=scraped, follow_redirects=False).status_code == 303
    measure(desk, job, "as left", left)
    return job


def counters(client: TestClient, bearing: str, day: str, hours: str, starts: str) -> None:
    typed = {"date": day, "hours": hours, "starts": starts, "source": "panel"}
    answer = client.post(f"/bearings/{bearing}/life/counters", data=typed, follow_redirects=False)
    assert answer.status_code == 303


def test_the_second_opening_two_years_later(place: tuple[Desk, Years, TestClient]) -> None:
    """Left at 0.200 mm, found at 0.240 mm 16 000 h and 100 starts later: 0.020 mm in 8000 h, 0.040 mm in 100
    starts. Left at 0.230 mm then: (0.400 - 0.230)/0.040 * 16 000 = 68 000 h to the renewal limit, most likely.
    """
    desk, years, client = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    first = opened(desk, client, bearing, "TM-1001", 0.215, 0.200)
    counters(client, bearing, "2026-03-02", "40000", "300")
    assert "No date can be given." in client.get(f"/jobs/{first}").text, "one opening foresees nothing"

    years.set("2028-03-02")
    second = opened(desk, client, bearing, "TM-1002", 0.240, 0.230)
    counters(client, bearing, "2028-03-02", "56000", "400")
    shown = client.get(f"/bearings/{bearing}/life").text
    assert "As found 0.240 mm, as left the time before 0.200 mm: 0.040 mm" in shown
    assert "It wears 0.020 mm in 8 000 running hours" in shown
    assert "rests on one run alone" in shown and "95 % interval" in shown
    by_starts = client.get(f"/bearings/{bearing}/life?against=starts").text
    assert "It wears 0.040 mm in 100 starts" in by_starts, re.findall("It wears[^<]*", by_starts)

    found = client.get(f"/api/1/bearings/{bearing}/life").json()
    assert found["reached"] == pytest.approx(68_000 * 3600, rel=0.02)
    assert found["low"] < found["reached"] < found["high"]
    due = date.fromisoformat(found["due"])
    assert date(2028, 3, 2) < due < date(2036, 9, 2), "before the 3107 days of the best estimate"
    braver = client.get(f"/api/1/bearings/{bearing}/life?risk=20 %").json()
    assert date.fromisoformat(braver["due"]) > due

    assert f"Open it by {found['due']}." in client.get(f"/jobs/{second}").text
    assert found["due"] in client.get("/openings").text
    rule = {"months": "24", "risk": "5 %", "text": "insurer's rule (invented)"}
    assert client.post("/openings/rule", data=rule, follow_redirects=False).status_code == 303
    assert "2030-03-02" in client.get("/openings").text
    assert "Open it by 2030-03-02." in client.get(f"/jobs/{second}").text
    assert desk.verify() == ()
