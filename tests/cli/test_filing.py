"""report, export, and verify of a signed job that somebody tampered with."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Command
from tests.desk.test_signing import CY, GRANTED, both_sign, measured, refused, seeing, with_gauge
from tests.ledger.writing import BO
from whitemetal.desk import Desk
from whitemetal.desk.report import report
from whitemetal.desk.signing import concede, sign
from whitemetal.errors import InputError

pytestmark = pytest.mark.sqlite_only


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """A record with one job, not fit, signed under a concession."""
    path = tmp_path / "mill.sqlite3"
    desk = with_gauge(path)
    job, _ = measured(desk, "0.240")
    concede(desk, job, {**GRANTED, "until": "2126-10-01"}, seeing(desk, job, CY))
    both_sign(desk, job, "concession")
    desk.close()
    return path


def tamper(record: Path, kind: str, old: str, new: str) -> tuple[str, int, str]:
    """Alter the first entry of a kind past every guard. Returns its id, place in its chain, and device."""
    database = sqlite3.connect(record)
    for what in ("update", "delete"):
        database.execute(f"DROP TRIGGER entry_never_{what}")
    receipt, entry, seq, device, content = database.execute(
        "SELECT receipt, id, seq, device, content FROM entry WHERE kind = ? ORDER BY receipt", (kind,)
    ).fetchone()
    assert old in content
    database.execute(
        "UPDATE entry SET content = ? WHERE receipt = ?", (content.replace(old, new, 1), receipt)
    )
    database.commit()
    database.close()
    return entry, seq, device


@pytest.mark.parametrize(
    ("kind", "old", "new", "by"),
    [
        ("signed/1", '"bearing":"not fit"', '"bearing":"fit"', "Ann Dale"),
        ("concession/1", "2126-10-01", "2136-10-01", "Cy Rowe"),
        ("concession/1", "metal not above 75", "metal not above 95", "Cy Rowe"),
        ("reading/1", "0.240", "0.200", "Ann Dale"),
    ],
)
def test_verify_names_the_tampered_entry(
    command: Command, record: Path, kind: str, old: str, new: str, by: str
) -> None:
    whole = command("verify", record)
    assert (whole.status, whole.out[:22]) == (0, "Every chain is whole: ")
    entry, seq, device = tamper(record, kind, old, new)
    answer = command("verify", record)
    first, *faults = answer.out.splitlines()
    assert (answer.status, answer.err, first, len(faults)) == (1, "", "The record is damaged:", 1)
    assert f"Entry {seq} of device {device} ({entry}) was altered after it was written." in faults[0]
    assert f"In job J-1. As it stands now it is {kind} by {by}, 2026-03-02T" in faults[0]


def test_a_signature_that_was_taken_out_is_named(command: Command, record: Path) -> None:
    database = sqlite3.connect(record)
    database.execute("DROP TRIGGER entry_never_delete")
    receipt, seq, device = database.execute(
        "SELECT receipt, seq, device FROM entry WHERE kind = 'signed/1' ORDER BY receipt"
    ).fetchone()
    database.execute("DELETE FROM sight WHERE receipt = ?", (receipt,))
    database.execute("DELETE FROM entry WHERE receipt = ?", (receipt,))
    database.commit()
    database.close()
    answer = command("verify", record)
    assert answer.status == 1
    assert f"Entry {seq} of device {device} is missing. In job J-1." in answer.out


def test_nobody_signs_a_damaged_record_and_its_report_says_so(tmp_path: Path) -> None:
    path = tmp_path / "mill.sqlite3"
    desk = with_gauge(path)
    job, _ = measured(desk)
    desk.close()
    entry, _, _ = tamper(path, "reading/1", "0.200", "0.201")
    desk = Desk.open(str(path))
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "fit", seeing(desk, job, BO))
    assert f"({entry}) was altered after it was written" in refused(failed)
    (tmp_path / "r.pdf").write_bytes(report(desk, job, film=False))
    desk.close()
    first = " ".join(PdfReader(tmp_path / "r.pdf").pages[0].extract_text().split())
    assert "The record of this job is damaged: Entry" in first


def test_the_report_is_written(command: Command, record: Path, tmp_path: Path) -> None:
    where = tmp_path / "report.pdf"
    answer = command("report", "J-1", "--database", record, "--no-film", "-o", where)
    assert answer.status == 0
    first = " ".join(PdfReader(where).pages[0].extract_text().split())
    assert "The bearing as a whole is NOT FIT" in first
    assert "not fit, runs under a concession until 2126-10-01" in first


@pytest.mark.parametrize("named", ["J-1", ""])
def test_everything_is_exported(command: Command, record: Path, tmp_path: Path, named: str) -> None:
    for kind in ("csv", "xlsx", "json"):
        where = tmp_path / f"out.{kind}"
        assert (
            command("export", *filter(None, [named]), "--database", record, "--as", kind, "-o", where).status
            == 0
        )
    assert zipfile.is_zipfile(tmp_path / "out.csv") and zipfile.is_zipfile(tmp_path / "out.xlsx")
    told = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    job = told if named else told["jobs"][0]
    assert job["signing"]["signed"] is True
    assert job["job"]["standing"].startswith("not fit, runs under a concession")


def test_the_days_of_a_bearing_are_exported(command: Command, record: Path, tmp_path: Path) -> None:
    where = tmp_path / "days.ics"
    assert command("export", "J-1", "--database", record, "--as", "ics", "-o", where).status == 0
    assert b"DTSTART;VALUE=DATE:21261001" in where.read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("report", "J-9"), "expected a job of this record"),
        (("export", "--as", "ics"), "the days are those of its bearing"),
        (("report", "J-1", "--database", "nowhere.sqlite3"), "nowhere.sqlite3"),
    ],
)
def test_what_is_wrong_is_said(command: Command, record: Path, arguments: tuple[str, ...], said: str) -> None:
    more = () if "--database" in arguments else ("--database", record)
    answer = command(*arguments, *more)
    assert answer.status == 2 and said in answer.err


@pytest.mark.parametrize(
    "words",
    [
        ("report", "J-1"),
        ("export", "--as", "json"),
        ("tell", "--to", "http://127.0.0.1:9/"),
        ("follow", "live.csv", "--job", "J-1", "--by", "Ann Dale", "--once"),
    ],
)
def test_no_record_is_made_by_a_command_that_only_works_on_one(
    command: Command, tmp_path: Path, words: tuple[str, ...]
) -> None:
    told = command(*words, "--database", str(tmp_path / "mistyped"))
    assert told.status == 2 and "a record that exists" in told.wrong[0]
    assert list(tmp_path.iterdir()) == []
