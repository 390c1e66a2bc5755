"""The agreement page: side by side, what contradicts, why, and what to measure next; and the same as JSON."""

from __future__ import annotations

import re

import pytest

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CLEARANCE, Job, fill
from whitemetal.desk import Desk

BORE_FACTS = {
    "bore_gauge": "comparator set on a ring", "tightened": "final value", "torque": "420 N m",
    "shells_home": "yes", "part_temperature": "20 degC", "journal_temperature": "20 degC",
}  # fmt: skip


def bore(desk: Desk, job: Job, clearance: float) -> str:
    """A bore-less-journal check of this clearance [mm]; the journal is 160 mm."""
    check = desk.start_check(job.job, "bore", "as left", BENCH_HAND)
    for key, text in BORE_FACTS.items():
        desk.keep_fact(job.job, check, key, text, BENCH_HAND)
    for place in desk.job(job.job).state.checks[check].places:
        size = 160.0 + (clearance if place.piece.endswith("bore") else 0.0)
        desk.keep_reading(job.job, check, place.label, f"{size:.3f}", BENCH_HAND, unit="mm", instrument="B-1")
    return check


@pytest.fixture
def filled(desk: Desk, job: Job) -> Job:
    fill(desk, job, BENCH_HAND)
    desk.keep_fact(job.job, job.check, "oil_wiped", "yes", BENCH_HAND)
    return job


def test_checks_that_agree_are_pooled_on_the_page(desk: Desk, filled: Job, client: TestClient) -> None:
    bore(desk, filled, CLEARANCE)
    assert desk.judgement(filled.job, filled.check).verdict == "within limits"
    page = client.get(f"/jobs/{filled.job}/agreement").text
    assert "They agree: together 0.225 mm" in page
    assert "Soft-wire clearance" in page and "Bore less journal" in page
    assert f"/jobs/{filled.job}/agreement" in client.get(f"/jobs/{filled.job}").text


def test_a_contradiction_is_on_the_page_and_in_both_judgements(
    desk: Desk, filled: Job, client: TestClient
) -> None:
    """Wire 0.225, bore less journal 0.180: both inside 0.15 to 0.30 mm, yet 45 µm apart."""
    other = bore(desk, filled, 0.180)
    for check, word in ((filled.check, "smaller"), (other, "larger")):
        judged = desk.judgement(filled.job, check)
        assert judged.verdict == "not proven"
        (said,) = (w for w in judged.warnings if w.code == "agreement.disagree.clearance")
        assert f"0.045 mm {word}" in said.text
    page = client.get(f"/jobs/{filled.job}/agreement").text
    assert "contradict each other" in page
    assert "are not averaged" in page
    assert re.search(r"<ol><li><p><b>Soft-wire clearance: the shell was not home", page)
    assert "What to measure next to find out" in page
    found = client.get(f"/api/1/jobs/{filled.job}/agreement").json()
    assert found["format"] == "whitemetal.agreement/1"
    assert found["purposes"][0]["measured"][0]["word"] == "disagree"


def test_an_answer_settles_it_and_only_there(desk: Desk, filled: Job) -> None:
    other = bore(desk, filled, 0.180)
    key, why = (
        "answer.agreement.disagree.clearance",
        "Crush seen short on the wire's closing; the bore stands.",
    )
    desk.keep_fact(filled.job, other, key, why, BENCH_HAND)
    judged = desk.judgement(filled.job, other)
    assert judged.verdict == "within limits"
    assert any(why in warned.text for warned in judged.warnings)
    assert desk.judgement(filled.job, filled.check).verdict == "not proven"


def test_a_change_of_the_fit_takes_a_stale_check_out(desk: Desk, filled: Job, client: TestClient) -> None:
    desk.change_fit(filled.job, "shim", "", "shell joint", "0.05 out each side", BENCH_HAND)
    bore(desk, filled, 0.180)
    assert "nothing to put side by side" in client.get(f"/jobs/{filled.job}/agreement").text


def test_no_such_job(client: TestClient) -> None:
    assert client.get("/jobs/nothing/agreement").status_code == 404
    assert client.get("/api/1/jobs/nothing/agreement").status_code == 404
