"""Options of the command ``procedure``."""

from __future__ import annotations

import argparse

from whitemetal.words import say


def add_procedure_options(command: argparse.ArgumentParser) -> None:
    """Arguments of ``procedure``."""
    command.add_argument("card", metavar="CARD", help=say("terminal.help_card"))
    command.add_argument("--plant", metavar="FILE", default="", help=say("procedure.help_plant"))
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    command.add_argument("-o", "--output", metavar="FILE", default="", help=say("procedure.help_output"))
    command.add_argument(
        "--sheets", metavar="KEYS", action="append", default=[], help=say("procedure.help_sheets")
    )
    command.add_argument("--plain", action="store_true", help=say("terminal.help_plain"))
