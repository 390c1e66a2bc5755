"""One line of a logger's file is struck with a reason: it no longer counts, stays to be read, and may come back.

The file is the invented one of the logger's tests: its first reading is line 5, 21.5 degC at 14:00 in Berlin;
line 11 reads 36.0 degC.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.closing.run_in.test_logger_file import ODD
from tests.desk.test_run_in import begun, shown
from tests.ledger.writing import ANN, BO, a_desk
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.desk import Desk
from whitemetal.desk.run_in import keep_log, read_log_so, strike_line
from whitemetal.errors import InputError
from whitemetal.job.entry import digest_of, from_json
from whitemetal.job.picture import fold
from whitemetal.job.run_state import said_of
from whitemetal.sheets.head import JobHead
from whitemetal.sheets.run_in_sheet import run_in_part

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-log_struck.jsonl"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def with_log(desk: Desk) -> tuple[str, str, str]:
    job, run = begun(desk)
    log = keep_log(desk, job, run, "logger 4.csv", ODD.encode(), ANN)
    read_log_so(desk, job, run, log, {**said_of(propose(ODD).read_as), "zone": "Europe/Berlin"}, ANN)
    return job, run, log


def metal(desk: Desk, job: str) -> list[float]:
    return [round(one.value - 273.15, 6) for one in shown(desk, job).values if one.what == "metal"]


def test_a_struck_line_no_longer_counts_and_stays_with_its_reason(desk: Desk) -> None:
    job, run, log = with_log(desk)
    before = metal(desk, job)
    assert before[0] == 21.5 and 36.0 in before
    strike_line(desk, job, run, log, "11", "the probe was still in the hand", BO)
    after = metal(desk, job)
    assert after == [value for value in before if value != 36.0]
    read_so = shown(desk, job).logs[0].read
    assert read_so is not None
    (line,) = [one for one in read_so.lines if one.fate == "struck"]
    assert (line.number, line.text) == (11, "03.02.2026 14:12:00;36,0;80,6;")
    assert "Bo Lund" in line.why and "the probe was still in the hand" in line.why
    assert [one.text for one in read_so.lines] == ODD.splitlines(), "every line stays accounted for"
    assert shown(desk, job).logs[0].log.text == ODD, "the file stays whole"
    view = desk.job(job)
    data, _ = run_in_part(view.card, JobHead(), shown(desk, job), "0")
    (printed,) = data["logs"][0]["struck"]
    assert printed[:2] == ["Line 11", "03.02.2026 14:12:00;36,0;80,6;"] and "in the hand" in printed[2]
    assert "1 struck" in data["logs"][0]["counts"]


def test_a_strike_that_was_wrong_is_struck_itself(desk: Desk) -> None:
    job, run, log = with_log(desk)
    before = metal(desk, job)
    kept = strike_line(desk, job, run, log, "5", "a slip of the finger", ANN)
    assert kept.entry is not None and metal(desk, job) == before[1:]
    desk.strike(job, kept.entry.id, "the line was right", BO)
    assert metal(desk, job) == before


@pytest.mark.parametrize("line", ["4", "7", "0", "-5", "five", "9" * 30, "", "16"])
def test_a_line_that_gives_no_reading_is_refused(desk: Desk, line: str) -> None:
    """Line 4 is units, 7 repeats 6, the file has 15."""
    job, run, log = with_log(desk)
    with pytest.raises(InputError, match=r"logger 4\.csv"):
        strike_line(desk, job, run, log, line, "why not", ANN)


def test_a_reason_is_needed_and_a_line_is_struck_once(desk: Desk) -> None:
    job, run, log = with_log(desk)
    with pytest.raises(InputError):
        strike_line(desk, job, run, log, "5", "  ", ANN)
    strike_line(desk, job, run, log, "5", "held in the hand", ANN)
    with pytest.raises(InputError):
        strike_line(desk, job, run, log, "5", "held in the hand", ANN)


def test_a_strike_of_a_line_that_reads_otherwise_strikes_nothing(desk: Desk) -> None:
    job, run, log = with_log(desk)
    before = metal(desk, job)
    body = {"run": run, "log": log, "line": 5, "text": "03.02.2026 14:00:00;99,9;70,7;", "why": "elsewhere"}
    desk.write(job, "log_struck/1", body, ANN)
    assert metal(desk, job) == before
    read_so = shown(desk, job).logs[0].read
    assert read_so is not None
    assert [note for note in read_so.notes if "Line 5 counts although it was struck" in note]


def test_the_golden_strikes_read_as_they_were_written() -> None:
    """Written once by the desk's verbs and never again."""
    entries = [from_json(json.loads(line)) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]
    assert [entry.id for entry in entries if digest_of(entry) != entry.digest] == []
    state = fold(entries)
    assert state.unknown == ()
    (line,) = state.runs[0].logs[0].lines
    assert (line.line, line.text) == (5, "03.02.2026 14:00:00;21,5;70,7;")
    assert "Ann Dale" in line.said and "the probe was still in the hand" in line.said
