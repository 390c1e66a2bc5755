"""The procedure of a job: steps to tick, hold points, cautions where they apply; the plant's own changes; the
work pack, and the list by which what was written on it by hand is typed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, JobView
from whitemetal.desk.procedure import (
    Procedure,
    keep_plant_file,
    keep_step,
    plant_files,
    procedure_for,
    procedure_of,
)
from whitemetal.desk.work_pack import pack_of_job
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.job.judgement_json import plain
from whitemetal.job.procedure.generate import all_keys
from whitemetal.job.procedure.permit import STEP, permit_of
from whitemetal.job.procedure.plant import FORMAT
from whitemetal.job.procedure.sheets_wanted import (
    ALL,
    NONE,
    SheetFilled,
    choice_text,
    chosen,
    sheets_filled,
    sheets_wanted,
)
from whitemetal.job.procedure.standing import (
    DONE,
    NOT_HERE,
    OPEN,
    Standing,
    first_open,
    passed_over,
)
from whitemetal.job.procedure.step import STAGES, Page
from whitemetal.web.api_job import texts_of, told, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.card_pages import pdf, plain_name
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage
from whitemetal.web.stage import Standing as Stands
from whitemetal.web.visitor import heads_from, json_body, writer_of
from whitemetal.words import say

router = APIRouter()
STEPS = "whitemetal.steps/1"
SHEETS = "whitemetal.sheets/1"
Typed = Mapping[str, str]


@dataclass(frozen=True)
class StageShown:
    """A stage of the procedure with its steps. done: how many of them are done or left out."""

    key: str
    title: str
    steps: tuple[Standing, ...]
    done: int

    @property
    def whole(self) -> bool:
        """Whether nothing of it is open."""
        return self.done == len(self.steps)


def stage(desk: Desk, view: JobView) -> Stage | None:
    """The procedure as a stage of the job."""
    _, found = procedure_of(desk, view)
    open_one, skipped = first_open(found), passed_over(found)
    counted = say("procedure.counted", done=sum(one.stands != "open" for one in found), of=len(found))
    following = say("procedure.following", text=open_one.step.short) if open_one else ""
    if skipped:
        following = say("procedure.passed_over", text="; ".join(one.step.short for one in skipped))
    href = f"/jobs/{segment(view.state.book)}/procedure"
    stands: Stands = "attention" if skipped else "open" if open_one else "done"
    return Stage("procedure", say("procedure.title"), f"{counted}{following}", href, stands)


def by_stage(found: Sequence[Standing]) -> tuple[StageShown, ...]:
    """The steps by stage, in the order of the work; a stage without steps is left out."""
    made = []
    for key in STAGES:
        steps = tuple(one for one in found if one.step.stage == key)
        done = sum(one.stands != "open" for one in steps)
        if steps:
            made.append(StageShown(key, say(f"procedure.stage_{key}"), steps, done))
    return tuple(made)


@router.get("/jobs/{job}/procedure")
def show_procedure(request: Request, job: str) -> Response:
    """The steps of a job, and which sheets of its work pack are printed."""
    typed = {**dict(request.query_params), "sheets": ",".join(_choice(request))}
    try:
        return _procedure(request, job, typed, ())
    except InputError as bad:
        return _procedure(request, job, {**typed, "sheets": ""}, bad.problems)


def _choice(request: Request) -> list[str]:
    """The choice of sheets in the address."""
    return request.query_params.getlist("sheets")


def _procedure(request: Request, job: str, typed: Typed, problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    made, found = procedure_of(desk, view)
    sheets = sheets_wanted(made.steps)
    printed = chosen(sheets, [typed.get("sheets", "")])
    permit = next((one for one in found if one.step.note and one.stands == "done"), None)
    return page(
        request, "procedure.html", 422 if problems else 200, state=view.state, card=view.card, typed=typed,
        problems=problems, doubts=made.doubts, stages=by_stage(found), next=first_open(found),
        skipped=passed_over(found), states={"done": DONE, "open": OPEN, "not_here": NOT_HERE}, permit=permit,
        pages=_pages(), titles={key: method.title for key, method in METHODS.items()},
        known=permit_of(view.state), asks_permit=STEP, sheets=sheets, printed=printed,
        choice=choice_text(sheets, printed), all=ALL, no_sheet=NONE,
    )  # fmt: skip


def _pages() -> dict[str, str]:
    """Pages of a job that a step may lead to, by the last word of their address, with what the link says."""
    return {word: say(f"procedure.to_{word}") for word in get_args(Page) if word}


@router.post("/jobs/{job}/procedure")
async def tick_step(request: Request, job: str) -> Response:
    """Tick a step, open it again, or say why it does not apply."""
    form = await request.form()
    return await run_in_threadpool(_tick, request, job, form)


def _tick(request: Request, job: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    step = typed.get("step", "")
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        keep_step(desk_of(request), job, step, typed.get("state", ""), typed.get("text", ""), writer)
    except InputError as bad:
        return _procedure(request, job, typed, bad.problems)
    choice = f"?sheets={segment(typed['sheets'])}" if typed.get("sheets") else ""
    return RedirectResponse(f"/jobs/{segment(job)}/procedure{choice}#s-{segment(step)}", status_code=303)


@router.get("/jobs/{job}/work-pack.pdf")
def show_work_pack(request: Request, job: str) -> Response:
    """The work pack of a job with the sheets chosen in the address (``sheets``: keys of steps, usual, all,
    none); its QR code leads back to the job's page."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    address = f"{str(request.base_url).rstrip('/')}/jobs/{segment(job)}"
    return pdf(pack_of_job(desk, job, address, _choice(request)), f"work-pack-{plain_name(number)}.pdf")


@router.get("/jobs/{job}/type-in")
def show_type_in(request: Request, job: str) -> Response:
    """The sheets of the work pack in its order, each with where it is typed in; then those not printed."""
    desk = desk_of(request)
    view = desk.job(job)
    found = _sheets(request, desk, view)
    sheets = [one.sheet for one in found]
    choice = choice_text(sheets, [one.sheet for one in found if one.printed])
    return page(request, "type_in.html", state=view.state, card=view.card, sheets=found, choice=choice)


def _sheets(request: Request, desk: Desk, view: JobView) -> tuple[SheetFilled, ...]:
    return sheets_filled(procedure_for(desk, view.card).steps, view.state, _choice(request))


@router.get("/api/1/jobs/{job}/sheets")
def sheets(request: Request, job: str) -> dict[str, Any]:
    """The sheets of a job's work pack in its order, those not printed last, and how much of each is typed in.
    ``sheets`` in the address chooses as for the work pack (PDF)."""
    desk = desk_of(request)
    found = _sheets(request, desk, desk.job(job))
    return {
        "format": SHEETS,
        "sheets": [
            {
                "number": one.sheet.number, "step": one.sheet.step, "method": one.sheet.method,
                "purpose": one.sheet.purpose, "usual": one.sheet.usual, "printed": one.printed,
                "check": one.check.check if one.check is not None else "", "written": one.written,
                "places": one.places,
            }
            for one in found
        ],
    }  # fmt: skip


@router.get("/api/1/jobs/{job}/procedure")
def procedure(request: Request, job: str) -> dict[str, Any]:
    """The steps of a job and where each stands, in the format ``whitemetal.steps/1``."""
    desk = desk_of(request)
    made, found = procedure_of(desk, desk.job(job))
    return steps_json(made, found)


def steps_json(made: Procedure, found: Sequence[Standing]) -> dict[str, Any]:
    """A procedure with where its steps stand, as plain JSON values."""
    return {"format": STEPS, "doubts": list(made.doubts), "steps": [plain(one) for one in found]}


@router.post("/api/1/jobs/{job}/procedure")
async def keep(request: Request, job: str) -> Response:
    """Tick a step. Body: step, state ("done", "open", "does not apply"), text, name, seen."""
    body = await json_body(request)
    return await run_in_threadpool(_keep, request, job, body)


def _keep(request: Request, job: str, body: Mapping[str, Any]) -> Response:
    desk, t = desk_of(request), texts_of(body, ("step", "state", "text"))
    kept = keep_step(desk, job, t["step"], t["state"], t["text"], writer_from(request, body))
    return told(desk, job, kept)


# the plant's own changes


@router.get("/procedure")
def show_plant_file(request: Request) -> Response:
    """What the plant adds to every procedure, drops from it or words in its own way."""
    return _plant_file(request, None, "", ())


def _plant_file(request: Request, text: str | None, replaces: str, problems: tuple[Problem, ...]) -> Response:
    files = plant_files(desk_of(request))
    shown = text if text is not None else "\n".join(one.text for one in files)
    return page(
        request, "plant_procedure.html", 422 if problems else 200, files=files, text=shown,
        replaces=replaces or " ".join(one.entry for one in files), problems=problems, format=FORMAT,
        steps=tuple(all_keys().items()),
    )  # fmt: skip


@router.post("/procedure")
async def keep_file(request: Request) -> Response:
    """Keep the plant's changes."""
    form = await request.form()
    return await run_in_threadpool(_keep_file, request, form)


def _keep_file(request: Request, form: FormData) -> Response:
    text, replaces = str(form.get("text", "")).replace("\r\n", "\n"), str(form.get("replaces", ""))
    try:
        writer = writer_of(request, heads_from(str(form.get("seen", ""))))
        keep_plant_file(desk_of(request), text, writer, replaces.split())
    except InputError as bad:
        return _plant_file(request, text, replaces, bad.problems)
    return RedirectResponse("/procedure", status_code=303)


@router.get("/api/1/procedure")
def plant_file(request: Request) -> dict[str, Any]:
    """The plant's files as kept, and every step there is."""
    return {
        "format": FORMAT,
        "files": [plain(one) for one in plant_files(desk_of(request))],
        "steps": [{"step": key, "protected": protected} for key, protected in all_keys().items()],
    }
