"""Files with tables, written by an independent library: read as they look, or refused with the reason."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from typing import Any

import pytest
import xlsxwriter

from whitemetal.desk.spreadsheet import LARGEST, rows_of, rows_of_text, text_of
from whitemetal.errors import InputError


def workbook(*sheets: list[list[Any]], formats: dict[int, str] | None = None) -> bytes:
    """A workbook; formats: of a column's numbers."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False})
    looks = {n: book.add_format({"num_format": one}) for n, one in (formats or {}).items()}
    day = book.add_format({"num_format": "dd/mm/yy"})
    for rows in sheets:
        page = book.add_worksheet()
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if isinstance(value, date):
                    page.write_datetime(r, c, value, day)
                elif isinstance(value, str) and value.startswith("{="):
                    page.write_formula(r, c, value[1:-1])
                else:
                    page.write(r, c, value, looks.get(c))
    book.close()
    return out.getvalue()


def refused(data: bytes, sheet: str = "") -> str:
    with pytest.raises(InputError) as bad:
        rows_of(data, sheet)
    return str(bad.value)


def test_a_workbook_as_it_looks() -> None:
    """0.24 shown with three decimals is "0.240"; a figure with more decimals than are shown keeps them all."""
    data = workbook(
        [["date", "as left", "hours", "remark"], [date(2008, 4, 2), 0.24, 41000, "=1+1"], [],
         [date(2009, 4, 2), 0.2437, 42000.5, True]],
        formats={1: "0.000"},
    )  # fmt: skip
    assert list(rows_of(data)) == [
        (1, ["date", "as left", "hours", "remark"]), (2, ["2008-04-02", "0.240", "41000", "=1+1"]),
        (4, ["2009-04-02", "0.2437", "42000.5", "yes"]),
    ]  # fmt: skip


def test_a_formula_is_named_and_not_worked_out() -> None:
    said = refused(workbook([["date", "as left"], ["2008-04-02", "{=A1+1}"]]))
    assert "line 2" in said and "=A1+1" in said


def test_several_sheets_are_asked_about() -> None:
    data = workbook([["date"], ["2008-04-02"]], [["date"], ["2009-04-02"]])
    assert "Sheet1, Sheet2" in refused(data)
    assert rows_of(data, "Sheet2")[1][1] == ["2009-04-02"]
    assert "Sheet1, Sheet2" in refused(data, "Sheet9")
    assert len(rows_of(workbook([["date"], ["2008-04-02"]], []))) == 2, "an empty second sheet is no question"


def test_too_large_too_long_too_wide() -> None:
    assert "5 MB" in refused(b"x" * (LARGEST + 1))
    assert "5000" in refused(workbook([["date"]] + [["2008-04-02"]] * 5001))
    assert "40" in refused(workbook([["date"] * 41]))


def test_a_bomb_is_refused_before_it_is_unpacked() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b"0" * (60 * 2**20))
    assert len(out.getvalue()) < 100_000
    assert "burst" in refused(out.getvalue())


def test_entities_are_not_expanded() -> None:
    """The same workbook with a nest of entities in its first sheet."""
    source = zipfile.ZipFile(io.BytesIO(workbook([["date"], ["2008-04-02"]])))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for part in source.infolist():
            text = source.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                nest = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
                text = text.replace(b"<worksheet", nest + b"<worksheet", 1)
            packed.writestr(part, text)
    assert "a workbook (.xlsx)" in refused(out.getvalue())


@pytest.mark.parametrize(
    "data",
    [
        b"PK\x03\x04 not a zip",
        b"\xd0\xcf\x11\xe0 an old one",
        b"%PDF-1.7",
        b"\x89PNG\r\n",
        b"\xff\xd8\xff\xe0",
    ],
)
def test_other_files_are_refused_with_what_would_do(data: bytes) -> None:
    assert "expected" in refused(data)


def test_a_zip_that_is_no_workbook() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("word/document.xml", "<a/>")
    assert "workbook" in refused(out.getvalue())


@pytest.mark.parametrize("mark", ["\t", ";", ","])
def test_separators_quotes_and_line_numbers(mark: str) -> None:
    text = (
        mark.join(["date", "as left", "remark"])
        + "\r\n\r\n"
        + mark.join(["2008-04-02", "0.2", f'"a{mark}b"'])
    )
    assert list(rows_of_text(text)) == [
        (1, ["date", "as left", "remark"]), (2, []), (3, ["2008-04-02", "0.2", f"a{mark}b"]),
    ]  # fmt: skip


def test_western_bytes_and_a_broken_quote() -> None:
    assert (
        rows_of("date;remark\n2008-04-02;grau, schlüpfrig\n".encode("cp1252"))[1][1][1] == "grau, schlüpfrig"
    )
    with pytest.raises(InputError):
        rows_of_text('date;remark\n2008-04-02;"never closed\n')


def test_rows_as_text_keep_their_lines() -> None:
    rows = [(1, ["date", "remark"]), (4, ["2008-04-02", 'tab\tand "quote"'])]
    text = text_of(rows)
    back = [(line, cells) for line, cells in rows_of_text(text) if any(cells)]
    assert back == [(1, ["date", "remark"]), (4, ["2008-04-02", 'tab and "quote"'])]
