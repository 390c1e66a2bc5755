"""What is written to a whole job, as JSON under ``/api/1/``, and the gauging methods there are."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from whitemetal.desk import Desk, Kept, Writer
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging.order import method_groups
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.visitor import json_body, writer_of
from whitemetal.words import say

router = APIRouter(prefix="/api/1")
Texts = Mapping[str, str]
Verb = Callable[[Desk, str, Texts, Writer], Kept]

VERBS: Mapping[str, tuple[tuple[str, ...], Verb]] = {
    "holds": (
        ("hold", "state", "text", "check"),
        lambda desk, job, t, by: desk.set_hold(job, t["hold"], t["state"], t["text"], by, check=t["check"]),
    ),
    "fit": (
        ("what", "half", "joint", "text"),
        lambda desk, job, t, by: desk.change_fit(job, t["what"], t["half"], t["joint"], t["text"], by),
    ),
    "adopt": (("card", "reason"), lambda desk, job, t, by: desk.adopt_card(job, t["card"], t["reason"], by)),
    "strikes": (("entry", "why"), lambda desk, job, t, by: desk.strike(job, t["entry"], t["why"], by)),
    "notes": (("text",), lambda desk, job, t, by: desk.keep_note(job, t["text"], by)),
    "stripped": (("text",), lambda desk, job, t, by: desk.strip_down(job, t["text"], by)),
    "missed": (("what", "why"), lambda desk, job, t, by: desk.note_missed(job, t["what"], t["why"], by)),
}
"""By the last word of the address: the texts of the body, and what is done with them."""


def texts_of(body: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, str]:
    """The texts of a JSON object, "" where one is missing. Raises InputError on anything but text."""
    wrong = [name for name in names if not isinstance(body.get(name, ""), str)]
    if wrong:
        raise InputError(*(Problem(name, repr(body[name])[:80], say("web.text_expected")) for name in wrong))
    return {name: body.get(name, "").strip() for name in names}


def writer_from(request: Request, body: Mapping[str, Any]) -> Writer:
    """Who writes: the name in the body or the cookie, and the heads seen. Raises InputError."""
    seen = body.get("seen", [])
    if not isinstance(seen, list) or not all(isinstance(head, str) for head in seen):
        raise InputError(Problem("seen", repr(seen)[:80], say("web.heads_expected")))
    return writer_of(request, seen, str(body.get("name", "")))


@router.get("/methods")
def methods(request: Request) -> list[dict[str, Any]]:
    """The gauging methods in the order of the job and of trust."""
    return [
        {
            "key": method.key, "title": method.title, "group": group.title, "about": method.about,
            "subject": method.subject, "measures": method.measures, "proves": method.proves,
            "assesses": list(method.assesses), "views": list(method.views),
            "choices": list(method.reading_field.choices),
            "facts": [
                {"key": f.key, "label": f.label, "kind": f.kind, "scope": f.scope, "needed": f.needed,
                 "measured": f.measured, "choices": list(f.choices)}
                for f in method.fields
            ],
        }
        for group in method_groups()
        for method in group.methods
    ]  # fmt: skip


@router.post("/jobs/{job}/checks")
async def start_check(request: Request, job: str) -> Response:
    """Begin a check: {method, purpose, id, seen, name}; id: "" where the record shall make
    one; the answer names it."""
    body = await json_body(request)
    return await run_in_threadpool(_start, request, job, body)


def _start(request: Request, job: str, body: Mapping[str, Any]) -> Response:
    desk, texts = desk_of(request), texts_of(body, ("method", "purpose", "id"))
    who, id = writer_from(request, body), texts["id"] or None
    check = desk.start_check(job, texts["method"], texts["purpose"], who, id=id)
    state = desk.job(job).state
    places = [place.label for place in state.checks[check].places]
    return JSONResponse({"kept": True, "check": check, "places": places, "heads": list(state.heads)}, 201)


@router.post("/jobs/{job}/{what}")
async def keep(request: Request, job: str, what: str) -> Response:
    """Keep a hold point's state, a change of the fit, an adopted card revision, something struck out, a note,
    that the bearing was taken apart, or what was missed. Answer: "asked" is what a person must still say."""
    body = await json_body(request)
    return await run_in_threadpool(_keep, request, job, what, body)


def _keep(request: Request, job: str, what: str, body: Mapping[str, Any]) -> Response:
    if what not in VERBS:
        raise UnknownBook(what)
    names, verb = VERBS[what]
    desk, texts = desk_of(request), texts_of(body, names)
    if what == "fit" and not texts["text"]:
        raise InputError(Problem("text", "", say("web.fit_expected")))
    return told(desk, job, verb(desk, job, texts, writer_from(request, body)))


def told(desk: Desk, book: str, kept: Kept) -> Response:
    """What became of what a program sent: kept, perhaps with something to be asked, and the heads of the book
    now. Raises InputError where nothing was kept."""
    if kept.problem is not None and kept.entry is None:
        raise InputError(kept.problem)
    entry = kept.entry.id if kept.entry is not None else None
    asked = kept.problem.expected if kept.problem is not None else ""
    heads = list(heads_of_book(desk, book))
    return JSONResponse({"kept": True, "entry": entry, "asked": asked, "heads": heads}, 201)
