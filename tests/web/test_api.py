"""The JSON interface does what the pages do."""

from __future__ import annotations

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, fill
from whitemetal.desk import Desk
from whitemetal.gauging.order import method_groups
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


def test_what_belongs_to_the_whole_job_is_kept(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/jobs/{job.job}"

    def send(verb: str, **body: object) -> dict[str, object]:
        answer = client.post(f"{at}/{verb}", json={**body, "seen": list(desk.job(job.job).state.heads)})
        assert answer.status_code == 201, answer.text
        told: dict[str, object] = answer.json()
        assert told["heads"] == list(desk.job(job.job).state.heads)
        return told

    check = send("checks", method="contact", purpose="as left")
    assert desk.job(job.job).state.checks[str(check["check"])].method == "contact"
    send("holds", hold="tightening", state="closed", text="420 N m")
    assert desk.job(job.job).state.holds["tightening"].text == "420 N m"
    change = send("fit", what="shim", half="", joint="shell joint", text="0.05 mm out a side")
    assert desk.job(job.job).state.fit_changes[0].joint == "shell joint"
    send("strikes", entry=change["entry"], why="not done after all")
    assert desk.job(job.job).state.fit_changes[0].struck
    send("notes", text="oil black")
    assert [note.text for note in desk.job(job.job).state.notes] == ["oil black"]
    newest = desk.keep_card(CARD.replace('maximum = "0.30 mm"', 'maximum = "0.28 mm"'), BENCH_HAND).digest
    send("adopt", card=newest, reason="maker's letter (invented)")
    assert desk.job(job.job).state.card == newest
    send("stripped", text="")
    send("missed", what="as-found alignment", why="coupling was apart")
    assert [one.what for one in desk.job(job.job).state.missed] == ["as-found alignment"]


def test_bad_requests_to_a_job_keep_nothing(desk: Desk, job: Job, client: TestClient) -> None:
    before = desk.job(job.job).state.entries
    wrong: list[tuple[str, dict[str, object], int]] = [
        ("holds", {"hold": "wishes", "state": "closed"}, 422), ("holds", {"hold": 3}, 422),
        ("fit", {"what": "shim"}, 422), ("fit", {"what": "luck", "text": "x"}, 422),
        ("adopt", {"card": "none", "reason": "x"}, 422), ("strikes", {"entry": "none", "why": "x"}, 422),
        ("notes", {"text": " "}, 422), ("checks", {"method": "luck", "purpose": "as found"}, 422),
        ("missed", {"what": "x"}, 422), ("wishes", {}, 404), ("notes", {"text": "x", "seen": "y"}, 422),
    ]  # fmt: skip
    for what, body, status in wrong:
        answer = client.post(f"/api/1/jobs/{job.job}/{what}", json=body)
        assert answer.status_code == status, (what, body, answer.text)
        assert answer.json()["kept"] is False
    assert desk.job(job.job).state.entries == before


def test_a_grid_and_a_share_are_kept(desk: Desk, job: Job, client: TestClient) -> None:
    check = desk.start_check(job.job, "contact", "as found", BENCH_HAND)
    at = f"/api/1/jobs/{job.job}/checks/{check}"
    cells = [{"id": new_id(), "place": place, "text": "light", "entry": ""} for place in ("A1", "A2")]
    made = client.post(f"{at}/readings", json={"cells": cells, "seen": list(desk.job(job.job).state.heads)})
    assert (made.status_code, made.json()["refused"]) == (201, [])
    assert [one.value for one in desk.job(job.job).state.checks[check].readings] == [1.0, 1.0]
    seat = desk.start_check(job.job, "seat", "as found", BENCH_HAND)
    facts = f"/api/1/jobs/{job.job}/checks/{seat}/facts"
    bare = client.post(facts, json={"id": new_id(), "key": "contact", "text": "85"}).json()
    assert '"85 %"' in bare["problem"]["expected"]
    boxed = client.post(facts, json={"id": new_id(), "key": "contact", "text": "85", "unit": "%"}).json()
    assert boxed["problem"] is None
    assert desk.job(job.job).state.checks[seat].facts["contact"].value == 0.85


def test_the_methods_are_listed_in_the_order_of_the_job(client: TestClient) -> None:
    told = client.get("/api/1/methods").json()
    assert [one["key"] for one in told] == [m.key for g in method_groups() for m in g.methods]
    contact = next(one for one in told if one["key"] == "contact")
    assert contact["choices"] == ["heavy", "light", "none"]
