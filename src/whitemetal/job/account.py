"""The running account of a job: what a fold has gathered so far, one entry at a time.

Taking an entry in costs the same however many came before, and the order among entries that did not know
of each other does not matter; an entry must come after everything it links to. The account can be written
down as plain JSON values and taken up again, and must then equal the full fold.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from whitemetal.job.entry import Entry, book_digest
from whitemetal.job.kinds import KINDS, STRUCK, UNKNOWN, kind_of
from whitemetal.job.sight import Stamp, stamped
from whitemetal.words import say

FOLD_VERSION = 2
"""Raised with every change of what an account gathers, so that older stored ones are thrown away. Our own."""


@dataclass(frozen=True)
class Written:
    """One entry as the account keeps it."""

    stamp: Stamp
    kind: str
    by: str
    at: str
    body: Mapping[str, Any]

    @property
    def id(self) -> str:
        """The entry's id."""
        return self.stamp.id

    def text(self, word: str) -> str:
        """A text of the body, "" when it has none."""
        return str(self.body.get(word, ""))


Slots = dict[str, list[Written]]


class Account:
    """What the entries of one job come to. ``kept``: by kind, group and slot (see `kinds.KINDS`).

    Struck readings move from "reading/1" to STRUCK; other struck entries stay where they are, except
    facts, which go. ``ids``: every entry's kind and group. ``changed``: kind and group of what is no longer
    as it was last shown.
    """

    def __init__(self) -> None:
        self.kept: dict[str, dict[str, Slots]] = {}
        self.ids: dict[str, tuple[str, str]] = {}
        self.heads: dict[str, tuple[int, str]] = {}
        self.changed: set[tuple[str, str]] = set()

    def add(self, entry: Entry, stamp: Stamp) -> None:
        """Take one entry in. The same id again changes nothing."""
        if entry.id in self.ids:
            return
        kind = kind_of(entry)
        written = Written(stamp, entry.kind, entry.by.get("name", ""), entry.at, entry.body)
        group, slot = _address(kind, written)
        self.ids[entry.id] = (kind, group)
        seq, digest = self.heads.get(entry.device, (0, ""))
        self.heads[entry.device] = max((entry.seq, entry.digest), (seq, digest))
        self.changed.add((kind, group))
        if self.strikes_of(entry.id):
            self.changed.add(("strike/1", group))
        if kind == "strike/1":
            self._put(kind, group, slot, written)
            self._strike(group)
        elif kind != UNKNOWN and KINDS[kind].replaces:
            self._replace(kind, group, slot, written)
        elif kind == "reading/1" and self.strikes_of(entry.id):
            self._put(STRUCK, group, slot, written)
        else:
            self._put(kind, group, slot, written)

    def all(self, kind: str, group: str | None = None) -> list[Written]:
        """Everything kept of a kind (in one group, or in all), in the order of the links."""
        groups = self.kept.get(kind, {})
        chosen = groups.values() if group is None else [groups.get(group, {})]
        return sorted(
            (written for slots in chosen for held in slots.values() for written in held),
            key=lambda written: written.stamp.rank,
        )

    def groups(self, kind: str) -> tuple[str, ...]:
        """Groups in which something of a kind is kept."""
        return tuple(self.kept.get(kind, {}))

    def slots(self, kind: str, group: str) -> Mapping[str, list[Written]]:
        """What is kept of a kind in a group, by slot."""
        return self.kept.get(kind, {}).get(group, {})

    def at(self, kind: str, group: str, slot: str) -> list[Written]:
        """What is kept in one slot."""
        return self.slots(kind, group).get(slot, [])

    def strikes_of(self, entry: str) -> list[Written]:
        """The strikes on an entry, in the order of the links."""
        return sorted(self.at("strike/1", entry, ""), key=lambda strike: strike.stamp.rank)

    def struck_words(self, entry: str) -> str:
        """Who struck an entry and why, in words; "" when nobody did."""
        strikes = self.strikes_of(entry)
        return say("ledger.struck_by", by=strikes[0].by, why=strikes[0].text("why")) if strikes else ""

    def book_digest(self) -> str:
        """Digest of the book as far as it was taken in."""
        return book_digest(digest for _, digest in self.heads.values())

    def _put(self, kind: str, group: str, slot: str, written: Written) -> None:
        self.kept.setdefault(kind, {}).setdefault(group, {}).setdefault(slot, []).append(written)

    def _replace(self, kind: str, group: str, slot: str, written: Written) -> None:
        """Keep only what no other in the slot has seen, and what was not struck."""
        slots = self.kept.setdefault(kind, {}).setdefault(group, {})
        held = [other for other in slots.get(slot, []) if not written.stamp.saw(other.stamp)]
        struck = KINDS[kind].strikeable and self.strikes_of(written.id)
        slots[slot] = held if struck else [*held, written]

    def _strike(self, target: str) -> None:
        kind, group = self.ids.get(target, ("", ""))
        self.changed.add(("strike/1", group))
        if kind not in ("reading/1", "fact/1"):
            return
        for slot, held in self.slots(kind, group).items():
            for written in [one for one in held if one.id == target]:
                held.remove(written)
                if kind == "reading/1":
                    self._put(STRUCK, group, slot, written)


def _address(kind: str, written: Written) -> tuple[str, str]:
    """Group and slot of an entry. Readings of one place in different squeezes have different slots."""
    rule = KINDS.get(kind)
    if rule is None:
        return "", ""
    group = written.text(rule.group) if rule.group else ""
    slot = written.text(rule.slot) if rule.slot else ""
    return group, f"{slot}\n{written.body['squeeze']}" if kind == "reading/1" else slot


def account_of(entries: Iterable[Entry]) -> Account:
    """The account of a job from all its entries, in whatever order they come."""
    account = Account()
    for entry, stamp in stamped(entries):
        account.add(entry, stamp)
    return account


def to_json(account: Account) -> dict[str, Any]:
    """The account as plain JSON values."""
    kept = {
        kind: {
            group: {slot: [_written_json(one) for one in held] for slot, held in slots.items()}
            for group, slots in groups.items()
        }
        for kind, groups in account.kept.items()
    }
    return {"kept": kept, "ids": account.ids, "heads": account.heads}


def from_json(value: Mapping[str, Any]) -> Account:
    """An account as it was written down. Raises KeyError, TypeError or ValueError when it was not one."""
    account = Account()
    account.kept = {
        kind: {
            group: {slot: [_written_from(one) for one in held] for slot, held in slots.items()}
            for group, slots in groups.items()
        }
        for kind, groups in value["kept"].items()
    }
    account.ids = {entry: (kind, group) for entry, (kind, group) in value["ids"].items()}
    account.heads = {device: (seq, digest) for device, (seq, digest) in value["heads"].items()}
    return account


def _written_json(written: Written) -> list[Any]:
    stamp = written.stamp
    return [
        stamp.id, stamp.device, stamp.seq, stamp.clock, written.kind, written.by, written.at, written.body
    ]  # fmt: skip


def _written_from(value: list[Any]) -> Written:
    id, device, seq, clock, kind, by, at, body = value
    return Written(Stamp(id, device, seq, clock), kind, by, at, body)
