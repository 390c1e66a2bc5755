"""Options of the commands that show the oil film, and what they mean."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from whitemetal.errors import InputError, Problem
from whitemetal.units import Dimension, read
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.consequence import WhatIf

TRIALS: tuple[tuple[str, Dimension, str], ...] = (
    ("load", "force", '"9 kN"'),
    ("ambient", "temperature", '"30 degC"'),
    ("inlet", "temperature", '"40 degC"'),
    ("feed_pressure", "pressure", '"140 kPa"'),
    ("least_film", "length", '"10 um"'),
    ("hottest", "temperature", '"80 degC"'),
    ("whirl_margin", "ratio", "1.5"),
)
"""Quantities that may be tried in place of the card's or of a default: option, dimension, example."""


def add_film_options(command: argparse.ArgumentParser) -> None:
    """FILES, --json, the values to try and what goes with readings."""
    command.add_argument("files", metavar="CARD [READINGS]", nargs="+", help=say("film.help_files"))
    command.add_argument("--json", action="store_true", help=say("terminal.help_json"))
    command.add_argument("--facts", metavar="FILE", help=say("terminal.help_facts"))
    command.add_argument(
        "--fact", metavar="KEY=TEXT", action="append", default=[], help=say("terminal.help_fact")
    )
    command.add_argument("--unit", default="", help=say("terminal.help_unit"))
    command.add_argument("--instrument", default="", metavar="ID", help=say("terminal.help_instrument"))
    command.add_argument("--method", default="wire", help=say("terminal.help_method"))
    command.add_argument("--oil", metavar="GRADE", help=say("film.help_oil"))
    for name, _, example in TRIALS:
        option = f"--{name.replace('_', '-')}"
        command.add_argument(option, metavar="VALUE", help=say(f"film.help_{name}", example=example))
    command.add_argument(
        "--rotation", choices=("clockwise", "anticlockwise"), help=say("film.help_rotation"),
    )  # fmt: skip
    command.add_argument("--plain", action="store_true", help=say("terminal.help_plain"))


def what_if_of(options: argparse.Namespace) -> WhatIf:
    """The values to try. Raises InputError with every one that cannot be read."""
    from whitemetal.fitting.consequence import WhatIf

    found: dict[str, float] = {}
    problems: list[Problem] = []
    for name, dimension, _ in TRIALS:
        text = getattr(options, name)
        if text is None:
            continue
        try:
            found[name] = read(text, dimension, field=f"--{name.replace('_', '-')}").value
        except InputError as bad:
            problems += bad.problems
    if problems:
        raise InputError(*problems)
    return WhatIf(oil=options.oil, rotation=options.rotation, **found)
