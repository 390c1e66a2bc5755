"""The command ``tell``: posts news to another program, each at least once and in order."""

from __future__ import annotations

import argparse
import hashlib
import hmac
import json
import os
import sys
import time
from http.client import HTTPException
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError
from urllib.request import HTTPRedirectHandler, Request, build_opener

from whitemetal.cli.filing import there
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.desk import Desk
    from whitemetal.desk.outbox import Told

PATIENCE = 20.0
"""Seconds to wait for the other program's answer. Our own."""


def add_tell_options(command: argparse.ArgumentParser) -> None:
    """The options of ``tell``."""
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_keep"))
    command.add_argument("--to", metavar="ADDRESS", required=True, help=say("outbox.help_to"))
    command.add_argument("--place", metavar="FILE", default="whitemetal.told", help=say("outbox.help_place"))
    command.add_argument("--secret", metavar="FILE", default="", help=say("outbox.help_secret"))
    command.add_argument("--every", metavar="S", type=float, default=0.0, help=say("outbox.help_every"))


def tell(options: argparse.Namespace) -> int:
    """Tell what is new; 0, or 1 when something must be told again. Raises InputError, LedgerError."""
    if not options.to.startswith(("https://", "http://")):
        raise InputError(Problem("--to", options.to, say("outbox.an_address")))
    secret = Path(options.secret).read_bytes().strip() if options.secret else b""
    desk = there(options.database)
    try:
        while True:
            done = _round(desk, options.to, Path(options.place), secret)
            if options.every <= 0.0:
                return 0 if done else 1
            time.sleep(options.every)
    finally:
        desk.close()


def _round(desk: Desk, to: str, place: Path, secret: bytes) -> bool:
    """Tell all there is; False when something must be told again."""
    from whitemetal.desk.outbox import news

    after, count = _remembered(place), 0
    while True:
        found = news(desk, after)
        for one in found.told:
            if not _posted(to, one, secret):
                _remember(place, one.receipt - 1)
                return False
            count += 1
        if found.after > after:
            after = found.after
            _remember(place, after)
        if not found.more:
            print(say("outbox.told", count=count, after=after), file=sys.stderr)
            return True


class _NowhereElse(HTTPRedirectHandler):
    """Follows no redirection: what is posted would arrive there as a question without its body."""

    def redirect_request(self, *asked: Any) -> None:
        return None


def _posted(to: str, one: Told, secret: bytes) -> bool:
    body = json.dumps(vars(one), ensure_ascii=False, sort_keys=True).encode()
    headers = {"Content-Type": "application/json", "Idempotency-Key": one.id}
    if secret:
        headers["Whitemetal-Hmac"] = hmac.new(secret, body, hashlib.sha256).hexdigest()
    try:
        with build_opener(_NowhereElse).open(Request(to, body, headers, method="POST"), timeout=PATIENCE):
            return True
    except HTTPError as bad:
        print(say("outbox.refused", to=to, status=bad.code), file=sys.stderr)
    except (OSError, HTTPException) as bad:
        print(say("outbox.unreachable", to=to, why=str(bad)[:100]), file=sys.stderr)
    return False


def _remembered(place: Path) -> int:
    if not place.exists():
        return 0
    text = place.read_text(encoding="ascii", errors="replace").strip()
    if not text.isdecimal():
        raise InputError(Problem("--place", text[:40], say("outbox.a_place")))
    return int(text)


def _remember(place: Path, after: int) -> None:
    """Written whole or not at all."""
    beside = place.with_name(place.name + ".new")
    beside.write_text(f"{after}\n", encoding="ascii")
    os.replace(beside, place)
