"""A record with a job and an account of every role, to be attacked on this machine alone."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from fastapi import FastAPI

from tests.web.client import TestClient
from tests.web.plant import Job, begin, fill
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.desk.people import Acting
from whitemetal.people import passwords
from whitemetal.people.roles import ROLES, Role
from whitemetal.web.app import make_app

PASSWORD = "four brass feeler gauges"
ROUNDS = int(os.environ.get("ATTACK", "0"))
"""How many times as often as in the ordinary suite; `make attack` says."""


@dataclass(frozen=True)
class Attacked:
    """The program, its record, a job in it, and what each role comes in with."""

    app: FastAPI
    desk: Desk
    job: Job
    cookies: dict[Role, str]
    devices: dict[Role, str]

    def client(self, role: Role) -> TestClient:
        """A browser of somebody with this role."""
        names = {"whitemetal_session": self.cookies[role], "whitemetal_device": self.devices[role]}
        return TestClient(self.app, raise_server_exceptions=False, cookies=names)


@pytest.fixture(scope="module")
def attacked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Attacked]:
    cost = passwords.COST
    passwords.COST = passwords.Cost(time=1, memory=64, lanes=1)
    desk = Desk.open(str(tmp_path_factory.mktemp("attacked") / "plant.file"))
    hand = Writer("Ida Invented", "a" * 26)
    job = begin(desk, hand)
    fill(desk, job, hand)
    people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26)
    cookies: dict[Role, str] = {}
    devices: dict[Role, str] = {role: letter * 26 for role, letter in zip(ROLES, "bcdef", strict=True)}
    for role in ROLES:
        held, code = people.add(desk, f"{role} invented", frozenset({role}), Acting("", "at the terminal"))
        people.join(desk, held.name, code, PASSWORD, devices[role])
        cookies[role] = signing_in.sign_in(desk, held.name, PASSWORD, device=devices[role])
    yield Attacked(make_app(desk), desk, job, cookies, devices)
    desk.close()
    passwords.COST = cost
