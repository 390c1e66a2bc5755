"""Commands that need no readings yet: the gauging methods there are, and an empty file to fill in."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from whitemetal.cli.files import card_of, write_bytes
from whitemetal.cli.screen import Screen
from whitemetal.gauging import method_named
from whitemetal.gauging.order import in_short, method_groups
from whitemetal.gauging.readings_file import blank_csv, blank_toml


def blank(options: argparse.Namespace) -> int:
    """An empty readings file of a method, printed or written. Raises InputError."""
    card, method = card_of(options.card), method_named(options.method)
    as_csv = options.csv or options.output.casefold().endswith(".csv")
    text = blank_csv(card, method) if as_csv else blank_toml(card, method)
    if options.output == "-" and sys.stdout.isatty():
        print(text, end="")
    else:
        write_bytes(options.output, text.encode())
    return 0


def methods_lines(screen: Screen) -> Iterator[str]:
    """Every method by group, with its key and what it is for in half a sentence."""
    for group in method_groups():
        yield screen.heading(group.title)
        for method in group.methods:
            yield from screen.wrapped(f"{method.key:<11} {method.title}: {in_short(method)}", "  ", " " * 14)
        yield ""
