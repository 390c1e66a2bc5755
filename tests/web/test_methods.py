"""The bench is made from a method's declaration: a second method needs no page of its own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.gauging.test_contract import POKE
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job
from whitemetal.desk import Desk
from whitemetal.gauging import METHODS, register
from whitemetal.web.guard import new_id

SCRIPT = {"accept": "application/json"}


@pytest.fixture
def poke_job(desk: Desk) -> Iterator[Job]:
    register(POKE)
    bearing = desk.keep_card(CARD, BENCH_HAND).bearing
    job = desk.open_job(bearing, "P-1", "", BENCH_HAND)
    yield Job(bearing, job, desk.start_check(job, POKE.key, "as found", BENCH_HAND))
    del METHODS[POKE.key]


def test_a_made_up_method_has_its_bench(desk: Desk, poke_job: Job, client: TestClient) -> None:
    page = client.get(poke_job.at).text
    for expected in (POKE.title, 'name="reading.front"', 'name="reading.rear"', "Depth of the poke", "The stick",
                     'value="hazel"', 'value="ash"', "Stick straight", "Poke at both places."):  # fmt: skip
        assert expected in page, expected
    for of_the_wire in ("Wire diameter", "Squeeze 1", "Gauge in hand", "Which wire to take", "soft lead"):
        assert of_the_wire not in page, of_the_wire
    assert POKE.title in client.get(f"/bearings/{poke_job.bearing}/jobs/new").text
    body = {
        "id": new_id(),
        "key": "stick",
        "text": "hazel",
        "seen": " ".join(desk.job(poke_job.job).state.heads),
    }
    assert client.post(f"{poke_job.at}/facts", json=body, headers=SCRIPT).json()["kept"]
    for place in ("front", "rear"):
        reading = {"id": new_id(), "place": place, "text": "0.225", "unit": "mm"}
        answer = client.post(f"{poke_job.at}/readings", json=reading, headers=SCRIPT).json()
    assert "within limits" in answer["summary"]
    assert "within limits" in client.get(f"{poke_job.at}/judgement").text
    assert client.get(f"{poke_job.at}/sheet.pdf").content.startswith(b"%PDF-")
