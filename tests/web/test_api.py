"""The JSON interface does what the pages do."""

from __future__ import annotations

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job, fill
from whitemetal.desk import Desk
from whitemetal.web.guard import new_id


def test_a_reading_and_a_fact_are_kept_and_judged(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1{job.at}"
    known = client.get(f"/api/1/jobs/{job.job}").json()
    assert known["checks"][0]["places"][:2] == ["DE left", "DE top"]
    body = {"id": new_id(), "place": "DE top", "text": "0.225 mm", "seen": known["heads"]}
    made = client.post(f"{at}/readings", json=body)
    assert made.status_code == 201
    assert made.json()["heads"] == list(desk.job(job.job).state.heads)
    fact = {"id": new_id(), "key": "wire_diameter", "text": "0.40 mm", "seen": made.json()["heads"]}
    assert client.post(f"{at}/facts", json=fact).status_code == 201
    told = client.get(f"{at}/judgement").json()
    assert told["format"] == "whitemetal.judgement/1"
    assert told["clearance"]["diametral_m"] == desk.judgement(job.job, job.check).clearance.diametral_m  # type: ignore[union-attr]
    asked = client.post(
        f"{at}/readings", json={**body, "id": new_id(), "entry": body["id"], "text": "0.226 mm"}
    )
    assert asked.status_code == 409
    struck = client.post(f"{at}/strikes", json={"entry": body["id"], "why": "misread"})
    assert struck.status_code == 201
    assert desk.job(job.job).state.checks[job.check].readings == ()


def test_entries_and_proof(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    told = client.get(f"/api/1/books/{job.job}/entries").json()
    assert [entry["digest"] for entry in told] == [entry.digest for entry in desk.entries(job.job)]
    proof = client.get("/api/1/verify").json()
    assert proof["faults"] == []
    assert proof["entries"] >= len(told)
    assert client.get("/api/1/plant").json()[0]["bearings"][0]["jobs"][0]["number"] == "4711"


def test_bad_requests_are_told_what_was_expected(job: Job, client: TestClient) -> None:
    at = f"/api/1{job.at}"
    for content in ("no json", "[]", '"text"', "{" * 100):
        answer = client.post(f"{at}/readings", content=content)
        assert answer.status_code == 422, content
        assert "JSON object" in answer.json()["problem"]
    wrong: list[dict[str, object]] = [
        {"place": 3}, {"squeeze": "1"}, {"squeeze": True}, {"mode": "maybe"}, {"seen": "x"},
        {"place": "nowhere", "text": "0.2 mm"}, {"place": "DE top", "text": ""},
    ]  # fmt: skip
    for body in wrong:
        answer = client.post(f"{at}/readings", json=body)
        assert answer.status_code == 422, body
        assert answer.json()["kept"] is False
    assert client.post(f"{at}/strikes", json={"entry": "x", "why": ""}).status_code == 422
    unknown = client.get("/api/1/jobs/NONE")
    assert unknown.status_code == 404
    assert "problem" in unknown.json()
