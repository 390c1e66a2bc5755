"""Signing in by the plant's own provider: going there, coming back, whose account it is, and confirming.

An account is tied to the provider's address and its own name for the person, never to a mail address or a
name that people choose. Everything that comes of it is an entry of the people's book.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from hmac import compare_digest
from typing import TYPE_CHECKING, Any

from whitemetal.desk.desk import Desk
from whitemetal.desk.people import Acting, added, any_account, give_roles, note, seconds
from whitemetal.desk.provider import Provider
from whitemetal.desk.signing_in import Beside, Visitor, must_know
from whitemetal.desk.ties import issuer_of
from whitemetal.errors import InputError, Problem, ProviderError
from whitemetal.people import accounts, errand, forms, keys, meanwhile, sessions, ties, tokens, tries
from whitemetal.people.accounts import Account
from whitemetal.people.errand import Errand
from whitemetal.people.id_token import Proven
from whitemetal.people.roles import Role
from whitemetal.words import say

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from whitemetal.ledger import Pen

STANDS = 900
"""Seconds somebody without an account has to type the code they were given. Our own."""

CONFIRMED = 300
"""Seconds a confirmation is good for, and for one signature. Our own."""

LONGEST_TEXT = 4096
"""Letters of what the provider sends back. Our own."""


@dataclass(frozen=True)
class Answer:
    """What the provider sent back in the address."""

    code: str = ""
    state: str = ""
    issuer: str = ""
    error: str = ""


@dataclass(frozen=True)
class Came:
    """What came of an errand. session: the secret for its cookie, "" where none began. stands: the secret of
    somebody who has no account yet, "" else."""

    errand: Errand
    session: str = ""
    stands: str = ""


@dataclass(frozen=True)
class From:
    """Where somebody asks from."""

    device: str
    browser: str = ""
    address: str = ""


def errand_secret(desk: Desk) -> str:
    """The record's secret for errands, made when it is missing."""
    with desk._ledger.reading() as connection:
        there = forms.secret(connection, forms.ERRAND)
    if there:
        return there
    with desk._ledger.writing() as pen:
        return forms.make_secret(pen.connection, forms.ERRAND)


def go(desk: Desk, provider: Provider, back: str) -> tuple[str, str]:
    """The address to sign in at, and the cookie that goes along. Raises ProviderError."""
    if not any_account(desk):
        raise ProviderError(say("provider.first_account"))
    return _sent(desk, provider, errand.new_errand("in", back, seconds(desk)))


def go_and_confirm(desk: Desk, provider: Provider, visitor: Visitor | None, back: str) -> tuple[str, str]:
    """The address to confirm at that one is who is signed in, and the cookie. Raises ProviderError."""
    session = visitor.session if visitor is not None else None
    if session is None or issuer_of(desk, session.account) != provider.settings.issuer:
        raise ProviderError(say("provider.not_tied", name=provider.settings.name))
    made = errand.new_errand("confirm", back, seconds(desk), session.account, session.digest)
    return _sent(desk, provider, made)


def _sent(desk: Desk, provider: Provider, made: Errand) -> tuple[str, str]:
    key = errand_secret(desk)
    return provider.there(key, made), errand.carried(key, made)


def come_back(
    desk: Desk, provider: Provider, cookie: str, said: Answer, visitor: Visitor | None, place: From
) -> Came:
    """What comes of an errand: a session, somebody to be given an account, or a confirmation. Raises
    ProviderError, which is written down where the errand was this browser's, and InputError while there is a
    time to wait."""
    key = errand_secret(desk)
    made = _own_errand(desk, key, cookie, said, visitor)
    again = _came_before(desk, said.state, place.address)
    try:
        if again:
            raise ProviderError(say("provider.came_before"))
        _must_be_an_answer(provider, said)
        person = provider.redeemed(key, made, said.code, seconds(desk))
        if made.what == "confirm":
            _confirmed(desk, provider, made, person, place)
            return Came(made)
    except ProviderError as bad:
        with desk._ledger.writing() as pen:
            body = {"account": "", "for": "provider", "why": str(bad)[:400]}
            note(desk, pen, "sign_in_refused", body, Acting("", say("people.somebody"), place.device))
        raise
    return _entered(desk, provider, made, person, place)


def _own_errand(desk: Desk, key: str, cookie: str, said: Answer, visitor: Visitor | None) -> Errand:
    """The errand, come back to the browser, and to confirm to the session, that went. Raises ProviderError,
    which is nobody's try: anybody may send anything, so the book of accounts takes none of it."""
    made = errand.opened(key, cookie, seconds(desk))
    if made is None or not compare_digest(errand.state_of(key, made).encode(), said.state.encode()):
        raise ProviderError(say("provider.other_errand"))
    here = visitor.session.digest if visitor is not None and visitor.session else ""
    if made.what == "confirm" and made.session != here:
        raise ProviderError(say("provider.other_session"))
    return made


def _came_before(desk: Desk, state: str, address: str) -> bool:
    """Whether this came before; it counts as a try. Raises InputError where this address must wait."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        wait = tries.wait(pen.connection, f"provider {address}", now, tries.FREE_ADDRESS)
        if wait:
            raise InputError(Problem("provider", "", say("people.wait", seconds=wait)))
        tries.count(pen.connection, f"provider {address}", now)
        ends = now + errand.LIVES + errand.SKEW
        return not meanwhile.keep(pen.connection, "came", state, "", ends, now)


def _must_be_an_answer(provider: Provider, said: Answer) -> None:
    """Raises ProviderError where another provider answered than was asked (RFC 9207, section 2.4), or without
    a code (RFC 6749, section 4.1.2.1)."""
    named = said.issuer or (None if provider.metadata().says_issuer else provider.settings.issuer)
    if named != provider.settings.issuer:
        raise ProviderError(say("provider.mixed_up", name=provider.settings.name))
    if said.error or not said.code:
        denied = "provider.denied" if said.error == "access_denied" else "provider.no_code"
        raise ProviderError(say(denied, name=provider.settings.name))


def _confirmed(desk: Desk, provider: Provider, made: Errand, person: Proven, place: From) -> None:
    """Note that who is signed in just signed in at the provider too. Raises ProviderError."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        tries.forget(pen.connection, f"provider {place.address}")
        if ties.account_of(pen.connection, person.issuer, person.subject) != made.account:
            raise ProviderError(say("provider.another_confirmed", name=provider.settings.name))
        held = accounts.by_id(pen.connection, made.account)
        meanwhile.drop(pen.connection, "confirmed", made.session)
        meanwhile.keep(pen.connection, "confirmed", made.session, desk.moment(), now + CONFIRMED, now)
        by = Acting(made.account, held.name if held is not None else "", place.device)
        note(desk, pen, "confirmed", {"account": made.account, "by": person.issuer}, by)


def _entered(desk: Desk, provider: Provider, made: Errand, person: Proven, place: From) -> Came:
    """A session for whoever has an account; else they are held for a while, to be given one."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        tries.forget(pen.connection, f"provider {place.address}")
        id = ties.account_of(pen.connection, person.issuer, person.subject)
        held = accounts.by_id(pen.connection, id) if id else None
        if held is None and provider.settings.newcomers == "look":
            held = _newcomer(desk, pen, provider, person, place)
        if held is None:
            secret = secrets.token_urlsafe(sessions.SECRET)
            meanwhile.keep(pen.connection, "stands", secret, json.dumps(asdict(person)), now + STANDS, now)
            return Came(made, stands=secret)
        session = _begun(desk, pen, provider, held, person, place)
    if not session:
        raise ProviderError(say("provider.no_way_in", name=provider.settings.name))
    return Came(made, session=session)


def standing(desk: Desk, secret: str) -> Proven | None:
    """Somebody of the provider who has no account yet; None where nobody stands here any more."""
    with desk._ledger.reading() as connection:
        return _standing(connection, secret, seconds(desk))


def use_code(desk: Desk, provider: Provider, secret: str, code: str, place: From) -> str:
    """Tie the account whose code this is to whoever stands here; the secret of their session. Raises
    InputError, ProviderError."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        person = _standing(pen.connection, secret, now)
        if person is None or person.issuer != provider.settings.issuer:
            raise InputError(Problem("code", "", say("provider.stands_no_more", name=provider.settings.name)))
        if ties.account_of(pen.connection, person.issuer, person.subject):
            raise InputError(Problem("code", "", say("provider.came_elsewhere", name=provider.settings.name)))
        id = tokens.owner_of(pen.connection, code, now)
        held = accounts.by_id(pen.connection, id) if id else None
        if held is None or held.closed or not tokens.use_code(pen.connection, held.id, code, now):
            raise InputError(Problem("code", "", say("provider.code_expected")))
        if ties.issuer_of(pen.connection, held.id):
            raise InputError(Problem("code", "", say("provider.tied_already")))
        meanwhile.drop(pen.connection, "stands", secret)
        _tie(desk, pen, held, person, Acting(held.id, held.name, place.device))
        session = _begun(desk, pen, provider, held, person, place)
    if not session:
        raise ProviderError(say("provider.no_way_in", name=provider.settings.name))
    return session


def _standing(connection: Any, secret: str, now: int) -> Proven | None:
    said = meanwhile.found(connection, "stands", secret, now) if secret else None
    if said is None:
        return None
    read = json.loads(said)
    return Proven(**{**read, "groups": tuple(read["groups"])})


def _newcomer(desk: Desk, pen: Pen, provider: Provider, person: Proven, place: From) -> Account:
    """A new account to look with, under the name the provider gives, made one that nobody has here."""
    plain = " ".join(person.name.split())[: accounts.LONGEST_NAME - 8] or provider.settings.name
    name, number = plain, 1
    while accounts.by_name(pen.connection, name) is not None:
        number += 1
        name = f"{plain} ({number})"
    by = Acting("", provider.settings.name, place.device)
    look: frozenset[Role] = frozenset({"look"})
    made = added(desk, pen, name, look, by)
    _tie(desk, pen, made, person, by)
    return made


def _tie(desk: Desk, pen: Pen, held: Account, person: Proven, by: Acting) -> None:
    ties.tie(pen.connection, person.issuer, person.subject, held.id)
    body = {"account": held.id, "issuer": person.issuer, "subject": person.subject}
    note(desk, pen, "account_tied", body, by)


def _begun(desk: Desk, pen: Pen, provider: Provider, held: Account, person: Proven, place: From) -> str:
    """The secret of a session, "" where the account may not come in."""
    if held.closed or not _roles(desk, pen, provider, held, person, place):
        body = {"account": held.id, "for": "provider"}
        note(desk, pen, "sign_in_refused", body, Acting("", say("people.somebody"), place.device))
        return ""
    body = {"account": held.id, "by": person.issuer}
    note(desk, pen, "signed_in", body, Acting(held.id, held.name, place.device))
    return sessions.begin(pen.connection, held.id, place.device, place.browser, seconds(desk))


def _roles(desk: Desk, pen: Pen, provider: Provider, held: Account, person: Proven, place: From) -> bool:
    """Give the roles the provider's claim says, where the plant goes by it; False where that is none. Who
    keeps accounts is never up to the provider."""
    settings = provider.settings
    if not settings.claim:
        return True
    said = frozenset[Role]().union(*(settings.roles.get(group, frozenset()) for group in person.groups))
    if not said and settings.newcomers == "look":
        said = frozenset({"look"})
    wanted = said | (held.roles & {"keeper"})
    if not wanted:
        sessions.end(pen.connection, held.id)
        tokens.strike(pen.connection, held.id)
        return False
    give_roles(desk, pen, held, wanted, Acting("", settings.name, place.device))
    return True


def confirmed(desk: Desk, visitor: Visitor | None) -> str:
    """When whoever is signed in confirmed it at the provider, "" where they have to first."""
    session = visitor.session if visitor is not None else None
    if session is None:
        return ""
    with desk._ledger.reading() as connection:
        return meanwhile.found(connection, "confirmed", session.digest, seconds(desk)) or ""


def spend(desk: Desk, visitor: Visitor | None) -> str:
    """Use a confirmation up: when it was given, "" where there was none. Of two at once one has it."""
    session, at = visitor.session if visitor is not None else None, confirmed(desk, visitor)
    if session is None or not at:
        return ""
    with desk._ledger.writing() as pen:
        return at if meanwhile.drop(pen.connection, "confirmed", session.digest) else ""


def _give_back(desk: Desk, visitor: Visitor | None, at: str) -> None:
    """Let a confirmation that was spent on what was refused count for as long as it would have."""
    session = visitor.session if visitor is not None else None
    if session is not None:
        ends = int(datetime.fromisoformat(at).timestamp()) + CONFIRMED
        with desk._ledger.writing() as pen:
            meanwhile.keep(pen.connection, "confirmed", session.digest, at, ends, seconds(desk))


def must_be_sure(desk: Desk, visitor: Visitor, password: str) -> None:
    """Raises InputError unless whoever is signed in gives their password or, without one, just confirmed at
    the provider that it is them; that is then used up."""
    if visitor.account.password:
        must_know(desk, visitor.account, password)
    elif not spend(desk, visitor):
        raise InputError(Problem("confirmation", "", say("provider.confirm_first")))


@contextmanager
def kept_beside(desk: Desk, provider: Provider | None, visitor: Visitor | None) -> Iterator[Beside | None]:
    """How somebody without a password signs meanwhile: with a key kept here, opened because they just
    confirmed, which is used up by that unless the signature is refused. None where there is no provider to
    confirm at."""
    if provider is None:
        yield None
        return
    spent: list[str] = []
    try:
        yield _opener(desk, provider, visitor, spent)
    except InputError:
        for at in spent:
            _give_back(desk, visitor, at)
        raise


def _opener(desk: Desk, provider: Provider, visitor: Visitor | None, spent: list[str]) -> Beside:
    """Opens the key. spent: takes the confirmation that it used up."""
    seal_key = provider.seal_key

    def opened(held: Account) -> tuple[Ed25519PrivateKey, Mapping[str, str]]:
        own = visitor if visitor is not None and visitor.account.id == held.id else None
        at = spend(desk, own)
        if own is None or not at:
            raise InputError(Problem("confirmation", "", say("provider.confirm_first")))
        spent.append(at)
        pair = held.key if held.key.public else _new_key(desk, held, seal_key, own.acting)
        private = keys.opened_beside(pair, seal_key)
        if private is None:
            raise InputError(Problem("seals", "", say("provider.other_seals")))
        return private, {"by": provider.settings.issuer, "at": at}

    return opened


def _new_key(desk: Desk, held: Account, seal_key: bytes, by: Acting) -> keys.KeyPair:
    """A key for somebody who signs for the first time; the one that is there, where another process was
    quicker."""
    with desk._ledger.writing() as pen:
        now = accounts.by_id(pen.connection, held.id)
        if now is not None and now.key.public:
            return now.key
        pair = keys.new_pair_beside(seal_key)
        accounts.change(pen.connection, held.id, key=pair.public, sealed=pair.sealed)
        body = {"account": held.id, "key": pair.public, "kept": "here, opened by the provider"}
        note(desk, pen, "account_key", body, by)
        return pair
