"""Two jobs of one bearing under one work-order number: whoever opens the second is shown the first and decides;
both say it afterwards. Nothing is forbidden."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job
from tests.web.test_fit_page import text_of
from whitemetal.cli.filing import job_named
from whitemetal.desk import Desk
from whitemetal.errors import InputError

TAKEN = "This bearing has a job under the number"
SHARED = "Another job of this bearing carries the number"
KEY = {"idempotency-key": "k" * 26}


def jobs(desk: Desk, job: Job) -> list[str]:
    return [one.number for one in desk.bearing(job.bearing).jobs]


def opened(
    client: TestClient, job: Job, number: str, headers: dict[str, str] | None = None, **more: str
) -> Any:
    typed = {"number": number, "title": "second look", "method": "seat", "purpose": "as left", **more}
    at = f"/bearings/{job.bearing}/jobs/new"
    return client.post(at, data=typed, headers=headers or {}, follow_redirects=False)


def test_a_number_that_is_used_is_asked_about_and_nothing_typed_is_lost(
    desk: Desk, job: Job, client: TestClient
) -> None:
    answer = opened(client, job, " 4711 ")
    assert answer.status_code == 422 and jobs(desk, job) == ["4711"]
    assert TAKEN in text_of(answer.text) and f'href="/jobs/{job.job}"' in answer.text
    assert 'value="second look"' in answer.text
    assert '<option value="seat" selected>' in answer.text
    assert re.search(r'value="as left" checked', answer.text)
    assert 'name="another" value="yes">' in answer.text


def test_whoever_says_that_another_one_is_meant_opens_it_and_both_jobs_say_so(
    desk: Desk, job: Job, client: TestClient
) -> None:
    assert SHARED not in text_of(client.get(f"/jobs/{job.job}").text)
    answer = opened(client, job, "4711", another="yes")
    assert answer.status_code == 303 and jobs(desk, job) == ["4711", "4711"]
    second = answer.headers["location"].split("/")[2]
    for here, there in ((job.job, second), (second, job.job)):
        page = client.get(f"/jobs/{here}").text
        assert SHARED in text_of(page)
        (shown,) = re.findall(r'id="same-number">.*?</p>', page, re.S)
        assert f'href="/jobs/{there}"' in shown and f'href="/jobs/{here}"' not in shown
        (other,) = client.get(f"/api/1/jobs/{here}").json()["same_number"]
        assert other["book"] == there


def test_however_its_letters_and_blanks_are_written(desk: Desk, job: Job, client: TestClient) -> None:
    assert opened(client, job, "wo 12 a").status_code == 303
    for number in ("WO 12 A", "WO12A", "Wo  12a"):
        assert TAKEN in text_of(opened(client, job, number).text), number
    assert opened(client, job, "WO 12 B").status_code == 303


def test_another_bearing_may_have_the_number_without_a_question(
    desk: Desk, job: Job, client: TestClient
) -> None:
    """One work order of a plant covers both bearings of a machine as a rule."""
    other = desk.keep_card(CARD.replace('"drive end"\njournal', '"other end"\njournal'), BENCH_HAND).bearing
    assert other != job.bearing
    answer = client.post(f"/bearings/{other}/jobs/new", data={"number": "4711"}, follow_redirects=False)
    assert answer.status_code == 303
    assert SHARED not in text_of(client.get(answer.headers["location"].split("/checks")[0]).text)


def test_a_form_that_is_sent_twice_is_not_asked_about_itself(
    desk: Desk, job: Job, client: TestClient
) -> None:
    first, again = (opened(client, job, "4713", KEY) for _ in range(2))
    assert first.status_code == again.status_code == 303
    assert first.headers["location"] == again.headers["location"]
    assert jobs(desk, job) == ["4711", "4713"]


def test_a_program_is_told_in_the_answer(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/bearings/{job.bearing}/jobs"
    assert client.post(at, json={"number": "4712", "title": ""}).json()["same_number"] == []
    answer = client.post(at, json={"number": "4711", "title": "again"})
    assert answer.status_code == 201
    title = desk.job(job.job).state.title
    assert answer.json()["same_number"] == [{"book": job.job, "number": "4711", "title": title}]


def test_a_command_told_a_number_of_two_jobs_names_both_with_their_titles(
    desk: Desk, job: Job, client: TestClient
) -> None:
    opened(client, job, "4711", another="yes")
    with pytest.raises(InputError) as bad:
        job_named(desk, "4711")
    assert job.job in str(bad.value) and "(second look)" in str(bad.value)
    assert job_named(desk, job.job) == job.job
