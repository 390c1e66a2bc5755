"""The run-in in the report: its warnings first, every place with its limits, and what became of the lines."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.closing.run_in.test_logger_file import ODD
from tests.desk.test_run_in import LIMITS, RINGED, at, begun
from tests.ledger.writing import ANN, a_desk
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.desk import Desk
from whitemetal.desk.report import report
from whitemetal.desk.run_in import keep_log, keep_run_reading, read_log_so, runs, see
from whitemetal.job.run_state import said_of
from whitemetal.sheets.head import JobHead
from whitemetal.sheets.run_in_sheet import MOST_VALUES, run_in_part, thinned


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def test_the_report_prints_the_run_in(desk: Desk) -> None:
    job, run = begun(desk, RINGED + LIMITS)
    log = keep_log(desk, job, run, "logger 4.csv", ODD.encode(), ANN)
    read_log_so(desk, job, run, log, {**said_of(propose(ODD).read_as), "zone": "Europe/Berlin"}, ANN)
    keep_run_reading(desk, job, run, "metal", at(17), "70.0 degC", ANN)
    see(desk, job, run, "ring_turning", "yes", "through the cap", ANN)
    made = report(desk, job, film=False)
    text = " ".join(
        " ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages).replace("’", "'").split()
    )
    for said in (
        "70.0 °C is at or above the alarm of 69.5 °C", "Book 7, sheet 9 (invented)", "20.0 °C",
        "All 15 lines are accounted for", "2 refused", "32.02.2026 14:15:00", "through the cap",
        "Nobody has seen it yet",
    ):  # fmt: skip
        assert said in text, said
    assert made == report(desk, job, film=False)


def test_warnings_stand_before_the_curves_and_a_curve_for_every_place(desk: Desk) -> None:
    job, run = begun(desk)
    keep_run_reading(desk, job, run, "metal", at(5), "70.0 degC", ANN)
    keep_run_reading(desk, job, run, "oil sump", at(5), "40.0 degC", ANN)
    view = desk.job(job)
    data, pictures = run_in_part(view.card, JobHead("J-1"), runs(desk, view)[0], "0")
    assert [one["weight"] for one in data["warned"]] == ["stop"]
    assert sorted(pictures) == ["curve1", "curve2"]
    assert [place["where"] for place in data["places"]] == ["metal", "oil sump"]


def test_what_is_left_out_of_the_list_is_never_the_end() -> None:
    kept = thinned(range(1000), MOST_VALUES)
    assert (kept[0], kept[-1], len(kept)) == (0, 999, MOST_VALUES)
    assert thinned(range(3), MOST_VALUES) == [0, 1, 2]
