"""Commands and their options. Nothing heavy is imported here: ``--help`` must answer at once."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from whitemetal.cli.command_line import CommandLine, add_command
from whitemetal.cli.copies import add_copies_options
from whitemetal.cli.filing import add_export_options, add_report_options
from whitemetal.cli.film_options import add_film_options
from whitemetal.cli.follow import add_follow_options
from whitemetal.cli.people import add_people_options
from whitemetal.cli.plan_options import add_order_options, add_plan_options
from whitemetal.cli.procedure_options import add_procedure_options
from whitemetal.cli.tell import add_tell_options
from whitemetal.words import say

Serve = Callable[[argparse.Namespace], int]
"""Shows the pages for the options given; another face's work, so it is handed in."""

HOST = "127.0.0.1"
PORT = 8470


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    top = CommandLine(
        prog="whitemetal", description=say("terminal.about"), epilog=say("terminal.not_a_substitute")
    )
    top.add_argument("--version", action="store_true", help=say("terminal.help_version"))
    commands = top.add_subparsers(dest="command", metavar="COMMAND", title=say("terminal.commands"))
    _judge(add_command(commands, "judge", say("terminal.do_judge")))
    _wire(add_command(commands, "wire", say("terminal.do_wire")))
    _agree(add_command(commands, "agree", say("agreement.do_agree")))
    _card(add_command(commands, "card", say("terminal.do_card")))
    _screen_options(add_command(commands, "methods", say("terminal.do_methods")))
    _blank(add_command(commands, "blank", say("terminal.do_blank")))
    _sheet(add_command(commands, "sheet", say("terminal.do_sheet")))
    add_film_options(add_command(commands, "film", say("film.do_film")))
    add_film_options(add_command(commands, "window", say("film.do_window")))
    add_plan_options(add_command(commands, "plan", say("plan.do_plan")))
    add_order_options(add_command(commands, "order", say("bore_order.do_order")))
    add_procedure_options(add_command(commands, "procedure", say("procedure.do_procedure")))
    add_follow_options(add_command(commands, "follow", say("run_in.do_follow")))
    add_report_options(add_command(commands, "report", say("report.do_report")))
    add_export_options(add_command(commands, "export", say("report.do_export")))
    _serve(add_command(commands, "serve", say("terminal.do_serve")))
    add_tell_options(add_command(commands, "tell", say("outbox.do_tell")))
    _demo(add_command(commands, "demo", say("terminal.do_demo")))
    verify = add_command(commands, "verify", say("terminal.do_verify"))
    verify.add_argument("kept", metavar="RECORD", nargs="?", default="", help=say("exported.help_kept"))
    verify.add_argument("--database", metavar="RECORD", default="", help=say("copies.help_same_source"))
    verify.add_argument("--keys", metavar="FILE", default="", help=say("exported.help_keys"))
    add_people_options(add_command(commands, "people", say("people.do_people")))
    for name in ("move", "backup", "restore"):
        add_copies_options(name, add_command(commands, name, say(f"copies.do_{name}")))
    schema = add_command(commands, "schema", say("terminal.do_schema"))
    schema.add_argument(
        "what",
        nargs="?",
        metavar="WHAT",
        choices=("card", "readings", "judgement"),
        help=say("terminal.help_schema"),
    )
    _method_option(schema)
    return top


def _card_argument(command: argparse.ArgumentParser) -> None:
    command.add_argument("card", metavar="CARD", help=say("terminal.help_card"))


def _facts_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--facts", metavar="FILE", help=say("terminal.help_facts"))
    command.add_argument(
        "--fact", metavar="KEY=TEXT", action="append", default=[], help=say("terminal.help_fact")
    )
    command.add_argument("--unit", default="", help=say("terminal.help_unit"))
    command.add_argument("--instrument", default="", metavar="ID", help=say("terminal.help_instrument"))
    _method_option(command)
    command.add_argument(
        "--rule", choices=("guarded", "simple"), default="guarded", help=say("terminal.help_rule")
    )
    command.add_argument("--by", default="", metavar="NAME", help=say("terminal.help_by"))
    command.add_argument("--why", default="", metavar="TEXT", help=say("terminal.help_why"))


def _method_option(command: argparse.ArgumentParser) -> None:
    command.add_argument("--method", default="wire", metavar="KEY", help=say("terminal.help_method"))


def _blank(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    _method_option(command)
    command.add_argument("--csv", action="store_true", help=say("terminal.help_csv"))
    command.add_argument(
        "-o", "--output", metavar="FILE", default="-", help=say("terminal.help_blank_output")
    )


def _judge(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    command.add_argument("readings", metavar="READINGS", help=say("terminal.help_readings"))
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    _facts_options(command)
    _screen_options(command)


def _agree(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    command.add_argument("readings", metavar="READINGS", nargs="+", help=say("agreement.help_readings"))
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    _screen_options(command)


def _wire(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    _screen_options(command)


def _card(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    command.add_argument("--toml", action="store_true", help=say("terminal.help_toml"))
    _screen_options(command)


def _sheet(command: argparse.ArgumentParser) -> None:
    _card_argument(command)
    command.add_argument("readings", metavar="READINGS", nargs="?", help=say("terminal.help_sheet_readings"))
    command.add_argument("-o", "--output", metavar="FILE", required=True, help=say("terminal.help_output"))
    _facts_options(command)


def _serve(command: argparse.ArgumentParser) -> None:
    command.add_argument("--database", metavar="DATABASE", default="", help=say("terminal.help_keep"))
    command.add_argument("--demo", action="store_true", help=say("terminal.help_demo"))
    command.add_argument("--read-only", action="store_true", help=say("terminal.help_read_only"))
    _address_options(command)


def _demo(command: argparse.ArgumentParser) -> None:
    command.add_argument("--into", metavar="FILE", default="", help=say("terminal.help_into"))
    command.add_argument("--files", metavar="FOLDER", default="", help=say("terminal.help_files"))
    command.add_argument("--serve", action="store_true", help=say("terminal.help_then_serve"))
    command.set_defaults(read_only=False)
    _address_options(command)


def _address_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--accounts", action="store_true", help=say("people.help_accounts"))
    command.add_argument("--provider", metavar="FILE", default="", help=say("provider.help_provider"))
    command.add_argument("--host", default=HOST, help=say("terminal.help_host", host=HOST))
    command.add_argument("--port", type=int, default=PORT, help=say("terminal.help_port", port=PORT))
    command.add_argument(
        "--proxy", metavar="ADDRESS", action="append", default=[], help=say("terminal.help_proxy")
    )
    command.add_argument("--open", action="store_true", help=say("terminal.help_open"))
    command.add_argument("--https", action="store_true", help=say("authority.help_https"))
    command.add_argument(
        "--name", metavar="NAME", action="append", default=[], help=say("authority.help_name")
    )
    command.add_argument("--certificate", metavar="FILE", default="", help=say("authority.help_certificate"))
    command.add_argument("--key", metavar="FILE", default="", help=say("authority.help_key"))


def _screen_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--plain", action="store_true", help=say("terminal.help_plain"))
