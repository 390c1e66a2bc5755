"""Asking the provider: keys that change, documents that are huge, answers that never end, ways elsewhere.

Clauses are named from memory."""

from __future__ import annotations

import base64
import stat
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit

import pytest

from tests.people.plain_provider import CLIENT, SECRET, SUBJECT, PlainProvider, running
from whitemetal.desk import provider as asking
from whitemetal.desk.provider import Provider, opened, seal_key
from whitemetal.errors import InputError, ProviderError
from whitemetal.people.errand import Errand, new_errand
from whitemetal.people.provider import Settings

KEY = "the record's secret"
Handler = Callable[[BaseHTTPRequestHandler], None]


class Tick:
    """A clock a test can move on."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def plain() -> Iterator[PlainProvider]:
    with running() as made:
        yield made


@pytest.fixture
def tick() -> Tick:
    return Tick()


@pytest.fixture
def asked(plain: PlainProvider, tick: Tick) -> Provider:
    return provider_of(plain, tick)


def provider_of(plain: PlainProvider, tick: Tick, secret: str = SECRET) -> Provider:
    settings = Settings("Tarn Mill", plain.at, CLIENT, "https://bearings.tarnmill.example")
    return Provider(settings, secret, b"k" * 32, tick)


def errand_now() -> Errand:
    return new_errand("in", "/", int(time.time()))


def subject(asked: Provider, plain: PlainProvider) -> str:
    """The whole way: to the provider, agreed there, the code redeemed."""
    made = errand_now()
    code = plain.agree(asked.there(KEY, made))["code"]
    return asked.redeemed(KEY, made, code, int(time.time())).subject


def paths(plain: PlainProvider) -> list[str]:
    return [path for path, _ in plain.asked]


def test_the_way_there_says_what_the_standards_ask(asked: Provider, plain: PlainProvider) -> None:
    """OpenID Connect Core 1.0, section 3.1.2.1; RFC 7636, section 4.3."""
    said = dict(parse_qsl(urlsplit(asked.there(KEY, errand_now())).query))
    assert set(said) == {
        "response_type", "client_id", "redirect_uri", "scope", "state", "nonce", "code_challenge",
        "code_challenge_method",
    }  # fmt: skip
    assert said["redirect_uri"] == "https://bearings.tarnmill.example/sign-in/back"
    assert (said["scope"], said["code_challenge_method"]) == ("openid profile", "S256")
    again = dict(parse_qsl(urlsplit(asked.there(KEY, new_errand("confirm", "/", 1))).query))
    assert (again["prompt"], again["max_age"]) == ("login", "0")
    asks = Provider(replace(asked.settings, strength=("two", "three")), "", b"k" * 32)
    assert "acr_values=two+three" in asks.there(KEY, errand_now())


def test_a_code_is_redeemed_with_secret_and_verifier(asked: Provider, plain: PlainProvider) -> None:
    """The provider made by hand refuses a wrong verifier, secret or address, and a code that came before."""
    assert subject(asked, plain) == SUBJECT
    made = errand_now()
    code = plain.agree(asked.there(KEY, made))["code"]
    other = errand_now()
    with pytest.raises(ProviderError, match="401"):
        asked.redeemed(KEY, other, code, int(time.time()))
    with pytest.raises(ProviderError, match="400"):
        asked.redeemed(KEY, made, code, int(time.time()))
    with pytest.raises(ProviderError, match="401"):
        subject(provider_of(plain, Tick(), "another secret"), plain)


def test_a_secret_in_the_form_where_the_provider_wants_it_so(plain: PlainProvider, tick: Tick) -> None:
    """RFC 6749, section 2.3.1; without a secret the client only names itself (section 3.2.1)."""
    plain.document["token_endpoint_auth_methods_supported"] = ["client_secret_post"]
    plain.answers["/token"] = lambda handler: handler.say(200, {})  # type: ignore[attr-defined]
    for secret, wanted in (
        (SECRET, {"client_id": CLIENT, "client_secret": SECRET}),
        ("", {"client_id": CLIENT}),
    ):
        with pytest.raises(ProviderError, match="no ID token"):
            subject(provider_of(plain, tick, secret), plain)
        form = next(form for path, form in reversed(plain.asked) if path == "/token")
        assert {name: form[name] for name in form if name.startswith("client")} == wanted


def test_document_and_keys_are_remembered_for_an_hour(
    asked: Provider, plain: PlainProvider, tick: Tick
) -> None:
    for _ in range(3):
        subject(asked, plain)
    assert paths(plain).count("/keys") == paths(plain).count("/.well-known/openid-configuration") == 1
    tick.now += asking.REMEMBERED
    subject(asked, plain)
    assert paths(plain).count("/keys") == paths(plain).count("/.well-known/openid-configuration") == 2


def test_keys_that_were_changed_are_fetched_again_but_not_for_ever(
    asked: Provider, plain: PlainProvider, tick: Tick
) -> None:
    """OpenID Connect Core 1.0, section 10.1.1: an unfamiliar kid is the sign to fetch the keys again."""
    assert subject(asked, plain) == SUBJECT
    plain.number, tick.now = 1, tick.now + asking.AGAIN
    assert subject(asked, plain) == SUBJECT
    assert paths(plain).count("/keys") == 2
    plain.number = 0
    for _ in range(5):
        with pytest.raises(ProviderError, match="not among the provider's own"):
            subject(asked, plain)
    assert paths(plain).count("/keys") == 2, "throttled"
    tick.now += asking.AGAIN
    assert subject(asked, plain) == SUBJECT
    assert paths(plain).count("/keys") == 3


def elsewhere(handler: BaseHTTPRequestHandler) -> None:
    handler.send_response(302)
    handler.send_header("location", "http://127.0.0.1:9/keys")
    handler.send_header("content-length", "0")
    handler.end_headers()


def raw(data: bytes, *headers: tuple[str, str]) -> Handler:
    def answer(handler: BaseHTTPRequestHandler) -> None:
        handler.send_response(200)
        for name, value in headers:
            handler.send_header(name, value)
        handler.end_headers()
        handler.wfile.write(data)

    return answer


def broken_off(handler: BaseHTTPRequestHandler) -> None:
    handler.close_connection = True


WRONG: dict[str, tuple[Handler, str]] = {
    "a way elsewhere": (elsewhere, "not followed"),
    "huge": (raw(b'{"x": "' + b"x" * (asking.LARGEST + 1) + b'"}'), "more than 256 kB"),
    "deep": (raw(b"[" * 100_000), "no JSON"),
    "no JSON": (raw(b"<html>"), "no JSON"),
    "squeezed": (raw(b"\x1f\x8b\x08\x00", ("content-encoding", "gzip")), "no JSON"),
    "broken off": (broken_off, "cannot be reached"),
    "another kind": (raw(b"[]"), "not what"),
    "an error": (lambda handler: handler.say(500, {}), "status 500"),  # type: ignore[attr-defined]
}


@pytest.mark.parametrize(("answer", "message"), WRONG.values(), ids=WRONG)
@pytest.mark.parametrize("path", ["/.well-known/openid-configuration", "/keys"])
def test_an_answer_that_is_none_is_said_in_words(
    asked: Provider, plain: PlainProvider, path: str, answer: Handler, message: str
) -> None:
    plain.answers[path] = answer
    with pytest.raises(ProviderError, match=message):
        subject(asked, plain)
    plain.answers.clear()
    asked._failed = None
    assert subject(asked, plain) == SUBJECT, "and it works again"


def endless(handler: BaseHTTPRequestHandler, end: threading.Event, part: str) -> None:
    """A byte now and then, within the time that one read may take: of the answer, of its head, or none. It ends
    when it may, and after a minute."""
    if part == "answer":
        handler.send_response(200)
        handler.end_headers()
    with suppress(OSError):
        for _ in range(1200):
            handler.wfile.write({"answer": b" ", "head": b"H", "": b""}[part])
            handler.wfile.flush()
            if end.wait(0.05):
                return


@pytest.mark.parametrize("part", ["", "answer", "head"], ids=["silent", "drips", "head drips"])
def test_a_provider_that_is_slow_is_not_waited_for(
    asked: Provider, plain: PlainProvider, part: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is given up while its answer goes on, and asked again only after a while."""
    monkeypatch.setattr(asking, "PATIENCE", 0.3)
    monkeypatch.setattr(asking, "ALL", 0.5)
    end, began = threading.Event(), time.monotonic()
    plain.answers["/.well-known/openid-configuration"] = lambda handler: endless(handler, end, part)
    with pytest.raises(ProviderError, match="took too long"):
        asked.metadata()
    assert time.monotonic() - began < 30, "half of what the answer takes"
    number = len(plain.asked)
    with pytest.raises(ProviderError):
        asked.metadata()
    end.set()
    assert number == len(plain.asked) == 1


def test_a_provider_that_is_away_is_asked_again_after_a_while(
    asked: Provider, plain: PlainProvider, tick: Tick
) -> None:
    plain.answers["/.well-known/openid-configuration"] = broken_off
    with pytest.raises(ProviderError, match=r"Tarn Mill cannot be reached"):
        asked.metadata()
    plain.answers.clear()
    with pytest.raises(ProviderError):
        asked.metadata()
    assert asked.way_out() == ""
    tick.now += asking.REST
    assert asked.metadata().token == f"{plain.at}/token"


def test_only_so_many_are_on_the_way_at_once(
    asked: Provider, plain: PlainProvider, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "PATIENCE", 0.05)
    for _ in range(asking.AT_ONCE):
        assert asked._turn.acquire(blocking=False)
    with pytest.raises(ProviderError, match="on the way"):
        asked.metadata()


def test_the_way_out_names_this_program(asked: Provider, plain: PlainProvider) -> None:
    """RP-Initiated Logout 1.0, section 2: client_id where no ID token is kept."""
    assert asked.way_out() == ""
    plain.document["end_session_endpoint"] = f"{plain.at}/end?realm=mill"
    asked._metadata = None
    assert asked.way_out() == f"{plain.at}/end?realm=mill&client_id={CLIENT}"


FILE = """\
format = "whitemetal.provider/1"
name = "Tarn Mill"
issuer = "https://id.tarnmill.example"
client_id = "bearings"
address = "https://bearings.tarnmill.example"
"""


def test_the_secret_comes_from_a_file_or_a_variable_and_the_key_is_made_once(tmp_path: Path) -> None:
    file = tmp_path / "provider.toml"
    file.write_text(FILE)
    made = opened(str(file), {asking.SECRET: "from the variable"})
    assert made._secret == "from the variable"
    seals = tmp_path / "provider.toml.seals"
    assert stat.S_IMODE(seals.stat().st_mode) == 0o600
    (tmp_path / "word").write_text("from the file\n")
    file.write_text(FILE + 'secret_file = "word"\n')
    again = opened(str(file), {asking.SECRET: "from the variable"})
    assert (again._secret, again.seal_key) == ("from the file", made.seal_key)
    assert len(made.seal_key) == 32


def test_files_that_cannot_be_used_are_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "PATIENCE", 0.1)
    file = tmp_path / "provider.toml"
    with pytest.raises(InputError, match="--provider"):
        opened(str(file), {})
    file.write_bytes(b"\xff")
    with pytest.raises(InputError, match="UTF-8"):
        opened(str(file), {})
    (tmp_path / "empty").write_text(" \n")
    for line, field in (
        ('secret_file = "nowhere"', "secret_file"), ('secret_file = "empty"', "secret_file"),
        ('certificates = "empty"', "certificates"), ('seals = "nowhere/at/all"', "seals"),
        ('seals = "empty"', "seals"),
    ):  # fmt: skip
        file.write_text(f"{FILE}{line}\n")
        with pytest.raises(InputError) as found:
            opened(str(file), {})
        assert [problem.field for problem in found.value.problems] == [field]


def test_two_processes_that_begin_together_have_one_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one may just have made the file and not have written it yet."""
    path = tmp_path / "seals"
    path.touch()
    late = threading.Timer(0.2, path.write_bytes, [base64.b64encode(b"k" * 32)])
    late.start()
    assert seal_key(path) == b"k" * 32
    late.join()
    monkeypatch.setattr(asking, "PATIENCE", 0.1)
    (tmp_path / "never").touch()
    with pytest.raises(InputError, match="32 bytes"):
        seal_key(tmp_path / "never")
