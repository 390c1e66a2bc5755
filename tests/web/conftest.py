"""A desk over a fresh file, and browsers that ask its pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from tests.people.plain_provider import CLIENT, SECRET, PlainProvider, running
from tests.web.client import TestClient
from tests.web.plant import Job, begin
from whitemetal.desk import Desk, Writer, people
from whitemetal.desk.provider import Provider
from whitemetal.people import passwords
from whitemetal.people.provider import Settings
from whitemetal.web.app import make_app

BENCH_HAND = Writer("Ida Invented", "a" * 26)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = Desk.open(str(tmp_path / "plant.db"))
    yield opened
    opened.close()


@pytest.fixture
def app(desk: Desk) -> FastAPI:
    return make_app(desk)


@pytest.fixture
def browser_named(app: FastAPI) -> Callable[[str], TestClient]:
    """A browser of its own (its own cookies, so its own device) whose user gave this name; "" gave none."""

    def open_one(name: str) -> TestClient:
        client = TestClient(app, raise_server_exceptions=False)
        if name:
            assert (
                client.post("/who", data={"name": name, "back": "/"}, follow_redirects=False).status_code
                == 303
            )
        return client

    return open_one


@pytest.fixture
def client(browser_named: Callable[[str], TestClient]) -> TestClient:
    return browser_named("Ada Invented")


@pytest.fixture
def job(desk: Desk) -> Job:
    return begin(desk, BENCH_HAND)


@pytest.fixture
def plain() -> Iterator[PlainProvider]:
    """The plant's own provider, made by hand."""
    with running() as made:
        yield made


@pytest.fixture
def settings(plain: PlainProvider) -> Settings:
    return Settings("Tarn Mill", plain.at, CLIENT, "http://localhost:8470")


@pytest.fixture
def kit(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> str:
    """The first account, a keeper's with a password."""
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    code = people.first_code(desk)
    return people.open_first(desk, "Kit Keeper", "four brass feeler gauges", code, "k" * 26).id


@pytest.fixture
def coming(desk: Desk, settings: Settings, kit: str) -> Callable[[], TestClient]:
    """Opens a browser of its own, at a program of its own over the same record."""

    def one() -> TestClient:
        app = make_app(desk, provider=Provider(settings, SECRET, b"k" * 32))
        client = TestClient(app, raise_server_exceptions=False)
        client.get("/sign-in")
        return client

    return one
