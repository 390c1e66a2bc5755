"""People who come by the plant's own provider: browsers, and the steps there and back. Invented."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tests.people.plain_provider import SECRET, PlainProvider
from tests.web.client import TestClient
from tests.web.test_gate import TERMINAL, word_of
from whitemetal.desk import Desk, people
from whitemetal.desk.provider import Provider
from whitemetal.people.accounts import Account
from whitemetal.people.provider import Settings
from whitemetal.people.roles import roles_of
from whitemetal.web.app import make_app

Coming = Callable[[], TestClient]
"""Opens a browser of its own, at a program of its own over the same record."""

ADA = "Ada Invented"
ERRAND = "whitemetal_errand"


def with_other(desk: Desk, settings: Settings, **other: Any) -> TestClient:
    """A browser at a program whose plant says something else of the provider."""
    app = make_app(desk, provider=Provider(replace(settings, **other), SECRET, b"k" * 32))
    client = TestClient(app, raise_server_exceptions=False)
    client.get("/sign-in")
    return client


def go(client: TestClient, plain: PlainProvider, at: str = "/sign-in/provider") -> dict[str, str]:
    """To the provider, and agreed there: what it sends back."""
    answer = client.get(at, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return plain.agree(answer.headers["location"])


def back(client: TestClient, given: dict[str, str]) -> Any:
    """Back from the provider: its answer to the browser, then the page that sends it on."""
    text = client.get("/sign-in/back", params=given).text
    sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', text))
    assert {name: sent.get(name) for name in given} == given
    return client.post("/sign-in/back", data=given, follow_redirects=False)


def enter(client: TestClient, plain: PlainProvider) -> Any:
    return back(client, go(client, plain))


def who(client: TestClient) -> str:
    answer = client.get("/api/1/me")
    return str(answer.json()["name"]) if answer.status_code == 200 else ""


def tied(
    desk: Desk, client: TestClient, plain: PlainProvider, roles: str = "fit", name: str = ADA
) -> Account:
    """An account opened by the keeper, tied through the page by the person it is for, who is then signed in."""
    held, code = people.add(desk, name, roles_of(roles), TERMINAL)
    assert enter(client, plain).headers["location"] == "/sign-in/code"
    page = client.get("/sign-in/code").text
    answer = client.post("/sign-in/code", data={"token": word_of(page), "code": code}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    return held


def refused(answer: Any, *words: str) -> None:
    assert answer.status_code == 422, answer.headers
    for word in words:
        assert word in answer.text.replace("&#39;", "'")
    assert "Name and password work as ever" in answer.text
    assert "Traceback" not in answer.text
