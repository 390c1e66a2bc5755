"""Templates to pages."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Hashable
from contextlib import suppress
from contextvars import ContextVar
from functools import cache, lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Match

from whitemetal import units
from whitemetal.desk.signing import standing
from whitemetal.errors import WhitemetalError
from whitemetal.job.by_quantity import in_words
from whitemetal.web.adopting import of_clearance, of_quantity
from whitemetal.web.greyed import greyed
from whitemetal.web.visitor import account_of, heads_text, name_of
from whitemetal.words import has_words, say

HERE = Path(__file__).parent


def segment(text: object) -> str:
    """One segment of an address."""
    return quote(str(text), safe="")


def length(value: float | None, unit: str) -> str:
    """A length [m] as the bearing's clearances are shown."""
    if value is None:
        return "–"
    return units.show(value, unit, "length", step=units.clearance_step(unit))


def percent(value: float | None) -> str:
    """A probability in words' reach: never "100 %" of something uncertain."""
    if value is None:
        return "–"
    if value >= 0.999:
        return "> 99.9 %"
    if value <= 0.001:
        return "< 0.1 %"
    return f"{100 * value:.1f} %"


def fine(value: float | None, unit: str) -> str:
    """A contribution to an uncertainty, to 0.1 µm or 0.001 thou."""
    if value is None:
        return "–"
    if unit == "mm":
        return units.show(value, "µm", "length", step=1e-7)
    return units.show(value, "thou", "length", step=1e-3 * units.INCH / 1000)


def degrees_of_freedom(value: float) -> str:
    """Degrees of freedom as a whole number."""
    return "∞" if math.isinf(value) or value > 1e6 else f"{value:.0f}"


def device(browser: str) -> str:
    """What a browser says of the machine it runs on: what stands in its first brackets (a comment by
    RFC 9110, 10.1.5); all it says where it has none."""
    found = re.search(r"\(([^()]+)\)", browser)
    return found[1] if found else browser


def called(field: str) -> str:
    """A field of a form as people call it; its own name where that is said already."""
    return say(f"field.{field}") if has_words("field", field) else field


SIGNS = {"within limits": "✓", "outside limits": "✕", "not proven": "?", "fit": "✓", "not fit": "✕"}


def word(verdict: str) -> Markup:
    """A verdict with its sign; the word says it, the sign only helps the eye."""
    return Markup('<span class="word {}"><span class="sign" aria-hidden="true">{}</span> {}</span>').format(
        verdict.replace(" ", "-"), SIGNS.get(verdict, "·"), verdict
    )


@lru_cache(maxsize=2048)
def answer(asked: Hashable, prefix: str) -> Markup:
    """A field on a form; it looks the same as long as nothing in it has changed."""
    made: Markup = environment().get_template("_field.html").module.answer(asked, prefix)  # type: ignore[attr-defined]
    return made


def loop_id(key: str) -> str:
    """A fact's key as part of an element's id."""
    return "".join(letter if letter.isalnum() else f"-{ord(letter):x}-" for letter in key)


@cache
def environment() -> Environment:
    """The templates."""
    env = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    env.globals.update(
        say=say, heads_text=heads_text, loop_id=loop_id, word=word, answer=answer, called=called
    )
    env.filters.update(
        segment=segment, size=length, percent=percent, fine=fine, dof=degrees_of_freedom, quantity=in_words,
        adopt=of_quantity, adopt_clearance=of_clearance, device=device, written=units.written,
    )  # fmt: skip
    return env


WORD = "token"
"""Name of the field in which a form carries its word."""

FORM_WORD: ContextVar[str] = ContextVar("form_word", default="")
"""The word of the forms of whoever is being answered, "" where nobody signs in."""

LACKING: ContextVar[Callable[[str], str] | None] = ContextVar("lacking", default=None)
"""What whoever is being answered may not do who sends a form to a path (`greyed`); None where nobody signs
in."""

_FORM = re.compile(r'<form\b[^>]*\bmethod="post"[^>]*>')


def fragment(name: str, **context: Any) -> str:
    """A part of a page, every form in it with its word, greyed where it is not for who looks."""
    made = environment().get_template(name).render(**context)
    word, lacking = FORM_WORD.get(), LACKING.get()
    if lacking is not None:
        made = greyed(made, lacking)
    return _FORM.sub(rf'\g<0><input type="hidden" name="{WORD}" value="{word}">', made) if word else made


def page(request: Request, name: str, status: int = 200, **context: Any) -> HTMLResponse:
    """A whole page. Every template sees ``who``, ``account`` (None where nobody is signed in), ``nonce``,
    ``here`` (this page's address), whether the record is ``writable``, and on a page of a job how its bearing
    stands (``standing``, a line)."""
    return HTMLResponse(
        fragment(
            name,
            who=name_of(request),
            account=account_of(request),
            nonce=request.state.nonce,
            writable=request.app.state.desk.writable,
            standing=_standing(request),
            **{"here": _here(request), **context},
        ),
        status_code=status,
    )


def _here(request: Request) -> str:
    """The address of this page. Where it answers a form that was sent to an address without a page, that of
    the page the address lies under: it can be gone back to."""
    path = request.url.path
    while request.method == "POST" and path and not _shows(request, path):
        path = path.rpartition("/")[0]
    return path or "/"


def _shows(request: Request, path: str) -> bool:
    asked = {**request.scope, "method": "GET", "path": path, "raw_path": path.encode()}
    return any(route.matches(asked)[0] is Match.FULL for route in request.app.routes)


def _standing(request: Request) -> str:
    """How the bearing of the job this page is of stands, once somebody signed or conceded; else ""."""
    job = request.path_params.get("job", "") or (
        request.path_params.get("book", "") if request.url.path.startswith("/record/") else ""
    )
    if not job:
        return ""
    desk = request.app.state.desk
    with suppress(WhitemetalError):
        return standing(desk, desk.job(job))
    return ""
