"""The damage guide of a job: what is seen and where, its likely causes, what is known of the bearing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, get_args

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.card import Card
from whitemetal.desk import Desk, JobView, Kept, Writer
from whitemetal.desk.inspection import answer, inspected, keep_finding
from whitemetal.drawing.shell_map import MapCell, map_cells, shell_map_svg
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging import METHODS
from whitemetal.inspect.bond import tests_for
from whitemetal.inspect.looks import LOOKS, Part
from whitemetal.inspect.where import HALVES
from whitemetal.job.damage import SAYS
from whitemetal.job.inspection import Seen, inspection_json, next_methods
from whitemetal.job.kinds import AS_FOUND
from whitemetal.job.state import JobState
from whitemetal.web.api_job import texts_of, told, writer_from
from whitemetal.web.bench_pages import base_of, desk_of
from whitemetal.web.photo_pages import Shot, shots_of
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage
from whitemetal.web.visitor import heads_from, json_body, writer_of
from whitemetal.words import say

router = APIRouter()
PARTS: tuple[Part, ...] = get_args(Part)


@dataclass(frozen=True)
class HalfMap:
    """A half of the shell drawn, and its cells."""

    svg: Markup
    cells: tuple[MapCell, ...]


@dataclass(frozen=True)
class Step:
    """A check to begin or to look at. href: of one that is there, "" where it must be begun."""

    method: str
    title: str
    href: str


@dataclass(frozen=True)
class Shown:
    """Damage as shown. maps: halves with something marked. next: by cause, the checks that tell."""

    seen: Seen
    maps: tuple[Markup, ...]
    shots: tuple[Shot, ...]
    next: Mapping[str, tuple[Step, ...]]


def stage(desk: Desk, view: JobView) -> Stage | None:
    """The stage of the job's page: how much was seen, and the likeliest cause of what was seen last."""
    href = f"/jobs/{segment(view.state.book)}/inspection"
    live = [one for one in inspected(desk, view).seen if not one.damage.struck]
    if not live:
        return Stage("inspection", say("inspect.stage"), say("inspect.stage_none"), href, "open")
    said = say("inspect.stage_seen", count=len(live), first=_likeliest(live[-1]))
    return Stage("inspection", say("inspect.stage"), said, href, "done")


def _likeliest(seen: Seen) -> str:
    """The cause with the most points, or all that have as many."""
    most = [one.cause.name for one in seen.ranked if one.points == seen.ranked[0].points]
    return ", ".join(most) or say("inspect.open")


@router.get("/jobs/{job}/inspection")
def show_inspection(request: Request, job: str) -> Response:
    """The damage guide of a job."""
    typed = {name: (text,) for name, text in request.query_params.items()}
    return _inspection(request, job, typed, ())


def _inspection(
    request: Request, job: str, typed: Mapping[str, tuple[str, ...]], problems: tuple[Problem, ...]
) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    found = inspected(desk, view)
    part = _part(typed)
    return page(
        request, "inspection.html", 422 if problems else 200, state=view.state, card=view.card,
        problems=problems, typed=typed, part=part, parts=PARTS,
        looks=[look for look in LOOKS.values() if look.part == part], maps=_blank_maps(view.card),
        shown=[_shown(desk, view, one) for one in found.seen], facts=found.facts,
        steps={key: _step(view.state, key) for one in found.facts for key in one.methods},
        bond=tests_for(None, view.card.bearing.journal_diameter), purpose=_purpose(view.state), says=SAYS,
        bond_step=_step(view.state, "bond"),
    )  # fmt: skip


def _part(typed: Mapping[str, tuple[str, ...]]) -> Part:
    look = LOOKS.get(typed.get("look", ("",))[0])
    asked = look.part if look is not None else typed.get("part", ("",))[0]
    return next((part for part in PARTS if part == asked), PARTS[0])


def _purpose(state: JobState) -> str:
    """What a check begun from here is for: as found while that is still possible."""
    struck = [*(one.struck for one in state.stripped), *(one.struck for one in state.fit_changes)]
    return AS_FOUND if all(struck) else "as left"


def _blank_maps(card: Card) -> tuple[HalfMap, ...]:
    return tuple(HalfMap(Markup(shell_map_svg(card, half)), map_cells(card, half)) for half in HALVES)


def _shown(desk: Desk, view: JobView, seen: Seen) -> Shown:
    halves = [half for half in HALVES if any(key.startswith(half) for key in seen.damage.cells)]
    maps = tuple(Markup(shell_map_svg(view.card, half, seen.damage.cells)) for half in halves)
    following = {
        one.cause.key: tuple(_step(view.state, key) for key in next_methods(one.cause.key))
        for one in seen.ranked
    }
    return Shown(seen, maps, shots_of(desk, view.state, seen.damage.entry), following)


def _step(state: JobState, method: str) -> Step:
    there = [one.check for one in state.checks.values() if one.method == method]
    return Step(method, METHODS[method].title, base_of(state.book, there[-1]) if there else "")


@router.post("/jobs/{job}/inspection")
async def keep_damage(request: Request, job: str) -> Response:
    """Damage as seen."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "damage", form)


@router.post("/jobs/{job}/inspection/{what}")
async def keep_in_inspection(request: Request, job: str, what: str) -> Response:
    """What people know of the bearing, or a strike."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, what, form)


def _keep(request: Request, job: str, what: str, form: FormData) -> Response:
    typed = {name: tuple(str(text) for text in form.getlist(name)) for name in form}
    if what not in VERBS:
        raise UnknownBook(what)
    try:
        seen = heads_from(typed.get("seen", ("",))[0])
        kept = VERBS[what](desk_of(request), job, typed, writer_of(request, seen))
    except InputError as bad:
        return _inspection(request, job, typed, bad.problems)
    if kept.problem is not None:
        return _inspection(request, job, typed, (kept.problem,))
    at = f"#d-{segment(kept.entry.id)}" if what == "damage" and kept.entry is not None else f"#{WHERE[what]}"
    return RedirectResponse(f"/jobs/{segment(job)}/inspection{at}", status_code=303)


Typed = Mapping[str, tuple[str, ...]]


def _word(typed: Typed, name: str) -> str:
    return typed.get(name, ("",))[0].strip()


def _damage(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return keep_finding(
        desk, job, _word(typed, "look"), writer, cells=typed.get("where", ()),
        at_feed=_word(typed, "at_feed") == "yes", text=_word(typed, "text"),
    )  # fmt: skip


def _known(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return answer(desk, job, _word(typed, "fact"), _word(typed, "says"), writer, text=_word(typed, "how"))


def _strike(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return desk.strike(job, _word(typed, "entry"), _word(typed, "why"), writer)


VERBS: Mapping[str, Callable[[Desk, str, Typed, Writer], Kept]] = {
    "damage": _damage, "known": _known, "strikes": _strike,
}  # fmt: skip
WHERE = {"damage": "seen", "known": "known", "strikes": "seen"}
"""Where on the page one comes back to."""


@router.get("/api/1/jobs/{job}/inspection")
def inspection(request: Request, job: str) -> dict[str, Any]:
    """The damage of a job with its likely causes in the format ``whitemetal.inspection/1``."""
    desk = desk_of(request)
    return inspection_json(inspected(desk, desk.job(job)))


@router.post("/api/1/jobs/{job}/findings")
async def keep_found(request: Request, job: str) -> Response:
    """Keep damage as seen: {look, where: [cells], at_feed: "yes" or "no", text, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_found, request, job, body)


def _keep_found(request: Request, job: str, body: Mapping[str, Any]) -> Response:
    texts, where = texts_of(body, ("look", "at_feed", "text")), body.get("where", [])
    if not isinstance(where, list) or not all(isinstance(cell, str) for cell in where):
        raise InputError(Problem("where", repr(where)[:80], say("inspect.cell_list")))
    typed = {**{name: (text,) for name, text in texts.items()}, "where": tuple(where)}
    kept = _damage(desk_of(request), job, typed, writer_from(request, body))
    return told(desk_of(request), job, kept)


@router.post("/api/1/jobs/{job}/known")
async def keep_known(request: Request, job: str) -> Response:
    """Keep what a person knows of the bearing: {fact, says: "yes", "no" or "not known", how, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_known, request, job, body)


def _keep_known(request: Request, job: str, body: Mapping[str, Any]) -> Response:
    typed = {name: (text,) for name, text in texts_of(body, ("fact", "says", "how")).items()}
    kept = _known(desk_of(request), job, typed, writer_from(request, body))
    return told(desk_of(request), job, kept)
