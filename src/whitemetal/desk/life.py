"""A bearing's life at the desk: what its own book keeps of it, and what all its jobs and papers come to."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.desk import shelf
from whitemetal.desk.desk import Desk
from whitemetal.desk.film import name_folder
from whitemetal.desk.rows import JobView, Kept, Writer
from whitemetal.desk.run_in import zone_of
from whitemetal.desk.sending import once
from whitemetal.errors import InputError, Problem, WhitemetalError
from whitemetal.history.wear import Against
from whitemetal.job import counters, life_book
from whitemetal.job.life import Life, life
from whitemetal.job.life_book import LifeBook
from whitemetal.job.life_job import OfJob
from whitemetal.job.life_rule import KIND as RULE_KIND
from whitemetal.job.life_rule import Rule, rule_of, rule_typed
from whitemetal.job.run_in import run_shown
from whitemetal.job.typed import method_or_none
from whitemetal.ledger.lists import PLANT
from whitemetal.words import say

Texts = Mapping[str, str]


def life_of(desk: Desk, bearing: str, against: Against | None = None, risk: float | None = None) -> Life:
    """The life of a bearing by its newest card. Raises UnknownBook, InputError for a risk that is none."""
    with desk._ledger.reading() as connection:
        row = shelf.bearing_row(connection, bearing)
        card, _ = desk._shelf.card(connection, row.card)
        books = [job.book for job in shelf.job_rows(connection, bearing)]
    jobs = [_of_job(desk, desk.job(book)) for book in books]
    return life(card, jobs, book_of(desk, bearing), plant_rule(desk), against, risk)


def book_of(desk: Desk, bearing: str) -> LifeBook:
    """What the bearing's own book keeps of its life."""
    return life_book.life_book(desk.kept_of(bearing, *life_book.KINDS))


def plant_rule(desk: Desk) -> Rule:
    """The plant's rule for opening bearings."""
    return rule_of(desk.kept_of(PLANT, RULE_KIND))


def keep_rule(desk: Desk, texts: Texts, writer: Writer) -> Kept:
    """Set the plant's rule: {months, risk, text}. Raises InputError with everything that is wrong."""
    rule_typed(texts)
    body = {name: texts.get(name, "").strip() for name in ("months", "risk", "text")}
    return desk.write_of_plant(RULE_KIND, body, writer, typed=" ".join(body.values()))


def keep_counter(desk: Desk, bearing: str, texts: Texts, writer: Writer) -> Kept:
    """Keep what the counters showed: {date, hours, starts, anew, source}. Raises InputError with everything
    that is wrong, and where a counter would run backwards without being said to count anew."""
    read = life_book.counter_of(texts)
    if isinstance(read, InputError):
        raise read
    backwards = counters.backwards(book_of(desk, bearing).counters, read, texts)
    if backwards:
        raise InputError(*backwards)
    return _keep(desk, bearing, life_book.HOURS, texts, writer)


def keep_shells(desk: Desk, bearing: str, texts: Texts, writer: Writer) -> Kept:
    """Keep that other shells or a new lining went in: {date, shells, why, job}. Raises InputError."""
    read = life_book.shells_of(texts)
    if isinstance(read, InputError):
        raise read
    return _keep(desk, bearing, life_book.SHELLS, texts, writer)


@once
def strike_of_life(desk: Desk, bearing: str, entry: str, why: str, writer: Writer) -> Kept:
    """Strike something of a bearing's life, with the reason. It stays visible. Raises InputError."""
    with desk._writing_beside(why, None, f"strike {entry}") as pen:
        shelf.bearing_row(pen.connection, bearing)
        life_book.may_strike(book_of(desk, bearing), entry, why)
        body = {"entry": entry, "why": why.strip()}
        return desk._add_to_plant(pen, bearing, life_book.STRIKE, body, writer)


def _strike(desk: Desk, bearing: str, texts: Texts, writer: Writer) -> Kept:
    return strike_of_life(desk, bearing, texts.get("entry", ""), texts.get("why", ""), writer)


VERBS: Mapping[str, Callable[[Desk, str, Texts, Writer], Kept]] = {
    "counters": keep_counter, "shells": keep_shells, "strikes": _strike,
}  # fmt: skip
"""What a form or a program may do to a bearing's life."""


@dataclass(frozen=True)
class FilmLimit:
    """widest: the largest diametral clearance, cold [m], at which the film meets its criteria; None where at
    none, or where ``lacks`` says what the card does not. closed_by: the criterion that ends it, "" where the
    widest that was looked at still meets them."""

    widest: float | None
    closed_by: str
    lacks: str = ""


def film_limit_of(card: Card) -> FilmLimit:
    """What the oil film allows by the card alone. The first one of an installation takes a minute or two."""
    name_folder()
    from whitemetal.fitting.consequence import consequence

    if card.digest not in _FILMS:
        if len(_FILMS) >= MOST_FILMS:
            _FILMS.clear()
        try:
            intervals = consequence(card).intervals
            last = max(intervals, key=lambda one: one[1], default=None)
            _FILMS[card.digest] = FilmLimit(last[1] if last else None, last[3] if last else "")
        except InputError as bad:
            return FilmLimit(None, "", "; ".join(problem.field for problem in bad.problems))
        except WhitemetalError as bad:
            return FilmLimit(None, "", str(bad))
    return _FILMS[card.digest]


MOST_FILMS = 64
"""Cards whose film limit stays in memory. Our own."""
_FILMS: dict[str, FilmLimit] = {}


def _keep(desk: Desk, bearing: str, kind: str, texts: Texts, writer: Writer) -> Kept:
    """Keep a body of texts under an id worked out from what it says: brought in twice it is there once."""
    body = {name: texts.get(name, "").strip() for name in life_book.NEEDS[kind]}
    typed = ", ".join(text for text in body.values() if text)
    return desk.write_of_bearing(bearing, kind, body, writer, typed=typed, id=id_of(bearing, kind, body))


def id_of(bearing: str, kind: str, body: Texts) -> str:
    """The id of an entry worked out from what it says: 128 bits in base32."""
    said = json.dumps([bearing, kind, body], sort_keys=True, ensure_ascii=False)
    return base64.b32encode(hashlib.sha256(said.encode()).digest()[:16]).decode().rstrip("=").lower()


def _of_job(desk: Desk, view: JobView) -> OfJob:
    """A job with the judgements its life needs: of the clearance and of the crown."""
    wanted = [key for key, check in view.state.checks.items() if check.readings and _counts(check.method)]
    judgements = {key: desk.judgement(view.state.book, key, view) for key in wanted}
    runs = tuple(run_shown(one, view.card, zone_of) for one in view.state.runs)
    return OfJob(view.state, view.card, judgements, runs)


def _counts(method: str) -> bool:
    known = method_or_none(method)
    return known is not None and (known.measures == OIL_CLEARANCE or known.births)


def asked(text: str) -> Against | None:
    """What the wear is to be taken against, from a text; None for the usual. Raises InputError."""
    if text in ("hours", "starts", "calendar"):
        return text  # type: ignore[return-value]
    if text:
        raise InputError(Problem(say("life.against"), text, say("ledger.one_of", choices=AGAINST)))
    return None


AGAINST = "hours, starts, calendar"
