"""A request with a key may come twice; a key is its device's own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from tests.web.client import TestClient
from tests.web.plant import Job
from whitemetal.desk import Desk
from whitemetal.desk.sending import LONGEST_KEY


def send(client: TestClient, job: Job, headers: dict[str, str], note: str = "oil was dark") -> int:
    answer = client.post(
        f"/jobs/{job.job}/notes", data={"note": note}, headers=headers, follow_redirects=False
    )
    return int(answer.status_code)


@pytest.mark.parametrize("key", ["abcdefghij234567", '"abcdefghij234567"'])
def test_a_form_sent_twice_with_a_key_is_kept_once_and_answered_alike(
    desk: Desk, client: TestClient, job: Job, key: str
) -> None:
    assert [send(client, job, {"Idempotency-Key": key}) for _ in range(3)] == [303, 303, 303]
    assert [note.text for note in desk.job(job.job).state.notes] == ["oil was dark"]


def test_the_key_may_stand_in_the_address_of_a_form(desk: Desk, client: TestClient, job: Job) -> None:
    """A script sends a form with a header; a browser that sends it once more cannot."""
    send(client, job, {"Idempotency-Key": "abcdefghij234567"})
    client.post(f"/jobs/{job.job}/notes?sent=abcdefghij234567", data={"note": "oil was dark"})
    assert [note.text for note in desk.job(job.job).state.notes] == ["oil was dark"]


def test_without_a_key_it_is_written_each_time(desk: Desk, client: TestClient, job: Job) -> None:
    assert [send(client, job, {}) for _ in range(2)] == [303, 303]
    assert len(desk.job(job.job).state.notes) == 2


@pytest.mark.parametrize("key", ["short", "with a blank in it", "x" * (LONGEST_KEY + 1), "ümlaute-in-it"])
def test_a_key_that_protects_from_nothing_is_refused(
    desk: Desk, client: TestClient, job: Job, key: str
) -> None:
    at = f"/api/1/jobs/{job.job}/notes"
    answer = client.post(at, json={"text": "oil was dark"}, headers={"Idempotency-Key": key.encode()})
    assert answer.status_code == 422
    assert f"8 to {LONGEST_KEY} letters" in answer.json()["problem"]
    assert answer.json()["problems"][0]["field"] == "idempotency-key"
    assert desk.job(job.job).state.notes == ()


def test_another_text_under_a_key_is_refused(desk: Desk, client: TestClient, job: Job) -> None:
    """A program that counted its keys wrong must hear of it, and not be told that it was kept."""
    at, key = f"/api/1/jobs/{job.job}/notes", {"Idempotency-Key": "abcdefghij234567"}
    answers = [client.post(at, json={"text": text}, headers=key) for text in ("dark", "dark", "clear")]
    assert [one.status_code for one in answers] == [201, 201, 422]
    assert answers[2].json()["problems"][0] == {
        "field": "idempotency-key", "typed": "clear", "line": None,
        "expected": 'a key of its own: under this one "dark" was kept already; this was not kept',
    }  # fmt: skip
    assert [note.text for note in desk.job(job.job).state.notes] == ["dark"]
    form = client.post(f"/jobs/{job.job}/notes?sent=abcdefghij234567", data={"note": "clear"})
    assert form.status_code == 422 and "clear" in form.text


def test_a_key_is_its_devices_own(desk: Desk, browser_named: Callable[[str], TestClient], job: Job) -> None:
    for name in ("Ada Invented", "Bo Invented"):
        assert send(browser_named(name), job, {"Idempotency-Key": "abcdefghij234567"}) == 303
    assert sorted(note.by for note in desk.job(job.job).state.notes) == ["Ada Invented", "Bo Invented"]


def test_what_was_written_an_hour_ago_says_so(desk: Desk, client: TestClient, job: Job) -> None:
    send(client, job, {"Written-Ago": "3600000"}, "then")
    send(client, job, {"Written-Ago": "an hour"}, "now")
    then, now = (datetime.fromisoformat(note.at).astimezone(UTC) for note in desk.job(job.job).state.notes)
    assert 3599 <= (now - then).total_seconds() <= 3700
