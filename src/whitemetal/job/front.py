"""The front of a job's report, as a supervisor reads it: as found, done, as left, and by whose word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.job import as_found
from whitemetal.job.as_shown import figures
from whitemetal.job.chain import Chain
from whitemetal.job.fit_matrix import CLEARANCE
from whitemetal.job.inspection import Inspection
from whitemetal.job.judgement import Judgement
from whitemetal.job.kinds import is_as_found
from whitemetal.job.signatures import Concession, Signature
from whitemetal.job.state import FitChange, JobState
from whitemetal.job.typed import method_or_none
from whitemetal.words import say

Judged = Mapping[str, Judgement]
CAUSES = 3
"""Likely causes of a damage that are printed; the page has all. Our own."""


@dataclass(frozen=True)
class CheckLine:
    """A check in a line. figures: its results and the limits they are judged by. stale: why it does not count
    any more, "" while it does."""

    check: str
    title: str
    purpose: str
    word: str
    figures: tuple[str, ...]
    stale: str
    by: str


@dataclass(frozen=True)
class PointLine:
    """A point of the order of trust. said: who or what closed it, or why it is open."""

    text: str
    closed: bool
    said: str


@dataclass(frozen=True)
class DamageLine:
    """Damage as it was seen. causes: likely ones, likeliest first, each with points and reasons."""

    text: str
    causes: tuple[str, ...]


@dataclass(frozen=True)
class Front:
    """bearing: its word; standing: by whose leave it runs, or who signed, "" where nobody did either.
    found_note: why no clearance was taken as found, or that it still is to be, "" where it was."""

    bearing: str
    standing: str
    found: tuple[CheckLine, ...]
    found_note: str
    done: tuple[str, ...]
    left: tuple[CheckLine, ...]
    points: tuple[PointLine, ...]
    signatures: tuple[str, ...]
    concessions: tuple[str, ...]
    said: tuple[str, ...]
    damage: tuple[DamageLine, ...] = ()
    run_in: tuple[str, ...] = ()


def front(
    state: JobState, chain: Chain, judged: Judged, standing: str, *, damage: Inspection | None = None,
    run_in: tuple[str, ...] = (),
) -> Front:  # fmt: skip
    """The front of a job. judged: every check; standing: as `conceding.standing` tells it; damage: what was
    seen of the shells; run_in: as of `run_in.run_in_lines`."""
    lines = _in_order(state, [_line(state, check, one) for check, one in judged.items()])
    found = tuple(one for one in lines if is_as_found(one.purpose))
    return Front(
        chain.bearing,
        standing,
        found,
        _found_note(state),
        tuple(_done(state)),
        tuple(one for one in lines if not is_as_found(one.purpose)),
        tuple(PointLine(link.text, link.closed, link.full_why) for link in chain.links),
        tuple(signature_words(one) for one in state.signing.signatures),
        tuple(concession_words(one) for one in state.signing.concessions),
        (*state.contradictions, *state.signing.says),
        tuple(_damage(damage)),
        run_in,
    )


def _damage(found: Inspection | None) -> Iterator[DamageLine]:
    for seen in found.seen if found is not None else ():
        if seen.damage.struck:
            continue
        name = seen.look.name if seen.look is not None else seen.damage.look
        where = f" ({', '.join(seen.where)})" if seen.where else ""
        told = say(
            "report.damage", name=name, where=where, text=seen.damage.text, by=seen.damage.by,
            at=seen.damage.at[:10],
        )  # fmt: skip
        causes = tuple(
            say(
                "report.cause", name=one.cause.name, points=one.points,
                reasons="; ".join(f"{reason.points:+d} {reason.text}" for reason in one.reasons),
            )
            for one in seen.ranked[:CAUSES]
        )  # fmt: skip
        yield DamageLine(told, causes)


def _line(state: JobState, check: str, one: Judgement) -> CheckLine:
    held = state.checks[check]
    by = ", ".join(held.measured_by)
    return CheckLine(
        check, one.title, held.purpose, one.verdict, tuple(figures(one)), " ".join(held.stale), by
    )


def _in_order(state: JobState, lines: Sequence[CheckLine]) -> list[CheckLine]:
    """What decides first, clearance before all; then what does not count any more."""
    deciding = {check for checks in state.deciding.values() for check in checks}

    def rank(one: CheckLine) -> tuple[bool, bool, bool]:
        method = method_or_none(state.checks[one.check].method)
        clears = method is not None and method.proves == CLEARANCE
        return bool(one.stale), not clears, one.check not in deciding

    return sorted(lines, key=rank)


def _found_note(state: JobState) -> str:
    if state.as_found == "taken":
        return ""
    why = as_found.why_missed(state)
    if why:
        return say("fit.was_missed", why=why)
    return as_found.question(state) or say("report.not_taken_yet")


def _done(state: JobState) -> Iterator[str]:
    """What was taken apart and changed, struck things left out."""
    for note in state.stripped:
        if not note.struck:
            yield say("report.stripped", text=note.text, by=note.by, at=note.at[:10])
    for change in state.fit_changes:
        if not change.struck:
            yield change_words(change)


def change_words(change: FitChange) -> str:
    """A change of the fit in a line."""
    where = "".join(f", {part}" for part in (change.half, change.joint) if part)
    return say(
        "report.change", what=change.what, where=where, text=change.text, by=change.by, at=change.at[:10]
    )


def signature_words(one: Signature) -> str:
    """A signature in a line, with what was seen."""
    told = say(
        "report.signature", by=one.by, part=say(f"signing.part_{one.part}"), at=one.at[:16].replace("T", " "),
        bearing=one.shown.get("bearing", ""), state=one.state[:16],
    )  # fmt: skip
    return say("report.void", told=told, why=one.void) if one.void else told


def concession_words(one: Concession) -> str:
    """A concession in a line, withdrawn ones with who withdrew them."""
    told = say(
        "report.concession", by=one.by, engineer=one.engineer, at=one.at[:10], until=one.until,
        points="; ".join(point.text for point in one.against), reason=one.reason,
        restrictions=one.restrictions or "–",
    )  # fmt: skip
    return say("report.void", told=told, why=one.struck) if one.struck else told
