"""What a device takes along of a job: pages that answer, an empty bench for every method, and a key."""

from __future__ import annotations

from tests.web.client import TestClient
from tests.web.plant import GAUGE, Job
from whitemetal.desk import Desk, Writer
from whitemetal.gauging import METHODS
from whitemetal.web.begin_pages import NO_PURPOSE, NOT_BEGUN

KEEPER = Writer("Ida Invented", "a" * 26)


def test_every_address_that_goes_along_answers(desk: Desk, job: Job, client: TestClient) -> None:
    desk.keep_instrument("M-08", GAUGE, KEEPER)
    told = client.get(f"/api/1/jobs/{job.job}/along").json()
    begin = [at for at in told["begin"]["pages"] if not at.startswith("/api")]
    for at in (*told["pages"], *told["begin"]["pages"]):
        assert client.get(at, headers={"accept": "text/html, application/json"}).status_code == 200, at
    assert {at.split("/begin/")[1].split("?")[0].split("/")[0] for at in begin} == set(METHODS)
    for gauge in ("M-07", "M-08"):
        assert f"{job.at}?squeeze=1&gauge={gauge}" in told["pages"]
        assert f"/jobs/{job.job}/begin/wire?squeeze=1&gauge={gauge}" in begin


def test_the_page_of_a_check_not_begun_names_no_check_that_is(
    desk: Desk, job: Job, client: TestClient
) -> None:
    text = client.get(f"/jobs/{job.job}/begin/wire").text
    assert f'data-here="/jobs/{job.job}/checks/{NOT_BEGUN}"' in text
    assert f'action="/jobs/{job.job}/checks/{NOT_BEGUN}/readings"' in text
    assert NO_PURPOSE in text and job.check not in text
    assert client.get(f"/jobs/{job.job}/begin/nothing").status_code == 404
    assert list(desk.job(job.job).state.checks) == [job.check], "nothing is kept by looking"


def test_the_key_changes_with_the_card_and_the_gauges_only(desk: Desk, job: Job, client: TestClient) -> None:
    def key() -> str:
        return str(client.get(f"/api/1/jobs/{job.job}/along").json()["begin"]["key"])

    first = key()
    desk.keep_note(job.job, "oil drained", KEEPER)
    assert key() == first
    desk.keep_instrument("M-09", GAUGE, KEEPER)
    assert key() != first
