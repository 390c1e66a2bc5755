"""What must not let anybody in by the plant's own provider: answers stolen, sent twice, forged, mixed up.

What is expected is in the clauses named (RFC 9207, section 2, and OpenID Connect Core 1.0, section 3.1.3.7, looked up
in reprints, the others from memory); the provider is made by hand and turns hostile where a test says so.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.people.plain_provider import CLIENT, Claims, PlainProvider
from tests.web.client import TestClient
from tests.web.coming import ADA, ERRAND, Coming, back, enter, go, refused, tied, who, with_other
from tests.web.test_gate import PASSWORD, word_of
from whitemetal.desk import Desk
from whitemetal.desk.people import BOOK
from whitemetal.people import tries
from whitemetal.people.provider import Settings
from whitemetal.web.app import make_app


def test_an_answer_that_came_before_is_refused(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    """RFC 6749, section 10.5, and RFC 9700, section 4.5: a code and a state are good once, here too."""
    client = coming()
    tied(desk, client, plain)
    given = go(client, plain)
    cookie = client.cookies[ERRAND]
    assert back(client, given).status_code == 303
    refused(back(client, given), "does not belong to a sign-in")
    client.cookies.set(ERRAND, cookie)
    refused(back(client, given), "was used before")


def test_an_answer_in_another_browser_is_refused(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    """RFC 6749, section 10.12: somebody lures a person with an answer of their own, so that what that person
    enters comes under another account."""
    tied(desk, coming(), plain)
    lurer, lured = coming(), coming()
    given = go(lurer, plain)
    refused(back(lured, given), "does not belong to a sign-in")
    go(lured, plain)
    refused(back(lured, given), "does not belong to a sign-in")
    assert who(lured) == ""


def test_a_code_of_somebody_else_is_refused(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    """A code stolen on its way, put into an errand of one's own: PKCE at the provider (RFC 7636, section 4.6)
    and, were it blind to that, the nonce (OpenID Connect Core 1.0, section 3.1.3.7, point 11) refuse it."""
    tied(desk, coming(), plain)
    stolen, thief = go(coming(), plain), coming()
    own = go(thief, plain)
    refused(back(thief, {**own, "code": stolen["code"]}), "did not take the code")
    again, thief = go(coming(), plain), coming()
    own = go(thief, plain)
    plain.codes[again["code"]]["code_challenge"] = plain.codes[own["code"]]["code_challenge"]
    refused(back(thief, {**own, "code": again["code"]}), "belongs to another sign-in")


@pytest.mark.parametrize("says", [True, False])
@pytest.mark.parametrize("issuer", ["https://id.elsewhere.example", ""])
def test_an_answer_of_another_provider_is_refused(
    coming: Coming, plain: PlainProvider, says: bool, issuer: str
) -> None:
    """RFC 9207, section 2.4: iss must be the one that was asked, and must be there where the provider says so;
    nothing goes to a token endpoint then."""
    plain.names_itself = says
    client = coming()
    given = {name: text for name, text in {**go(client, plain), "iss": issuer}.items() if text}
    if not says and not issuer:
        assert back(client, given).status_code == 303
        return
    refused(back(client, given), "another provider")
    assert "/token" not in [path for path, _ in plain.asked]


def test_a_provider_that_names_itself_is_let_in(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    plain.names_itself = True
    client = coming()
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
    coming: Coming, desk: Desk, plain: PlainProvider, changed: Claims, word: str
) -> None:
    tied(desk, coming(), plain)
    plain.claims = other_claims(**changed)
    client = coming()
    refused(enter(client, plain), word)
    assert who(client) == ""
    last = desk.entries(BOOK)[-1]
    assert last.kind == "sign_in_refused/1" and word in last.body["why"]


def test_a_provider_that_says_no_is_said(coming: Coming, plain: PlainProvider) -> None:
    """RFC 6749, section 4.1.2.1."""
    client = coming()
    state = go(client, plain)["state"]
    refused(back(client, {"error": "access_denied", "state": state}), "did not let you in")
    state = go(client, plain)["state"]
    refused(back(client, {"error": "server_error", "state": state}), "Begin again")
    assert "/token" not in [path for path, _ in plain.asked]


def test_a_provider_that_is_away_leaves_passwords_working(
    coming: Coming, desk: Desk, settings: Settings, plain: PlainProvider
) -> None:
    client = with_other(desk, settings, issuer="http://127.0.0.1:9")
    answer = client.get("/sign-in/provider", follow_redirects=False)
    refused(answer, "Tarn Mill cannot be reached")
    typed = {"token": word_of(answer.text), "name": "Kit Keeper", "password": PASSWORD}
    assert client.post("/sign-in", data=typed, follow_redirects=False).status_code == 303
    assert who(client) == "Kit Keeper"


def test_another_site_does_not_send_people_on(coming: Coming) -> None:
    answer = coming().get(
        "/sign-in/provider", headers={"sec-fetch-site": "cross-site"}, follow_redirects=False
    )
    refused(answer, "Press the button")
    assert ERRAND not in answer.headers.get("set-cookie", "")


def test_what_anybody_may_send_is_not_written_down(coming: Coming, desk: Desk) -> None:
    """The book of accounts only grows: answers that belong to no errand of the browser leave nothing in it, and
    one that is huge is not read."""
    client, before = coming(), len(desk.entries(BOOK))
    for _ in range(3):
        refused(back(client, {"code": "x", "state": "y"}), "does not belong to a sign-in")
    assert len(desk.entries(BOOK)) == before
    large = {"content-type": "application/x-www-form-urlencoded", "content-length": str(2 * 1024 * 1024)}
    assert client.post("/sign-in/back", content=b"code=x", headers=large).status_code == 413
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/sign-in/back", content=iter([b"code=x"]), headers=kind).status_code == 413


def test_many_wrong_answers_must_wait(
    coming: Coming, plain: PlainProvider, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tries, "FREE_ADDRESS", 3)
    client = coming()
    plain.claims = other_claims(nonce="x")
    for _ in range(3):
        refused(enter(client, plain), "another sign-in")
    answer = enter(client, plain)
    assert answer.status_code == 422 and "too many wrong tries" in answer.text


def test_an_errand_of_one_process_comes_back_to_another(
    coming: Coming, desk: Desk, plain: PlainProvider, settings: Settings, tmp_path: Path
) -> None:
    """Two programs over one record behind a proxy: what one began the other ends, and an answer that was used
    at one is used at the other too."""
    first = coming()
    tied(desk, first, plain)
    given = go(first, plain)
    second = coming()
    second.cookies = first.cookies
    cookie = first.cookies[ERRAND]
    assert back(second, given).status_code == 303
    first.cookies.set(ERRAND, cookie)
    refused(back(first, given), "was used before")


def test_without_a_provider_there_is_no_way_in_by_one(desk: Desk, kit: str) -> None:
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    for method, at in (("GET", "/sign-in/provider"), ("POST", "/sign-in/back"), ("POST", "/sign-in/code")):
        word = word_of(client.get("/sign-in").text)
        answer = client.request(method, at, headers={"x-form-word": word}, follow_redirects=False)
        assert answer.status_code == 422, at
