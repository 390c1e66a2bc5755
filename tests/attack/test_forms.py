"""Hostile text in every field of every form and every JSON body, from an account that may write there.

Nothing may break inside (no 5xx but "the record cannot be written"), nothing may come back as markup, and the
chains stay whole.
"""

from __future__ import annotations

import gc
import json
import random
import re
from functools import cache
from itertools import count
from typing import Any

import pytest
from fastapi.routing import APIRoute

from tests.attack.conftest import ROUNDS, Attacked
from tests.web.client import TestClient
from tools import source
from whitemetal.web.app import ROOMS

MARK = "<script>alert(1)</script>"
HOSTILE = (
    MARK, "\"'><img src=x onerror=alert(1)>", "=1+1", "@SUM(A1)", "-2+3", "\t=cmd", "../../etc/passwd", "..\\..\\x", "%2e%2e/",
    "'; DROP TABLE entry; --", "{{ 7*7 }}", "${7*7}", "{0.__class__}", "%s%s%n", "#eval(1)", "\\input{x}", "\u202egpj.exe",
    "9" * 400, "1e999", "-1e-999", "NaN", "Infinity", "0x10", "1_000", "1,2,3", "0.1 mm", "0.1 parsec", "-5 mm", "1e308 km",
    "½ mm", "٣ mm", "", " ", "\n\n", "x" * 5000, "\x01\x02", "e\u0301", "\ufeff", "😀" * 50, "2026-02-30", "99:99", "null",
    "true", "[]", "{}", "upper", "lower", "scraping", "closed", "fit", "did", "0", "1", "-1", "1.5",
)  # fmt: skip
ODD: tuple[Any, ...] = (None, True, 0, -1, 10**30, 1.5, [], {}, ["x"], {"a": {"b": []}}, [[[[]]]], "\ud800")

WRITES = sorted(
    {
        (route.path, room.__name__)
        for room in ROOMS
        for route in room.router.routes
        if isinstance(route, APIRoute) and "POST" in (route.methods or ())
    }
)
AWAY = (
    "/sign-in",
    "/sign-out",
    "/people/first",
    "/people/join",
    "/me/{what}",
    "/people",
    "/people/{account}/{what}",
)
"""What would end the sessions the attack runs with; tests/web/test_gate.py asks these."""


@cache
def fields() -> tuple[str, ...]:
    """Every name a form or body of the program has: from its templates, and from what its pages read."""
    found: set[str] = set()
    for path in (source.SOURCE / source.PACKAGE / "web").rglob("*"):
        if path.suffix in (".html", ".py"):
            text = path.read_text(encoding="utf-8")
            found |= set(re.findall(r'name="([a-z_]+)"', text))
            found |= set(re.findall(r'\.get\("([a-z_]+)"', text))
            found |= set(re.findall(r'_word\(\w+, "([a-z_]+)"', text))
    return tuple(sorted(found - {"token", "password", "viewport", "color_scheme"}))


def address(route: str, attacked: Attacked, dice: random.Random) -> str:
    """The route with its holes filled, mostly rightly."""
    job = attacked.job
    known = {"job": job.job, "check": job.check, "book": job.bearing, "place": "DE left"}
    words = (
        "holds",
        "fit",
        "strikes",
        "notes",
        "adopt",
        "stripped",
        "missed",
        "change",
        "readings",
        "begin",
        "hours",
    )

    def fill(hole: re.Match[str]) -> str:
        name = hole.group(1)
        if dice.random() < 0.08:
            return "".join(dice.choice("abc%20._-~x1") for _ in range(dice.randint(1, 40)))
        return known.get(name, dice.choice(words))

    return re.sub(r"\{(\w+)\}", fill, route)


def body_of(dice: random.Random) -> dict[str, str]:
    """Some fields with hostile text."""
    names = dice.sample(fields(), dice.randint(1, 12))
    return {name: dice.choice(HOSTILE) for name in names}


def word_of(client: TestClient) -> str:
    found = re.search(r'name="token" value="([0-9a-f]{64})"', client.get("/me").text)
    assert found is not None
    return found.group(1)


def rounds(usual: int) -> int:
    return usual * max(1, ROUNDS)


def unmarked(text: str) -> bool:
    return MARK not in text and "<img src=x" not in text


@pytest.mark.parametrize(
    "route", sorted({path for path, _ in WRITES if path not in AWAY and "/api/" not in path})
)
def test_hostile_forms(attacked: Attacked, route: str) -> None:
    dice, client = random.Random(f"forms {route} {ROUNDS}"), attacked.client("engineer")
    word, wrong = word_of(client), []
    for _ in range(rounds(6)):
        at, typed = address(route, attacked, dice), {**body_of(dice), "token": word}
        name = dice.choice(("photograph", "file"))
        parts = {"files": {name: ("x.jpg", b"\xff\xd8\xff" + dice.randbytes(60), "image/jpeg")}}
        more = parts if dice.random() < 0.3 else {}
        answer = client.post(at, data=typed, follow_redirects=False, **more)
        if answer.status_code >= 500 or "Traceback" in answer.text or not unmarked(answer.text):
            wrong.append((answer.status_code, at, typed))
    assert wrong == []


@pytest.mark.parametrize("route", sorted({path for path, _ in WRITES if "/api/" in path}))
def test_hostile_json(attacked: Attacked, route: str) -> None:
    dice, client = random.Random(f"json {route} {ROUNDS}"), attacked.client("engineer")
    headers, wrong = {"origin": "http://testserver", "accept": "application/json"}, []
    for _ in range(rounds(8)):
        body: Any = {**body_of(dice), **dict.fromkeys(dice.sample(fields(), 3), dice.choice(ODD))}
        if dice.random() < 0.1:
            body = dice.choice(ODD)
        at = address(route, attacked, dice)
        kind = {**headers, "content-type": "application/json"}
        answer = client.post(at, content=ascii_json(body), headers=kind)
        if answer.status_code >= 500 or "Traceback" in answer.text:
            wrong.append((answer.status_code, at, body))
    assert wrong == []


def ascii_json(value: Any) -> bytes:
    """As a program sends it that escapes every letter, half a character too."""
    return json.dumps(value, ensure_ascii=True).encode()


@pytest.mark.parametrize("what", ["readings", "facts", "holds"])
def test_a_check_that_is_not_there_is_said(attacked: Attacked, what: str) -> None:
    """Found by the forms above: it broke inside."""
    client, at = attacked.client("engineer"), f"/jobs/{attacked.job.job}/checks/none/{what}"
    typed = {"token": word_of(client), "reading.DE left": "0.2", "fact.joint": "x", "hold": "wires"}
    assert client.post(at, data=typed).status_code in (404, 422)
    headers = {"origin": "http://testserver", "accept": "application/json"}
    assert client.post(at, json={"key": "joint", "text": "x"}, headers=headers).status_code in (404, 422)


def test_a_picture_sent_to_nowhere_is_let_go_of(attacked: Attacked) -> None:
    """Found by the forms above: the file stayed open, which a warning says when it is forgotten."""
    client = attacked.client("engineer")
    for at in ("/nowhere", "/bearings/a/b/c/jobs/new"):
        assert client.post(at, data={"name": "x"}, files={"p": ("x.jpg", b"\xff" * 90)}).status_code == 404
    gc.collect()


def test_half_a_character_is_refused_at_the_door(attacked: Attacked) -> None:
    """Found by the bodies above: the answer that named it could not be written."""
    client, at = attacked.client("engineer"), f"/api/1{attacked.job.at}/readings"
    headers = {"origin": "http://testserver", "content-type": "application/json"}
    answer = client.post(at, content=b'{"place": "\\ud800", "text": "1"}', headers=headers)
    assert answer.status_code == 422
    assert "JSON" in answer.text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[",
        "{",
        "{}}",
        '{"a":',
        "\x00",
        '{"a": NaN}',
        "[" * 5000,
        '"x"',
        "1e999",
        "1" * 5000,
    ],
)
def test_broken_json(attacked: Attacked, text: str) -> None:
    client = attacked.client("engineer")
    headers = {
        "origin": "http://testserver",
        "content-type": "application/json",
        "accept": "application/json",
    }
    for route in sorted({path for path, _ in WRITES if "/api/" in path}):
        at = address(route, attacked, random.Random(1))
        assert client.post(at, content=text.encode(), headers=headers).status_code in (
            403,
            404,
            409,
            413,
            422,
        ), at


def test_pages_show_what_was_typed_as_text(attacked: Attacked) -> None:
    """After all that was written by the tests before, no page of the job carries it as markup."""
    client, job, asked = attacked.client("engineer"), attacked.job, count()
    for typed in HOSTILE:
        body = {"text": typed, "seen": []}
        client.post(f"/api/1/jobs/{job.job}/notes", json=body, headers={"origin": "http://testserver"})
    for at in ("/", f"/jobs/{job.job}", f"/jobs/{job.job}/fit", job.at, f"{job.at}/judgement", f"/record/{job.job}",
               f"/bearings/{job.bearing}", f"/bearings/{job.bearing}/life", "/instruments", "/procedure", "/openings",
               f"/jobs/{job.job}/sign", f"/jobs/{job.job}/run-in", f"/jobs/{job.job}/inspection"):  # fmt: skip
        answer = client.get(at)
        assert answer.status_code == 200, at
        assert unmarked(answer.text), at
        next(asked)
    assert next(asked) > 10


def test_the_record_is_whole_after_all_this(attacked: Attacked) -> None:
    assert attacked.desk.verify() == ()
    assert attacked.desk.job(attacked.job.job).state.entries > 40
    attacked.desk.rebuild()
    assert attacked.desk.verify() == ()
