"""A desk over a fresh file, and browsers that ask its pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from tests.web.client import TestClient
from tests.web.plant import Job, begin
from whitemetal.desk import Desk, Writer
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
