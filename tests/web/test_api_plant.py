"""What is written to the plant, to a bearing's book and to a check's rule by JSON: the same as by the pages."""

from __future__ import annotations

import pytest

from tests.web.client import TestClient
from tests.web.plant import CARD, GAUGE, Job
from whitemetal.desk import Desk
from whitemetal.desk.procedure import plant_files

SECOND = CARD.replace('position = "drive end"', 'position = "other end"')


def test_a_card_is_kept_and_a_job_opened_by_json(desk: Desk, client: TestClient) -> None:
    made = client.post("/api/1/bearings/new", json={"card": SECOND})
    assert made.status_code == 201, made.text
    bearing = made.json()["bearing"]
    assert desk.card_text(made.json()["card"]) == SECOND
    assert client.post("/api/1/bearings/new", json={"card": SECOND}).json()["new"] is False
    revised = client.post("/api/1/bearings/new", json={"card": SECOND.replace("990 rpm", "985 rpm")}).json()
    assert (revised["bearing"], revised["new"]) == (bearing, True)
    opened = client.post(f"/api/1/bearings/{bearing}/jobs", json={"number": "4712", "title": "looked at"})
    assert opened.status_code == 201
    assert desk.job(opened.json()["job"]).state.title == "looked at"
    told = client.get(f"/api/1/bearings/{bearing}").json()
    assert (told["machine"], told["position"], told["card"]) == ("TM-31-F02", "other end", revised["card"])
    assert told["texts"]["machine.speed"] == "985 rpm"
    assert told["revisions"] == [made.json()["card"], revised["card"]]
    assert [one["number"] for one in told["jobs"]] == ["4712"]


def test_a_card_that_cannot_be_read_is_refused_with_every_problem(desk: Desk, client: TestClient) -> None:
    before = desk.plant()
    for text in (
        "", "no card", SECOND.replace("160.00 mm", "wide"), "[" * 5000, "a = " + "9" * 5000,
        "a = 0x" + "f" * 5000, "a.b = [1, " + "9" * 5000 + "]", "a" + ".a" * 3000 + " = 1",
    ):  # fmt: skip
        answer = client.post("/api/1/bearings/new", json={"card": text})
        assert (answer.status_code, answer.json()["kept"]) == (422, False), text[:40]
    assert answer.json()["problems"]
    assert client.post("/api/1/bearings/new", json={"card": 3}).json()["problems"][0]["field"] == "card"
    assert desk.plant() == before


def test_a_gauge_is_kept_by_json(desk: Desk, job: Job, client: TestClient) -> None:
    body = {"id": "M-08", "facts": {**GAUGE, "mpe": "0.005"}}
    assert client.post("/api/1/instruments", json=body).status_code == 201
    assert desk.instruments()["M-08"]["mpe"] == "0.005 mm"
    told = client.get("/api/1/instruments").json()["instruments"]
    assert set(told) == {"M-07", "M-08"}
    for wrong in ({"id": ""}, {"id": "../x"}, {"id": "M-09", "facts": {**GAUGE, "mpe": "much"}}, {"id": 9}):
        assert client.post("/api/1/instruments", json=wrong).status_code == 422, wrong
    odd: tuple[object, ...] = ([], "x", {"mpe": 3})
    for facts in odd:
        assert client.post("/api/1/instruments", json={"id": "M-09", "facts": facts}).status_code == 422
    assert "M-09" not in desk.instruments()


def test_a_value_of_birth_is_kept_and_struck_by_json(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/bearings/{job.bearing}/births"
    place = births_place(desk, job)
    body = {"method": place[0], "place": place[1], "text": "0.5 mm", "source": "stamped on the shell"}
    kept = client.post(at, json=body)
    assert kept.status_code == 201, kept.text
    (one,) = client.get(at).json()["births"]
    assert (one["entry"], one["text"], one["source"]) == (kept.json()["entry"], "0.5 mm", body["source"])
    assert client.post(at, json={**body, "source": ""}).json()["problems"][0]["field"] == "source"
    assert client.post(at, json={**body, "place": "nowhere"}).status_code == 422
    assert client.post(at, json={**body, "text": "thick"}).status_code == 422
    assert client.post(f"{at}/strikes", json={"entry": one["entry"], "why": ""}).status_code == 422
    struck = client.post(f"{at}/strikes", json={"entry": one["entry"], "why": "misread"})
    assert struck.status_code == 201
    assert client.get(at).json()["births"][0]["struck"] == "misread"


def births_place(desk: Desk, job: Job) -> tuple[str, str]:
    """The first place of this bearing that may have a value of birth."""
    from whitemetal.web.birth_pages import marks_of

    first = next(one for marks in marks_of(desk.bearing(job.bearing)).values() for one in marks)
    _, method, place = first.name.split(".", 2)
    return method, place


def test_the_plant_changes_its_procedure_by_json(desk: Desk, client: TestClient) -> None:
    text = 'format = "whitemetal.procedure/1"\n'
    body = {"text": text, "replaces": []}
    kept = client.post("/api/1/procedure", json=body)
    assert kept.status_code == 201, kept.text
    assert [one.text for one in plant_files(desk)] == [text]
    assert client.post("/api/1/procedure", json={"text": "no file"}).status_code == 422
    assert client.post("/api/1/procedure", json={"text": text, "replaces": "x"}).status_code == 422
    assert client.post("/api/1/procedure", json={}).status_code == 422, "nothing said is not an empty file"
    assert [one.text for one in plant_files(desk)] == [text]


@pytest.mark.parametrize(("rule", "why", "status"), [
    ("simple acceptance", "agreed with the owner", 201), ("simple acceptance", "", 422), ("by luck", "x", 422),
])  # fmt: skip
def test_a_rule_is_chosen_by_json(
    desk: Desk, job: Job, client: TestClient, rule: str, why: str, status: int
) -> None:
    answer = client.post(f"/api/1{job.at}/rule", json={"rule": rule, "why": why})
    assert answer.status_code == status, answer.text
    chosen = desk.job(job.job).state.checks[job.check].rule
    assert (rule in chosen) == (status == 201)
    assert (
        client.post(f"/api/1/jobs/{job.job}/checks/none/rule", json={"rule": rule, "why": "x"}).status_code
        == 422
    )
