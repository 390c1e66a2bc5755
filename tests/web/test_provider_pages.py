"""Signing in by the plant's own provider through the pages: the whole way, and everything that must not pass.

The provider is one made by hand of the standard library (`tests/people/plain_provider.py`) and, in
`tests/flow/test_provider.py`, one of another maker's in a browser. What is expected is in the clauses named.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.people.plain_provider import CLIENT, SECRET, SUBJECT, Claims, PlainProvider, running
from tests.web.client import TestClient
from tests.web.test_gate import PASSWORD, TERMINAL, word_of
from whitemetal.desk import Desk, by_provider, people, signing_in, ties
from whitemetal.desk.people import BOOK
from whitemetal.desk.provider import Provider
from whitemetal.people import passwords
from whitemetal.people.accounts import Account
from whitemetal.people.provider import Settings
from whitemetal.people.roles import roles_of
from whitemetal.web.app import make_app

Browser = Callable[[], TestClient]
DEVICE_COOKIE, ERRAND = "whitemetal_device", "whitemetal_errand"
ADA = "Ada Invented"


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


@pytest.fixture
def plain() -> Iterator[PlainProvider]:
    with running() as made:
        yield made


@pytest.fixture
def settings(plain: PlainProvider) -> Settings:
    return Settings("Tarn Mill", plain.at, CLIENT, "http://localhost:8470")


@pytest.fixture
def keeper(desk: Desk) -> str:
    return people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26).id


@pytest.fixture
def browser(desk: Desk, settings: Settings, keeper: str) -> Browser:
    """A browser of its own, at a process of its own over the same record."""

    def one() -> TestClient:
        app = make_app(desk, provider=Provider(settings, SECRET, b"k" * 32))
        client = TestClient(app, raise_server_exceptions=False)
        client.get("/sign-in")
        return client

    return one


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


def test_the_button_is_there_where_there_is_a_provider(browser: Browser, desk: Desk) -> None:
    assert "Sign in with Tarn Mill" in browser().get("/sign-in").text
    assert "Sign in with" not in TestClient(make_app(desk)).get("/sign-in").text


def test_the_first_time_needs_the_keepers_code_and_the_next_does_not(
    browser: Browser, desk: Desk, plain: PlainProvider
) -> None:
    client = browser()
    held = tied(desk, client, plain)
    assert who(client) == ADA
    other = browser()
    answer = back(other, go(other, plain, "/sign-in/provider?back=/instruments"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/instruments")
    assert who(other) == ADA
    kinds = [entry.kind for entry in desk.entries(BOOK) if entry.body.get("account") == held.id]
    assert kinds == ["account/1", "account_code/1", "account_tied/1", "signed_in/1", "signed_in/1"]
    assert desk.verify(BOOK) == ()
    page = client.get("/me").text
    assert f"tied to {plain.at}" in page and "There is no password" in page


@pytest.mark.parametrize("code", ["", "wrong", "aaaaaaaa-bbbbbbbb-cccccccc-dddddddd"])
def test_a_wrong_code_ties_nobody(browser: Browser, desk: Desk, plain: PlainProvider, code: str) -> None:
    client = browser()
    people.add(desk, ADA, roles_of("fit"), TERMINAL)
    enter(client, plain)
    page = client.get("/sign-in/code").text
    assert "Tarn Mill says that you are Ada Invented" in page
    answer = client.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert answer.status_code == 422
    assert ties.issuers(desk) == {} and who(client) == ""


def test_the_code_for_the_first_account_is_no_code_here(
    desk: Desk, settings: Settings, plain: PlainProvider
) -> None:
    code = people.first_code(desk)
    client = with_other(desk, settings, newcomers="look")
    assert client.get("/sign-in/provider", follow_redirects=False).status_code == 422
    people.open_first(desk, "Kit Keeper", PASSWORD, code, "k" * 26)
    client = with_other(desk, settings)
    enter(client, plain)
    page = client.get("/sign-in/code").text
    assert client.post("/sign-in/code", data={"token": word_of(page), "code": code}).status_code == 422


def test_an_account_is_one_persons_and_a_person_has_one_account(
    browser: Browser, desk: Desk, plain: PlainProvider
) -> None:
    """OpenID Connect Core 1.0, section 5.7: iss and sub together, nothing else; another with the same name and
    mail is another."""
    held = tied(desk, browser(), plain)
    plain.subject = "another-248289761001"
    plain.claims = lambda claims: {**claims, "email": "ada@tarnmill.example", "email_verified": True}
    other = browser()
    assert enter(other, plain).headers["location"] == "/sign-in/code"
    page = other.get("/sign-in/code").text
    code = people.new_code(desk, held.id, TERMINAL)
    refused = other.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert refused.status_code == 422 and "untie" in refused.text
    assert who(other) == ""


def test_a_browser_that_waits_for_its_account_waits_a_quarter_of_an_hour(
    browser: Browser, desk: Desk, plain: PlainProvider, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = browser()
    _, code = people.add(desk, ADA, roles_of("fit"), TERMINAL)
    enter(client, plain)
    word = word_of(client.get("/sign-in/code").text)
    now = people.seconds(desk)
    monkeypatch.setattr(by_provider, "seconds", lambda desk: now + by_provider.STANDS + 1)
    assert client.post("/sign-in/code", data={"token": word, "code": code}).status_code == 422
    assert "Nobody is waiting" in client.get("/sign-in/code").text


def test_new_people_come_in_to_look_where_the_plant_says_so(
    desk: Desk, settings: Settings, keeper: str, plain: PlainProvider
) -> None:
    plain.name = "Kit Keeper"
    client = with_other(desk, settings, newcomers="look")
    assert enter(client, plain).headers["location"] == "/"
    assert who(client) == "Kit Keeper (2)", "never taken for somebody who is here"
    assert client.get("/api/1/me").json()["roles"] == ["look"]
    plain.subject, plain.name = "nameless", "\u202e\x07"
    other = with_other(desk, settings, newcomers="look")
    enter(other, plain)
    assert who(other) == "Tarn Mill"


ROLES = {"claim": "groups", "roles": {"workshop": roles_of("fit"), "reliability": roles_of("engineer")}}


def test_roles_by_the_providers_groups_are_entries_like_all_others(
    desk: Desk, settings: Settings, keeper: str, plain: PlainProvider
) -> None:
    groups: list[Any] = ["workshop", "reliability", "keeper", "unknown"]
    plain.claims = lambda claims: {**claims, "groups": groups}
    client = with_other(desk, settings, **ROLES)
    held = tied(desk, client, plain, roles="look")
    assert client.get("/api/1/me").json()["roles"] == ["fit", "engineer"]
    given = [entry for entry in desk.entries(BOOK) if entry.kind == "account_roles/1"]
    assert [(entry.body["before"], entry.body["roles"]) for entry in given] == [("look", "fit engineer")]
    assert given[0].by["name"] == "Tarn Mill"
    groups[:] = ["unknown"]
    other = with_other(desk, settings, **ROLES)
    refused = enter(other, plain)
    assert refused.status_code == 422 and "you may not come in" in refused.text
    assert who(other) == who(client) == "", "what was open is over too"
    assert people.account(desk, held.id).roles == {"fit", "engineer"}


def test_who_keeps_accounts_is_never_up_to_the_provider(
    desk: Desk, settings: Settings, keeper: str, plain: PlainProvider
) -> None:
    plain.claims = lambda claims: {**claims, "groups": ["workshop"]}
    client = with_other(desk, settings, **ROLES)
    tied(desk, client, plain, roles="keeper engineer")
    assert client.get("/api/1/me").json()["roles"] == ["fit", "keeper"]


def test_a_closed_account_stays_out(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    client = browser()
    held = tied(desk, client, plain)
    people.close(desk, held.id, TERMINAL)
    refused = enter(browser(), plain)
    assert refused.status_code == 422 and "you may not come in" in refused.text
    assert who(client) == ""
    people_book = [entry for entry in desk.entries(BOOK) if entry.kind == "sign_in_refused/1"]
    assert people_book[-1].body == {
        "account": held.id,
        "for": "provider",
        "device": people_book[-1].body["device"],
    }


def test_a_fresh_session_every_time_and_the_one_before_is_over(
    browser: Browser, desk: Desk, plain: PlainProvider
) -> None:
    client = browser()
    held = tied(desk, client, plain)
    before = client.cookies["whitemetal_session"]
    enter(client, plain)
    assert client.cookies["whitemetal_session"] != before
    assert len(signing_in.sessions_of(desk, held.id)) == 1
    assert signing_in.by_session(desk, before) is None


def test_the_way_back_leads_nowhere_else(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    client = browser()
    tied(desk, client, plain)
    for to in ("//elsewhere.invalid", "https://elsewhere.invalid/", "javascript:alert(1)"):
        answer = back(client, go(client, plain, f"/sign-in/provider?back={to}"))
        assert answer.headers["location"] == "/"


def test_the_device_keeps_its_name(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    """A browser shows no cookie of this site to a navigation from another one: the page it comes back to must
    not name the device anew."""
    client = browser()
    bare = TestClient(client.app)
    answer = bare.get("/sign-in/back", params={"code": "x", "state": "y"})
    assert not [one for one in answer.headers.get_list("set-cookie") if DEVICE_COOKIE in one]
    device = client.cookies[DEVICE_COOKIE]
    tied(desk, client, plain)
    assert client.cookies[DEVICE_COOKIE] == device


def test_cookies_of_an_errand_are_out_of_reach(browser: Browser, plain: PlainProvider) -> None:
    answer = browser().get("/sign-in/provider", follow_redirects=False)
    cookie = next(one for one in answer.headers.get_list("set-cookie") if ERRAND in one)
    for part in ("HttpOnly", "SameSite=strict", "Path=/", "Max-Age=900"):
        assert part in cookie
    code = plain.agree(answer.headers["location"])
    assert code["state"] not in cookie, "state, nonce and verifier never lie in the browser's cookie"


def test_what_the_provider_sends_is_shown_as_text(browser: Browser) -> None:
    hostile = "\"><script>alert(1)</script>'&"
    text = browser().get("/sign-in/back", params={"code": hostile, "state": hostile, "error": hostile}).text
    assert "<script>alert" not in text and "&lt;script&gt;alert" in text
    assert "form-action 'self';" in browser().get("/sign-in/back").headers["content-security-policy"]
    assert "x" * 5000 not in browser().get("/sign-in/back", params={"code": "x" * 5000}).text


# what must not pass


def refused(answer: Any, *words: str) -> None:
    assert answer.status_code == 422, answer.headers
    for word in words:
        assert word in answer.text.replace("&#39;", "'")
    assert "Name and password work as ever" in answer.text
    assert "Traceback" not in answer.text


def test_an_answer_that_came_before_is_refused(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    """RFC 6749, section 10.5, and RFC 9700, section 4.5: a code and a state are good once, here too."""
    client = browser()
    tied(desk, client, plain)
    given = go(client, plain)
    cookie = client.cookies[ERRAND]
    assert back(client, given).status_code == 303
    refused(back(client, given), "does not belong to a sign-in")
    client.cookies.set(ERRAND, cookie)
    refused(back(client, given), "was used before")


def test_an_answer_in_another_browser_is_refused(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    """RFC 6749, section 10.12: somebody lures a person with an answer of their own, so that what that person
    enters comes under another account."""
    tied(desk, browser(), plain)
    lurer, lured = browser(), browser()
    given = go(lurer, plain)
    refused(back(lured, given), "does not belong to a sign-in")
    go(lured, plain)
    refused(back(lured, given), "does not belong to a sign-in")
    assert who(lured) == ""


def test_a_code_of_somebody_else_is_refused(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    """A code stolen on its way, put into an errand of one's own: PKCE at the provider (RFC 7636, section 4.6)
    and, were it blind to that, the nonce (OpenID Connect Core 1.0, section 3.1.3.7, point 11) refuse it."""
    tied(desk, browser(), plain)
    stolen, thief = go(browser(), plain), browser()
    own = go(thief, plain)
    refused(back(thief, {**own, "code": stolen["code"]}), "did not take the code")
    again, thief = go(browser(), plain), browser()
    own = go(thief, plain)
    plain.codes[again["code"]]["code_challenge"] = plain.codes[own["code"]]["code_challenge"]
    refused(back(thief, {**own, "code": again["code"]}), "belongs to another sign-in")


@pytest.mark.parametrize("says", [True, False])
@pytest.mark.parametrize("issuer", ["https://id.elsewhere.example", ""])
def test_an_answer_of_another_provider_is_refused(
    browser: Browser, plain: PlainProvider, says: bool, issuer: str
) -> None:
    """RFC 9207, section 2.4: iss must be the one that was asked, and must be there where the provider says so;
    nothing goes to a token endpoint then."""
    plain.names_itself = says
    client = browser()
    given = {name: text for name, text in {**go(client, plain), "iss": issuer}.items() if text}
    if not says and not issuer:
        assert back(client, given).status_code == 303
        return
    refused(back(client, given), "another provider")
    assert "/token" not in [path for path, _ in plain.asked]


def test_a_provider_that_names_itself_is_let_in(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    plain.names_itself = True
    client = browser()
    tied(desk, client, plain)
    assert who(client) == ADA


def other_claims(**changed: Any) -> Callable[[Claims], Claims]:
    return lambda claims: {**claims, **changed}


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"nonce": "x"}, "another sign-in"), ({"aud": "another"}, "not for this program alone"),
        ({"aud": [CLIENT, "another"], "azp": CLIENT}, "not for this program alone"),
        ({"iss": "https://id.elsewhere.example"}, "another issuer"), ({"exp": 1_700_000_000}, "is over"),
        ({"sub": "x" * 300}, "sub"),
    ],
)  # fmt: skip
def test_a_token_that_says_something_wrong_lets_nobody_in(
    browser: Browser, desk: Desk, plain: PlainProvider, changed: Claims, word: str
) -> None:
    tied(desk, browser(), plain)
    plain.claims = other_claims(**changed)
    client = browser()
    refused(enter(client, plain), word)
    assert who(client) == ""
    last = desk.entries(BOOK)[-1]
    assert last.kind == "sign_in_refused/1" and word in last.body["why"]


def test_a_provider_that_says_no_is_said(browser: Browser, plain: PlainProvider) -> None:
    """RFC 6749, section 4.1.2.1."""
    client = browser()
    state = go(client, plain)["state"]
    refused(back(client, {"error": "access_denied", "state": state}), "did not let you in")
    state = go(client, plain)["state"]
    refused(back(client, {"error": "server_error", "state": state}), "Begin again")
    assert "/token" not in [path for path, _ in plain.asked]


def test_a_provider_that_is_away_leaves_passwords_working(
    browser: Browser, desk: Desk, settings: Settings, plain: PlainProvider
) -> None:
    client = with_other(desk, settings, issuer="http://127.0.0.1:9")
    answer = client.get("/sign-in/provider", follow_redirects=False)
    refused(answer, "Tarn Mill cannot be reached")
    typed = {"token": word_of(answer.text), "name": "Kit Keeper", "password": PASSWORD}
    assert client.post("/sign-in", data=typed, follow_redirects=False).status_code == 303
    assert who(client) == "Kit Keeper"


def test_another_site_does_not_send_people_on(browser: Browser) -> None:
    answer = browser().get(
        "/sign-in/provider", headers={"sec-fetch-site": "cross-site"}, follow_redirects=False
    )
    refused(answer, "Press the button")
    assert ERRAND not in answer.headers.get("set-cookie", "")


def test_many_wrong_answers_must_wait(browser: Browser, plain: PlainProvider) -> None:
    client = browser()
    for _ in range(20):
        plain.claims = other_claims(nonce="x")
        refused(enter(client, plain), "another sign-in")
    answer = enter(client, plain)
    assert answer.status_code == 422 and "too many wrong tries" in answer.text


def test_an_errand_of_one_process_comes_back_to_another(
    browser: Browser, desk: Desk, plain: PlainProvider, settings: Settings, tmp_path: Path
) -> None:
    """Two programs over one record behind a proxy: what one began the other ends, and an answer that was used
    at one is used at the other too."""
    first = browser()
    tied(desk, first, plain)
    given = go(first, plain)
    second = browser()
    second.cookies = first.cookies
    cookie = first.cookies[ERRAND]
    assert back(second, given).status_code == 303
    first.cookies.set(ERRAND, cookie)
    refused(back(first, given), "was used before")


def test_without_a_provider_there_is_no_way_in_by_one(desk: Desk, keeper: str) -> None:
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    for method, at in (("GET", "/sign-in/provider"), ("POST", "/sign-in/back"), ("POST", "/sign-in/code")):
        word = word_of(client.get("/sign-in").text)
        answer = client.request(method, at, headers={"x-form-word": word}, follow_redirects=False)
        assert answer.status_code == 422, at


# the keeper's verbs


def test_a_keeper_takes_the_password_away_and_unties(
    browser: Browser, desk: Desk, plain: PlainProvider
) -> None:
    client = browser()
    held = tied(desk, client, plain)
    people.join(desk, ADA, people.new_code(desk, held.id, TERMINAL), PASSWORD, "d" * 26)
    sign_in = {"name": ADA, "password": PASSWORD}
    keeper = browser()
    word = word_of(keeper.get("/sign-in").text)
    keeper.post("/sign-in", data={"token": word, "name": "Kit Keeper", "password": PASSWORD})
    page = keeper.get("/people").text
    assert f"password, or {plain.at}" in page
    word = word_of(page)
    assert keeper.post(f"/people/{held.id}/password-off", data={"token": word}).status_code == 200
    other = browser()
    answer = other.post("/sign-in", data={"token": word_of(other.get("/sign-in").text), **sign_in})
    assert answer.status_code == 422
    assert enter(other, plain).status_code == 303 and who(other) == ADA
    assert f"comes in by {plain.at} only" in keeper.get("/people").text
    assert keeper.get("/api/1/people").json()[0]["provider"] == plain.at
    assert keeper.post(f"/people/{held.id}/untie", data={"token": word}).status_code == 200
    assert who(other) == ""
    assert enter(browser(), plain).headers["location"] == "/sign-in/code"
    for verb in ("untie", "password-off"):
        assert keeper.post(f"/people/{held.id}/{verb}", data={"token": word}).status_code == 422


def test_the_last_keeper_keeps_a_password(
    browser: Browser, desk: Desk, plain: PlainProvider, keeper: str
) -> None:
    code = people.new_code(desk, keeper, TERMINAL)
    client = browser()
    enter(client, plain)
    word = word_of(client.get("/sign-in/code").text)
    assert (
        client.post("/sign-in/code", data={"token": word, "code": code}, follow_redirects=False).status_code
        == 303
    )
    page = client.get("/people").text
    answer = client.post(f"/people/{keeper}/password-off", data={"token": word_of(page)})
    assert answer.status_code == 422 and "another keeper first" in answer.text
    assert people.account(desk, keeper).password


def test_signing_out_here_names_the_way_out_there(browser: Browser, desk: Desk, plain: PlainProvider) -> None:
    plain.document["end_session_endpoint"] = f"{plain.at}/end"
    client = browser()
    tied(desk, client, plain)
    word = word_of(client.get("/me").text)
    page = client.post("/sign-out", data={"token": word})
    assert who(client) == ""
    assert f'href="{plain.at}/end?client_id={CLIENT}"' in page.text
    assert "You are signed out here, but not at Tarn Mill" in page.text


def test_no_secret_lies_in_the_record(
    browser: Browser, desk: Desk, plain: PlainProvider, tmp_path: Path
) -> None:
    client = browser()
    tied(desk, client, plain)
    session = client.cookies["whitemetal_session"]
    said = "".join(str(entry.body) for entry in desk.entries(BOOK))
    assert SUBJECT in said
    kept = b"".join(path.read_bytes() for path in tmp_path.iterdir() if path.is_file())
    for secret in (SECRET, session, *plain.codes):
        assert secret not in said and secret.encode() not in kept
    assert urlsplit(plain.at).hostname == "127.0.0.1"
