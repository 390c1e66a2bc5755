"""The report of a job: one page that a supervisor reads, and everything behind it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.desk.pictures import as_jpeg, pattern
from tests.desk.test_signing import (
    CY,
    GRANTED,
    both_sign,
    measured,
    seeing,
    taken,
    with_gauge,
)  # fmt: skip
from tests.ledger.writing import ANN, BO
from whitemetal.desk import Desk
from whitemetal.desk.inspection import keep_finding
from whitemetal.desk.photographs import keep_photograph
from whitemetal.desk.report import report
from whitemetal.desk.run_in import begin_run, keep_run_reading
from whitemetal.desk.signing import concede, reopen
from whitemetal.inspect.looks import LOOKS
from whitemetal.inspect.where import CELLS

pytestmark = pytest.mark.sqlite_only
LATER = {**GRANTED, "until": "2126-10-01"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = with_gauge(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def pages(desk: Desk, job: str) -> list[str]:
    """The text of every page, with single blanks."""
    read = PdfReader(BytesIO(report(desk, job, film=False)))
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in read.pages]


def test_the_first_page_says_what_a_supervisor_reads(desk: Desk) -> None:
    job, _ = measured(desk)
    desk.strip_down(job, "cap off", seeing(desk, job, ANN))
    desk.note_missed(job, "clearance as found", "the night shift had it open", seeing(desk, job, ANN))
    both_sign(desk, job)
    first, second, *_ = pages(desk, job)
    for said in (
        "Report of the job FIT", "J-1", "The bearing as a whole is FIT", "fit, signed: Ann Dale did it",
        "As found The clearance as found was missed: the night shift had it open (Ann Dale).",
        "As left Soft-wire clearance, as left: within limits", "mm diametral", "Book 7, sheet 4, revision C",
        "Done • taken apart: cap off (Ann Dale, 2026-03-02)", "The oil film", "Next opening",
        "Ann Dale did it, 2026-03-02", "Bo Lund checked it",
    ):  # fmt: skip
        assert said in first, said
    assert "page 1 of" in first and "Order of trust" not in first
    assert "Order of trust" in second
    assert "Name, date, signature" not in first, "nobody signs by hand what is signed"


def test_a_job_nobody_signed_leaves_room_to_sign_by_hand(desk: Desk) -> None:
    job, _ = measured(desk, "0.240")
    first = pages(desk, job)[0]
    assert "Nobody has signed." in first and "The bearing as a whole is NOT FIT" in first
    assert "Still open" in first or "still open" in first
    assert "Oil clearance within limits" in first


def test_the_words_of_a_concession_stand_on_report_and_data_sheet(desk: Desk) -> None:
    job, check = measured(desk, "0.240")
    concede(desk, job, LATER, seeing(desk, job, CY))
    both_sign(desk, job, "concession")
    runs = "not fit, runs under a concession until 2126-10-01, given by Cy Rowe"
    found = pages(desk, job)
    assert "The bearing as a whole is NOT FIT" in found[0] and runs in found[0]
    assert any("Reason: no spare shells before the autumn stop" in page for page in found[1:])
    sheet = PdfReader(BytesIO(desk.sheet(job, check)))
    assert runs in " ".join(" ".join(page.extract_text() for page in sheet.pages).split())


def test_every_entry_stands_in_it_with_its_digest_and_every_check_with_its_sheet(desk: Desk) -> None:
    job, _ = measured(desk)
    taken(desk, job, "0.210")
    desk.start_check(job, "bore", "as left", ANN)
    found = pages(desk, job)
    whole = " ".join(found).replace(" ", "")
    entries = desk.entries(job)
    assert [entry.id for entry in entries if entry.digest not in whole] == []
    assert sum("Data sheet: Soft-wire clearance" in page for page in found) >= 2
    assert any("Data sheet: Bore" in page or "Data sheet: " in page for page in found)
    assert desk.job(job).state.digest in whole
    assert f"page {len(found)} of {len(found)}" in found[-1], "one count through all of it"


def test_photographs_are_printed_with_their_captions(desk: Desk) -> None:
    job, _ = measured(desk)
    kept = keep_photograph(desk, job, as_jpeg(pattern(60, 40)), ANN, caption="the cap before it was lifted")
    assert kept.entry is not None
    read = PdfReader(BytesIO(report(desk, job, film=False)))
    shown = [page for page in read.pages if "the cap before it was lifted" in page.extract_text()]
    assert len(shown) == 1 and len(shown[0].images) == 1


def test_an_altered_photograph_is_named_on_the_first_page_and_the_rest_is_printed(
    desk: Desk, tmp_path: Path
) -> None:
    job, _ = measured(desk)
    kept = [
        keep_photograph(desk, job, as_jpeg(pattern(n, 300)), ANN, caption=f"{n} wide") for n in (400, 410)
    ]
    digest = str(kept[0].entry.body["digest"]) if kept[0].entry is not None else ""
    database = sqlite3.connect(tmp_path / "record.sqlite3")
    database.execute("DROP TRIGGER kept_file_never_update")
    database.execute("UPDATE kept_file SET content = x'00' WHERE digest = ?", (digest,))
    database.commit()
    database.close()
    first, *rest = pages(desk, job)
    assert digest[:12] in first and "altered" in first
    assert "410 wide" in " ".join(rest) and "was altered: " + digest[:20] in " ".join(rest)


def test_damage_and_run_in_stand_on_the_first_page(desk: Desk) -> None:
    job, _ = measured(desk)
    look, cell = next(iter(LOOKS)), next(iter(CELLS))
    keep_finding(desk, job, look, seeing(desk, job, ANN), cells=(cell,), text="three deep lines")
    kept = begin_run(desk, job, "uncoupled", "2026-03-02T08:00:00.000Z", "20 degC", seeing(desk, job, ANN))
    assert kept.entry is not None
    run = str(kept.entry.body["run"])
    for minute in range(12):
        at = f"2026-03-02T08:{minute:02d}:00.000Z"
        text = f"{30 + minute}.0"
        keep_run_reading(desk, job, run, "metal", at, text, seeing(desk, job, ANN), unit="degC")
    found = pages(desk, job)
    assert LOOKS[look].name in found[0] and "three deep lines (Ann Dale" in found[0]
    assert "Run-in, uncoupled: running. Not settled: 11 minutes run" in found[0]
    (behind,) = [page for page in found[1:] if "Damage seen, and what likely caused it" in page]
    assert "points: +" in behind, "each likely cause with the points and reasons for it"
    assert any("curve" in page.casefold() or "metal" in page for page in found[2:])


def test_a_run_in_that_nobody_recorded_is_said_on_the_first_page(desk: Desk) -> None:
    job, _ = measured(desk)
    assert "Run-in: not recorded." in pages(desk, job)[0]


def test_what_recomputing_finds_different_stands_in_it(desk: Desk) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    assert not any("recomputing says" in page for page in pages(desk, job))
    desk.keep_instrument("M7", {"mpe": "50 um", "anvil": "ball", "calibration_due": "2027-03-01"}, BO)
    found = pages(desk, job)
    assert any("The bearing was fit when it was signed; recomputing says not fit." in page for page in found)


def test_however_much_was_done_the_first_page_stays_one(desk: Desk) -> None:
    job, _ = measured(desk)
    for number in range(7):
        desk.start_check(job, "bore", "as left", ANN)
        desk.change_fit(
            job, "shim", "", "shell joint", f"shim {number} " + "out " * 20, seeing(desk, job, ANN)
        )
    both_sign(desk, job, "out of service")
    reopen(desk, job, "once more " * 20, seeing(desk, job, CY))
    first, second, *_ = pages(desk, job)
    assert "more on the pages behind" in first and "Next opening" in first
    assert "Order of trust" in second


def test_the_same_job_gives_the_same_bytes(desk: Desk) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    assert report(desk, job, film=False) == report(desk, job, film=False)


def test_a_card_without_load_and_oil_says_what_the_film_lacks(desk: Desk) -> None:
    job, _ = measured(desk)
    read = PdfReader(BytesIO(report(desk, job)))
    first = " ".join(read.pages[0].extract_text().split())
    assert "The oil film was not reckoned: the card does not say" in first and "duty" in first


@pytest.mark.parametrize("text", ['#panic() $x$ *b* _i_ <script> \\ "q" @ref `raw`', "字" * 30, "x" * 3000])
def test_hostile_or_endless_text_is_printed_as_text(desk: Desk, text: str) -> None:
    job, _ = measured(desk, "0.240")
    desk.keep_note(job, text, ANN)
    granted = {**LATER, "reason": text, "restrictions": text, "engineer": text}
    concede(desk, job, granted, seeing(desk, job, CY))
    whole = "".join(pages(desk, job)).replace(" ", "")
    assert text.replace(" ", "")[:20] in whole or "字" in text
