"""Everything as files, read back by libraries that know nothing of this program."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import rfc8785

from tests.desk.pictures import as_jpeg, pattern
from tests.desk.test_signing import CY, GRANTED, both_sign, measured, seeing, with_gauge
from tests.ledger.writing import ANN, BO, CARD
from whitemetal.desk import Desk
from whitemetal.desk.exports import as_bytes, days_of, export_job, export_plant
from whitemetal.desk.life import keep_rule
from whitemetal.desk.photographs import keep_photograph
from whitemetal.desk.signing import concede, standing
from whitemetal.errors import InputError, UnknownBook
from whitemetal.job.conceding import concession_body, open_points
from whitemetal.job.entry import from_json
from whitemetal.job.tables import HEADS, Head
from whitemetal.sheets import tables
from whitemetal.sheets.calendar import Day, calendar
from whitemetal.sheets.tables import guarded, held, write_csv_zip, write_xlsx

LATER = {**GRANTED, "until": "2126-10-01"}
HOSTILE = ("=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "'=1+1", '=HYPERLINK("x")', 'a,b"c\nd', "µ 字 ±")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = with_gauge(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def of_job(desk: Desk, job: str, kind: str) -> bytes:
    return as_bytes(lambda out: export_job(desk, job, kind, out))


def of_plant(desk: Desk, kind: str) -> bytes:
    return as_bytes(lambda out: export_plant(desk, kind, out))


def csv_tables(data: bytes) -> dict[str, list[dict[str, str]]]:
    """Every table of a zip of CSV, the apostrophes taken away as the text in it says."""
    with zipfile.ZipFile(io.BytesIO(data)) as made:
        assert made.testzip() is None
        texts = {name: made.read(name) for name in made.namelist() if name.endswith(".csv")}
    found = {}
    for name, text in texts.items():
        assert text.startswith(b"\xef\xbb\xbf") and b"\r\n" in text
        rows = csv.DictReader(io.StringIO(text.decode("utf-8-sig"), newline=""))
        found[name.removesuffix(".csv")] = [
            {key: cell.removeprefix("'") for key, cell in row.items()} for row in rows
        ]
    return found


def xlsx_tables(data: bytes) -> dict[str, list[list[Any]]]:
    book = openpyxl.load_workbook(io.BytesIO(data))
    return {sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in book}


def test_every_table_and_every_entry_is_in_the_csv(desk: Desk) -> None:
    job, check = measured(desk)
    desk.keep_note(job, "=1+1", ANN)
    both_sign(desk, job)
    found = csv_tables(of_job(desk, job, "csv"))
    assert set(found) == {head.name for head in HEADS}
    entries = desk.entries(job)
    assert [row["digest"] for row in found["entries"]] == [entry.digest for entry in entries]
    assert [json.loads(row["body"]) for row in found["entries"]] == [dict(entry.body) for entry in entries]
    state = desk.job(job).state
    assert [row["text"] for row in found["readings"]] == [one.text for one in state.checks[check].readings]
    assert [float(row["value"]) for row in found["readings"]] == [
        one.value for one in state.checks[check].readings
    ]
    (row,) = found["checks"]
    judgement = desk.judgement(job, check)
    assert judgement.clearance is not None
    assert float(row["diametral_m"]) == judgement.clearance.diametral_m, "to the last bit"
    assert (row["verdict"], row["limit_rung"]) == ("within limits", "maker's figure for this machine")
    assert [row["text"] for row in found["notes"]] == ["=1+1"]
    assert [(row["part"], row["by"]) for row in found["signatures"]] == [
        ("did", "Ann Dale"), ("checked", "Bo Lund")
    ]  # fmt: skip


def test_struck_and_unreadable_readings_keep_their_rows(desk: Desk) -> None:
    job, check = measured(desk)
    state = desk.job(job).state.checks[check]
    desk.strike(job, state.readings[0].entry, "slipped", seeing(desk, job, BO))
    desk.keep_reading(job, check, "DE top", "0.2O1", ANN, unit="mm", squeeze=5)
    rows = csv_tables(of_job(desk, job, "csv"))["readings"]
    assert len(rows) == len(state.readings) + 1
    assert [row["text"] for row in rows if row["standing"] == "struck by Bo Lund: slipped"] == [
        state.readings[0].text
    ]
    assert [row["text"] for row in rows if row["standing"] == "cannot be read"] == ["0.2O1"]


def test_no_cell_of_the_workbook_is_calculated(desk: Desk) -> None:
    job, _ = measured(desk, "0.240")
    for text in HOSTILE:
        desk.keep_note(job, text, ANN)
    concede(desk, job, {**LATER, "reason": "=1+1", "engineer": "=cmd|x", "restrictions": "http://x"}, CY)
    data = of_job(desk, job, "xlsx")
    with zipfile.ZipFile(io.BytesIO(data)) as made:
        for name in made.namelist():
            if name.startswith("xl/worksheets/"):
                text = made.read(name).decode()
                assert "<f>" not in text and "<f " not in text and "<hyperlink" not in text, name
    book = openpyxl.load_workbook(io.BytesIO(data))
    notes = [row[3] for row in book["notes"].iter_rows(min_row=2)]
    assert [cell.value for cell in notes] == list(HOSTILE)
    assert {cell.data_type for cell in notes} <= {"s", "inlineStr"}
    assert [row[7] for row in xlsx_tables(data)["concessions"][1:]] == ["=1+1"]


def test_workbook_and_csv_hold_the_same(desk: Desk) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    found, book = csv_tables(of_job(desk, job, "csv")), xlsx_tables(of_job(desk, job, "xlsx"))
    assert set(book) == set(found)
    for name, (columns, *rows) in book.items():
        assert len(rows) == len(found[name]), name
        for row, other in zip(rows, found[name], strict=True):
            for column, cell in zip(columns, row, strict=True):
                told = other[column]
                if isinstance(cell, int | float):
                    assert float(told) == pytest.approx(cell, rel=1e-15, abs=0.0), (
                        "a workbook keeps 16 digits"
                    )
                else:
                    assert told == (cell or ""), (name, column)


def test_json_holds_the_chain_of_every_entry(desk: Desk) -> None:
    job, check = measured(desk)
    both_sign(desk, job)
    told = json.loads(of_job(desk, job, "json"))
    assert told["format"] == "whitemetal.export/1"
    assert told["judgements"][check]["verdict"] == "within limits"
    assert told["chain"]["bearing"] == "fit"
    assert told["card"] == CARD
    assert told["signing"]["signed"] is True
    for one in told["entries"]:
        bare = {key: value for key, value in one.items() if key != "digest"}
        assert hashlib.sha256(rfc8785.dumps(bare)).hexdigest() == one["digest"]
    assert [from_json(one) for one in told["entries"]] == list(desk.entries(job))


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
def test_the_same_gives_the_same_bytes(desk: Desk, kind: str) -> None:
    job, _ = measured(desk)
    assert of_job(desk, job, kind) == of_job(desk, job, kind)
    assert of_plant(desk, kind) == of_plant(desk, kind)


def test_the_plant_is_every_book_of_it(desk: Desk) -> None:
    one, _ = measured(desk)
    other, _ = measured(desk, "0.240")
    desk.keep_card(CARD.replace('position = "drive end"', 'position = "other end"'), BO)
    found = csv_tables(of_plant(desk, "csv"))
    assert [row["position"] for row in found["bearings"]] == ["drive end", "other end"]
    assert [row["book"] for row in found["jobs"]] == [one, other]
    assert [row["bearing_is"] for row in found["jobs"]] == ["fit", "not fit"]
    assert len(found["entries"]) == desk.walk().entries, "no entry of any book is left out"
    assert {row["text"] for row in found["instruments"]} == {"2 um", "ball", "2027-03-01"}
    told = json.loads(of_plant(desk, "json"))
    assert [job["job"]["book"] for job in told["jobs"]] == [one, other]
    count = len(told["plant"]) + sum(len(held["entries"]) for held in (*told["bearings"], *told["jobs"]))
    assert count == desk.walk().entries
    book = xlsx_tables(of_plant(desk, "xlsx"))
    assert len(book["entries"]) - 1 == count


def test_an_empty_record_is_exported_too(desk: Desk) -> None:
    told = json.loads(of_plant(desk, "json"))
    assert (told["bearings"], told["jobs"]) == ([], [])
    assert csv_tables(of_plant(desk, "csv"))["jobs"] == []


def test_photographs_lie_in_the_zip_by_their_digest(desk: Desk) -> None:
    job, _ = measured(desk)
    kept = keep_photograph(desk, job, as_jpeg(pattern(60, 40)), ANN, caption="=cap")
    assert kept.entry is not None
    digest = kept.entry.body["digest"]
    data = of_job(desk, job, "csv")
    with zipfile.ZipFile(io.BytesIO(data)) as made:
        assert hashlib.sha256(made.read(f"photographs/{digest}.jpg")).hexdigest() == digest
    assert [row["caption"] for row in csv_tables(data)["photographs"]] == ["=cap"]


def test_what_is_no_kind_or_no_job_is_said(desk: Desk) -> None:
    job, _ = measured(desk)
    with pytest.raises(InputError):
        of_job(desk, job, "pdf")
    with pytest.raises(InputError):
        of_plant(desk, "xls")
    with pytest.raises(UnknownBook):
        of_job(desk, "nowhere", "csv")


# ---- the writers


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("=1+1", "'=1+1"), ("-0.02", "-0.02"), ("+3,5", "+3,5"), ("-0.02 mm", "'-0.02 mm"), ("'x", "''x"),
        ("@x", "'@x"), ("\tx", "'\tx"), ("plain", "plain"), ("", ""), (None, ""), (-2, "-2"), (0.1, "0.1"),
        (1e-7, "1e-07"), ("\x00=1", "'\x00=1"), (" =1+1", "' =1+1"), ("\uff1d1+1", "'\uff1d1+1"), ("\ufeff@x", "'\ufeff@x"),
        ("\u3000-x", "'\u3000-x"), (" plain", " plain"),
    ],
)  # fmt: skip
def test_a_cell_of_a_csv_is_no_formula_and_can_be_had_back(cell: Any, written: str) -> None:
    assert guarded(cell) == written
    if isinstance(cell, str) and guarded(cell).startswith("'"):
        assert guarded(cell)[1:] == cell


def test_a_text_too_long_for_a_cell_says_that_it_is_cut() -> None:
    whole = "ä" * 40_000
    assert held("x" * 32_767) == "x" * 32_767
    assert "cut: the text has 40000 letters" in held(whole) and len(held(whole)) <= 32_767
    out = io.BytesIO()
    write_xlsx(out, [Head("t", ("a",))], [("t", (whole,))], datetime(2026, 3, 2, tzinfo=UTC))
    assert "cut: the text has 40000 letters" in xlsx_tables(out.getvalue())["t"][1][0]
    out = io.BytesIO()
    write_csv_zip(out, [Head("t", ("a",))], [("t", (whole,))])
    csv.field_size_limit(1_000_000)
    assert csv_tables(out.getvalue())["t"] == [{"a": whole}]


def test_a_table_too_long_for_a_sheet_goes_on_in_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "MOST_ROWS", 4)
    out = io.BytesIO()
    write_xlsx(out, [Head("t", ("a",))], [("t", (k,)) for k in range(8)], datetime(2026, 3, 2, tzinfo=UTC))
    found = xlsx_tables(out.getvalue())
    assert {name: [row[0] for row in rows] for name, rows in found.items()} == {
        "t": ["a", 0, 1, 2], "t 2": ["a", 3, 4, 5], "t 3": ["a", 6, 7]
    }  # fmt: skip


# ---- the calendar


def test_the_calendar_is_read_back_by_another_library(desk: Desk) -> None:
    import vobject

    job, _ = measured(desk, "0.240")
    bearing = desk.job(job).state.bearing
    with pytest.raises(InputError) as failed:
        days_of(desk, bearing)
    assert "nothing can be said yet" in failed.value.problems[0].expected
    keep_rule(desk, {"months": "24", "risk": "5 %", "text": "two years"}, ANN)
    kept = concede(desk, job, LATER, seeing(desk, job, CY))
    assert kept.entry is not None
    made = days_of(desk, bearing)
    assert made == days_of(desk, bearing)
    read = vobject.readOne(made.decode())
    opening, ends = read.vevent_list
    assert opening.dtstart.value == date(2028, 3, 2), "24 months after 2026-03-02"
    assert opening.summary.value == "Open TM-31-F02, drive end"
    assert opening.uid.value == f"opening-{bearing}@whitemetal"
    assert (ends.dtstart.value, ends.uid.value) == (
        date(2126, 10, 1), f"concession-{kept.entry.id}@whitemetal"
    )  # fmt: skip
    assert "The bearing is not fit. Cy Rowe (engineer for rotating machines)" in ends.description.value


@pytest.mark.parametrize("until", ["2026-02-30", "next year", "20270301", ""])
def test_a_concession_brought_from_elsewhere_with_no_day_of_the_calendar_is_listed_in_words(
    desk: Desk, until: str
) -> None:
    import vobject

    job, _ = measured(desk, "0.240")
    body = concession_body({**GRANTED, "until": "2126-10-01"}, open_points(desk.chain(job)), "2026-03-02")
    desk.write(job, "concession/1", {**body, "until": until}, CY)
    (ends,) = vobject.readOne(days_of(desk, desk.job(job).state.bearing).decode()).vevent_list
    assert ends.summary.value == (f"Concession whose last day cannot be read ({until}): TM-31-F02, drive end")
    assert ends.dtstart.value == date.fromisoformat(desk.entries(job)[-1].at[:10]), "the day it was written"
    assert standing(desk, desk.job(job)) == (
        f"not fit: the last day of the concession of Cy Rowe cannot be read ({until}), so it is not in force."
    )


def test_long_and_odd_text_survives_the_folding_of_lines() -> None:
    import vobject

    text = "a; b, c\\ \n" + "µ 字 " * 60 + "\nBEGIN:VEVENT"
    made = calendar([Day("1", date(2026, 3, 2), text, text)], datetime(2026, 3, 2, tzinfo=UTC), "0.1.0")
    assert max(map(len, made.split(b"\r\n"))) <= 75, "RFC 5545, 3.1"
    (event,) = vobject.readOne(made.decode()).vevent_list
    assert event.description.value == text and event.summary.value == text
