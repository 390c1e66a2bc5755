"""Signing: who did the job and who checked it, what voids a signature, and what a signed job still takes in.

A signature covers what its writer had seen, by the links and never by a clock. Any entry beside it that its
writer had not seen voids it, but another signature. Two signatures of two people for the two parts, over the
same entries, shut the job: from then on only an entry that opens it again, and says why, is written. What
another device had written before it knew of them still arrives, is kept and shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product
from typing import Any

from whitemetal.errors import InputError, Problem
from whitemetal.job.account import Account, Written
from whitemetal.job.entry import Entry, book_digest
from whitemetal.job.sight import Clock, stamped
from whitemetal.job.signatures import LEAVES, PARTS, Concession, OpenPoint, Reopened, Signature, Signing
from whitemetal.words import say

SIGNED, CONCESSION, REOPENED = "signed/1", "concession/1", "reopened/1"
Person = tuple[str, str]
"""Name, and id of the account, "" without one."""


def signing_of(account: Account) -> Signing:
    """What signing leaves on a job."""
    signed = account.all(SIGNED)
    concessions = tuple(_concession(account, one) for one in account.all(CONCESSION))
    if not signed:
        return Signing(concessions=concessions, reopened=_reopenings(account))
    void = {one.id: _void(account, one) for one in signed}
    pairs = list(_pairs(account, signed))
    whole = [pair for pair in pairs if not any(void[one.id] for one in pair)]
    return Signing(
        tuple(_signature(one, void[one.id]) for one in signed),
        concessions,
        _reopenings(account),
        shut=bool(pairs),
        signed=bool(whole),
        says=tuple(_says(account, signed, void, pairs, whole)),
    )


def is_shut(account: Account) -> bool:
    """Whether two people signed the job and nobody opened it again since."""
    return next(_pairs(account, account.all(SIGNED)), None) is not None


def may_write(account: Account, kind: str, typed: str = "") -> None:
    """Raises InputError where the job is signed, for anything but what opens it again."""
    if kind == REOPENED or not account.groups(SIGNED) or not is_shut(account):
        return
    names = " + ".join(dict.fromkeys(one.by for pair in _pairs(account, account.all(SIGNED)) for one in pair))
    raise InputError(Problem(say("signing.the_job"), typed, say("signing.is_shut", by=names)))


def may_sign(account: Account, part: str, name: str, leaves: str, state: str, person: str = "") -> None:
    """Raises InputError unless this person may sign for this part of the job as of now. state: digest of the
    book as it was shown to them. person: id of their account, "" without one."""
    if part not in PARTS:
        raise InputError(Problem("part", part, say("ledger.one_of", choices=", ".join(PARTS))))
    if leaves not in LEAVES:
        raise InputError(Problem("leaves", leaves, say("ledger.one_of", choices=", ".join(LEAVES))))
    if state != account.book_digest():
        raise InputError(Problem(say("signing.the_job"), state[:12], say("signing.moved_on")))
    standing = [one for one in account.all(SIGNED) if not _void(account, one)]
    for one in standing:
        if one.text("part") == part:
            raise InputError(Problem("part", part, say("signing.part_signed", by=one.by)))
        if same_person(_person(one), (name, person)):
            raise InputError(Problem("name", name, say("signing.another_person")))
        if one.text("leaves") != leaves:
            raise InputError(Problem("leaves", leaves, say("signing.same_leave", leaves=one.text("leaves"))))


def false_states(entries: Iterable[Entry]) -> Iterator[Entry]:
    """The signatures among all entries of a job that are over another state than the one their writer had
    seen by the links: nobody was ever shown it."""
    pairs = stamped(entries)
    for signed, stamp in pairs:
        if signed.kind != SIGNED:
            continue
        heads: dict[str, tuple[int, str]] = {}
        for entry, other in pairs:
            if entry.id != signed.id and stamp.saw(other):
                heads[entry.device] = max(heads.get(entry.device, (0, "")), (entry.seq, entry.digest))
        if signed.body.get("state") != book_digest(digest for _, digest in heads.values()):
            yield signed


def may_reopen(account: Account, why: str) -> None:
    """Raises InputError unless the job is signed and it is said why it is opened again."""
    if not is_shut(account):
        raise InputError(Problem(say("signing.the_job"), why, say("signing.not_shut")))
    if not why.strip():
        raise InputError(Problem("why", why, say("ledger.reason")))


def same_person(one: Person, other: Person) -> bool:
    """Whether two are one person: by their accounts where both have one, else as far as names tell."""
    (name, account), (other_name, other_account) = one, other
    if account and other_account:
        return account == other_account
    return " ".join(name.split()).casefold() == " ".join(other_name.split()).casefold()


def _person(one: Written) -> Person:
    return one.by, one.text("account")


def _pairs(account: Account, signed: list[Written]) -> Iterator[tuple[Written, Written]]:
    """Pairs of signatures of two people for both parts, over the same entries, which nobody opened again."""
    parts = [[one for one in signed if one.text("part") == part] for part in PARTS]
    for did, checked in product(*parts):
        two = not same_person(_person(did), _person(checked))
        agree = two and did.text("leaves") == checked.text("leaves")
        if agree and not _between(account, did.stamp.clock, checked.stamp.clock):
            opened = [
                one
                for one in account.all(REOPENED)
                if not (did.stamp.saw(one.stamp) and checked.stamp.saw(one.stamp))
            ]
            if not opened:
                yield did, checked


def _void(account: Account, one: Written) -> str:
    """Why a signature does not count any more, "" while it does."""
    opened = [other for other in account.all(REOPENED) if not one.stamp.saw(other.stamp)]
    if opened:
        return say("signing.void_reopened", by=opened[0].by, why=opened[0].text("why"))
    heads = {device: seq for device, (seq, _) in account.heads.items()}
    unseen = _between(account, one.stamp.clock, heads)
    return say("signing.void_moved", count=unseen) if unseen else ""


def _between(account: Account, one: Clock, other: Clock) -> int:
    """How many entries that are no signatures lie between two sights."""
    devices = set(one) | set(other)
    reach = {device: sorted((one.get(device, 0), other.get(device, 0))) for device in devices}
    inside = sum(high - low for low, high in reach.values())
    signatures = [
        written
        for written in account.all(SIGNED)
        if reach.get(written.stamp.device, [0, 0])[0]
        < written.stamp.seq
        <= reach.get(written.stamp.device, [0, 0])[1]
    ]
    return inside - len(signatures)


def _signature(one: Written, void: str) -> Signature:
    seal = one.body.get("seal")
    return Signature(
        one.id, one.text("part"), one.by, one.at, one.text("state"), one.text("card"), one.text("program"),
        one.text("leaves"), one.body["shown"], void,
        {str(key): str(text) for key, text in seal.items()} if isinstance(seal, dict) else {},
    )  # fmt: skip


def _concession(account: Account, one: Written) -> Concession:
    return Concession(
        one.id, tuple(map(_point, one.body["against"])), one.text("reason"), one.text("restrictions"),
        one.text("until"), one.text("engineer"), one.by, one.at, account.struck_words(one.id),
    )  # fmt: skip


def _point(value: Any) -> OpenPoint:
    said = value if isinstance(value, dict) else {}
    return OpenPoint(*(str(said.get(word, "")) for word in ("key", "text", "word")))


def _reopenings(account: Account) -> tuple[Reopened, ...]:
    return tuple(Reopened(one.id, one.text("why"), one.by, one.at) for one in account.all(REOPENED))


def _says(
    account: Account, signed: list[Written], void: dict[str, str],
    pairs: list[tuple[Written, Written]], whole: list[tuple[Written, Written]],
) -> Iterator[str]:  # fmt: skip
    """What does not agree: entries that came after a job was signed, and signatures that make no pair."""
    if pairs and not whole:
        yield say("signing.came_late", void=void[pairs[0][0].id])
    standing = [one for one in signed if not void[one.id]]
    if not whole and {one.text("part") for one in standing} == set(PARTS):
        who = ", ".join(f"{one.by}: {one.text('part')}, {one.text('leaves')}" for one in standing)
        yield say("signing.no_pair", who=who)
