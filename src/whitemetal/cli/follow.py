"""follow: a logger's file that grows, into the record of a run-in, with every warning as it comes."""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from whitemetal.cli.command_line import seconds
from whitemetal.cli.filing import job_named, there
from whitemetal.errors import CannotWrite, InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.desk import Desk, Writer
    from whitemetal.desk.follow_log import Followed

_COLUMN = re.compile(r"(\d+)=([a-z ]+?)(?::([^:]*))?(?::(.*))?")


def add_follow_options(command: argparse.ArgumentParser) -> None:
    """Arguments of ``follow``."""
    command.add_argument("file", metavar="FILE", help=say("run_in.help_file"))
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_keep"))
    command.add_argument("--job", metavar="NUMBER", required=True, help=say("run_in.help_job"))
    command.add_argument("--by", metavar="NAME", required=True, help=say("run_in.help_by"))
    command.add_argument("--begin", metavar="WHAT", default="", help=say("run_in.help_begin"))
    command.add_argument("--start", metavar="TIME", default="", help=say("run_in.help_start"))
    command.add_argument("--ambient", metavar="TEMPERATURE", default="", help=say("run_in.help_ambient"))
    command.add_argument(
        "--column", metavar="N=WHERE[:UNIT]", action="append", default=[], help=say("run_in.help_column")
    )
    for name in ("separator", "decimal", "form", "zone", "day", "doubled"):
        command.add_argument(f"--{name}", metavar=name.upper(), default="", help=say(f"run_in.help_{name}"))
    command.add_argument("--time", metavar="N[,N]", default="", help=say("run_in.help_time"))
    command.add_argument(
        "--every", metavar="SECONDS", type=seconds, default=2.0, help=say("run_in.help_every")
    )
    command.add_argument("--once", action="store_true", help=say("run_in.help_once"))


def follow(options: argparse.Namespace, database: str, sleep: Callable[[float], None] = time.sleep) -> int:
    """Follow the file until interrupted; 1 when it ended with something that says stop. A record that cannot
    be written for a while is said, and asked again what it has: the machine runs on meanwhile."""
    from whitemetal.desk.follow_log import Follower

    path = Path(options.file)
    desk = there(database)
    try:
        job = job_named(desk, options.job, "--job")
        writer = _writer(options.by)
        run = _run(desk, job, options, writer)
        follower, said = None, _said(options)
        told: set[tuple[str, str]] = set()
        while True:
            try:
                follower = follower or Follower(desk, job, run, path, writer, said)
                found = follower.look()
            except CannotWrite as bad:
                if options.once:
                    raise
                print(bad, file=sys.stderr, flush=True)
                follower = None
            else:
                _tell(found, told)
                if options.once:
                    return 1 if found.shown is not None and found.shown.standing == "stop" else 0
            sleep(max(options.every, 0.2))
    finally:
        desk.close()


def _tell(found: Followed, told: set[tuple[str, str]]) -> None:
    """Every warning once, and how it stands whenever lines came."""
    if found.shown is None:
        for text in found.waits:
            if ("", text) not in told:
                told.add(("", text))
                print(text, flush=True)
        return
    for where, one in found.shown.warned:
        if (where, one.code) not in told:
            told.add((where, one.code))
            print(f"{one.weight.upper()}: {where}: {one.text}", flush=True)
    if found.lines:
        from whitemetal.units import show

        for place in found.shown.places:
            last = show(place.last.temperature, "degC", "temperature", step=0.1)
            minutes = f"{place.last.time / 60.0:.0f}"
            print(say("run_in.told", where=place.where, last=last, minutes=minutes), flush=True)


def _writer(name: str) -> Writer:
    from whitemetal.desk import Writer
    from whitemetal.desk.record import new_id

    if not name.strip():
        raise InputError(Problem("--by", name, say("terminal.by_needed")))
    here = datetime.now().astimezone().utcoffset()
    offset = int(here.total_seconds() // 60) if here is not None else 0
    return Writer(name.strip(), new_id(), offset)


def _run(desk: Desk, job: str, options: argparse.Namespace, writer: Writer) -> str:
    """The run-in that is begun, or the newest there is. Raises InputError without one."""
    from whitemetal.desk.run_in import begin_run

    if options.begin:
        start = _moment(options.start, writer.offset)
        kept = begin_run(desk, job, options.begin, start, options.ambient, writer)
        return str(kept.entry.body["run"]) if kept.entry is not None else ""
    there = desk.job(job).state.runs
    if not there:
        raise InputError(Problem("--begin", "", say("run_in.begin_first")))
    return there[-1].run


def _moment(text: str, offset: int) -> str:
    from whitemetal.desk.run_in import moment_from

    return moment_from(text, offset, datetime.now(UTC), "--start")


def _said(options: argparse.Namespace) -> dict[str, Any]:
    said: dict[str, Any] = {
        name: getattr(options, name).strip()
        for name in ("separator", "decimal", "form", "zone", "day", "doubled")
    }
    if options.time:
        if not re.fullmatch(r"\d+(,\d+)?", options.time):
            raise InputError(Problem("--time", options.time, say("run_in.log_ask_time")))
        said["time"] = [int(one) for one in options.time.split(",")]
    said["channels"] = [_channel(text) for text in options.column]
    return said


def _channel(text: str) -> dict[str, Any]:
    from whitemetal.closing.run_in.logger_read_as import WHATS

    found = _COLUMN.fullmatch(text)
    if found is None or found[2] not in WHATS:
        raise InputError(Problem("--column", text, say("run_in.a_column", choices="; ".join(WHATS))))
    usual = "mm/s" if found[2] == "vibration" else "degC"
    return {"column": int(found[1]), "what": found[2], "unit": found[3] or usual, "point": found[4] or ""}
