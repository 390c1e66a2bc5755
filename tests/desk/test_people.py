"""Accounts through the desk: what is kept of them, who may come in, and what a key of theirs signs."""

from __future__ import annotations

import base64
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tests.web.plant import begin
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.desk.people import BOOK, Acting
from whitemetal.desk.sending import sending
from whitemetal.errors import CannotWrite, InputError
from whitemetal.job.entry import Entry, make
from whitemetal.people import accounts, keys, passwords, sessions, signature, tokens, tries
from whitemetal.people.accounts import Account
from whitemetal.people.roles import LEAVES, ROLES, Leave, Role

ADA, BO = "Ada Invented", "Bo Invented"
FIRST, SECOND = "four brass feeler gauges", "nine lead wires in a row"
DEVICE = "d" * 26
TERMINAL = Acting("", "at the terminal")


class Clock:
    """A clock a test can move on."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        self.now += timedelta(**by)


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    opened = Desk.open(str(tmp_path / "plant.db"), clock=clock)
    yield opened
    opened.close()


@pytest.fixture
def ada(desk: Desk) -> Account:
    return people.open_first(desk, ADA, FIRST, people.first_code(desk), DEVICE)


def bo_of(desk: Desk, roles: str = "fit check") -> Account:
    held, code = people.add(desk, BO, frozenset(role for role in ROLES if role in roles.split()), TERMINAL)
    return people.join(desk, held.name, code, SECOND, DEVICE)


def inside(desk: Desk, name: str = ADA, password: str = FIRST) -> signing_in.Visitor:
    found = signing_in.by_session(desk, signing_in.sign_in(desk, name, password, device=DEVICE))
    assert found is not None
    return found


def kinds(desk: Desk) -> list[str]:
    return [entry.kind for entry in desk.entries(BOOK)]


def test_the_first_account_needs_the_code_of_the_terminal(desk: Desk) -> None:
    assert not people.any_account(desk)
    old, code = people.first_code(desk), people.first_code(desk)
    for wrong in ("", "x", old):
        with pytest.raises(InputError, match="code"):
            people.open_first(desk, ADA, FIRST, wrong, DEVICE)
    made = people.open_first(desk, ADA, FIRST, code.upper().replace("-", " "), DEVICE)
    assert made.roles == {"engineer", "keeper"}
    assert people.any_account(desk)
    assert people.first_code(desk) == ""
    with pytest.raises(InputError, match="first account"):
        people.open_first(desk, BO, SECOND, code, DEVICE)


def test_what_happens_to_an_account_is_an_entry_of_the_peoples_book(desk: Desk, ada: Account) -> None:
    bo = bo_of(desk)
    by = Acting(ada.id, ada.name, DEVICE)
    people.set_roles(desk, bo.id, frozenset({"fit"}), by)
    visitor = inside(desk, BO, SECOND)
    signing_in.sign_out(desk, visitor)
    people.close(desk, bo.id, by)
    assert kinds(desk)[-8:] == [
        "account/1", "account_code/1", "account_password/1", "account_key/1", "account_roles/1", "signed_in/1",
        "signed_out/1", "account_closed/1",
    ]  # fmt: skip
    roles = next(entry for entry in desk.entries(BOOK) if entry.kind == "account_roles/1")
    assert roles.body == {"account": bo.id, "roles": "fit", "before": "fit check", "device": DEVICE}
    assert roles.by == {"name": ADA, "id": ada.id}
    assert desk.verify() == ()


@pytest.mark.sqlite_only
def test_no_secret_stands_in_an_entry_nor_as_it_is_in_the_file(
    desk: Desk, ada: Account, tmp_path: Path
) -> None:
    secret = signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
    token = signing_in.new_token(desk, inside(desk), "nightly", frozenset({"look"}), 3)
    with pytest.raises(InputError):
        signing_in.sign_in(desk, ADA, "a password typed wrong", device=DEVICE)
    held = " ".join(str(entry) for entry in desk.entries(BOOK))
    with sqlite3.connect(tmp_path / "plant.db") as file:
        held += "\n".join(file.iterdump())
    file.close()
    assert ADA in held
    for hidden in (FIRST, secret, token, "typed wrong"):
        assert hidden not in held
    assert ada.password not in " ".join(str(entry) for entry in desk.entries(BOOK))


def test_a_session_ends_after_a_shift_and_when_it_rests(desk: Desk, clock: Clock, ada: Account) -> None:
    secret = signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
    for _ in range(5):
        clock.on(hours=2)
        assert signing_in.by_session(desk, secret) is not None
    clock.on(hours=2)
    assert signing_in.by_session(desk, secret) is None, "a shift of 12 hours is over"
    secret = signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
    clock.on(seconds=sessions.RESTS - 1)
    assert signing_in.by_session(desk, secret) is not None
    clock.on(seconds=sessions.RESTS)
    assert signing_in.by_session(desk, secret) is None


def test_a_wrong_name_and_a_wrong_password_sound_alike(desk: Desk, ada: Account) -> None:
    said = []
    for name, password in ((ADA, "wrong"), ("Nobody", FIRST), ("", "")):
        with pytest.raises(InputError) as refused:
            signing_in.sign_in(desk, name, password, device=DEVICE)
        said.append(str(refused.value))
    assert len(set(said)) == 1
    refusals = [entry.body for entry in desk.entries(BOOK) if entry.kind == "sign_in_refused/1"]
    assert [body["account"] for body in refusals] == [ada.id, "", ""], "a name nobody has is not written down"


def test_a_key_sent_again_keeps_no_wrong_try_out_of_the_book(desk: Desk, ada: Account) -> None:
    for _ in range(2):
        with sending("always the same key"), pytest.raises(InputError):
            signing_in.sign_in(desk, ADA, "wrong", device=DEVICE)
    assert [entry.kind for entry in desk.entries(BOOK)].count("sign_in_refused/1") == 2


def test_who_is_signed_in_still_reads_when_nothing_can_be_written(
    desk: Desk, clock: Clock, ada: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk, or somebody else who writes for long: only the note of when they came last is left out."""
    secret = signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
    visitor = signing_in.by_session(desk, secret)
    assert visitor is not None
    token = signing_in.new_token(desk, visitor, "a display", frozenset({"look"}), 30)
    clock.on(seconds=sessions.MARKED)

    def full(typed: str = "") -> None:
        raise CannotWrite("the disk is full")

    monkeypatch.setattr(desk._ledger, "writing", full)
    for found in (signing_in.by_session(desk, secret), signing_in.by_token(desk, token)):
        assert found is not None and found.account.id == ada.id


@pytest.mark.parametrize("change", ["closed", "password"])
def test_nobody_comes_in_by_what_was_right_when_they_knocked(
    desk: Desk, ada: Account, monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    """A password takes a moment to be looked at; meanwhile the account is closed, or gets another one."""
    looked_at = signing_in._looked_at
    visitor = signing_in.by_session(desk, signing_in.sign_in(desk, ADA, FIRST, device=DEVICE))
    assert visitor is not None

    def meanwhile(kept: str, password: str) -> bool:
        good = looked_at(kept, password)
        values = {"closed": desk.moment()} if change == "closed" else {"password": passwords.hashed(SECOND)}
        with desk._ledger.writing() as pen:
            accounts.change(pen.connection, ada.id, **values)
        return good

    monkeypatch.setattr(signing_in, "_looked_at", meanwhile)
    with pytest.raises(InputError, match="one of them is wrong"):
        signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
    monkeypatch.setattr(signing_in, "_looked_at", lambda kept, password: True)
    with pytest.raises(InputError):
        signing_in.change_password(desk, visitor, FIRST, "six bolts and a shim")
    assert passwords.right(people.account(desk, ada.id).password, "six bolts and a shim") is False


def test_capitals_and_blanks_of_a_name_do_not_matter(desk: Desk, ada: Account) -> None:
    assert inside(desk, "  ADA   invented ").account.id == ada.id
    with pytest.raises(InputError, match="name that nobody has"):
        people.add(desk, "ada INVENTED", frozenset({"fit"}), TERMINAL)


def test_wrong_tries_slow_the_next_and_nobody_is_locked_out_for_good(
    desk: Desk, clock: Clock, ada: Account
) -> None:
    """After 5: 15 s, then twice as long each time; 15 * 2^6 = 960 s is over the most of 900 s."""

    def wrong() -> str:
        with pytest.raises(InputError) as refused:
            signing_in.sign_in(desk, ADA, "wrong", device=DEVICE)
        return str(refused.value)

    for _ in range(tries.FREE):
        assert "one of them is wrong" in wrong()
    for pause in (15, 30, 60, 120, 240, 480, 900, 900):
        assert f"in {pause} s" in wrong()
        with pytest.raises(InputError, match="wait"):
            signing_in.sign_in(desk, ADA, FIRST, device=DEVICE)
        clock.on(seconds=pause - 1)
        assert "in 1 s" in wrong()
        clock.on(seconds=1)
        assert "one of them is wrong" in wrong()
    clock.on(seconds=tries.LONGEST_WAIT)
    assert inside(desk).account.id == ada.id
    assert "one of them is wrong" in wrong(), "a right try wiped out the wrong ones"


def test_an_address_that_tries_many_names_must_wait_too(desk: Desk, ada: Account) -> None:
    for number in range(tries.FREE_ADDRESS):
        with pytest.raises(InputError, match="one of them"):
            signing_in.sign_in(desk, f"nobody {number}", "x", device=DEVICE, address="192.0.2.7")
    with pytest.raises(InputError, match="wait"):
        signing_in.sign_in(desk, ADA, FIRST, device=DEVICE, address="192.0.2.7")
    assert signing_in.sign_in(desk, ADA, FIRST, device=DEVICE, address="192.0.2.8")


def test_another_password_ends_every_session_and_keeps_the_key(desk: Desk, ada: Account) -> None:
    here, there = inside(desk), inside(desk)
    with pytest.raises(InputError, match="password"):
        signing_in.change_password(desk, here, "wrong", SECOND)
    with pytest.raises(InputError, match="12 to 128"):
        signing_in.change_password(desk, here, FIRST, "short")
    signing_in.change_password(desk, here, FIRST, SECOND)
    assert signing_in.sessions_of(desk, ada.id) == ()
    assert here.session is not None and there.session is not None
    now = people.account(desk, ada.id)
    assert now.key.public == ada.key.public
    assert keys.opened(now.key, SECOND) is not None
    assert keys.opened(now.key, FIRST) is None
    with pytest.raises(InputError):
        inside(desk)
    assert inside(desk, password=SECOND).account.id == ada.id


def test_a_code_is_good_once_and_for_three_days(desk: Desk, clock: Clock, ada: Account) -> None:
    held, code = people.add(desk, BO, frozenset({"fit"}), TERMINAL)
    with pytest.raises(InputError):
        inside(desk, BO, "")
    clock.on(seconds=tokens.CODE_LIVES)
    with pytest.raises(InputError, match="code"):
        people.join(desk, BO, code, SECOND, DEVICE)
    code = people.new_code(desk, held.id, TERMINAL)
    people.join(desk, BO, code, SECOND, DEVICE)
    with pytest.raises(InputError, match="code"):
        people.join(desk, BO, code, FIRST, DEVICE)
    with pytest.raises(InputError, match="code"):
        people.join(desk, ADA, people.new_code(desk, held.id, TERMINAL), SECOND, DEVICE)


def test_a_forgotten_password_gives_a_new_key_and_the_old_signature_stays_good(
    desk: Desk, ada: Account
) -> None:
    entry = sealed_by(desk, ada, FIRST)
    people.join(desk, ADA, people.new_code(desk, ada.id, TERMINAL), SECOND, DEVICE)
    now = people.account(desk, ada.id)
    assert now.key.public != ada.key.public
    assert signature.standing(entry) == "good"
    assert people.keys_of(desk) == {ada.key.public: ada.id, now.key.public: ada.id}


def sealed_by(desk: Desk, held: Account, password: str, job: str = "j" * 26) -> Entry:
    writer = Writer(held.name, DEVICE, account=held.id)
    body = signing_in.sealer(desk, job, writer, password)("signed/1", {"state": "ab" * 32})
    return make(
        id="x" * 26, book=job, kind="signed/1", device=DEVICE, seq=1, prev="", after=(),
        at="2026-03-02T06:00:00.000Z", offset=0, by={"name": held.name, "id": held.id}, body=body,
    )  # fmt: skip


def test_a_person_signs_with_their_password_and_nobody_else_does(desk: Desk, ada: Account) -> None:
    entry = sealed_by(desk, ada, FIRST)
    assert signature.standing(entry) == "good"
    assert signature.key_of(entry) == ada.key.public
    assert signature.standing(replace(entry, body={**entry.body, "state": "cd" * 32})) == "bad"
    with pytest.raises(InputError, match="your password"):
        sealed_by(desk, ada, SECOND)
    bo = bo_of(desk)
    with pytest.raises(InputError, match="your password"):
        sealed_by(desk, bo, FIRST)
    people.close(desk, bo.id, TERMINAL)
    with pytest.raises(InputError, match="account"):
        sealed_by(desk, bo, SECOND)


def test_without_accounts_a_body_stays_as_it_is(desk: Desk) -> None:
    body = {"state": "ab" * 32}
    assert signing_in.sealer(desk, "j" * 26, Writer(ADA, DEVICE), "")("signed/1", body) is body


def test_a_person_may_sign_with_a_key_that_never_comes_here(desk: Desk, ada: Account) -> None:
    private = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    people.bring_key(desk, ada.id, keys.public_of(private), Acting(ada.id, ada.name))
    with pytest.raises(InputError) as asked:
        sealed_by(desk, ada, FIRST)
    said = base64.b64decode(str(asked.value).rpartition(": ")[2])
    assert said.startswith(b"whitemetal.signature/1\n")
    made = base64.b64encode(private.sign(said)).decode()
    assert signature.standing(sealed_by(desk, ada, made)) == "good"
    with pytest.raises(InputError):
        sealed_by(desk, ada, made, job="k" * 26)


def test_nobody_brings_the_key_of_another(desk: Desk, ada: Account) -> None:
    """It stands under every signature for all to see; brought by Bo, what Ada signed would look like a stranger's."""
    signed = sealed_by(desk, ada, FIRST)
    bo = bo_of(desk)
    with pytest.raises(InputError, match="somebody else's"):
        people.bring_key(desk, bo.id, signature.key_of(signed), Acting(bo.id, bo.name))
    assert people.keys_of(desk)[signature.key_of(signed)] == ada.id
    own = keys.public_of(Ed25519PrivateKey.from_private_bytes(bytes(range(32))))
    for _ in range(2):
        people.bring_key(desk, ada.id, own, Acting(ada.id, ada.name))
    assert people.keys_of(desk)[own] == ada.id
    with desk._ledger.writing() as pen:  # as an older program would have taken it
        body = {"account": bo.id, "key": own, "kept": "by its owner"}
        people.note(desk, pen, "account_key", body, Acting(bo.id, bo.name))
    assert people.keys_of(desk)[own] == ada.id, "who had it first"


def test_somebody_must_keep_the_accounts(desk: Desk, ada: Account) -> None:
    with pytest.raises(InputError, match="another keeper"):
        people.close(desk, ada.id, TERMINAL)
    for roles in (frozenset[Role]({"engineer"}), frozenset[Role]()):
        with pytest.raises(InputError):
            people.set_roles(desk, ada.id, roles, TERMINAL)
    people.add(desk, BO, frozenset({"keeper"}), TERMINAL)
    with pytest.raises(InputError, match="another keeper"):
        people.close(desk, ada.id, TERMINAL)
    assert people.account(desk, ada.id) == ada


def test_other_roles_and_a_closed_account_take_effect_at_once(desk: Desk, ada: Account) -> None:
    bo = bo_of(desk)
    secret = signing_in.sign_in(desk, BO, SECOND, device=DEVICE)
    people.set_roles(desk, bo.id, frozenset({"look"}), TERMINAL)
    assert signing_in.by_session(desk, secret) is None
    visitor = inside(desk, BO, SECOND)
    assert visitor.leaves == {"look"}
    token = signing_in.new_token(desk, visitor, "screen", frozenset({"look"}), 30)
    assert signing_in.by_token(desk, token) is not None
    people.close(desk, bo.id, TERMINAL)
    assert signing_in.by_token(desk, token) is None
    with pytest.raises(InputError):
        inside(desk, BO, SECOND)


def test_a_token_has_a_scope_and_an_end(desk: Desk, clock: Clock, ada: Account) -> None:
    bo = bo_of(desk)
    visitor = inside(desk, BO, SECOND)
    token = signing_in.new_token(desk, visitor, "logger", frozenset({"look"}), 2)
    found = signing_in.by_token(desk, token)
    assert found is not None
    assert found.account.id == bo.id
    assert found.leaves == {"look"}
    assert found.token is not None
    wrong: tuple[tuple[set[Leave], int], ...] = (
        ({"sign"}, 2), ({"keep people"}, 2), (set(), 2), ({"look"}, 0), ({"look"}, 367),
    )  # fmt: skip
    for scope, days in wrong:
        with pytest.raises(InputError):
            signing_in.new_token(desk, visitor, "x", frozenset(scope), days)
    with pytest.raises(InputError, match="words"):
        signing_in.new_token(desk, visitor, "  ", frozenset({"look"}), 2)
    assert signing_in.by_token(desk, token + "x") is None
    assert not signing_in.strike_token(desk, inside(desk), found.token.id), "only its owner strikes it"
    clock.on(days=2)
    assert signing_in.by_token(desk, token) is None
    token = signing_in.new_token(desk, visitor, "logger", frozenset({"look"}), 2)
    assert signing_in.strike_token(desk, visitor, signing_in.tokens_of(desk, bo.id)[-1].id)
    assert signing_in.by_token(desk, token) is None


def test_a_lost_phone_is_signed_out(desk: Desk, ada: Account) -> None:
    phone, desktop = inside(desk), inside(desk)
    assert phone.session is not None and desktop.session is not None
    assert signing_in.sign_out(desk, desktop, phone.session.digest)
    assert [one.digest for one in signing_in.sessions_of(desk, ada.id)] == [desktop.session.digest]
    assert not signing_in.sign_out(desk, desktop, phone.session.digest)
    bo = bo_of(desk)
    assert not signing_in.sign_out(desk, inside(desk, BO, SECOND), desktop.session.digest), "another's"
    assert signing_in.sign_out_everywhere(desk, bo.id, TERMINAL) == 1


def test_a_session_and_a_token_of_a_closed_account_are_nobodys(desk: Desk, ada: Account) -> None:
    """Closing ends them; one that were left all the same would open nothing."""
    bo = bo_of(desk)
    secret = signing_in.sign_in(desk, BO, SECOND, device=DEVICE)
    token = signing_in.new_token(desk, inside(desk, BO, SECOND), "nightly", frozenset({"look"}), 3)
    assert signing_in.by_session(desk, secret) and signing_in.by_token(desk, token)
    with desk._ledger.writing() as pen:
        accounts.change(pen.connection, bo.id, closed=desk.moment())
    assert signing_in.by_session(desk, secret) is None
    assert signing_in.by_token(desk, token) is None


def test_what_the_roles_may_do() -> None:
    assert all("look" in leaves for leaves in LEAVES.values())
    assert {role for role in ROLES if "write" in LEAVES[role]} == {"fit", "check", "engineer"}
    assert {role for role in ROLES if "set limits" in LEAVES[role]} == {"engineer"}
    assert {role for role in ROLES if "keep people" in LEAVES[role]} == {"keeper"}


def test_only_a_checker_or_engineer_signs_second(desk: Desk, ada: Account) -> None:
    assert signing_in.may_sign_second(None)
    assert signing_in.may_sign_second(inside(desk))
    bo_of(desk, "fit")
    assert not signing_in.may_sign_second(inside(desk, BO, SECOND))


def test_a_second_signature_and_a_concession_need_the_office(desk: Desk, ada: Account) -> None:
    bo = bo_of(desk, "fit")
    seal = signing_in.sealer(desk, "j" * 26, Writer(BO, DEVICE, account=bo.id), SECOND)
    assert seal("signed/1", {"part": "did"})["seal"]
    with pytest.raises(InputError, match="check or engineer"):
        seal("signed/1", {"part": "checked"})
    with pytest.raises(InputError, match="an engineer"):
        seal("concession/1", {"reason": "none"})
    people.set_roles(desk, bo.id, frozenset({"check"}), TERMINAL)
    assert seal("signed/1", {"part": "checked"})["seal"]


def test_a_page_says_of_each_seal_whether_it_is_whole_and_the_signers(desk: Desk, ada: Account) -> None:
    job = begin(desk, Writer(BO, "b" * 26)).job
    bo = bo_of(desk)
    body = {"part": "did", "state": "ab" * 32}

    def kept(said: Mapping[str, Any], by: Account) -> str:
        kept = desk.write(job, "signed/1", said, Writer(by.name, DEVICE, account=by.id))
        assert kept.entry is not None
        return signing_in.seals_of(desk, job)[kept.entry.id]

    sealed = signing_in.sealer(desk, job, Writer(ada.name, DEVICE, account=ada.id), FIRST)("signed/1", body)
    assert "whole" in kept(sealed, ada)
    assert "BROKEN" in kept({**sealed, "state": "cd" * 32}, ada)
    assert "BROKEN" in kept(sealed, bo), "another's name under it"
    assert "BROKEN" in kept({**body, "seal": {"x": "y"}}, ada)
    assert "by name alone" in kept(body, ada)
    private = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    forged = signature.signed(private, job, "signed/1", {"name": ada.name, "id": ada.id}, body)
    assert "never the signer's" in kept(forged, ada)


@pytest.mark.sqlite_only
def test_a_tampered_peoples_book_is_found(desk: Desk, ada: Account, tmp_path: Path) -> None:
    bo_of(desk, "look")
    with sqlite3.connect(tmp_path / "plant.db") as file:
        file.execute("DROP TRIGGER entry_never_UPDATE")
        file.execute('UPDATE entry SET content = replace(content, \'"roles":"look"\', \'"roles":"fit"\')')
    file.close()
    assert [fault.book for fault in desk.verify()] == [BOOK]
