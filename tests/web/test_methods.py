"""The bench is made from a method's declaration: a second method needs no page of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files

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


@pytest.mark.parametrize("name", ["fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"])
def test_every_demo_bearing_has_its_bench_in_its_own_unit(desk: Desk, client: TestClient, name: str) -> None:
    text = (files("whitemetal.demo_mill") / f"{name}.toml").read_text(encoding="utf-8")
    bearing = desk.keep_card(text, BENCH_HAND).bearing
    card = desk.bearing(bearing).card
    job = desk.open_job(bearing, "D-1", "", BENCH_HAND)
    check = desk.start_check(job, "wire", "as found", BENCH_HAND)
    at = f"/jobs/{job}/checks/{check}"
    page = client.get(at).text
    unit = card.bearing.unit
    boxes = re.findall(r'data-kept="" data-unit="([^"]+)"', page)
    assert set(boxes) == {unit}
    assert len(boxes) == len(desk.job(job).state.checks[check].places)
    place = desk.job(job).state.checks[check].places[0].label
    typed = f"{0.0015 * card.bearing.journal_diameter / (1e-3 if unit == 'mm' else 0.0254):.4f}"
    body = {"id": new_id(), "place": place, "text": typed, "unit": unit}
    assert client.post(f"{at}/readings", json=body, headers=SCRIPT).json()["problem"] is None
    judged = client.get(f"{at}/judgement").text
    assert f"{unit}</dd>" in judged
    if not card.limits:
        assert "General rules side by side" in judged
        assert "provisional" in judged
