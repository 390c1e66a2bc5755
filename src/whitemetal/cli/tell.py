"""The command ``tell``: posts news to another program, each at least once and in order."""

from __future__ import annotations

import argparse
import hashlib
import hmac
import json
import os
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from http.client import HTTPException
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError
from urllib.request import HTTPRedirectHandler, Request, build_opener

from whitemetal.cli.command_line import seconds
from whitemetal.cli.copies import where_there
from whitemetal.cli.filing import there
from whitemetal.errors import InputError, LedgerError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.desk import Desk

PATIENCE = 20.0
"""Seconds to wait for the other program's answer. Our own."""


FORMAT = "whitemetal.told/1"
"""What each piece of news says it is."""


@dataclass(frozen=True)
class Hearer:
    """Whom to tell. secret: what the proof is made with, b"" for none."""

    to: str
    secret: bytes


@dataclass(frozen=True)
class Place:
    """How far it was told. after: the receipt of the last entry. besides: ids of what was told besides:
    openings that are due, and the first news of an entry whose others were not taken."""

    after: int = 0
    besides: frozenset[str] = frozenset()


def add_tell_options(command: argparse.ArgumentParser) -> None:
    """The options of ``tell``."""
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_keep"))
    command.add_argument("--to", metavar="ADDRESS", required=True, help=say("outbox.help_to"))
    command.add_argument("--place", metavar="FILE", default="whitemetal.told", help=say("outbox.help_place"))
    command.add_argument("--secret", metavar="FILE", default="", help=say("outbox.help_secret"))
    command.add_argument("--every", metavar="S", type=seconds, default=0.0, help=say("outbox.help_every"))


def tell(options: argparse.Namespace, sleep: Callable[[float], None] = time.sleep) -> int:
    """Tell what is new; 0, or 1 when something must be told again. With --every, until interrupted: a record
    that cannot be read for a while is said, and asked again. Raises InputError, LedgerError."""
    if not options.to.startswith(("https://", "http://")):
        raise InputError(Problem("--to", options.to, say("outbox.an_address")))
    hearer, place = Hearer(options.to, _secret(options.secret)), Path(options.place)
    _remembered(place)
    desk = there(where_there(options.database))
    try:
        while True:
            try:
                done = _round(desk, hearer, place, quiet=options.every > 0.0)
            except LedgerError as bad:
                if options.every <= 0.0:
                    raise
                print(bad, file=sys.stderr)
            if options.every <= 0.0:
                return 0 if done else 1
            sleep(options.every)
    finally:
        desk.close()


def _secret(file: str) -> bytes:
    try:
        found = Path(file).read_bytes().strip() if file else b""
    except OSError as bad:
        raise InputError(
            Problem("--secret", file, say("terminal.cannot_read", reason=(bad.strerror or "").lower()))
        ) from None
    if file and not found:
        raise InputError(Problem("--secret", file, say("outbox.a_secret")))
    return found


def _round(desk: Desk, hearer: Hearer, place: Path, *, quiet: bool) -> bool:
    """Tell all there is, then what is due; False when something must be told again."""
    count = _tell_news(desk, hearer, place)
    due = _tell_due(desk, hearer, place) if count is not None else None
    if count is None or due is None:
        return False
    if count + due or not quiet:
        print(say("outbox.told", count=count + due, after=_remembered(place).after), file=sys.stderr)
    return True


def _tell_news(desk: Desk, hearer: Hearer, file: Path) -> int | None:
    """How many pieces of news were told; None where one must be told again."""
    from whitemetal.desk.outbox import news

    place, count = _remembered(file), 0
    while True:
        found = news(desk, place.after)
        for number, one in enumerate(found.told):
            if one.id in place.besides:
                continue
            if not _posted(hearer, one.id, vars(one)):
                same = {other.id for other in found.told[:number] if other.receipt == one.receipt}
                _remember(file, Place(one.receipt - 1, place.besides | same))
                return None
            count += 1
        if found.after > place.after:
            place = replace(place, after=found.after)
            _remember(file, place)
        if not found.more:
            return count


def _tell_due(desk: Desk, hearer: Hearer, file: Path) -> int | None:
    """How many openings that have come due were told, each once; None where one must be told again."""
    from whitemetal.desk.openings import reckon_all
    from whitemetal.desk.outbox import due

    reckon_all(desk)
    place = _remembered(file)
    standing = {one.id: one for one in due(desk, date.today().isoformat())}
    told, count = place.besides & standing.keys(), 0
    for id, one in standing.items():
        if id not in told:
            if not _posted(hearer, id, {"what": "opening due", "id": id, **vars(one)}):
                return None
            told, count = told | {id}, count + 1
            _remember(file, replace(place, besides=told))
    if told != place.besides:
        _remember(file, replace(place, besides=told))
    return count


class _NowhereElse(HTTPRedirectHandler):
    """Follows no redirection: what is posted would arrive there as a question without its body."""

    def redirect_request(self, *asked: Any) -> None:
        return None


def _posted(hearer: Hearer, id: str, told: Mapping[str, Any]) -> bool:
    """Whether the other program took it: any answer of 200 to 299."""
    body = json.dumps({"format": FORMAT, **told}, ensure_ascii=False, sort_keys=True).encode()
    headers = {"Content-Type": "application/json", "Idempotency-Key": id}
    if hearer.secret:
        headers["Whitemetal-Hmac"] = hmac.new(hearer.secret, body, hashlib.sha256).hexdigest()
    try:
        asked = Request(hearer.to, body, headers, method="POST")
        with build_opener(_NowhereElse).open(asked, timeout=PATIENCE):
            return True
    except HTTPError as bad:
        print(say("outbox.refused", to=hearer.to, status=bad.code), file=sys.stderr)
    except (OSError, HTTPException, ValueError) as bad:
        why = getattr(bad, "reason", bad)
        why = getattr(why, "strerror", None) or why
        print(say("outbox.unreachable", to=hearer.to, why=str(why).lower()[:100]), file=sys.stderr)
    return False


def _remembered(place: Path) -> Place:
    if not place.exists():
        return Place()
    try:
        first, *more = place.read_text(encoding="ascii", errors="replace").split() or ["0"]
    except OSError as bad:
        reason = (bad.strerror or "").lower()
        raise InputError(Problem("--place", str(place), say("terminal.cannot_read", reason=reason))) from None
    if not first.isdecimal():
        raise InputError(Problem("--place", first[:40], say("outbox.a_place")))
    return Place(int(first), frozenset(more))


def _remember(place: Path, told: Place) -> None:
    """Written whole or not at all: the receipt, then what is due, one a line."""
    beside = place.with_name(place.name + ".new")
    try:
        beside.write_text(
            "".join(f"{one}\n" for one in (told.after, *sorted(told.besides))), encoding="ascii"
        )
        os.replace(beside, place)
    except OSError as bad:
        reason = (bad.strerror or "").lower()
        raise InputError(
            Problem("--place", str(place), say("terminal.cannot_write", reason=reason))
        ) from None
