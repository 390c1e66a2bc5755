"""Signing where people sign in: in the account's name, with the key its password opens, within its role."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.desk.test_signing import GRANTED, measured, with_gauge
from tests.web.client import TestClient
from whitemetal.desk import Desk, people
from whitemetal.desk.people import Acting
from whitemetal.people import passwords, signature
from whitemetal.people.roles import ROLES
from whitemetal.web.app import make_app

PASSWORD = "four brass feeler gauges"
LATER = {**GRANTED, "until": "2126-10-01"}


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


def word_of(text: str) -> str:
    found = re.search(r'name="token" value="([0-9a-f]{64})"', text)
    return found.group(1) if found else ""


def signed_in(desk: Desk, roles: str, name: str) -> TestClient:
    """A browser of somebody with these roles, signed in through the page."""
    chosen = frozenset(role for role in ROLES if role in roles.split())
    _, code = people.add(desk, name, chosen, Acting("", "at the terminal"))
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    typed = {
        "token": word_of(client.get("/people/join").text), "name": name, "code": code,
        "new_password": PASSWORD, "again_password": PASSWORD,
    }  # fmt: skip
    assert client.post("/people/join", data=typed, follow_redirects=False).status_code == 303
    return client


def post(client: TestClient, desk: Desk, job: str, where: str, **typed: str) -> int:
    """Send a form of the page as it stands now."""
    page = client.get(f"/jobs/{job}/sign").text
    seen = " ".join(desk.job(job).state.heads)
    data = {"token": word_of(page), "seen": seen, "name": "Somebody Else", **typed}
    return int(client.post(f"/jobs/{job}/{where}", data=data, follow_redirects=False).status_code)


def test_a_whole_signing_with_accounts(tmp_path: Path) -> None:
    desk = with_gauge(tmp_path / "record.sqlite3")
    job, _ = measured(desk, "0.240")
    people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26)
    fitter, checker = signed_in(desk, "fit", "Ann Dale"), signed_in(desk, "fit check", "Bo Lund")
    engineer = signed_in(desk, "engineer", "Cy Rowe")
    page = fitter.get(f"/jobs/{job}/sign").text
    assert "You sign as Ann Dale." in page and 'type="password"' in page

    assert post(fitter, desk, job, "concession", password=PASSWORD, **LATER) == 403, "no engineer"
    assert post(engineer, desk, job, "concession", password="wrong", **LATER) == 422
    assert desk.job(job).state.signing.concessions == ()
    assert post(engineer, desk, job, "concession", password=PASSWORD, **LATER) == 303
    did = {"part": "did", "leaves": "concession", "password": PASSWORD}
    assert post(fitter, desk, job, "sign", **did) == 303
    second = {**did, "part": "checked"}
    assert post(fitter, desk, job, "sign", **second) == 422, "not the same person, nor in this role"
    assert post(checker, desk, job, "sign", **second) == 303

    found = desk.job(job).state.signing
    assert found.signed and [one.by for one in found.standing] == ["Ann Dale", "Bo Lund"]
    sealed = [one for one in desk.entries(job) if one.kind in ("signed/1", "concession/1")]
    assert [signature.standing(one) for one in sealed] == ["good", "good", "good"]
    assert [one.by["name"] for one in sealed] == ["Cy Rowe", "Ann Dale", "Bo Lund"], "not as typed"
    answer = fitter.get(f"/jobs/{job}/sign").text
    assert PASSWORD not in answer
    assert answer.replace("&#39;", "'").count("Sealed with the signer's key") == 2
    desk.close()
