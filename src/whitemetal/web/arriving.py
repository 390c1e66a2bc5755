"""How a request may arrive: not more than can be meant, and not so slowly that it only holds a place.

A phone in a pump house is slow; somebody who opens hundreds of connections and sends a byte now and then is
not a phone. What was cut off in the middle is nobody's request: nothing of it is kept.
"""

from __future__ import annotations

import asyncio
import logging
from typing import Any

import h11
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol

from whitemetal.web.gate import LARGEST_FORM, Closed
from whitemetal.words import say

log = logging.getLogger("whitemetal.people")

LARGEST_JSON = 16 * 1024 * 1024
"""Bytes of a JSON body that are taken: twice the largest file of a logger. Our own."""

WINDOW = 30.0
"""Seconds between two looks at a request that is still arriving. Our own."""

LEAST = 2000
"""Bytes of a body that must arrive in that time: a network of 1980 managed fifteen times that. Our own."""


class Measured:
    """Pure ASGI. Stops reading a request's body where more comes than is taken, whatever was announced."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        json = Headers(scope=scope).get("content-type", "").startswith("application/json")
        most, came = LARGEST_JSON if json else LARGEST_FORM, 0

        async def receive_measured() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > most:
                log.warning("refused: more than %d bytes for %r", most, scope["path"])
                raise Closed(413, say("people.too_large", most=most // (1024 * 1024)))
            return message

        await self.app(scope, receive_measured, send)


class Patient(H11Protocol):
    """A connection that is let go of when a request comes over it too slowly: its lines must be there within
    a window of time, and of its body something in every one."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._came = 0
        self._last: object = None
        self._look: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to look now and then."""
        super().connection_made(transport)
        self._look = self.loop.call_later(WINDOW, self._look_again)

    def connection_lost(self, exc: Exception | None) -> None:
        """Look no more."""
        if self._look is not None:
            self._look.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Count what comes."""
        self._came += len(data)
        super().data_received(data)

    def _look_again(self) -> None:
        if self._too_slow():
            self.transport.abort()
            return
        self._came, self._last = 0, self.cycle
        self._look = self.loop.call_later(WINDOW, self._look_again)

    def _too_slow(self) -> bool:
        """Whether the other end had a window of time and did not use it. A connection that rests between two
        requests is the server's own affair; a body that is not read on waits for us."""
        if self.conn.their_state is h11.SEND_BODY:
            return self._came < LEAST and not self.flow.read_paused and self._last is self.cycle
        waits = self.conn.their_state is h11.IDLE and self.timeout_keep_alive_task is None
        return waits and self._last is self.cycle
