"""A request that a device may have to send again: the same key gives the same ids, so twice changes nothing.

A device without a connection keeps what was entered, each under a key of its own, and sends it when it can.
It cannot know whether an answer that never came meant "not kept". Every id that the desk makes while it
answers a request with a key is therefore worked out from the key, and a verb whose entry is there already
returns it and asks nothing again. Nothing is stored for this besides the entries themselves.

The ids are counted for each thing that is written, not for the request: what a request leaves out when it
comes again, because it is there already, must not lend its id to what comes after.

The entry's time is when it was written: the device says how long ago that was by its own clock, so that a
clock that is wrong by an hour still gives the right time.
"""

from __future__ import annotations

import base64
import hashlib
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import timedelta
from functools import wraps
from inspect import signature
from typing import Concatenate, ParamSpec, TypeVar

from whitemetal.desk.rows import Kept
from whitemetal.errors import InputError, Problem, WhitemetalError
from whitemetal.job.entry import Entry
from whitemetal.words import say

LONGEST_KEY = 64
"""Letters of a key that are accepted: enough for 256 random bits in base32. Our own."""

LONGEST_AGO = timedelta(days=400)
"""A device that kept a thing for longer than this has a clock that cannot be trusted. Our own."""

TYPED = ("text", "why", "reason")
"""What people type into an entry, by its name there and in the verb: the rest may be worked out anew when the
same comes again."""

P = ParamSpec("P")
Record = TypeVar("Record")


@dataclass
class Sending:
    """The request being answered. key: made by the device, "" where every
    entry of the request has an id of its own. ago: how long ago it was written there. what: is being written,
    "" before anything is. made: how many ids of each were worked out from the key so far."""

    key: str
    ago: timedelta = timedelta()
    what: str = ""
    made: Counter[str] = field(default_factory=Counter)

    def next(self) -> str:
        """The next id of what is being written."""
        self.made[self.what] += 1
        return self._id(self.made[self.what])

    def ahead(self) -> str:
        """The id that `next` will give."""
        return self._id(self.made[self.what] + 1)

    def _id(self, number: int) -> str:
        digest = hashlib.sha256(f"{self.key}\n{self.what}\n{number}".encode()).digest()
        return base64.b32encode(digest[:16]).decode().rstrip("=").lower()


class AlreadyKept(WhitemetalError):
    """What this request asks to keep is there already. entry: as it was kept."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(entry.id)
        self.entry = entry


_HELD: ContextVar[Sending | None] = ContextVar("sending", default=None)


def in_hand() -> Sending | None:
    """The request being answered, None when it has no key."""
    return _HELD.get()


@contextmanager
def writing(what: str) -> Iterator[Sending | None]:
    """The request being answered, for as long as it writes this; None when it has no key."""
    request = _HELD.get()
    if request is None or not request.key:
        yield None
        return
    before, request.what = request.what, what
    try:
        yield request
    finally:
        request.what = before


@contextmanager
def sending(key: str, ago: timedelta = timedelta()) -> Iterator[None]:
    """Answer a request that may come again. ago: below zero counts as now."""
    token = _HELD.set(Sending(key, min(max(ago, timedelta()), LONGEST_AGO)))
    try:
        yield
    finally:
        _HELD.reset(token)


def must_be_the_same(held: Entry, texts: Mapping[str, object]) -> None:
    """What comes again under a key must say what was kept under it, or it would be lost without a word.
    texts: by their names in the entry's body. Raises InputError."""
    for name, text in texts.items():
        was = held.body.get(name)
        if isinstance(text, str) and isinstance(was, str) and _bare(text) != _bare(was):
            raise InputError(Problem("idempotency-key", text[:200], say("ledger.same_key", text=was[:200])))


@contextmanager
def kept_once(said: Mapping[str, object]) -> Iterator[None]:
    """What is written in here once, and left out when the same request comes again. said: its texts. Raises
    InputError where they are others."""
    try:
        yield
    except AlreadyKept as there:
        must_be_the_same(there.entry, said)


def _bare(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip()


def once(verb: Callable[Concatenate[Record, P], Kept]) -> Callable[Concatenate[Record, P], Kept]:
    """A verb that returns the entry it kept before when the same request comes again. Raises InputError when
    what comes under its key is another text."""
    form = signature(verb)

    @wraps(verb)
    def again(desk: Record, /, *given: P.args, **named: P.kwargs) -> Kept:
        try:
            return verb(desk, *given, **named)
        except AlreadyKept as there:
            said = form.bind(desk, *given, **named).arguments
            body = said.get("body")
            texts = {**(body if isinstance(body, Mapping) else {}), **said}
            must_be_the_same(there.entry, {name: texts[name] for name in TYPED if name in texts})
            return Kept(there.entry)

    return again
