"""The page of old paper: one sheet, a file, a table as text; and the life that comes of it."""

from __future__ import annotations

import html
import io
import re

import pytest
import xlsxwriter

from tests.desk.lives import IDA, RENEWED_AT, opening
from tests.web.client import TestClient
from whitemetal.desk import Desk
from whitemetal.desk.life import book_of, life_of

ASKED = {"unit": "mm", "basis": "diametral", "source": "binder 4 (invented)", "dates": "year-month-day",
         "decimals": "as it stands", "temperature unit": "degC", "method": "wire"}  # fmt: skip
TABLE = """date;job;as found;as left;hours
2008-04-02;W-17;0.310;0.200;41000
2010-04-02;W-31;0.240;0.240;57000
2012-04-02;W-44;0.280;0.210;73000
"""


@pytest.fixture
def bearing(desk: Desk) -> str:
    return desk.keep_card(RENEWED_AT, IDA).bearing


def area(text: str) -> str:
    found = re.search(r'<textarea id="table-text"[^>]*>(.*?)</textarea>', text, re.DOTALL)
    assert found is not None
    return html.unescape(found.group(1))


def test_one_sheet(client: TestClient, desk: Desk, bearing: str) -> None:
    at = f"/bearings/{bearing}/paper"
    sheet = {
        **ASKED,
        "date": "2008-04-02",
        "job": "W-17",
        "as found": "0,310",
        "as left": "0.200",
        "hours": "41000",
    }
    assert client.post(at, data={**sheet, "basis": ""}).status_code == 422
    wrong = client.post(at, data={**sheet, "as found": "wide"})
    assert wrong.status_code == 422 and 'value="wide"' in wrong.text and 'value="W-17"' in wrong.text
    assert book_of(desk, bearing).papers == (), "a sheet is kept whole or not at all"
    assert client.post(at, data=sheet, follow_redirects=False).status_code == 303
    shown = client.get(at).text
    assert "0,310 mm diametral" in shown and "transcribed" in shown and "binder 4 (invented)" in shown
    assert len(book_of(desk, bearing).papers) == 2 and len(book_of(desk, bearing).counters) == 1


def test_a_file_is_looked_at_then_kept_and_twice_is_once(
    client: TestClient, desk: Desk, bearing: str
) -> None:
    at = f"/bearings/{bearing}/paper/table"
    looked = client.post(at, data={**ASKED, "do": "look"}, files={"file": ("old.csv", TABLE.encode())})
    assert looked.status_code == 200 and "3 rows read" in looked.text and "9 entries" in looked.text
    assert book_of(desk, bearing).papers == ()
    text = area(looked.text)
    for _ in range(2):
        kept = client.post(at, data={**ASKED, "do": "keep", "table": text}, follow_redirects=False)
        assert kept.status_code == 303
    assert len(book_of(desk, bearing).papers) == 6


def test_a_wrong_row_keeps_nothing_and_the_table_is_given_back(
    client: TestClient, desk: Desk, bearing: str
) -> None:
    bad = TABLE.replace("0.240;0.240", "0.240;much")
    answer = client.post(f"/bearings/{bearing}/paper/table", data={**ASKED, "do": "keep", "table": bad})
    assert answer.status_code == 422
    assert area(answer.text).strip() == bad.strip() and "(line 3)" in answer.text
    assert book_of(desk, bearing).papers == () and book_of(desk, bearing).counters == ()


def test_counters_that_run_backwards_within_the_table(client: TestClient, desk: Desk, bearing: str) -> None:
    bad = TABLE.replace("57000", "37000")
    answer = client.post(f"/bearings/{bearing}/paper/table", data={**ASKED, "do": "keep", "table": bad})
    assert answer.status_code == 422 and "41000 h on 2008-04-02" in answer.text


def test_a_workbook_becomes_text_that_can_be_put_right(client: TestClient, bearing: str) -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    page = book.add_worksheet()
    page.write_row(0, 0, ["date", "as left"])
    page.write_row(1, 0, ["2008-04-02", 0.25])
    page.write_string(2, 0, "2009-04-02")
    page.write_string(2, 1, "=1+1")
    book.close()
    answer = client.post(
        f"/bearings/{bearing}/paper/table", data=ASKED, files={"file": ("old.xlsx", out.getvalue())}
    )
    assert answer.status_code == 422 and "(line 3)" in answer.text
    assert area(answer.text).strip().splitlines() == ["date\tas left", "2008-04-02\t0.25", "2009-04-02\t=1+1"]


def test_the_wear_of_old_paper_and_the_film_of_dates(client: TestClient, desk: Desk, bearing: str) -> None:
    """Runs: 0.240 - 0.200 = 0.040, 0.280 - 0.240 = 0.040 mm in 16 000 h each: 0.020 mm in 8000 h."""
    sent = client.post(f"/api/1/bearings/{bearing}/paper", json={**ASKED, "table": TABLE})
    assert sent.status_code == 201 and sent.json()["entries"] == 9
    found = life_of(desk, bearing)
    assert found.wear.rate == pytest.approx(0.040e-3 / (16_000 * 3600), rel=1e-9, abs=0.0)
    assert found.due is not None
    shown = client.get(f"/bearings/{bearing}/life").text
    assert "0.020 mm in 8 000 running hours" in shown and "old paper" in shown
    opening(desk, bearing, "W-50", 0.25, None)
    assert len([run for run in life_of(desk, bearing, "calendar").wear.runs if not run.note]) == 3


def test_an_empty_table_to_fill_in(client: TestClient, bearing: str) -> None:
    answer = client.get(f"/bearings/{bearing}/paper/blank.csv")
    assert answer.text.lstrip("\ufeff").startswith("date;job;as found;as left;")
    filled = answer.text + "2008-04-02;;;0.2\n"
    kept = client.post(
        f"/bearings/{bearing}/paper/table",
        data={**ASKED, "do": "keep", "table": filled},
        follow_redirects=False,
    )
    assert kept.status_code == 303


@pytest.mark.parametrize("name", ["temperature unit", "temperature"])
def test_a_program_says_the_unit_of_temperature_as_described(
    client: TestClient, desk: Desk, bearing: str, name: str
) -> None:
    table = "date;job;temperature\n2008-04-02;W-17;122\n"
    sent = {**{key: text for key, text in ASKED.items() if key != "temperature unit"}, "table": table}
    assert client.post(f"/api/1/bearings/{bearing}/paper", json={**sent, name: "degF"}).status_code == 201
    assert [one.value for one in book_of(desk, bearing).papers] == [pytest.approx(323.15)], "50 degC"
