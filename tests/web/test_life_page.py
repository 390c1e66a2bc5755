"""The page of a bearing's life: what it says, what is kept from its forms, its JSON twin."""

from __future__ import annotations

import pytest

from tests.desk.lives import IDA, RENEWED_AT, opening
from tests.web.client import TestClient
from whitemetal.desk import Desk
from whitemetal.desk.life import book_of

JSON = {"accept": "application/json"}


@pytest.fixture
def bearing(desk: Desk) -> str:
    """Opened three times this very day, as far as the clock knows."""
    book = desk.keep_card(RENEWED_AT, IDA).bearing
    opening(desk, book, "W-1", 0.210, 0.200)
    return book


def test_the_card_leads_to_it_and_one_opening_says_nothing(client: TestClient, bearing: str) -> None:
    assert f"/bearings/{bearing}/life" in client.get(f"/bearings/{bearing}").text
    shown = client.get(f"/bearings/{bearing}/life").text
    assert "One opening says nothing about wear." in shown and "No date can be given." in shown
    assert "0.210 mm" in shown and "0.200 mm" in shown and "<svg" in shown


def test_counters_are_kept_and_what_cannot_be_is_given_back(
    client: TestClient, desk: Desk, bearing: str
) -> None:
    at = f"/bearings/{bearing}/life/counters"
    answer = client.post(at, data={"date": "2026-13-01", "hours": "many", "starts": "12.5"})
    assert answer.status_code == 422
    for typed in ("2026-13-01", "many", "12.5"):
        assert f'value="{typed}"' in answer.text
    assert answer.text.count("<li><b>") >= 3, "every problem is named"
    good = client.post(
        at, data={"date": "2026-03-02", "hours": "40 000,5 h".replace(" 0", "0")}, follow_redirects=False
    )
    assert good.status_code == 303
    (one,) = book_of(desk, bearing).counters
    assert one.hours == pytest.approx(40000.5 * 3600.0)
    assert "40000 h" in client.get(f"/bearings/{bearing}/life").text


def test_sent_twice_it_is_kept_once(client: TestClient, desk: Desk, bearing: str) -> None:
    for _ in range(2):
        answer = client.post(
            f"/api/1/bearings/{bearing}/life/counters", json={"date": "2026-03-02", "hours": "40000"}
        )
        assert answer.status_code == 201 and answer.json()["kept"]
    assert len(book_of(desk, bearing).counters) == 1


def test_shells_and_a_strike(client: TestClient, desk: Desk, bearing: str) -> None:
    at = f"/bearings/{bearing}/life"
    assert client.post(f"{at}/shells", data={"date": "2026-03-02"}).status_code == 422
    named = {"date": "2026-03-02", "shells": "<b>pair 7</b>", "why": "new"}
    assert client.post(f"{at}/shells", data=named, follow_redirects=False).status_code == 303
    shown = client.get(at).text
    assert "&lt;b&gt;pair 7&lt;/b&gt;" in shown and "<b>pair 7" not in shown
    (one,) = book_of(desk, bearing).shells
    strike = {"entry": one.entry, "why": ""}
    assert client.post(f"{at}/strikes", data=strike).status_code == 422
    assert (
        client.post(f"{at}/strikes", data={**strike, "why": "slip"}, follow_redirects=False).status_code
        == 303
    )
    assert "<s>2026-03-02: &lt;b&gt;pair 7" in client.get(at).text


@pytest.mark.parametrize("asked", ["risk=0.05", "risk=60 %", "risk=much", "against=luck"])
def test_what_cannot_be_asked_is_said_beside_the_usual(client: TestClient, bearing: str, asked: str) -> None:
    answer = client.get(f"/bearings/{bearing}/life?{asked}")
    assert answer.status_code == 422 and "One opening says nothing" in answer.text
    assert client.get(f"/api/1/bearings/{bearing}/life?{asked}").status_code == 422


def test_the_twin_for_programs(client: TestClient, bearing: str) -> None:
    found = client.get(f"/api/1/bearings/{bearing}/life").json()
    assert found["format"] == "whitemetal.life/1" and found["due"] is None and found["rate"] is None
    (one,) = found["openings"]
    assert one["found"][0]["diametral_m"] == pytest.approx(0.210e-3, abs=2e-6)
    assert one["found"][0]["how"]["torque"] == "420 N m"


def test_no_such_thing(client: TestClient, bearing: str) -> None:
    assert client.get("/bearings/NONE/life").status_code == 404
    assert client.post(f"/bearings/{bearing}/life/nothing", data={"a": "b"}).status_code == 404


def test_the_list_leads_to_every_bearing_and_takes_the_plants_rule(
    client: TestClient, desk: Desk, bearing: str
) -> None:
    shown = client.get("/openings").text
    assert f"/bearings/{bearing}/life" in shown and "no date" in shown
    typed = {"months": "two", "risk": "60 %", "text": ""}
    answer = client.post("/openings/rule", data=typed)
    assert answer.status_code == 422
    assert 'value="two"' in answer.text and 'value="60 %"' in answer.text
    assert answer.text.count("<li><b>") == 3
    rule = {"months": "24", "risk": "5 %", "text": "insurer's rule (invented)"}
    assert client.post("/openings/rule", data=rule, follow_redirects=False).status_code == 303
    assert "At most 24 months" in client.get("/openings").text
    row = client.get("/api/1/openings").json()["rows"][0]
    assert row["due_by"] == "plant" and row["due"]


def test_the_plant_page_turns_and_finds(client: TestClient, desk: Desk) -> None:
    for number in range(21):
        desk.keep_card(RENEWED_AT.replace("TM-31-F02", f"TM-{number:03d}"), IDA)
    first, second = client.get("/").text, client.get("/?page=2").text
    assert "TM-000" in first and "TM-020" not in first and "/?page=2" in first
    assert "TM-020" in second
    assert "TM-020" in client.get("/?find=tm-02").text and "TM-000" not in client.get("/?find=tm-02").text
    assert "Nothing is called that." in client.get("/?find=%25").text
