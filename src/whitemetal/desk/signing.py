"""Signing a job, conceding that it runs all the same, opening it again: verbs, and what a page shows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from whitemetal.desk.desk import Desk
from whitemetal.desk.procedure import procedure_for
from whitemetal.desk.rows import JobView, Kept, Writer
from whitemetal.desk.run_in import runs
from whitemetal.errors import InputError, Problem
from whitemetal.job import conceding, signing
from whitemetal.job.account import Account
from whitemetal.job.as_shown import as_shown, differences, shown_digest
from whitemetal.job.run_in import run_in_lines
from whitemetal.version import VERSION
from whitemetal.words import say

Seal = Callable[[str, Mapping[str, Any]], Mapping[str, Any]]
"""Gives the body of an entry of this kind with the seal of the writer's key, or as it is without one."""


def unsealed(kind: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """The body as it is."""
    return body


def sign(
    desk: Desk, job: str, part: str, leaves: str, writer: Writer, *, shown: str = "",
    seal: Seal = unsealed, id: str | None = None,
) -> Kept:  # fmt: skip
    """Sign for a part of a job ("did", "checked"). leaves: how the bearing leaves it. The entry carries the
    digest of the state that was seen, the card's revision, the program's version and the judgement as shown.
    shown: the digest of the judgement that the writer was shown, "" where they do not say.

    Raises InputError where anything came in that the writer was not shown (``writer.seen``), where the
    judgement is another than ``shown`` (a gauge's particulars, a value of birth, another program), where the
    bearing is not fit and neither conceded nor left out of service, where the other part is the same
    person's, and for the second part where the plant demands a settled run-in first. Raises UnknownBook. The
    chains are walked before, so that nobody waits to write meanwhile.
    """
    view = desk.job(job)
    said = signed_body(desk, view, part, leaves)
    person = {"account": writer.account} if writer.account else {}
    body = seal(signing.SIGNED, {**said, **person})
    faults = desk.verify(job)
    lacks = run_in_lacks(desk, view) if leaves != "out of service" else ""

    def ask(account: Account) -> None:
        if faults:
            whole = say("report.whole_chain", what=faults[0].text)
            raise InputError(Problem(say("signing.the_job"), "", whole))
        if not set(view.state.heads) <= set(writer.seen):
            raise InputError(Problem(say("signing.the_job"), "", say("signing.moved_on")))
        if shown and shown != shown_digest(body["shown"]):
            raise InputError(Problem(say("signing.the_job"), "", say("signing.shown_moved")))
        signing.may_sign(account, part, writer.name, leaves, body["state"], writer.account)
        conceding.may_leave(view.state.signing, desk.chain(job, view), leaves, desk.moment()[:10])
        if lacks and len(view.state.signing.needed()) == 1:
            raise InputError(Problem(say("run_in.title"), "", lacks))

    return desk.write(job, signing.SIGNED, body, writer, id=id, ask=ask)


def signed_body(desk: Desk, view: JobView, part: str, leaves: str) -> dict[str, Any]:
    """What a signature on the job as shown says, before it is sealed."""
    return {
        "part": part, "leaves": leaves, "state": view.state.digest, "card": view.state.card,
        "program": VERSION, "shown": shown_now(desk, view),
    }  # fmt: skip


def concede(
    desk: Desk, job: str, typed: Mapping[str, str], writer: Writer, *, seal: Seal = unsealed,
    id: str | None = None,
) -> Kept:  # fmt: skip
    """Keep an engineer's concession against everything that is open now. typed: reason, restrictions, until,
    engineer (in what office). Raises InputError with every problem, UnknownBook."""
    view = desk.job(job)
    points = conceding.open_points(desk.chain(job, view))
    body = conceding.concession_body(typed, points, desk.moment()[:10])
    sealed = seal(signing.CONCESSION, body)
    return desk.write(job, signing.CONCESSION, sealed, writer, typed=body["reason"], id=id)


def reopen(
    desk: Desk, job: str, why: str, writer: Writer, *, seal: Seal = unsealed, id: str | None = None
) -> Kept:
    """Open a signed job again, and say why. Raises InputError, UnknownBook."""
    body = seal(signing.REOPENED, {"why": why.strip()})
    return desk.write(
        job, signing.REOPENED, body, writer, typed=why, id=id,
        ask=lambda account: signing.may_reopen(account, why),
    )  # fmt: skip


def shown_now(desk: Desk, view: JobView) -> dict[str, Any]:
    """The judgement of a job as a person is shown it before signing."""
    job = view.state.book
    judged = {check: desk.judgement(job, check, view) for check in view.state.checks}
    return as_shown(view.state, desk.chain(job, view), judged, run_in_lines(runs(desk, view)))


def run_in_lacks(desk: Desk, view: JobView) -> str:
    """Why the plant's procedure holds the second signature of a bearing that is to run: the run-in begun last
    is not settled and seen. "" where it demands nothing, or it is."""
    if not procedure_for(desk, view.card).run_in:
        return ""
    ran = runs(desk, view)
    if ran and ran[-1].done:
        return ""
    return say("signing.run_in_first", said=run_in_lines(ran[-1:])[0])


def found_different(desk: Desk, view: JobView) -> dict[str, tuple[str, ...]]:
    """By entry of each standing signature, what recomputing finds different from what was signed."""
    now = shown_now(desk, view)
    return {one.entry: differences(one, now, VERSION) for one in view.state.signing.standing}


def standing(desk: Desk, view: JobView) -> str:
    """How the bearing of a job stands, in a line for every page; "" while nobody signed or conceded."""
    found = view.state.signing
    if not found.used:
        return ""
    chain = desk.chain(view.state.book, view)
    return conceding.standing(found, chain, desk.moment()[:10])
