"""What a device takes along of a job: pages that answer, an empty bench for every method, and a key."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.web.client import TestClient
from tests.web.plant import GAUGE, Job
from whitemetal.card import Card
from whitemetal.desk import Desk, Writer
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Finding
from whitemetal.job.carried import CARRIED, Carried, carried
from whitemetal.job.state import CheckState
from whitemetal.web import carried_pages
from whitemetal.web.begin_pages import MOST_GAUGES, NO_PURPOSE, NOT_BEGUN

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


def test_what_a_thumb_comes_to_next_goes_along(desk: Desk, job: Job, client: TestClient) -> None:
    """The cap is pulled in three passes and may be squeezed again, and photographed, all without a network."""
    nuts = f"/jobs/{job.job}/checks/{desk.start_check(job.job, 'tightening', 'as left', KEEPER)}/nuts"

    def pages() -> list[str]:
        told = client.get(f"/api/1/jobs/{job.job}/along").json()
        return [*told["pages"], *told["begin"]["pages"]]

    begin = f"/jobs/{job.job}/begin"
    for at in (nuts, f"{begin}/tightening/nuts"):
        assert {at, f"{at}?pass=1", f"{at}?pass=2", f"{at}?pass=3"} <= set(pages())
    assert {f"/jobs/{job.job}/photographs", f"{begin}/wire?squeeze=2&gauge=M-07"} <= set(pages())

    def squeezes() -> list[str]:
        return [at.removeprefix(f"{job.at}?squeeze=") for at in pages() if at.startswith(f"{job.at}?")]

    assert squeezes() == ["1&gauge=M-07", "2&gauge=M-07"]
    desk.keep_reading(job.job, job.check, "DE top", "0.20 mm", KEEPER, squeeze=2, instrument="M-07")
    assert squeezes() == ["1&gauge=M-07", "2&gauge=M-07", "3&gauge=M-07"]


def test_weights_come_for_the_gauges_in_use_and_for_every_job_of_a_bearing_once(
    desk: Desk, job: Job, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A set takes a second: thirty gauges in the store must not take thirty."""
    for number in range(30):
        desk.keep_instrument(f"N-{number:02d}", GAUGE, KEEPER)

    def gauges() -> list[str]:
        at = f"/api/1{job.at}/carried?gauge="
        told = client.get(f"/api/1/jobs/{job.job}/along").json()["pages"]
        return [page.removeprefix(at) for page in told if page.startswith(at)]

    assert len(gauges()) == 1 + MOST_GAUGES
    desk.keep_reading(job.job, job.check, "DE top", "0.20 mm", KEEPER, instrument="N-29")
    assert gauges() == ["", "N-29"]
    made: list[str] = []

    def counted(check: CheckState, card: Card, gauge: str, doubts: Sequence[Finding]) -> Carried:
        made.append(gauge)
        return carried(check, card, gauge, doubts)

    monkeypatch.setattr(carried_pages, "carried", counted)
    other = desk.open_job(job.bearing, "TM-2", "another opening", KEEPER)
    for each in (job.job, other, job.job):
        assert client.get(f"/api/1/jobs/{each}/begin/wire/carried?gauge=N-03").status_code == 200
    assert made == ["N-03"]


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


def test_weights_come_along_for_every_method_that_a_device_judges(job: Job, client: TestClient) -> None:
    told = client.get(f"/api/1/jobs/{job.job}/along").json()["begin"]["pages"]
    for method in ("wire", "strip", "lift"):
        at = f"/api/1/jobs/{job.job}/begin/{method}/carried?gauge=M-07"
        assert at in told
        found = client.get(at).json()
        assert (found["format"], found["why_not"], found["method"]) == (CARRIED, "", method)
        assert found["sets"] and found["places"]
