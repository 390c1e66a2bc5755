"""The record: every entry with its digest, and the walk along the chains."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from whitemetal.desk.faults import told
from whitemetal.job.clocks import ahead, put_back
from whitemetal.units import whole
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page

router = APIRouter()
AT_ONCE = 500
"""Entries shown on one page of the record."""


@router.get("/verify")
def show_verify(request: Request) -> Response:
    """Walk every chain and show what was found."""
    desk = desk_of(request)
    found = desk.walk()
    return page(request, "verify.html", found=found, told={one: told(desk, one) for one in found.faults})


@router.get("/record/{book}")
def show_record(request: Request, book: str) -> Response:
    """The entries of a book, oldest first."""
    entries = desk_of(request).entries(book)
    text = request.query_params.get("from", "0")
    start = min(whole(text) or 0, len(entries))
    return page(
        request, "record.html", book=book, entries=entries[start : start + AT_ONCE], start=start,
        total=len(entries), step=AT_ONCE, back=put_back(entries),
        ahead={entry.id for entry in ahead(entries, desk_of(request).moment())},
    )  # fmt: skip
