"""Whether others wrote meanwhile: answered as soon as they did, or when the time is over."""

from __future__ import annotations

import asyncio
import time
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool

from whitemetal.desk.changes import digest_of_book, watch
from whitemetal.errors import InputError, Problem
from whitemetal.ledger.watching import AGAIN, SELDOM
from whitemetal.web.bench_pages import desk_of
from whitemetal.words import say

router = APIRouter(prefix="/api/1")

LONGEST = 25
"""Seconds an answer is waited for at most: less than any proxy waits. Our own."""

STEP = 0.1
"""Seconds between two looks at what was heard. Our own."""


@router.get("/books/{book}/changed")
async def changed(request: Request, book: str, seen: str = "", wait: str = "0") -> dict[str, Any]:
    """Whether a book is another one than what was ``seen`` (its digest, as pages and `/jobs/{job}` give it).
    ``wait``: seconds to wait for that, at most 25."""
    if not wait.isdecimal() or len(wait) > 3:
        raise InputError(Problem("wait", wait, say("live.seconds", most=LONGEST)))
    desk = desk_of(request)
    heard = await run_in_threadpool(watch, desk)
    until = time.monotonic() + min(int(wait), LONGEST)
    while True:
        number = heard.heard(book)
        digest = await run_in_threadpool(digest_of_book, desk, book)
        if digest != seen or time.monotonic() >= until or await request.is_disconnected():
            return {"book": book, "digest": digest, "changed": digest != seen}
        again = min(until, time.monotonic() + (SELDOM if heard.listening.is_set() else AGAIN))
        while heard.heard(book) == number and time.monotonic() < again:
            await asyncio.sleep(STEP)
            if await request.is_disconnected():
                break
