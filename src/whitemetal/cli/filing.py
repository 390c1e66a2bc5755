"""Commands that file a job away: report, export."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from whitemetal.cli.files import FileInputError, write_bytes
from whitemetal.cli.screen import progress, progress_done
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.desk import Desk

AS = ("csv", "xlsx", "json", "ics")


def add_report_options(command: argparse.ArgumentParser) -> None:
    """Options of ``report``."""
    command.add_argument("job", metavar="JOB", help=say("report.help_job"))
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_database"))
    command.add_argument("--no-film", action="store_true", help=say("report.help_no_film"))
    command.add_argument("-o", "--output", metavar="FILE", default="-", help=say("report.help_output"))


def add_export_options(command: argparse.ArgumentParser) -> None:
    """Options of ``export``."""
    command.add_argument("job", metavar="JOB", nargs="?", default="", help=say("report.help_job_or_all"))
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_database"))
    command.add_argument("--as", dest="kind", choices=AS, required=True, help=say("report.help_as"))
    command.add_argument("-o", "--output", metavar="FILE", default="-", help=say("report.help_output"))


def report(options: argparse.Namespace, database: str) -> int:
    """report JOB"""
    from whitemetal.desk.report import report as make_report

    desk = there(database)
    try:
        job = job_named(desk, options.job)
        progress(say("report.making"))
        made = make_report(desk, job, film=not options.no_film)
        progress_done(say("report.made"))
    finally:
        desk.close()
    write_bytes(options.output, made)
    return 0


def export(options: argparse.Namespace, database: str) -> int:
    """export [JOB] --as KIND"""
    from whitemetal.desk.exports import as_bytes, days_of, export_job, export_plant

    if options.kind == "ics" and not options.job:
        raise InputError(Problem("JOB", "", say("report.whose_days")))
    desk = there(database)
    try:
        job = job_named(desk, options.job) if options.job else ""
        if options.kind == "ics":
            made = days_of(desk, desk.job(job).state.bearing)
        elif job:
            made = as_bytes(lambda out: export_job(desk, job, options.kind, out))
        else:
            made = as_bytes(lambda out: export_plant(desk, options.kind, out))
    finally:
        desk.close()
    write_bytes(options.output, made)
    return 0


def there(database: str) -> Desk:
    """A record that is there. Raises FileInputError."""
    from whitemetal.desk import Desk

    if "://" not in database and not Path(database).is_file():
        raise FileInputError(database, Problem("--database", database, say("terminal.no_database")))
    return Desk.open(database)


def job_named(desk: Desk, wanted: str, field: str = "JOB") -> str:
    """A job by its number or id. Raises InputError where there is none, or more than one."""
    from whitemetal.desk.exports import jobs_named

    found = jobs_named(desk, wanted)
    if len(found) != 1:
        name = "report.job_twice" if found else "report.no_job"
        ids = ", ".join(f"{one} ({desk.job(one).state.title})".replace(" ()", "") for one in found)
        raise InputError(Problem(field, wanted, say(name, ids=ids)))
    return found[0]
