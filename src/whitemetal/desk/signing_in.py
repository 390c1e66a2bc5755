"""Signing in and out, by password or by token, and signing with one's key."""

from __future__ import annotations

import base64
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from whitemetal.desk.desk import Desk
from whitemetal.desk.people import BOOK, Acting, any_account, keys_of, note, seconds, set_password
from whitemetal.desk.record import new_id
from whitemetal.desk.rows import Writer
from whitemetal.desk.signing import Seal, unsealed
from whitemetal.errors import InputError, LedgerError, Problem
from whitemetal.job.signing import CONCESSION, REOPENED, SIGNED
from whitemetal.people import accounts, keys, passwords, sessions, signature, tokens, tries
from whitemetal.people.accounts import Account
from whitemetal.people.roles import LEAVES, SECOND, Leave
from whitemetal.people.sessions import Session
from whitemetal.people.tokens import Token
from whitemetal.words import say

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

CHECKED = "checked"
"""The part of a job that is signed second."""

AT_ONCE = 4
"""Passwords looked at together: each takes 64 MiB while it is. Our own."""

Beside = Callable[[Account], tuple["Ed25519PrivateKey", Mapping[str, str]]]
"""The key of somebody without a password, which is kept here, and how they confirmed that it is them. Raises
InputError where they did not."""

Used = TypeVar("Used", Session, Token)
_TURN = threading.BoundedSemaphore(AT_ONCE)


@dataclass(frozen=True)
class Visitor:
    """Somebody who is signed in. leaves: what they may do now, by their roles and their token's scope."""

    account: Account
    leaves: frozenset[Leave]
    session: Session | None = None
    token: Token | None = None

    @property
    def acting(self) -> Acting:
        """As what they do to an account is written down."""
        return Acting(self.account.id, self.account.name, self.session.device if self.session else "")


def sign_in(
    desk: Desk, name: str, password: str, *, device: str, browser: str = "", address: str = ""
) -> str:
    """Begin a session; the secret for its cookie. Raises InputError, which never says whether the name or the
    password was wrong, nor looks at a password while there is a time to wait; also where the account was
    changed while the password was looked at."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        held = accounts.by_name(pen.connection, name)
        _wait(pen.connection, _who(held, name), address, now)
        tries.count(pen.connection, _who(held, name), now)
        tries.count(pen.connection, f"address {address}", now)
    good = _looked_at(held.password if held is not None and not held.closed else "", password)
    with desk._ledger.writing() as pen:
        if not good or held is None or accounts.by_id(pen.connection, held.id) != held:
            body = {"account": held.id if held is not None else ""}
            note(desk, pen, "sign_in_refused", body, Acting("", say("people.somebody"), device))
        else:
            tries.forget(pen.connection, _who(held, name))
            tries.forget(pen.connection, f"address {address}")
            tries.sweep(pen.connection, now)
            if passwords.dated(held.password):
                accounts.change(pen.connection, held.id, password=passwords.hashed(password))
            note(desk, pen, "signed_in", {"account": held.id}, Acting(held.id, held.name, device))
            return sessions.begin(pen.connection, held.id, device, browser, now)
    raise InputError(Problem("password", "", say("people.name_or_password")))


def by_session(desk: Desk, secret: str) -> Visitor | None:
    """Who has this session; None when there is none, it is over, or its account was closed."""
    now = seconds(desk)
    with desk._ledger.reading() as connection:
        session = sessions.found(connection, secret, now)
        held = accounts.by_id(connection, session.account) if session is not None else None
    if session is None or held is None or held.closed:
        return None
    _mark(desk, session, now, sessions.mark)
    return Visitor(held, _leaves(held), session=session)


def by_token(desk: Desk, text: str) -> Visitor | None:
    """Whose token this is; None when it is none, is over, or its account was closed."""
    now = seconds(desk)
    with desk._ledger.reading() as connection:
        token = tokens.found(connection, text, now)
        held = accounts.by_id(connection, token.account) if token is not None else None
    if token is None or held is None or held.closed:
        return None
    _mark(desk, token, now, tokens.mark)
    return Visitor(held, _leaves(held) & token.scope, token=token)


def _mark(desk: Desk, used: Used, now: int, mark: Callable[[Any, Used, int], None]) -> None:
    """Note now and then that a session or a token was used. Where nothing can be written it can be read all
    the same, and ends as if nobody had come."""
    if desk.writable and now - used.used >= sessions.MARKED:
        with suppress(LedgerError), desk._ledger.writing() as pen:
            mark(pen.connection, used, now)


def sign_out(desk: Desk, visitor: Visitor, digest: str = "") -> bool:
    """End a session of one's own: this one, or the one named by its digest. False when there is none."""
    ends = digest or (visitor.session.digest if visitor.session else "")
    with desk._ledger.writing() as pen:
        if not ends or not sessions.end(pen.connection, visitor.account.id, ends):
            return False
        note(desk, pen, "signed_out", {"account": visitor.account.id}, visitor.acting)
    return True


def sign_out_everywhere(desk: Desk, id: str, by: Acting) -> int:
    """End every session of an account; how many there were."""
    with desk._ledger.writing() as pen:
        count = sessions.end(pen.connection, id)
        note(desk, pen, "signed_out", {"account": id, "everywhere": "yes"}, by)
    return count


def change_password(desk: Desk, visitor: Visitor, old: str, new: str) -> None:
    """Choose another password: every session ends, also this one, and the key is sealed anew. Raises
    InputError."""
    held = visitor.account
    passwords.must_be_good(new, held.name)
    must_know(desk, held, old)
    key = held.key
    if key.sealed:
        again = keys.sealed_anew(key, old, new)
        if again is None:
            raise InputError(Problem("password", "", say("people.password_wrong")))
        key = again
    with desk._ledger.writing() as pen:
        if accounts.by_id(pen.connection, held.id) != held:
            raise InputError(Problem("password", "", say("people.password_wrong")))
        set_password(desk, pen, held, new, visitor.acting, key)


def sessions_of(desk: Desk, id: str) -> tuple[Session, ...]:
    """The open sessions of an account, the newest first."""
    with desk._ledger.reading() as connection:
        return sessions.of_account(connection, id, seconds(desk))


def tokens_of(desk: Desk, id: str) -> tuple[Token, ...]:
    """The tokens of an account."""
    with desk._ledger.reading() as connection:
        return tokens.of_account(connection, id)


def new_token(desk: Desk, visitor: Visitor, title: str, scope: frozenset[Leave], days: int) -> str:
    """A token for a program, with no more leave than its owner has. Raises InputError."""
    if not scope <= _leaves(visitor.account):
        raise InputError(Problem("scope", " ".join(sorted(scope)), say("people.scope_expected")))
    with desk._ledger.writing() as pen:
        id, now = new_id(), seconds(desk)
        text = tokens.new_token(pen.connection, id, visitor.account.id, title, scope, days, now)
        said = {"account": visitor.account.id, "token": id, "scope": " ".join(sorted(scope)), "days": days}
        note(desk, pen, "token", {**said, "title": title.strip()}, visitor.acting)
    return text


def strike_token(desk: Desk, visitor: Visitor, id: str) -> bool:
    """Take a token of one's own out of use. False when there is none."""
    with desk._ledger.writing() as pen:
        if not id or not tokens.strike(pen.connection, visitor.account.id, id):
            return False
        note(desk, pen, "token_struck", {"account": visitor.account.id, "token": id}, visitor.acting)
    return True


def may_sign_second(visitor: Visitor | None) -> bool:
    """Whether somebody may sign that a job was checked; without accounts anybody may."""
    return visitor is None or bool(visitor.account.roles & set(SECOND))


def sealer(desk: Desk, job: str, writer: Writer, password: str, beside: Beside | None = None) -> Seal:
    """Seals the body of an entry of a job with the writer's key; leaves it as it is where there are no
    accounts. beside: the key of somebody without a password; what they sign says how they confirmed. Sealing
    raises InputError on a wrong password, on a second signature by somebody who does not check, and on a
    concession by somebody who is no engineer."""
    if not writer.account:
        return unsealed
    by = {"name": writer.name, "id": writer.account}

    def seal(kind: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
        with desk._ledger.reading() as connection:
            held = accounts.by_id(connection, writer.account)
        if held is None or held.closed or not (held.key.public or beside):
            raise InputError(Problem("password", "", say("people.no_account")))
        _must_hold_the_office(held, kind, body)
        if held.key.public and not held.key.sealed:
            return _brought(held, job, kind, by, body, password)
        if beside is not None and not held.password:
            key, confirmed = beside(held)
            return signature.signed(key, job, kind, by, {**body, "confirmed": dict(confirmed)})
        must_know(desk, held, password)
        private = keys.opened(held.key, password)
        if private is None:
            raise InputError(Problem("password", "", say("people.password_wrong")))
        return signature.signed(private, job, kind, by, body)

    return seal


def _must_hold_the_office(held: Account, kind: str, body: Mapping[str, Any]) -> None:
    if body.get("part") == CHECKED and not held.roles & set(SECOND):
        raise InputError(Problem("part", CHECKED, say("people.second_only")))
    if kind == CONCESSION and "engineer" not in held.roles:
        raise InputError(Problem("concession", "", say("people.engineer_only")))


def seals_of(desk: Desk, job: str) -> dict[str, str]:
    """What a person should know of the seal of each entry of a job that is signed or gives leave, by entry: a
    sentence. A record without accounts says nothing of entries without one."""
    owners = keys_of(desk)
    accounts_here = any_account(desk)
    said = {}
    for entry in desk.kept_of(job, SIGNED, CONCESSION, REOPENED):
        standing, key = signature.standing(entry), signature.key_of(entry)
        if standing == "bad":
            said[entry.id] = say("people.seal_bad", key=key[:12])
        elif standing == "good" and owners.get(key) != entry.by.get("id", ""):
            said[entry.id] = say("people.seal_stranger", key=key[:12])
        elif standing == "good":
            said[entry.id] = say("people.seal_good", key=key[:12]) + _how_confirmed(entry.body)
        elif accounts_here:
            said[entry.id] = say("people.seal_none")
    return said


def _how_confirmed(body: Mapping[str, Any]) -> str:
    """How somebody without a password confirmed that it was them, in words; "" under a password."""
    how = body.get("confirmed")
    if not isinstance(how, Mapping):
        return ""
    at = str(how.get("at", ""))[:16].replace("T", " ")
    return " " + say("provider.sealed_so", by=str(how.get("by", ""))[:200], at=at)


def must_know(desk: Desk, held: Account, password: str) -> None:
    """Raises InputError unless this is the account's password; wrong tries slow the next one down."""
    now = seconds(desk)
    with desk._ledger.writing() as pen:
        _wait(pen.connection, _who(held, ""), "", now)
        tries.count(pen.connection, _who(held, ""), now)
    if not _looked_at(held.password, password):
        with desk._ledger.writing() as pen:
            by = Acting("", say("people.somebody"))
            note(desk, pen, "sign_in_refused", {"account": held.id, "for": "password"}, by)
        raise InputError(Problem("password", "", say("people.password_wrong")))
    with desk._ledger.writing() as pen:
        tries.forget(pen.connection, _who(held, ""))


def history(desk: Desk, id: str = "") -> tuple[Any, ...]:
    """Entries of the people's book, of one account or all, the newest first."""
    entries = reversed(desk.entries(BOOK))
    return tuple(
        entry for entry in entries if not id or id in (entry.body.get("account"), entry.by.get("id"))
    )


def _brought(
    held: Account, job: str, kind: str, by: Mapping[str, str], body: Mapping[str, Any], signed: str
) -> Mapping[str, Any]:
    """A signature made outside, in base64, in the place of the password."""
    said = signature.statement(job, kind, by, body, held.key.public)
    key, made = signature.raw(held.key.public), signature.raw("".join(signed.split()))
    if key is None or not made or not signature.verified(key, made, said):
        raise InputError(
            Problem("signature", "", say("people.sign_this", text=base64.b64encode(said).decode()))
        )
    return signature.sealed(body, held.key.public, made)


def _leaves(held: Account) -> frozenset[Leave]:
    return frozenset().union(*(LEAVES[role] for role in held.roles))


def _looked_at(kept: str, password: str) -> bool:
    with _TURN:
        return passwords.right(kept, password[: 4 * passwords.LONGEST])


def _who(held: Account | None, name: str) -> str:
    return f"account {held.id}" if held is not None else f"name {sessions.digest_of(accounts.known_as(name))}"


def _wait(connection: Any, who: str, address: str, now: int) -> None:
    """Raises InputError while the account, or the address, must wait."""
    wait = max(
        tries.wait(connection, who, now),
        tries.wait(connection, f"address {address}", now, tries.FREE_ADDRESS) if address else 0,
    )
    if wait:
        raise InputError(Problem("password", "", say("people.wait", seconds=wait)))
