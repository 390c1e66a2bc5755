"""What a bench sends is taken in one after the other, first come first served.

All that is reckoned in a server shares one interpreter: many readings judged at the same time are all late,
and every statement to the database waits behind whoever reckons. In turn, each takes about as long as alone,
and nobody is passed over while others come.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request

from whitemetal.errors import CannotWrite
from whitemetal.words import say

AT_ONCE = 1
"""Readings that are taken in at the same time. Measured with two hundred phones; our own."""

PATIENCE = 20.0
"""Seconds after which a reading that is not its turn yet is refused, so that whoever sent it sends it again:
less than a page waits for its answer. Our own."""

P = ParamSpec("P")
T = TypeVar("T")


class Turns:
    """The queue of one application."""

    def __init__(self) -> None:
        self._of: WeakKeyDictionary[asyncio.AbstractEventLoop, asyncio.Semaphore] = WeakKeyDictionary()

    async def take(self, take_in: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        """Run ``take_in`` in a thread when it is its turn. Raises CannotWrite, before anything was kept,
        where that does not come."""
        turn = self._of.setdefault(asyncio.get_running_loop(), asyncio.Semaphore(AT_ONCE))
        try:
            async with asyncio.timeout(PATIENCE):
                await turn.acquire()
        except TimeoutError:
            raise CannotWrite(say("web.not_your_turn")) from None
        try:
            return await run_in_threadpool(take_in, *given, **named)
        finally:
            turn.release()


async def in_turn(request: Request, take_in: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
    """The same in the queue of the application that is asked."""
    turns: Turns = request.app.state.turns
    return await turns.take(take_in, *given, **named)
