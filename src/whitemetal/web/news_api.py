"""News for other programs, as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request

from whitemetal.desk.outbox import news, news_json
from whitemetal.errors import InputError, Problem
from whitemetal.web.bench_pages import desk_of
from whitemetal.words import say

router = APIRouter(prefix="/api/1")


@router.get("/news")
def show_news(request: Request, after: str = "0", due: str = "") -> dict[str, Any]:
    """What was signed, left not fit or opened again since a receipt; ``due`` (YYYY-MM-DD) adds the bearings
    whose next opening has come by that day. Ask again with the ``after`` of the answer."""
    if not after.isdecimal() or len(after) > 15:
        raise InputError(Problem("after", after, say("outbox.after")))
    return news_json(news(desk_of(request), int(after), due))
