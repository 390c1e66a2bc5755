"""The command ``agree``: the checks of several readings files side by side."""

from __future__ import annotations

import argparse
import sys
import tomllib
from typing import Any

from whitemetal.card import Card
from whitemetal.cli.files import FileInputError, card_of, read_bytes
from whitemetal.cli.screen import screen_for
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.job.state import CheckState
from whitemetal.words import say

PURPOSE = "as left"
"""Purpose of a readings file that names none. Our own."""


def show(options: argparse.Namespace, emit: Any, emit_json: Any) -> int:
    """Compare the checks and show what comes of it; 0. emit, emit_json: print lines, and a JSON value."""
    from whitemetal.cli.agreement_text import agreement_lines
    from whitemetal.job.agreement import agreement_json, agreements, compare_checks

    if [options.card, *options.readings].count("-") > 1:
        raise InputError(Problem("-", "-", say("terminal.one_stdin")))
    card = card_of(options.card)
    checks = [_check(card, where, number) for number, where in enumerate(options.readings, 1)]
    found = agreements(compare_checks(checks, card))
    if options.json:
        emit_json(agreement_json(found))
    else:
        screen = screen_for(sys.stdout, options.plain)
        emit(list(agreement_lines(found, screen)), screen)
    return 0


def _check(card: Card, where: str, number: int) -> CheckState:
    """A readings file as a check, called by its number and name. Raises FileInputError."""
    from whitemetal.gauging.readings_file import read_toml

    data = read_bytes(where)
    method = METHODS.get(_method(data))
    if method is None:
        expected = say("agreement.names_method", methods=", ".join(METHODS))
        raise FileInputError(where, Problem("method", _method(data), expected))
    taken = read_toml(data, card, method)
    if taken.problems:
        raise FileInputError(where, *taken.problems)
    purpose = taken.facts["purpose"].text if "purpose" in taken.facts else PURPOSE
    return CheckState(f"{number}. {where}", method.key, purpose, taken.places, taken.facts, taken.readings)


def _method(data: bytes) -> str:
    """The method a TOML file names; "" where it cannot be read, which its reader then says."""
    try:
        return str(tomllib.loads(data.decode("utf-8-sig")).get("method", ""))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return ""
