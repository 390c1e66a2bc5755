"""A job's page: checks with their verdicts, every method in the order of the job, notes, what is struck out."""

from __future__ import annotations

import re

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job, fill
from whitemetal.desk import Desk
from whitemetal.gauging import METHODS
from whitemetal.gauging.order import method_groups


def heads(desk: Desk, job: Job) -> str:
    return " ".join(desk.job(job.job).state.heads)


def test_every_method_can_be_begun_in_the_order_of_the_job(desk: Desk, job: Job, client: TestClient) -> None:
    page = client.get(f"/jobs/{job.job}").text
    offered = re.findall(r'name="method" value="(\w+)"', page)
    assert offered == [method.key for group in method_groups() for method in group.methods]
    assert sorted(offered) == sorted(METHODS)
    for group in method_groups():
        assert f"<summary><span>{group.title}" in page, "groups are folded"
    begun = client.post(
        f"/jobs/{job.job}/checks", data={"method": "seat", "purpose": "as found"}, follow_redirects=False
    )
    assert begun.status_code == 303
    assert "Joint faces and seat" in client.get(begun.headers["location"]).text
    first = client.get(f"/bearings/{job.bearing}/jobs/new").text
    assert re.findall(r'<option value="(\w+)"', first) == offered


def test_checks_stand_with_their_verdicts(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    desk.start_check(job.job, "seat", "as left", BENCH_HAND)
    page = client.get(f"/jobs/{job.job}").text
    found = re.findall(r"<b>([^<]+)</b> <small>as left</small></span> <span class=\"word ([\w-]+)\"", page)
    assert found == [("Soft-wire clearance", "within-limits"), ("Joint faces and seat", "not-proven")]
    assert "0.225 mm diametral clearance" in page


def test_the_next_check_is_as_left_once_the_fit_was_changed(desk: Desk, job: Job, client: TestClient) -> None:
    checked = 'value="as left" checked'
    assert checked not in client.get(f"/jobs/{job.job}").text
    desk.change_fit(job.job, "shell", "both", "", "new shells", BENCH_HAND)
    assert checked in client.get(f"/jobs/{job.job}").text


def test_a_note_is_kept_and_struck_out_but_a_strike_stands(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/jobs/{job.job}"
    client.post(f"{at}/notes", data={"note": "oil was black", "seen": heads(desk, job)})
    (note,) = desk.job(job.job).state.notes
    assert (note.text, note.by) == ("oil was black", "Ada Invented")
    page = client.get(at).text
    assert "oil was black" in page
    assert "cannot itself be struck out" in page
    assert client.post(f"{at}/notes", data={"note": "  "}).status_code == 422
    silent = client.post(f"{at}/strikes", data={"entry": note.entry, "why": ""})
    assert silent.status_code == 422
    client.post(f"{at}/strikes", data={"entry": note.entry, "why": "other job", "seen": heads(desk, job)})
    assert "other job" in desk.job(job.job).state.notes[0].struck
    assert "<s>oil was black</s>" in client.get(at).text
    strike = next(entry for entry in desk.entries(job.job) if entry.kind == "strike/1")
    refused = client.post(f"{at}/strikes", data={"entry": strike.id, "why": "again"})
    assert refused.status_code == 422


def test_a_change_of_the_fit_is_struck_out(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    desk.change_fit(job.job, "tightening", "", "", "to 450 N m", BENCH_HAND)
    (change,) = desk.job(job.job).state.fit_changes
    assert "Stale:" in client.get(f"/jobs/{job.job}").text
    client.post(
        f"/jobs/{job.job}/strikes", data={"entry": change.entry, "why": "slip", "seen": heads(desk, job)}
    )
    assert "Stale:" not in client.get(f"/jobs/{job.job}").text
