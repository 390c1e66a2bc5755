"""Every POST of the API is described with an example that is taken when it is sent."""

from __future__ import annotations

import re
from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, begin, fill
from tests.web.test_api_plant import births_place
from whitemetal.desk import Desk
from whitemetal.web import api_job
from whitemetal.web.app import ROOMS
from whitemetal.web.doors import DOORS, FILES, WORDS, door_of

BARE = CARD.replace('torque = "420 N m"\n', 'size = "M24"\ngrade = "8.8"\n')
ROUTES = {
    route.path
    for room in ROOMS
    for route in room.router.routes
    if isinstance(route, APIRoute) and "POST" in (route.methods or ()) and route.path.startswith("/api/1/")
}


FORMS = {
    route.path
    for room in ROOMS
    for route in room.router.routes
    if isinstance(route, APIRoute) and "POST" in (route.methods or ()) and not route.path.startswith("/api/")
}
CHECK, JOB, BEARING = "/jobs/{job}/checks/{check}", "/jobs/{job}", "/bearings/{book}"
TWINS = {
    "/instruments": ["/instruments"],
    "/bring": ["/bring"],
    "/procedure": ["/procedure"],
    "/openings/rule": ["/openings/rule"],
    "/bearings/new": ["/bearings/new"],
    BEARING + "/edit": ["/bearings/new"],
    BEARING + "/jobs/new": [BEARING + "/jobs"],
    BEARING + "/births": [BEARING + "/births"],
    BEARING + "/births/{entry}/strike": [BEARING + "/births/strikes"],
    BEARING + "/torque": [BEARING + "/torque"],
    BEARING + "/life/{what}": [BEARING + "/life/" + what for what in ("counters", "shells", "strikes")],
    BEARING + "/paper": [BEARING + "/paper"],
    BEARING + "/paper/table": [BEARING + "/paper"],
    JOB + "/{what}": [JOB + "/" + what for what in ("checks", "holds", "adopt", "notes", "strikes")],
    JOB + "/photographs": [JOB + "/photographs"],
    JOB + "/photographs/strikes": [JOB + "/strikes"],
    JOB + "/inspection": [JOB + "/checks"],
    JOB + "/inspection/{what}": [JOB + "/findings", JOB + "/known", JOB + "/strikes"],
    JOB + "/close-up": [JOB + "/checks", JOB + "/fit"],
    JOB + "/fit": [JOB + "/checks", JOB + "/fit"],
    JOB + "/fit/{what}": [JOB + "/" + what for what in ("fit", "stripped", "missed", "strikes", "holds")],
    JOB + "/procedure": [JOB + "/procedure"],
    JOB + "/run-in": [JOB + "/run-in/begin"],
    JOB + "/run-in/{what}": [
        JOB + "/run-in/" + what for what in ("begin", "readings", "points", "logs", "read", "lines")
    ]
    + [JOB + "/strikes"],
    JOB + "/sign": [JOB + "/sign"],
    JOB + "/concession": [JOB + "/concession"],
    JOB + "/sign/withdraw": [JOB + "/sign/withdraw"],
    JOB + "/sign/reopen": [JOB + "/sign/reopen"],
    CHECK + "/readings": [CHECK + "/readings"],
    CHECK + "/places/{place}": [CHECK + "/readings", CHECK + "/strikes"],
    CHECK + "/nuts": [CHECK + "/readings", CHECK + "/strikes"],
    CHECK + "/facts": [CHECK + "/facts"],
    CHECK + "/holds": [JOB + "/holds"],
    CHECK + "/rule": [CHECK + "/rule"],
}
"""Where a program does what the form of a page does."""
ALONE = {
    "/who": "a cookie of the browser; a program says its name in each body",
    "/sign-in": "a program has a token", "/sign-out": "a program has a token",
    "/sign-in/back": "a person comes back from the provider", "/sign-in/code": "a person says whose account it is",
    "/me/{what}": "passwords, devices and tokens are a person's own affair",
    "/people": "a program that opens accounts would be a way around the keeper",
    "/people/{account}/{what}": "a program that gives roles would be a way around the keeper",
    "/people/first": "the first account is a person's", "/people/join": "a person chooses the password",
}  # fmt: skip
"""The forms that a program has no door for, and why."""


def test_what_the_pages_do_a_program_can_do() -> None:
    doors = {path.removeprefix("/api/1") for path in {*DOORS, *FILES}}
    assert {*FORMS} == {*TWINS, *ALONE}
    assert not [(form, door) for form, twins in TWINS.items() for door in twins if door not in doors]


def test_every_post_of_the_api_has_its_example() -> None:
    described = {path for route in ROUTES for path in door_of(route)}
    assert described == {*DOORS, *FILES}
    assert set(WORDS["/api/1/jobs/{job}/{what}"]) == set(api_job.VERBS)
    assert len(described) > 35


def test_the_description_says_what_to_send_and_how_a_refusal_looks(app: FastAPI, client: TestClient) -> None:
    made = client.get("/api/1/openapi.json").json()
    assert set(made["paths"]) >= {*DOORS, *FILES}
    assert not [path for path in made["paths"] if "{what}" in path or not path.startswith("/api/1/")]
    ids = [one["operationId"] for each in made["paths"].values() for one in each.values()]
    assert len(ids) == len(set(ids))
    for path in DOORS:
        post = made["paths"][path]["post"]
        content = post["requestBody"]["content"]["application/json"]
        assert set(content["example"]) == set(content["schema"]["properties"]), path
        assert "Idempotency-Key" in {one["name"] for one in post["parameters"]}
        holes = set(re.findall(r"\{(\w+)\}", path))
        assert {one["name"] for one in post["parameters"] if one["in"] == "path"} == holes, path
        assert post["responses"]["422"]["content"]["application/json"]["schema"]["$ref"].endswith("/Refused")
    refused = client.post("/api/1/bearings/new", json={}).json()
    shape = made["components"]["schemas"]["Refused"]
    assert set(refused) == set(shape["required"])
    assert set(refused["problems"][0]) == set(shape["properties"]["problems"]["items"]["properties"])


class Sender:
    """Sends the examples as they stand; what depends on the record is put in."""

    def __init__(self, desk: Desk, client: TestClient, job: str, check: str, bearing: str) -> None:
        self.desk, self.client = desk, client
        self.holes = {"job": job, "check": check, "book": bearing}
        self.sent: set[str] = set()

    def __call__(self, door: str, **known: Any) -> dict[str, Any]:
        path = next(each for each in DOORS if each == f"/api/1/{door}")
        body = {**DOORS[path], **known}
        assert "<" not in repr({**body, "table": ""}), f"{path}: something of the record was not put in"
        body |= {
            "seen": list(self.desk.job(self.holes["job"]).state.heads),
            "name": known.get("name", "Ada Invented"),
        }
        answer = self.client.post(re.sub(r"\{(\w+)\}", lambda hole: self.holes[hole[1]], path), json=body)
        assert answer.status_code in (200, 201), (path, answer.text)
        told: dict[str, Any] = answer.json()
        assert told.get("kept", True) is True, (path, told)
        self.sent.add(path)
        return told


def test_every_example_is_taken(desk: Desk, client: TestClient) -> None:
    job = begin(desk, BENCH_HAND, BARE)
    fill(desk, job, BENCH_HAND)
    other = desk.start_check(job.job, "wire", "as left", BENCH_HAND)
    send = Sender(desk, client, job.job, other, job.bearing)
    of_the_plant(send, desk, births_place(desk, job))
    of_the_job(send, desk)
    of_a_run(send)
    signing(send)
    assert send.sent == set(DOORS)
    assert desk.verify() == ()


def of_the_plant(send: Sender, desk: Desk, born: tuple[str, str]) -> None:
    for door in ("bearings/new", "instruments", "procedure", "openings/rule"):
        send(door)
    at = "bearings/{book}"
    for door in (f"{at}/jobs", f"{at}/paper", f"{at}/life/shells"):
        send(door)
    birth = send(f"{at}/births", method=born[0], place=born[1])
    send(f"{at}/births/strikes", entry=birth["entry"])
    counter = send(f"{at}/life/counters")
    send(f"{at}/life/strikes", entry=counter["entry"])
    send(f"{at}/torque", revision=desk.bearing(send.holes["book"]).card.digest)


def of_the_job(send: Sender, desk: Desk) -> None:
    at, check = "jobs/{job}", "jobs/{job}/checks/{check}"
    state = desk.job(send.holes["job"]).state
    send(f"{at}/checks")
    send(f"{check}/readings", place=state.checks[send.holes["check"]].places[0].label)
    send(f"{check}/facts")
    (reading,) = desk.job(state.book).state.checks[send.holes["check"]].readings
    send(f"{check}/strikes", entry=reading.entry)
    for door in (f"{check}/rule", f"{at}/holds", f"{at}/notes", f"{at}/findings", f"{at}/known"):
        send(door)
    send(f"{at}/adopt", card=desk.bearing(state.bearing).card.digest)
    change = send(f"{at}/fit")
    send(f"{at}/strikes", entry=change["entry"])
    for door in (f"{at}/stripped", f"{at}/missed", f"{at}/procedure"):
        send(door)


def of_a_run(send: Sender) -> None:
    at = "jobs/{job}/run-in"
    run = send(f"{at}/begin")["run"]
    send(f"{at}/readings", run=run)
    send(f"{at}/points", run=run)
    log = send(f"{at}/logs", run=run)["log"]
    send(f"{at}/read", log=log)
    send(f"{at}/lines", log=log)


def signing(send: Sender) -> None:
    at = "jobs/{job}"
    first = send(f"{at}/concession")
    send(f"{at}/sign/withdraw", entry=first["entry"])
    send(f"{at}/concession")
    send(f"{at}/sign")
    send(f"{at}/sign", part="checked", name="Bo Invented")
    send(f"{at}/sign/reopen")
