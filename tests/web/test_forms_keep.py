"""Bad input loses nothing that was typed: every form of every page is filled in by somebody who changes all that
can be changed, sent with something wrong in it, and comes back with each text, tick and choice as it was sent.

Passwords are never handed back, and a browser gives no page the name of a file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from urllib.parse import urlencode

import pytest
from fastapi.routing import APIRoute

from tests.desk.pictures import as_jpeg, pattern
from tests.desk.test_signing import GRANTED, seeing
from tests.ledger.writing import ANN, BO
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, fill
from tests.web.shown_forms import Form, Lost, filled, forms_of, lost
from tests.web.test_close_up import ASKED
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.desk.run_in import begin_run, keep_log, keep_run_reading
from whitemetal.desk.signing import concede, sign
from whitemetal.web.app import ROOMS, make_app

LOG = b"time;lining [degC]\n2026-02-03 13:00;20,5\n2026-02-03 13:01;21,5\n"
pytestmark = pytest.mark.sqlite_only
"""What a form hands back is the same over every database."""

REFUSED = (401, 403, 409, 413, 415, 422)

NEVER_REFUSED = {
    "/jobs/{job}/checks": "begins a check for whatever purpose is chosen of two",
    "/jobs/{job}/fit/stripped": "needs no words",
    "/jobs/{job}/inspection": "takes what is ticked and any words",
    "/jobs/{job}/inspection/{what}": "what is known, with any words",
    "/jobs/{job}/procedure": "a step is ticked with any words",
    "/jobs/{job}/run-in/{what}": "what was seen, with any words",
    "/jobs/{job}/checks/{check}/holds": "a point is closed with any words",
    "/jobs/{job}/checks/{check}/nuts": "a nut is ticked",
}
"""Forms in which nothing that a browser can send is wrong, or of whose kinds one is such."""


@dataclass
class Sent:
    """What became of the forms of a world of pages. lost: by address. refused, taken: addresses."""

    lost: dict[str, Lost] = field(default_factory=dict)
    refused: set[str] = field(default_factory=set)
    taken: set[str] = field(default_factory=set)


def tries(form: Form) -> Iterator[Form]:
    """All of it wrong; and with one box left empty, such as are needed first."""
    yield filled(form)
    boxes = sorted((b for b in form.typed if b.kind == "text"), key=lambda b: not b.needed)
    needed = list(dict.fromkeys(b.name for b in boxes))
    for name in needed[:2]:
        made = filled(form)
        for box in made.boxes:
            if box.name == name:
                box.value = ""
        yield made


def send(client: TestClient, form: Form, at: str) -> tuple[int, str]:
    data: dict[str, list[str]] = {}
    for name, text in form.sent():
        data.setdefault(name, []).append(text)
    answer = client.post(form.to or at, data=data, follow_redirects=False, headers={"accept": "text/html"})
    return answer.status_code, answer.text


def send_all(client: TestClient, pages: list[str]) -> Sent:
    """Every kind of form of these pages, sent with something wrong."""
    found, seen = Sent(), set()
    for at in pages:
        page = client.get(at)
        assert page.status_code == 200, at
        for form in forms_of(page.text):
            path = form.to.partition("?")[0] or at.partition("?")[0]
            kind = (route_of(path), tuple(b.name for b in form.typed), *form.buttons[:1])
            if kind in seen or not form.typed:
                continue
            seen.add(kind)
            for made in tries(form):
                code, text = send(client, made, at)
                assert code in (200, 303, *REFUSED), (code, path)
                (found.refused if code in REFUSED else found.taken).add(route_of(path))
                if code in REFUSED and (gone := lost(made, text)):
                    found.lost.setdefault(path, {}).update(gone)
    return found


def routes() -> set[str]:
    """The addresses of pages that take a form."""
    every = [one for room in ROOMS for one in room.router.routes if isinstance(one, APIRoute)]
    return {one.path for one in every if "POST" in (one.methods or ()) and not one.path.startswith("/api/")}


def route_of(path: str) -> str:
    """The route of an address; the one with most words of its own where several would do."""
    fits = [one for one in routes() if re.fullmatch(re.sub(r"\{\w+\}", "[^/]+", one), path)]
    assert fits, path
    return min(fits, key=lambda one: one.count("{"))


def signed(desk: Desk, bearing: str) -> list[str]:
    """The sign pages of a job that runs under a concession, and of one that two people signed."""
    found = []
    for number in ("C-1", "S-1"):
        job = desk.open_job(bearing, number, "opening", BENCH_HAND)
        if number == "C-1":
            concede(desk, job, {**GRANTED, "until": "2099-10-01"}, BENCH_HAND)
        for part, writer in (("did", ANN), ("checked", BO)):
            if number == "S-1":
                sign(desk, job, part, "out of service", seeing(desk, job, writer))
        found.append(f"/jobs/{job}/sign")
    return found


@pytest.fixture
def pages(desk: Desk, job: Job) -> list[str]:
    """The pages of a plant with a job in which something of everything was entered."""
    fill(desk, job, BENCH_HAND)
    desk.change_fit(job.job, "scraping", "upper", "", "done", BENCH_HAND)
    keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), BENCH_HAND, caption="cap")
    kept = begin_run(desk, job.job, "uncoupled", "2026-02-03T13:00:00Z", "25 degC", BENCH_HAND)
    assert kept.entry is not None
    run = str(kept.entry.body["run"])
    keep_run_reading(desk, job.job, run, "metal", "2026-02-03T13:05:00Z", "30 degC", BENCH_HAND)
    log = keep_log(desk, job.job, run, "a.csv", LOG, BENCH_HAND)
    tight = desk.start_check(job.job, "tightening", "as left", BENCH_HAND)
    seat = desk.start_check(job.job, "seat", "as left", BENCH_HAND)
    bearing, root = f"/bearings/{job.bearing}", f"/jobs/{job.job}"
    of_job = (
        "", "/fit?what=scraping", "/fit?what=shim", "/run-in", f"/run-in/log?log={log}", "/sign", "/as-found",
        "/inspection", "/photographs", "/procedure", "/type-in", "/close-up", f"/checks/{tight}/nuts",
        f"/checks/{seat}",
    )  # fmt: skip
    desk.keep_birth(job.bearing, "crown", "DE middle", "12.000 mm", BENCH_HAND, source="stamped on the shell")
    other = desk.keep_card(
        CARD.replace('torque = "420 N m"\n', "").replace('"drive end"\njournal', '"other end"\njournal'),
        BENCH_HAND,
    ).bearing
    return [
        "/", f"/bearings/{other}/torque?{urlencode(ASKED)}", *signed(desk, other),
        "/instruments", "/bearings/new", bearing, f"{bearing}/edit", f"{bearing}/edit?as=text",
        f"{bearing}/jobs/new", f"{bearing}/births", f"{bearing}/life", f"{bearing}/paper", f"{bearing}/torque",
        "/openings", "/procedure", "/bring", *(root + one for one in of_job), job.at, f"{job.at}/judgement",
        f"{job.at}/places/DE%20left",
    ]  # fmt: skip


def test_no_form_of_the_work_loses_what_was_typed(client: TestClient, pages: list[str]) -> None:
    found = send_all(client, pages)
    assert found.lost == {}
    assert found.taken - found.refused <= set(NEVER_REFUSED)
    away = {one for one in routes() if one.startswith(("/people", "/me", "/sign-"))}
    others = {"/record/{book}", "/bring"}
    assert routes() - away - others - found.refused - found.taken == set()


def test_no_form_of_accounts_loses_what_was_typed(desk: Desk, kit: str) -> None:
    app = make_app(desk)
    nobody, keeper = (TestClient(app, raise_server_exceptions=False) for _ in range(2))
    found = send_all(nobody, ["/sign-in", "/people/join"])
    (way,) = [one for one in forms_of(keeper.get("/sign-in").text) if one.to == "/sign-in"]
    data = {**dict(way.sent()), "name": "Kit Keeper", "password": "four brass feeler gauges"}
    assert keeper.post("/sign-in", data=data, follow_redirects=False).status_code == 303
    more = send_all(keeper, ["/me", "/people"])
    assert {**found.lost, **more.lost} == {}
    assert {"/me/{what}", "/people/{account}/{what}", "/people"} <= more.refused
    assert {"/sign-in", "/people/join"} <= found.refused


def test_what_is_looked_for_is_found() -> None:
    """Of a page that forgets a text, a tick and a choice, all three are named; of one that holds them, none."""
    page = (
        '<form method="post" action="/a"><input name="t" value=""><input type="checkbox" name="c" value="x">'
        '<select name="s"><option>one</option><option>two</option></select></form>'
    )
    (form,) = forms_of(page)
    sent = filled(form)
    assert sent.state() == {"t": ("typed 0 <b>&\"'",), "c": ("x",), "s": ("two",)}
    assert set(lost(sent, page)) == {"t", "c", "s"}
    kept = page.replace('value=""', 'value="typed 0 &lt;b&gt;&amp;&quot;&#39;"').replace('"x"', '"x" checked')
    assert lost(sent, kept.replace("<option>two", "<option selected>two")) == {}
