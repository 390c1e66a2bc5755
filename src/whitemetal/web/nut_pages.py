"""The nuts of a cap, one by one by thumb: whose turn it is, to what, and what was pulled before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.card import Card
from whitemetal.closing.sequence import Pass
from whitemetal.desk import JobView
from whitemetal.drawing import Spot, State, cap_svg
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.gauging.tightening.doubts import shown
from whitemetal.gauging.tightening.evaluate import MOVED, STILL
from whitemetal.gauging.tightening.layout import sequence_of, turns
from whitemetal.gauging.tightening.progress import Progress, Round, Turn, progress
from whitemetal.job.holds import hold_key
from whitemetal.job.state import CheckState
from whitemetal.units import whole
from whitemetal.web.asked import View, lacking_of
from whitemetal.web.bench import caution
from whitemetal.web.bench_pages import base_of, desk_of
from whitemetal.web.guard import new_id
from whitemetal.web.keeping import keep_facts, keep_sent, sent_from
from whitemetal.web.render import page
from whitemetal.web.summary import by_weight
from whitemetal.web.visitor import heads_from, writer_of
from whitemetal.words import say

router = APIRouter()
NUTS = "/jobs/{job}/checks/{check}/nuts"
FORMAT = "whitemetal.nuts/1"
UNITS = ("N m", "lbf ft", "lbf in")
ROUND_FACT = "last_round"
LAST_ROUND = next(field for field in TIGHTENING.fields if field.key == ROUND_FACT)


@dataclass(frozen=True)
class Asked:
    """A nut that has a reading in this pass, and what to do with a further one."""

    place: str
    text: str
    old: str
    entry: str


@dataclass(frozen=True)
class Nuts:
    """What the page shows. target: of the pass shown, as text, "" where no torque is known. chosen: the nut
    whose turn it is or that was tapped, None when the pass is through. unit: on the box."""

    progress: Progress
    shown: Round
    chosen: Turn | None
    target: str
    unit: str
    picture: Markup


@router.get(NUTS)
def show_nuts(request: Request, job: str, check: str) -> Response:
    """The nuts of a check of tightening; any other check has its bench page."""
    return _nuts(request, job, check, dict(request.query_params), (), None)


def _found(request: Request, job: str, check: str) -> tuple[JobView, CheckState]:
    """The job and its check. Raises UnknownBook."""
    view = desk_of(request).job(job)
    if check not in view.state.checks:
        raise UnknownBook(check)
    return view, view.state.checks[check]


def _nuts(
    request: Request, job: str, check: str, typed: Mapping[str, str], problems: tuple[Problem, ...],
    asked: Asked | None,
) -> Response:  # fmt: skip
    view, found = _found(request, job, check)
    if found.method != TIGHTENING.key:
        return RedirectResponse(base_of(job, check), status_code=303)
    return nuts_page(request, view, check, typed, problems, asked)


def nuts_page(
    request: Request, view: JobView, check: str, typed: Mapping[str, str],
    problems: tuple[Problem, ...] = (), asked: Asked | None = None, **more: str,
) -> Response:  # fmt: skip
    """The page of a check of tightening in this view of its job. more: told to the page."""
    found, job = view.state.checks[check], view.state.book
    judgement = desk_of(request).judgement(job, check, view)
    lacking, others = lacking_of(TIGHTENING, judgement.warnings, View())
    lacking = tuple(one for one in lacking if one.label != LAST_ROUND.label)
    bad = bool(problems) or asked is not None
    return page(
        request, "nuts.html", 422 if bad else 200, state=view.state, card=view.card, check=found, typed=typed,
        base=base_of(job, check), problems=problems, asked=asked, nuts=nuts_of(view.card, found, typed),
        verdict=judgement.verdict, lacking=lacking, warnings=by_weight(others), units=UNITS, fresh=new_id,
        cautions=[caution(key) for key in TIGHTENING.cautions], moved=MOVED, still=STILL, stale=found.stale,
        holds=[one for one in TIGHTENING.hold_points if not _closed(view, one.key, check)],
        said_round=_round_said(found),
        gauges=sorted({*desk_of(request).instruments(), *(one.instrument for one in found.readings)} - {""}),
        gauge=typed.get("instrument") or (found.readings[-1].instrument if found.readings else ""),
        target_of=lambda order: target_of(view.card, order), **more,
    )  # fmt: skip


def _round_said(found: CheckState) -> str:
    return found.facts[ROUND_FACT].text if ROUND_FACT in found.facts else ""


def _closed(view: JobView, hold: str, check: str) -> bool:
    held = view.state.holds.get(hold_key(hold, check))
    return held is not None and held.closed


def nuts_of(card: Card, found: CheckState, asked: Mapping[str, str]) -> Nuts | None:
    """What the page shows of the nuts; None where the card has no order for them."""
    made = progress(card, found.places, found.readings)
    if made is None:
        return None
    wanted = asked.get("pass", asked.get("squeeze", ""))
    chosen_round = next((one for one in made.rounds if str(one.order.number) == wanted), made.now)
    tapped = next((one for one in chosen_round.turns if one.label == asked.get("nut")), None)
    told = chosen_round.order.last and _round_said(found) == STILL
    chosen = tapped or (None if told else chosen_round.next)
    target = target_of(card, chosen_round.order)
    unit = next((unit for unit in UNITS[1:] if unit in target), UNITS[0])
    return Nuts(made, chosen_round, chosen, target, unit, _picture(card, found, chosen_round, chosen))


def nut_addresses(card: Card, base: str) -> list[str]:
    """Where the nuts of a check at ``base`` are ticked, and each pass of them by itself."""
    order = sequence_of(card)
    passes = order.passes if order is not None else ()
    return [f"{base}/nuts", *(f"{base}/nuts?pass={one.number}" for one in passes)]


def target_of(card: Card, order: Pass) -> str:
    """A pass's torque as text: as it stands on the card where it is the final one."""
    if order.torque is None:
        return ""
    typed = card.typed.get("fasteners.torque", "")
    return typed.strip() if order.share == 1.0 and typed else shown(card, order.torque)


def _picture(card: Card, found: CheckState, one: Round, chosen: Turn | None) -> Markup:
    at = {turn.label: turn for turn in one.turns}
    spots = [
        Spot(
            place.label, place.axial, place.angle, _read(at[place.label]), _mark(at[place.label]), place.piece
        )
        for place in found.places
    ]
    nut = chosen.label if chosen is not None else ""
    return Markup(cap_svg(card, spots, order=turns(one.order), next=nut, box_height=40.0))


def _read(turn: Turn) -> str:
    return turn.readings[-1].text if turn.readings else ""


def _mark(turn: Turn) -> State:
    return "" if turn.at_target is None else "within limits" if turn.at_target else "not proven"


@router.post(NUTS)
async def pull_nut(request: Request, job: str, check: str) -> Response:
    """A nut pulled to a torque, or what the last round came to."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, check, form)


def _keep(request: Request, job: str, check: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    if _found(request, job, check)[1].method != TIGHTENING.key:
        raise UnknownBook(check)
    try:
        if ROUND_FACT in typed:
            return _keep_round(request, job, check, typed)
        return _keep_nut(request, job, check, typed)
    except InputError as bad:
        return _nuts(request, job, check, typed, bad.problems, None)


def _keep_nut(request: Request, job: str, check: str, typed: Mapping[str, str]) -> Response:
    desk = desk_of(request)
    _, found = _found(request, job, check)
    if not typed.get("text", "").strip():
        raise InputError(Problem(typed.get("place", ""), "", say("closing.torque_expected")))
    squeeze = typed.get("squeeze", "")
    body: dict[str, Any] = {**typed, "squeeze": squeeze if whole(squeeze) is None else int(squeeze)}
    writer = writer_of(request, heads_from(typed.get("seen", "")))
    outcome = keep_sent(desk, job, check, sent_from(body), writer)
    if outcome.ask:
        old = _standing(found, typed, int(squeeze))
        told = (outcome.problem,) if outcome.problem is not None else ()
        entry, was = (old.entry, old.text) if old is not None else ("", "")
        asked = Asked(typed.get("place", ""), typed.get("text", ""), was, entry)
        return _nuts(request, job, check, typed, told if typed.get("mode") else (), asked)
    if outcome.problem is not None:
        return _nuts(request, job, check, typed, (outcome.problem,), None)
    query = "" if _is_through(request, job, check, squeeze) else f"?pass={squeeze}"
    return RedirectResponse(f"{base_of(job, check)}/nuts{query}#next", status_code=303)


def _is_through(request: Request, job: str, check: str, squeeze: str) -> bool:
    """Whether the pass just written in has every nut, so that the next one is shown."""
    view, found = _found(request, job, check)
    made = progress(view.card, found.places, found.readings)
    here = made.rounds if made is not None else ()
    return any(str(one.order.number) == squeeze and one.next is None for one in here)


def _standing(found: CheckState, typed: Mapping[str, str], squeeze: int) -> Any:
    place = typed.get("place", "")
    here = [one for one in found.readings if one.place == place and one.squeeze == squeeze]
    return here[-1] if here else None


def _keep_round(request: Request, job: str, check: str, typed: Mapping[str, str]) -> Response:
    """The last round in one answer. Moved nuts are gone round again, so the answer may be given anew."""
    writer = writer_of(request, heads_from(typed.get("seen", "")))
    said = {ROUND_FACT: typed[ROUND_FACT]}
    problems = keep_facts(desk_of(request), job, check, said, {}, writer)
    if problems:
        return _nuts(request, job, check, typed, tuple(problems.values()), None)
    return RedirectResponse(
        f"{base_of(job, check)}/nuts?pass={typed.get('squeeze', '')}#round", status_code=303
    )


@router.get("/api/1" + NUTS)
def nuts(request: Request, job: str, check: str) -> dict[str, Any]:
    """The nuts of a check in the format ``whitemetal.nuts/1``: order and torque of each pass, what was
    pulled."""
    view, found = _found(request, job, check)
    made = progress(view.card, found.places, found.readings) if found.method == TIGHTENING.key else None
    order = sequence_of(view.card)
    if made is None or order is None:
        return {"format": FORMAT, "check": check, "passes": [], "next": None, "loosening": []}
    now = made.now.next
    return {
        "format": FORMAT, "check": check, "layout": order.layout, "source": order.source,
        "passes": [_round_json(one) for one in made.rounds],
        "next": None if now is None else {"pass": made.now.order.number, "nut": now.label},
        "loosening": [pass_json(one) for one in order.loosening],
    }  # fmt: skip


def pass_json(order: Pass) -> dict[str, Any]:
    """A pass as plain JSON values."""
    return {
        "number": order.number, "share": order.share, "torque_N_m": order.torque, "order": list(order.order),
        "last": order.last,
    }  # fmt: skip


def _round_json(one: Round) -> dict[str, Any]:
    pulled = {turn.label: [reading.text for reading in turn.readings] for turn in one.turns if turn.pulled}
    return {**pass_json(one.order), "pulled": pulled}
