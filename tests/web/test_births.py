"""The page of a bearing's values of birth: kept from the form, shown for ever, struck with a reason."""

from __future__ import annotations

import html
import re

from tests.web.client import TestClient
from tests.web.plant import Job
from whitemetal.desk import Desk

SOURCE = "stamped on the shell"


def births(job: Job) -> str:
    return f"/bearings/{job.bearing}/births"


def post(client: TestClient, job: Job, **typed: str) -> int:
    boxes = {name.replace("crown_", "birth.crown.").replace("__", " "): text for name, text in typed.items()}
    return int(client.post(births(job), data=boxes, follow_redirects=False).status_code)


def test_the_card_leads_to_a_box_for_every_mark(client: TestClient, job: Job) -> None:
    assert births(job) in client.get(f"/bearings/{job.bearing}").text
    shown = client.get(births(job)).text
    names = [html.unescape(name) for name in re.findall(r'name="(birth\.[^"]*)"', shown)]
    assert len([name for name in names if name.startswith("birth.crown.")]) == 6
    assert len([name for name in names if name.startswith("birth.bridge.")]) == 2
    ids = re.findall(r'\bid="([^"]+)"', shown)
    assert len(ids) == len(set(ids))


def test_what_is_typed_is_kept_in_the_cards_unit_with_its_source(
    client: TestClient, desk: Desk, job: Job
) -> None:
    assert post(client, job, crown_DE__middle="11,98", source=SOURCE) == 303
    (one,) = desk.bearing(job.bearing).births
    assert (one.text, one.source, one.by) == ("11,98 mm", SOURCE, "Ada Invented")
    assert abs(one.value - 11.98e-3) < 1e-12
    assert "11,98 mm" in client.get(births(job)).text


def test_without_its_source_nothing_is_kept_and_nothing_typed_is_lost(
    client: TestClient, desk: Desk, job: Job
) -> None:
    answer = client.post(births(job), data={"birth.crown.DE middle": "12.000"})
    assert answer.status_code == 422
    assert 'value="12.000"' in answer.text
    assert desk.bearing(job.bearing).births == ()


def test_what_cannot_be_read_stays_in_its_box_while_the_rest_is_kept(
    client: TestClient, desk: Desk, job: Job
) -> None:
    answer = client.post(
        births(job),
        data={"birth.crown.DE left": "twelve", "birth.crown.DE right": "12.010", "source": SOURCE},
    )
    assert answer.status_code == 422
    assert 'value="twelve"' in answer.text and 'value="12.010"' not in answer.text
    assert [one.place for one in desk.bearing(job.bearing).births] == ["DE right"]


def test_another_value_is_said_to_contradict_and_one_is_struck(
    client: TestClient, desk: Desk, job: Job
) -> None:
    post(client, job, crown_DE__middle="12.000", source=SOURCE)
    assert post(client, job, crown_DE__middle="12.100", source="certificate") == 422
    shown = client.get(births(job)).text
    assert shown.count("contradicts another one") == 2
    wrong = next(one for one in desk.bearing(job.bearing).births if one.text == "12.100 mm")
    strike = f"{births(job)}/{wrong.entry}/strike"
    assert client.post(strike, data={"why": ""}).status_code == 422
    assert client.post(strike, data={"why": "next shell"}, follow_redirects=False).status_code == 303
    shown = client.get(births(job)).text
    assert "<s>12.100 mm</s>" in shown and "next shell" in shown and "contradicts another one" not in shown


def test_who_gave_no_name_is_asked(browser_named: object, job: Job) -> None:
    nobody = browser_named("")  # type: ignore[operator]
    answer = nobody.post(births(job), data={"birth.crown.DE middle": "12.000", "source": SOURCE})
    assert answer.status_code == 422
