"""Who may write may not withdraw an engineer's concession by any of the doors at which things are struck."""

from __future__ import annotations

from tests.attack.conftest import PASSWORD, Attacked
from whitemetal.web.doors import DOORS

SCRIPT = {"origin": "http://testserver", "accept": "application/json"}


def test_a_concession_is_withdrawn_by_an_engineer_alone(attacked: Attacked) -> None:
    engineer, fitter = attacked.client("engineer"), attacked.client("fit")
    job = attacked.job
    at = f"/api/1/jobs/{job.job}"
    body = {**DOORS["/api/1/jobs/{job}/concession"], "password": PASSWORD}
    kept = engineer.post(f"{at}/concession", json=body, headers=SCRIPT)
    assert kept.status_code == 201, kept.text
    struck = {"entry": kept.json()["entry"], "why": "in my way"}
    for door in (f"{at}/strikes", f"{at}/checks/{job.check}/strikes"):
        answer = fitter.post(door, json=struck, headers=SCRIPT)
        assert answer.status_code == 422 and "withdrawn by an engineer" in answer.json()["problem"]
    assert fitter.post(f"{at}/sign/withdraw", json=struck, headers=SCRIPT).status_code == 403
    (one,) = attacked.desk.job(job.job).state.signing.concessions
    assert not one.struck
    seen = {"seen": list(attacked.desk.job(job.job).state.heads)}
    assert engineer.post(f"{at}/sign/withdraw", json={**struck, **seen}, headers=SCRIPT).status_code == 201
    (one,) = attacked.desk.job(job.job).state.signing.concessions
    assert one.struck


def test_withdrawing_strikes_nothing_but_a_concession(attacked: Attacked) -> None:
    reading = attacked.desk.job(attacked.job.job).state.checks[attacked.job.check].readings[0]
    body = {"entry": reading.entry, "why": "by another door"}
    answer = attacked.client("engineer").post(
        f"/api/1/jobs/{attacked.job.job}/sign/withdraw", json=body, headers=SCRIPT
    )
    assert answer.status_code == 422 and "a concession of this job" in answer.json()["problem"]
