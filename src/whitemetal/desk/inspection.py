"""Damage that was seen, what people know of the bearing, and the guide to its causes."""

from __future__ import annotations

from collections.abc import Sequence

from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import JobView, Kept, Writer
from whitemetal.gauging import METHODS
from whitemetal.job.damage import ANSWER, FINDING, may_answer, may_find
from whitemetal.job.inspection import Inspection, inspection


def keep_finding(
    desk: Desk, job: str, look: str, writer: Writer, *, cells: Sequence[str] = (), at_feed: bool = False,
    text: str = "", id: str | None = None,
) -> Kept:  # fmt: skip
    """Keep damage as seen. look: key of `inspect.looks.LOOKS`; cells: keys of `inspect.where.CELLS`. Raises
    InputError, UnknownBook."""
    where = tuple(dict.fromkeys(cells))
    may_find(look, where)
    body = {"look": look, "where": list(where), "at_feed": "yes" if at_feed else "no", "text": text.strip()}
    return desk.write(job, FINDING, body, writer, typed=text, id=id)


def answer(
    desk: Desk, job: str, fact: str, says: str, writer: Writer, *, text: str = "", id: str | None = None
) -> Kept:
    """Keep what a person knows of the bearing that no check tells: "yes", "no" or "not known", and how they
    know. It takes the place of what its writer had seen. Raises InputError, UnknownBook."""
    may_answer(fact, says)
    return desk.write(
        job, ANSWER, {"fact": fact, "says": says, "text": text.strip()}, writer, typed=text, id=id
    )


def inspected(desk: Desk, view: JobView) -> Inspection:
    """The damage of a job as shown with its likely causes, from what the job's own checks say."""
    measured = [
        key for key, check in view.state.checks.items() if check.method in METHODS and check.measured_by
    ]
    return inspection(
        view.state, view.card, {key: desk.judgement(view.state.book, key, view) for key in measured}
    )
