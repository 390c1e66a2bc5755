"""Run-ins of a job: begun, read by hand or from a logger's file, looked at, compared with earlier ones."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from whitemetal.closing.run_in.logger_file import decoded
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.closing.run_in.logger_read_as import WHATS
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import JobView, Kept, Writer
from whitemetal.errors import InputError, Problem
from whitemetal.job.account import Account
from whitemetal.job.run_in import TO_SEE, Earlier, RunShown, curves_of, readable, run_shown
from whitemetal.job.run_state import (
    LOG,
    LOG_AS,
    LOG_STRUCK,
    READING,
    RUN,
    SEEN,
    LogState,
    RunState,
    moment,
    read_as_of,
    said_of,
)
from whitemetal.units import read
from whitemetal.words import say

CHUNK = 48_000
"""Letters of a file in one entry, cut at a line's end. Our own."""

LOOKED_BACK = 12
"""So many other jobs of the bearing are searched for earlier run-ins. Our own."""

MOST_DIGITS = 9
"""A number of a line has fewer digits than this. Our own: a file is a few million letters at the most."""

AHEAD = timedelta(minutes=10)
"""A time of day further ahead than this is of the day before. Our own: nobody reads ahead of the clock."""

STATES = ("yes", "no", "does not apply")
_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+-])(\d{1,2})(?::?(\d{2}))?")

_OF_DAY = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?")
_WHOLE = re.compile(r"(\d{4}-\d{2}-\d{2})[T ](\d{1,2}:\d{2}(?::\d{2})?)")


def moment_from(text: str, offset: int, now: datetime, field: str) -> str:
    """A typed time as entries keep it [UTC, RFC 3339]. "" is now; "14:05" the last such time; a date may
    stand before it. offset: minutes the device's clock is ahead of UTC. Raises InputError."""
    bare = text.strip()
    if not bare:
        return utc(now)
    zone = timedelta(minutes=offset)
    whole, of_day = _WHOLE.fullmatch(bare), _OF_DAY.fullmatch(bare)
    try:
        if whole is not None:
            day = datetime.fromisoformat(f"{whole[1]}T{whole[2].zfill(len(whole[2]) + (whole[2][1] == ':'))}")
            return utc(day.replace(tzinfo=UTC) - zone)
        if of_day is not None:
            local = (now + zone).replace(
                hour=int(of_day[1]), minute=int(of_day[2]), second=int(of_day[3] or 0), microsecond=0
            )
            found = local - zone
            return utc(found - timedelta(days=1) if found - now > AHEAD else found)
    except (ValueError, OverflowError):
        pass
    raise InputError(Problem(field, text, say("run_in.a_time")))


def utc(at: datetime) -> str:
    """A moment as entries keep it."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@lru_cache(maxsize=64)
def zone_of(name: str) -> tzinfo | None:
    """The zone of a name ("Europe/Berlin", "UTC", "+02:00"); None when there is none of that name."""
    offset = _OFFSET.fullmatch(name.strip())
    if offset is not None:
        ahead = timedelta(hours=int(offset[2]), minutes=int(offset[3] or 0))
        if ahead > timedelta(hours=15):
            return None
        return timezone(ahead if offset[1] == "+" else -ahead)
    if name.strip() in ("UTC", "GMT", "Z"):
        return UTC
    if re.fullmatch(r"[A-Za-z_]+(/[A-Za-z0-9_+-]+){1,2}", name.strip()) is None:
        return None
    try:
        return ZoneInfo(name.strip())
    except (KeyError, ValueError, OSError):
        return None


def begin_run(
    desk: Desk, job: str, what: str, start: str, ambient: str, writer: Writer, *, run: str = ""
) -> Kept:
    """Begin a run-in, or (with ``run``) write down again what it is, when it began and how warm the
    surroundings are. start: UTC, RFC 3339. ambient: as typed, "" where unknown. Raises InputError."""
    problems = []
    if not what.strip():
        problems.append(Problem(say("run_in.what"), what, say("run_in.a_what")))
    if moment(start) is None:
        problems.append(Problem(say("run_in.began"), start, say("run_in.a_moment")))
    if ambient.strip():
        try:
            read(ambient, "temperature", field=say("run_in.ambient"), default_unit="degC")
        except InputError as bad:
            problems += bad.problems
    if problems:
        raise InputError(*problems)
    made = run or desk.fresh_id()

    def ask(account: Account) -> None:
        if run:
            _there(account, run)

    body = {"run": made, "what": what.strip(), "start": start, "ambient": ambient.strip()}
    return desk.write(job, RUN, body, writer, typed=what, ask=ask)


def keep_run_reading(
    desk: Desk, job: str, run: str, what: str, at: str, text: str, writer: Writer, *, unit: str = "",
    point: str = "", id: str | None = None,
) -> Kept:  # fmt: skip
    """Keep a reading as typed. what: of `WHATS`. at: UTC, RFC 3339. unit: assumed when none was typed. A text
    that cannot be read is kept and reported. Raises InputError on what it is of or when."""
    if what not in WHATS:
        raise InputError(Problem(say("run_in.where"), what, say("run_in.one_of", choices="; ".join(WHATS))))
    if moment(at) is None:
        raise InputError(Problem(say("run_in.time"), at, say("run_in.a_moment")))
    if not text.strip():
        raise InputError(Problem(say("run_in.reading"), text, say("run_in.a_reading")))
    if what == "vibration" and not point.strip():
        raise InputError(Problem(say("run_in.point"), point, say("run_in.a_point")))
    body = {"run": run, "what": what, "point": point.strip(), "at": at, "text": text, "unit": unit}
    kept = desk.write(job, READING, body, writer, typed=text, id=id, ask=lambda account: _there(account, run))
    return kept if kept.problem else Kept(kept.entry, readable(what, text, unit))


def keep_log(desk: Desk, job: str, run: str, file: str, data: bytes, writer: Writer) -> str:
    """Keep a logger's file whole, as its text came, and return its id; the same file again changes nothing,
    or brings what is missing of it where the keeping of it was cut off.

    How it is to be read is said afterwards (`read_log_so`). Raises InputError for one that is no table of
    readings; nothing of it is kept then.
    """
    text, code = decoded(data)
    propose(text)
    digest = hashlib.sha256(data).hexdigest()
    held = [
        one.body["log"]
        for one in desk.kept_of(job, LOG)
        if one.body.get("run") == run and one.body.get("sha256") == digest
    ]
    counts = {one.log: one for one in run_of(desk.job(job), run).logs if not one.struck}
    again = next((counts[log] for log in held if log in counts), None)
    if again is not None and not again.missing:
        return again.log
    log = again.log if again is not None else desk.fresh_id()
    chunks = tuple(_chunks(text))
    for part, chunk in enumerate(chunks, start=1):
        body = {"run": run, "log": log, "part": part, "file": file.strip()[:200] or "log", "text": chunk}
        more = {"sha256": digest, "code": code, "bytes": len(data), "parts": len(chunks)} if part == 1 else {}
        _keep_part(desk, job, {**body, **more}, writer)
    return log


def add_to_log(
    desk: Desk, job: str, run: str, log: str, file: str, part: int, text: str, writer: Writer
) -> Kept:
    """Keep the next lines of a file that grows, as its part of that number. The same part again changes
    nothing; another text as the same part is said and not kept."""
    body = {"run": run, "log": log, "part": part, "file": file, "text": text}
    return _keep_part(desk, job, body, writer)


def _keep_part(desk: Desk, job: str, body: Mapping[str, Any], writer: Writer) -> Kept:
    """Keep a part of a file under an id worked out from which one it is: again it changes nothing."""
    digest = hashlib.sha256(f"{body['log']}\n{body['part']}".encode()).digest()[:16]
    id = base64.b32encode(digest).decode().rstrip("=").lower()
    return desk.write(job, LOG, body, writer, id=id, ask=lambda account: _there(account, body["run"]))


def read_log_so(desk: Desk, job: str, run: str, log: str, said: Mapping[str, Any], writer: Writer) -> Kept:
    """Say how a file is to be read. Raises InputError, with every reason, where it cannot be read so."""
    read_as = read_as_of(said)
    state = run_of(desk.job(job), run)
    held = log_of(state, log)
    zone = zone_of(read_as.zone) if read_as.zone else None
    if read_as.zone and zone is None:
        raise InputError(Problem("zone", read_as.zone, say("run_in.log_ask_zone")))
    from whitemetal.closing.run_in.logger_file import read_log

    read_log(held.text, read_as, zone, moment(state.start))
    return desk.write(job, LOG_AS, {"run": run, "log": log, "read": said_of(read_as)}, writer)


def strike_line(desk: Desk, job: str, run: str, log: str, line: str, why: str, writer: Writer) -> Kept:
    """Strike one line of a logger's file, counted from 1, with the reason; the file stays whole. Raises
    InputError for a line that gives no reading, or without a reason."""
    if not why.strip():
        raise InputError(Problem("why", why, say("ledger.reason")))
    view = desk.job(job)
    held = log_of(run_of(view, run), log)
    shown = next((one for ran in runs(desk, view) for one in ran.logs if one.log.log == log), None)
    read_so = shown.read if shown is not None else None
    number = int(line) if line.strip().isdecimal() and len(line.strip()) < MOST_DIGITS else 0
    gives = {one.number: one for one in (read_so.lines if read_so else ()) if one.fate == "reading"}
    if number not in gives:
        raise InputError(Problem(say("run_in.line"), line, say("run_in.line_with_reading", file=held.file)))
    body = {"run": run, "log": log, "line": number, "text": gives[number].text, "why": why.strip()}
    return desk.write(job, LOG_STRUCK, body, writer, typed=why, ask=lambda account: _there(account, run))


def see(desk: Desk, job: str, run: str, what: str, state: str, text: str, writer: Writer) -> Kept:
    """Say that something was seen on a run, or was not. Raises InputError."""
    if what not in TO_SEE or state not in STATES:
        raise InputError(Problem(what, state, say("run_in.one_of", choices="; ".join(STATES))))
    if state != "yes" and not text.strip():
        raise InputError(Problem(say(f"run_in.see_{what}"), text, say("run_in.say_why")))
    body = {"run": run, "what": what, "state": state, "text": text.strip()}
    return desk.write(job, SEEN, body, writer, typed=text, ask=lambda account: _there(account, run))


def run_of(view: JobView, run: str) -> RunState:
    """A run-in of a job. Raises InputError when there is none of that id."""
    found = next((one for one in view.state.runs if one.run == run), None)
    if found is None:
        raise InputError(Problem("run", run, say("run_in.begun")))
    return found


def log_of(run: RunState, log: str) -> LogState:
    """A logger's file of a run-in. Raises InputError when there is none of that id."""
    found = next((one for one in run.logs if one.log == log), None)
    if found is None:
        raise InputError(Problem("log", log, say("run_in.kept_file")))
    return found


def runs(desk: Desk, view: JobView) -> tuple[RunShown, ...]:
    """The run-ins of a job as shown, each beside the newest earlier one of the same bearing."""
    if not view.state.runs:
        return ()
    others = tuple(_other_runs(desk, view))
    return tuple(
        run_shown(one, view.card, zone_of, _earlier(one, (*others, *view.state.runs)))
        for one in view.state.runs
    )


def _other_runs(desk: Desk, view: JobView) -> Iterator[RunState]:
    jobs = [row.book for row in desk.bearing(view.state.bearing).jobs if row.book != view.state.book]
    for book in jobs[-LOOKED_BACK:]:
        yield from desk.job(book).state.runs


def _earlier(run: RunState, others: tuple[RunState, ...]) -> Earlier:
    """At each place the newest curve before this run, of a run of the same kind where there is one."""
    before = [one for one in others if one.run != run.run and one.start < run.start and moment(one.start)]
    ordered = sorted(before, key=lambda one: (one.what == run.what, one.start))
    found: dict[Any, Any] = {}
    for one in ordered:
        found |= {at: curve for at, curve in curves_of(one, zone_of).items() if len(curve) > 1}
    return found


def _there(account: Account, run: str) -> None:
    if run not in account.groups(RUN):
        raise InputError(Problem("run", run, say("run_in.begun")))


def _chunks(text: str) -> Iterator[str]:
    """The text in pieces that end where lines end."""
    held: list[str] = []
    size = 0
    for line in re.findall(r"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+\Z", text):
        if held and size + len(line) > CHUNK:
            yield "".join(held)
            held, size = [], 0
        held.append(line)
        size += len(line)
    yield "".join(held)
