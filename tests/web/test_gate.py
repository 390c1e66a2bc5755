"""Who may go where: every route has a rule, every rule holds for every role, and forms carry their word."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fastapi import APIRouter, Depends, FastAPI
from fastapi.routing import APIRoute

from tests.web.client import TestClient
from tests.web.plant import Job
from whitemetal.desk import Desk, people, signing_in
from whitemetal.desk.people import Acting
from whitemetal.people import passwords
from whitemetal.people.roles import LEAVES, ROLES, Leave, Role
from whitemetal.web.app import ROOMS, make_app
from whitemetal.web.gate import SESSION, admit, need_of

PASSWORD = "four brass feeler gauges"
TERMINAL = Acting("", "at the terminal")
SCRIPT = {"accept": "application/json", "origin": "http://testserver"}
Signed = Callable[..., TestClient]


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


@pytest.fixture
def keeper(desk: Desk, job: Job) -> str:
    """The first account, after which the record is shut."""
    return people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26).id


@pytest.fixture
def signed(app: FastAPI, desk: Desk, keeper: str) -> Signed:
    """A browser of somebody with these roles, signed in through the page."""

    def one(roles: str, name: str = "") -> TestClient:
        name = name or f"{roles.title()} Invented"
        held, code = people.add(
            desk, name, frozenset(role for role in ROLES if role in roles.split()), TERMINAL
        )
        client = TestClient(app, raise_server_exceptions=False)
        word = word_of(client.get("/people/join").text)
        typed = {
            "token": word,
            "name": name,
            "code": code,
            "new_password": PASSWORD,
            "again_password": PASSWORD,
        }
        answer = client.post("/people/join", data=typed, follow_redirects=False)
        assert answer.status_code == 303, answer.text
        assert client.get("/api/1/me").json()["account"] == held.id
        return client

    return one


def word_of(text: str) -> str:
    found = re.search(r'name="token" value="([0-9a-f]{64})"', text)
    return found.group(1) if found else ""


def routes() -> list[tuple[str, str]]:
    """Every method and address there is, its holes filled."""
    found = [route for room in ROOMS for route in room.router.routes if isinstance(route, APIRoute)]
    return [
        (method, re.sub(r"\{\w+\}", "x", route.path))
        for route in found
        for method in sorted(route.methods or ())
    ]


def test_every_route_has_a_rule() -> None:
    assert [at for at in routes() if need_of(*at) is None] == []
    assert len(routes()) > 80


def test_what_no_rule_names_is_closed(app: FastAPI, signed: Signed) -> None:
    assert need_of("GET", "/somewhere/new") is None
    assert need_of("GET", "/jobs/x\ny") is None
    assert signed("engineer", "En Invented").get("/jobs/x%0Ay").status_code == 403
    assert signed("look", "Lo Invented").post("/jobs/x/adopt%3F").status_code == 403
    room = APIRouter()
    room.add_api_route("/somewhere/new", lambda: "open")
    app.include_router(room, dependencies=[Depends(admit)])
    assert signed("fit check engineer keeper").get("/somewhere/new").status_code == 403


WRITES = {
    "/jobs/x/sign": "sign", "/jobs/x/sign/reopen": "sign", "/jobs/x/concession": "set limits",
    "/jobs/x/sign/withdraw": "set limits", "/jobs/x/adopt": "set limits",
    "/jobs/x/checks/x/rule": "set limits", "/bearings/new": "set limits", "/bearings/x/edit": "set limits",
    "/bearings/x/torque": "set limits", "/procedure": "set limits", "/jobs/x/fit": "write",
    "/jobs/x/checks/x/readings": "write", "/bearings/x/jobs/new": "write", "/instruments": "write",
    "/api/1/jobs/x/checks/x/facts": "write", "/api/1/jobs/x/adopt": "set limits",
    "/api/1/jobs/x/sign": "sign", "/people": "keep people", "/people/x/roles": "keep people",
    "/bring": "set limits", "/api/1/bring": "set limits", "/me/password": "look", "/sign-in": "nothing", "/sign-in/back": "nothing",
    "/sign-in/code": "nothing", "/me/confirm": "look", "/people/x/untie": "keep people", "/sign-out": "nothing", "/people/first": "nothing",
}  # fmt: skip


@pytest.mark.parametrize(("at", "need"), WRITES.items())
def test_the_rules_say_what_they_should(at: str, need: str) -> None:
    assert need_of("POST", at) == need
    assert need_of("DELETE", at) == need


def test_who_reads_what() -> None:
    for at in ("/", "/jobs/x", "/jobs/x/sign", "/bearings/x", "/record/x", "/api/1/jobs/x", "/verify"):
        assert need_of("GET", at) == "look", at
    for at in ("/people", "/record/people", "/api/1/books/people/entries", "/api/1/people"):
        assert need_of("GET", at) == "keep people", at


@pytest.mark.parametrize("role", ROLES)
def test_every_role_at_every_route(signed: Signed, role: Role) -> None:
    """The rule is the whole story: 403 exactly where the role lacks the leave, whatever else is wrong."""
    client = signed(role)
    word = word_of(client.get("/me").text)
    wrong = []
    for method, at in routes():
        if at in ("/sign-out", "/me/x") or at.startswith("/people/"):
            continue
        answer = client.request(
            method, at, headers={"x-form-word": word, "accept": "application/json"}, follow_redirects=False
        )
        need = need_of(method, at)
        shut = need != "nothing" and need not in LEAVES[role]
        if (answer.status_code == 403) != shut or answer.status_code in (401, 500):
            wrong.append((method, at, answer.status_code))
    assert wrong == []


def test_nobody_signed_in_comes_nowhere(app: FastAPI, keeper: str) -> None:
    """A script gets 401, a person who opens a page is sent to sign in, a form is not followed by a redirect."""
    client, wrong = TestClient(app, raise_server_exceptions=False), []
    for method, at in routes():
        script = client.request(method, at, headers={"accept": "application/json"}, follow_redirects=False)
        person = client.request(method, at, follow_redirects=False)
        if need_of(method, at) == "nothing":
            continue
        expected = 303 if method == "GET" and not at.startswith("/api/") else 401
        if (script.status_code, person.status_code) != (401, expected):
            wrong.append((method, at, script.status_code, person.status_code))
    assert wrong == []
    sent = client.get("/jobs/x", follow_redirects=False)
    assert sent.headers["location"] == "/sign-in?back=/jobs/x"


def test_a_record_without_accounts_stands_open_on_this_machine(client: TestClient) -> None:
    assert client.get("/").status_code == 200
    assert word_of(client.get("/").text) == ""
    assert "There are no accounts" in client.get("/people").text
    assert client.post("/people", data={"name": "Eve", "roles": "keeper"}).status_code == 422


def test_where_accounts_are_demanded_the_first_one_comes_first(desk: Desk) -> None:
    client = TestClient(make_app(desk, demand=True), raise_server_exceptions=False)
    assert client.get("/", follow_redirects=False).headers["location"] == "/people/first"
    assert client.post("/instruments", data={"id": "M-1"}).status_code == 401
    page = client.get("/people/first").text
    typed = {"token": word_of(page), "name": "Kit", "new_password": PASSWORD, "again_password": PASSWORD}
    wrong = client.post("/people/first", data={**typed, "code": "guessed"})
    assert wrong.status_code == 422
    assert not people.any_account(desk)
    assert PASSWORD not in wrong.text
    answer = client.post(
        "/people/first", data={**typed, "code": people.first_code(desk)}, follow_redirects=False
    )
    assert answer.status_code == 303
    assert client.get("/api/1/me").json()["roles"] == ["engineer", "keeper"]
    assert "The first account is there." in client.get("/people/first").text


def test_the_sessions_cookie_is_out_of_reach(app: FastAPI, keeper: str) -> None:
    for base, name, tail in (
        ("http://testserver", SESSION, ""), ("https://testserver", f"__Host-{SESSION}", "Secure"),
    ):  # fmt: skip
        client = TestClient(app, base_url=base)
        typed = {"token": word_of(client.get("/sign-in").text), "name": "kit keeper", "password": PASSWORD}
        answer = client.post("/sign-in", data=typed, follow_redirects=False)
        cookie = next(one for one in answer.headers.get_list("set-cookie") if SESSION in one)
        assert cookie.startswith(f"{name}=")
        for part in ("HttpOnly", "SameSite=strict", "Path=/", tail):
            assert part in cookie, cookie
        assert "expires" not in cookie.lower() and "Domain" not in cookie
        assert client.get("/me").status_code == 200


def test_signing_in_goes_back_here_only(app: FastAPI, keeper: str) -> None:
    for back, to in (
        ("/jobs/x", "/jobs/x"),
        ("//elsewhere.invalid", "/"),
        ("https://elsewhere.invalid/", "/"),
    ):
        client = TestClient(app)
        typed = {"token": word_of(client.get("/sign-in").text), "name": "kit keeper", "password": PASSWORD}
        answer = client.post("/sign-in", data={**typed, "back": back}, follow_redirects=False)
        assert answer.headers["location"] == to


def test_a_wrong_password_is_not_handed_back(app: FastAPI, keeper: str) -> None:
    client = TestClient(app)
    typed = {
        "token": word_of(client.get("/sign-in").text),
        "name": "Kit Keeper",
        "password": "hunter two two",
    }
    answer = client.post("/sign-in", data=typed)
    assert answer.status_code == 422
    assert "Kit Keeper" in answer.text
    assert "hunter" not in answer.text


def test_every_form_on_every_page_carries_its_word(signed: Signed, job: Job) -> None:
    client = signed("fit check engineer keeper")
    word = word_of(client.get("/me").text)
    seen = 0
    for at in ("/", "/me", "/people", "/instruments", f"/jobs/{job.job}", f"/jobs/{job.job}/fit", job.at,
               f"/jobs/{job.job}/sign", f"/bearings/{job.bearing}/births", f"{job.at}/judgement"):  # fmt: skip
        text = client.get(at).text
        forms = re.findall(r'<form\b[^>]*method="post"[^>]*>(.{0,120})', text, re.DOTALL)
        seen += len(forms)
        assert [form for form in forms if f'name="token" value="{word}"' not in form] == [], at
    assert seen > 15


@pytest.mark.parametrize("said", ["", "0" * 64, "x"])
def test_a_form_without_its_word_is_not_kept_and_handed_back(
    desk: Desk, signed: Signed, job: Job, said: str
) -> None:
    client = signed("fit")
    before = desk.job(job.job).state.entries
    typed = {"what": "shim", "text": "0.1 mm out, left", "token": said}
    answer = client.post(f"/jobs/{job.job}/fit", data=typed)
    assert answer.status_code == 403
    assert "0.1 mm out, left" in answer.text
    assert desk.job(job.job).state.entries == before
    again = client.post(f"/jobs/{job.job}/fit", data={**typed, "token": word_of(answer.text)})
    assert again.status_code == 200
    assert desk.job(job.job).state.entries == before + 1


def test_a_form_too_large_or_of_no_said_length_is_not_read(signed: Signed, job: Job) -> None:
    client, at = signed("fit"), f"/jobs/{job.job}/fit"
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post(at, content=iter([b"what=shim"]), headers=kind).status_code == 413
    large = {**kind, "content-length": str(300 * 1024 * 1024)}
    assert client.post(at, content=b"what=shim", headers=large).status_code == 413


def test_another_persons_word_is_no_good(signed: Signed, job: Job) -> None:
    ada, bo = signed("fit", "Ada Invented"), signed("fit", "Bo Invented")
    typed = {"what": "shim", "text": "out", "token": word_of(ada.get("/me").text)}
    assert bo.post(f"/jobs/{job.job}/fit", data=typed).status_code == 403


def test_a_word_outlives_the_session_so_that_what_waited_is_sent(signed: Signed, job: Job) -> None:
    client = signed("fit", "Ada Invented")
    typed = {"what": "shim", "text": "out", "token": word_of(client.get(f"/jobs/{job.job}/fit").text)}
    client.post("/sign-out", data={"token": typed["token"]})
    refused = client.post(f"/jobs/{job.job}/fit", data=typed, follow_redirects=False)
    assert refused.status_code == 401, "not a redirect that looks like success"
    assert "out" in refused.text
    sign_in = {"token": word_of(client.get("/sign-in").text), "name": "Ada Invented", "password": PASSWORD}
    client.post("/sign-in", data=sign_in)
    assert client.post(f"/jobs/{job.job}/fit", data=typed, follow_redirects=False).status_code == 303


def test_a_scripts_json_must_come_from_here(signed: Signed, desk: Desk, job: Job) -> None:
    client, at = signed("fit"), f"/api/1/jobs/{job.job}/notes"
    body = {"text": "seen", "seen": []}
    assert client.post(at, json=body, headers={"accept": "application/json"}).status_code == 403
    assert (
        client.post(at, json=body, headers={**SCRIPT, "origin": "http://elsewhere.invalid"}).status_code
        == 403
    )
    assert client.post(at, json=body, headers=SCRIPT).status_code == 201
    assert client.post(at, json=body, headers={"sec-fetch-site": "same-origin"}).status_code == 201


def test_entries_are_written_in_the_name_of_the_account(desk: Desk, signed: Signed, job: Job) -> None:
    client = signed("fit", "Ada Invented")
    client.cookies.set("whitemetal_name", "Somebody Else")
    body = {"text": "seen", "seen": [], "name": "Somebody Else"}
    headers = {**SCRIPT, "written-by": "Somebody%20Else"}
    assert client.post(f"/api/1/jobs/{job.job}/notes", json=body, headers=headers).status_code == 201
    written = desk.entries(job.job)[-1]
    assert written.by == {"name": "Ada Invented", "id": client.get("/api/1/me").json()["account"]}


def test_a_token_writes_in_its_owners_name_within_its_scope(
    app: FastAPI, desk: Desk, signed: Signed, job: Job
) -> None:
    browser = signed("fit", "Ada Invented")
    word = word_of(browser.get("/me").text)

    def token_for(*scope: Leave) -> dict[str, str]:
        typed = {"token": word, "title": "logger", "days": "7", "password": PASSWORD, "scope": list(scope)}
        shown = browser.post("/me/token", data=typed).text
        found = re.search(r"wm_[\w-]{43}", shown)
        assert found is not None
        return {"authorization": f"Bearer {found.group(0)}"}

    program, at = TestClient(app), f"/api/1/jobs/{job.job}/notes"
    looks, writes = token_for("look"), token_for("look", "write")
    assert program.get(f"/api/1/jobs/{job.job}", headers=looks).status_code == 200
    assert program.post(at, json={"text": "a"}, headers=looks).status_code == 403
    for text in ("a", "b"):
        assert program.post(at, json={"text": text}, headers=writes).status_code == 201
    first, second = desk.entries(job.job)[-2:]
    assert first.by["name"] == "Ada Invented"
    assert first.device == second.device, "a token is a device"
    refused = program.post(f"/api/1/jobs/{job.job}/sign", json={}, headers=writes)
    assert refused.status_code == 403
    assert "this token may not" in refused.json()["problem"], "its owner may: nobody is sent to the keeper"
    assert program.post("/me/token", data={"title": "more"}, headers=writes).status_code == 403
    for wrong in ("Bearer wm_nothing", "Basic a2l0OmtpdA==", "Bearer", ""):
        assert program.get(f"/api/1/jobs/{job.job}", headers={"authorization": wrong}).status_code == 401
    assert browser.get("/me").text.count("wm_") == 0, "shown once"


def test_a_signed_out_device_is_out(app: FastAPI, signed: Signed, desk: Desk) -> None:
    client = signed("fit", "Ada Invented")
    other = TestClient(app)
    sign_in = {"token": word_of(other.get("/sign-in").text), "name": "Ada Invented", "password": PASSWORD}
    other.post("/sign-in", data=sign_in)
    digest = re.search(r'name="session" value="([0-9a-f]{64})"', client.get("/me").text)
    assert digest is not None
    client.post("/me/session", data={"token": word_of(client.get("/me").text), "session": digest.group(1)})
    assert other.get("/api/1/me").status_code == 401
    assert client.get("/api/1/me").status_code == 200


def test_signing_in_again_ends_the_session_before(app: FastAPI, desk: Desk, keeper: str) -> None:
    client = TestClient(app)
    for _ in range(2):
        typed = {"token": word_of(client.get("/sign-in").text), "name": "kit keeper", "password": PASSWORD}
        assert client.post("/sign-in", data=typed, follow_redirects=False).status_code == 303
    assert len(signing_in.sessions_of(desk, keeper)) == 1
    assert client.get("/api/1/me").status_code == 200


def test_trace_is_not_answered(app: FastAPI, keeper: str) -> None:
    assert TestClient(app).request("TRACE", "/").status_code == 405


def test_another_password_ends_this_session_too(signed: Signed) -> None:
    client = signed("fit", "Ada Invented")
    typed = {"token": word_of(client.get("/me").text), "password": PASSWORD,
             "new_password": "nine lead wires in a row", "again_password": "nine lead wires in a roe"}  # fmt: skip
    assert client.post("/me/password", data=typed).status_code == 422
    typed["again_password"] = typed["new_password"]
    assert client.post("/me/password", data=typed, follow_redirects=False).headers["location"] == "/sign-in"
    assert client.get("/api/1/me").status_code == 401


def test_a_keeper_gives_a_code_and_changes_roles(app: FastAPI, desk: Desk, signed: Signed) -> None:
    client = signed("keeper", "Mo Invented")
    word = word_of(client.get("/people").text)
    shown = client.post("/people", data={"token": word, "name": "New Hand", "roles": ["look", "fit"]}).text
    code = re.search(r"(?:[a-z2-7]{8}-){3}[a-z2-7]{8}", shown)
    assert code is not None
    assert code.group(0) not in client.get("/people").text, "shown once"
    held = people.named(desk, "new hand")
    assert held.roles == {"look", "fit"}
    client.post(f"/people/{held.id}/roles", data={"token": word, "roles": "look"})
    assert people.account(desk, held.id).roles == {"look"}
    client.post(f"/people/{held.id}/close", data={"token": word})
    assert people.account(desk, held.id).closed
    assert client.post(f"/people/{held.id}/close", data={"token": word}).status_code == 422
    assert client.post("/people/nobody/roles", data={"token": word, "roles": "look"}).status_code == 422
    assert client.post(f"/people/{held.id}/nothing", data={"token": word}).status_code == 404
    assert client.post("/people", data={"token": word, "name": "", "roles": "look"}).status_code == 422


def test_names_of_people_are_shown_as_text(desk: Desk, signed: Signed) -> None:
    hostile = "<script>alert(1)</script>\"'&"
    client = signed("fit keeper", hostile)
    for at in ("/me", "/people", "/"):
        assert "<script>alert" not in client.get(at).text
    assert "&lt;script&gt;alert" in client.get("/people").text


def test_answers_say_what_a_browser_may_do(signed: Signed) -> None:
    client = signed("look")
    for at in ("/", "/me", "/static/sheet.css", "/api/1/me", "/nowhere"):
        headers = client.get(at).headers
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "camera=()" in headers["permissions-policy"]
        assert "server" not in headers
    assert client.get("/me").headers["cache-control"] == "no-store"
