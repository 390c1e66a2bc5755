"""What the list of the standard asks and no other test shows: names of files, other origins, the log, the password
again."""

from __future__ import annotations

import logging
import re

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from sqlalchemy import func, select

from tests.web.client import TestClient
from tests.web.plant import Job
from tests.web.test_gate import PASSWORD, Signed, cheap, keeper, signed, word_of
from whitemetal.desk import Desk, Writer
from whitemetal.ledger.tables import ENTRY, KEPT_FILE
from whitemetal.web.app import ROOMS

__all__ = ["cheap", "keeper", "signed"]
KEY = "A6EHv/POEL4dcN0Y50vAmWfk1jCbpQ1fHdyGZBJVMbg="
"""A public key whose private half is the bytes 0 to 31; by the library that makes them."""

IDA = Writer("Ida Invented", "a" * 26)


@pytest.mark.parametrize(
    ("number", "name"),
    [
        ("4711", "4711"), ("a\r\nSet-Cookie: x=1", "a--Set-Cookie--x-1"), ('q"; filename="x.exe', "q---filename--x-exe"),
        ("../../etc/passwd", "etc-passwd"),
    ],
)  # fmt: skip
def test_a_files_name_is_the_programs_own(
    desk: Desk, job: Job, client: TestClient, number: str, name: str
) -> None:
    """Letters, digits and hyphens of a job's number; a quotation mark or a line end would end the header."""
    other = desk.open_job(job.bearing, number, "", IDA)
    for tail, start in (("export.zip", "job"), ("report.pdf", "report")):
        answer = client.get(f"/jobs/{other}/{tail}")
        end = tail.rpartition(".")[2]
        assert answer.headers["content-disposition"] == f'attachment; filename="{start}-{name}.{end}"'
        assert "set-cookie" not in {key for key in answer.headers if "x=1" in answer.headers[key]}


def test_no_answer_lets_another_origin_read(job: Job, client: TestClient) -> None:
    foreign = {"origin": "http://elsewhere.invalid", "access-control-request-method": "POST"}
    for method, at in (
        ("GET", f"/api/1/jobs/{job.job}"),
        ("GET", "/"),
        ("OPTIONS", f"/api/1/jobs/{job.job}/notes"),
    ):
        answer = client.request(method, at, headers=foreign)
        assert [key for key in answer.headers if key.startswith("access-control")] == [], at


def test_a_page_may_run_no_script_but_its_own_files(job: Job, client: TestClient) -> None:
    """The policy word by word (CSP level 3): nothing inline, nothing made from text, nothing from elsewhere, also
    on pages that refuse, on errors and on what is no page."""
    own = {"default-src": ["'none'"], "script-src": ["'self'"], "img-src": ["'self'"], "connect-src": ["'self'"],
           "worker-src": ["'self'"], "form-action": ["'self'"], "base-uri": ["'none'"],
           "frame-ancestors": ["'none'"]}  # fmt: skip
    nonces = set()
    for at in (
        "/",
        job.at,
        f"/jobs/{job.job}/sign",
        "/nowhere",
        "/static/queue.js",
        "/api/1/plant",
        "/worker.js",
    ):
        parts = [part.split() for part in client.get(at).headers["content-security-policy"].split(";")]
        policy = {part[0]: part[1:] for part in parts}
        assert len(policy) == len(parts), "a part named twice counts once"
        style = policy.pop("style-src")
        assert policy == own, at
        assert style[0] == "'self'" and re.fullmatch(r"'nonce-[\w-]{22}'", style[1]) and len(style) == 2, at
        nonces.add(style[1])
    assert len(nonces) == 7, "another one with every answer"


def test_nothing_is_kept_by_asking(desk: Desk, job: Job, client: TestClient) -> None:
    """Every address that is read, with what is really there in its holes: no entry more, and no photograph."""
    there = {"job": job.job, "check": job.check, "book": job.bearing, "method": "wire", "place": "DE top",
             "digest": desk.bearing(job.bearing).card.digest}  # fmt: skip
    asked = [
        re.sub(r"\{(\w+)(?::\w+)?\}", lambda hole: there.get(hole.group(1), "x"), route.path)
        for room in ROOMS
        for route in room.router.routes
        if isinstance(route, APIRoute) and "GET" in (route.methods or ())
    ]

    def kept() -> list[int]:
        with desk._ledger.reading() as connection:
            return [
                connection.execute(select(func.count()).select_from(one)).scalar_one()
                for one in (ENTRY, KEPT_FILE)
            ]

    before, answered = kept(), 0
    for at in (one for one in asked if not one.endswith("/carried")):  # takes a second, and is a sum
        answered += client.get(at, headers={"accept": "text/html, application/json"}).is_success
    assert kept() == before
    assert answered > 60


def test_no_secret_is_logged(
    app: FastAPI, signed: Signed, job: Job, caplog: pytest.LogCaptureFixture
) -> None:
    """A password right, one wrong, one beside a refused form, a code, a token good and struck, a session."""
    caplog.set_level(logging.DEBUG)
    client = signed("look", "Ada Invented")
    word = word_of(client.get("/me").text)
    kept = client.post(
        "/me/token", data={"token": word, "title": "t", "days": "7", "password": PASSWORD, "scope": "look"}
    )
    found = re.search(r"wm_[\w-]{43}", kept.text)
    assert found is not None
    bearer = {"authorization": f"Bearer {found.group(0)}", "accept": "application/json"}
    program = TestClient(app)
    assert program.get(f"/api/1/jobs/{job.job}", headers=bearer).status_code == 200
    assert program.post(f"/api/1/jobs/{job.job}/notes", json={"text": "x"}, headers=bearer).status_code == 403
    assert client.post("/me/password", data={"password": PASSWORD}).status_code == 403, "without its word"
    typed = {"token": word_of(program.get("/sign-in").text), "name": "Ada Invented"}
    program.post("/sign-in", data={**typed, "password": "typed-quite-wrong"})
    program.post(
        "/people/join", data={**typed, "code": "abcdefgh-guessed", "new_password": "typed-quite-new"}
    )
    assert "may not POST" in caplog.text and "without the word of its form" in caplog.text
    session = [one.value for one in client.cookies.jar if one.name.endswith("session")]
    assert len(session) == 1
    for secret in (PASSWORD, found.group(0), word, "typed-quite", "abcdefgh-guessed", str(session[0])):
        assert secret not in caplog.text


@pytest.mark.parametrize("password", ["", "typed quite wrong"])
def test_password_token_and_key_are_changed_by_the_password_only(
    desk: Desk, signed: Signed, password: str
) -> None:
    client = signed("fit", "Ada Invented")
    word, new = word_of(client.get("/me").text), "nine lead wires in a row"
    before = client.get("/api/1/me").json()["key"]
    for at, typed in {
        "/me/password": {"new_password": new, "again_password": new},
        "/me/token": {"title": "t", "days": "7", "scope": "look"},
        "/me/key": {"key": KEY},
    }.items():
        answer = client.post(at, data={**typed, "token": word, "password": password})
        assert answer.status_code == 422 and "wm_" not in answer.text, at
    assert client.get("/api/1/me").json()["key"] == before
    assert client.post("/me/key", data={"token": word, "key": KEY, "password": PASSWORD}).is_success
    assert client.get("/api/1/me").json()["key"] == KEY
