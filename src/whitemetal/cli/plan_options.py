"""Options of the commands ``plan`` and ``order``."""

from __future__ import annotations

import argparse

from whitemetal.words import say


def add_plan_options(command: argparse.ArgumentParser) -> None:
    """Arguments of ``plan``."""
    command.add_argument("card", metavar="CARD", help=say("terminal.help_card"))
    command.add_argument("readings", metavar="READINGS", help=say("plan.help_readings"))
    command.add_argument("--crush", metavar="FILE", default="", help=say("plan.help_crush"))
    command.add_argument("--stock", metavar="SIZES", default="", help=say("plan.help_stock"))
    command.add_argument("--in", dest="inside", metavar="[JOINT:]SIZES", action="append", default=[],
                         help=say("plan.help_in"))  # fmt: skip
    command.add_argument("--lining", metavar="LENGTH", default="", help=say("plan.help_lining"))
    command.add_argument("--contact", metavar="WHERE", default="", help=say("plan.help_contact"))
    command.add_argument("--contact-passes", metavar="N", default="", help=say("plan.help_contact_passes"))
    _shown(command)


def add_order_options(command: argparse.ArgumentParser) -> None:
    """Arguments of ``order``."""
    command.add_argument("card", metavar="CARD", help=say("terminal.help_card"))
    command.add_argument("readings", metavar="READINGS", nargs="?", help=say("bore_order.help_readings"))
    command.add_argument(
        "--part", choices=("bore", "journal"), default="bore", help=say("bore_order.help_part")
    )
    command.add_argument("--grade", metavar="N", default="", help=say("bore_order.help_grade"))
    command.add_argument("-o", "--output", metavar="FILE", default="", help=say("bore_order.help_output"))
    _shown(command)


def _shown(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    command.add_argument("--plain", action="store_true", help=say("terminal.help_plain"))
