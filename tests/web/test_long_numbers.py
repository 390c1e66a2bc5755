"""Numbers of more digits than Python reads at all: refused or passed over in words, at every door for one."""

from __future__ import annotations

import pytest

from tests.web.client import TestClient
from tests.web.plant import CARD, FACTS, Job
from whitemetal.card import read_card
from whitemetal.desk import Desk, Writer
from whitemetal.errors import CardError, InputError
from whitemetal.gauging import METHODS
from whitemetal.gauging.readings_file import read_csv
from whitemetal.units import whole

LONG = "9" * 5000
"""Python reads 4300 digits of a whole number and no more (its manual, int max str digits)."""


def test_a_whole_number_is_digits_and_not_too_many() -> None:
    assert [whole(text) for text in ("0", "07", "999999999999999")] == [0, 7, 999999999999999]
    assert [whole(text) for text in ("", "-1", "1.0", " 1", "1" * 16, LONG)] == [None] * 6


def test_no_door_stumbles_over_a_long_number(desk: Desk, job: Job, client: TestClient) -> None:
    nuts = desk.start_check(job.job, "tightening", "as left", Writer("Ida Invented", "a" * 26))
    pulled = {"place": "nut 1", "text": "100 N m", "squeeze": LONG}
    at = f"/jobs/{job.job}/checks/{nuts}/nuts"
    assert client.post(at, data=pulled).status_code == 422
    read = {"place.DE top": "0.2", "squeeze": LONG}
    assert client.post(f"{job.at}/readings", data=read).status_code < 500
    assert client.post(f"{job.at}/facts", data={f"fact.joint@{LONG}": "metal to metal"}).status_code < 500
    for where in (f"{job.at}?squeeze={LONG}", f"{at}?pass={LONG}", f"/jobs/{job.job}/begin/wire?squeeze={LONG}",
                  f"/record/{job.job}?from={LONG}"):  # fmt: skip
        assert client.get(where).status_code == 200, where[:60]
    with pytest.raises(InputError):
        desk.keep_fact(job.job, job.check, f"joint@{LONG}", FACTS["joint"], Writer("Bo Invented", "b" * 26))


def test_a_card_and_readings_with_a_long_number_are_refused_in_words() -> None:
    with pytest.raises(CardError, match="whole number"):
        read_card(CARD.replace("count = 4", f'count = "{LONG}"'))
    file = read_csv(f"place,squeeze,reading\nDE top,{LONG},0.200 mm\n", read_card(CARD), METHODS["wire"])
    assert ("squeeze", 2) in [(problem.field, problem.line) for problem in file.problems]
