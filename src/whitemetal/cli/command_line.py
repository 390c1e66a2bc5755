"""A parser of command lines that says which option, what was typed, what was expected, and an example."""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Iterable
from typing import Any, NoReturn

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

LONGEST = 1e6
"""Seconds, the longest a program waits between two looks. Our own."""


def seconds(text: str) -> float:
    """A time to wait, 0 or more. Raises ValueError."""
    found = float(text)
    if not 0.0 <= found <= LONGEST:
        raise ValueError(text)
    return found


NUMBERS: dict[Any, str] = {int: "a_whole_number", float: "a_number", seconds: "some_seconds"}
"""What is expected where an option is turned into a number."""

LIKE = 0.6
"""How like a word must be to one that is known, 0 to 1, to be offered in its place. Our own."""


class Mistyped(InputError):
    """A command line that cannot be. shown: how it is typed, in lines for a person."""

    def __init__(self, command: str, *problems: Problem) -> None:
        named = f"whitemetal {command}".strip()
        like = [say("terminal.typed_like"), _examples(command)] if command else []
        self.shown = "\n".join([*like, say("terminal.all_of_it", command=named)])
        super().__init__(*problems)


class Examples(argparse.HelpFormatter):
    """Help whose examples keep their lines."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        fill = super()._fill_text
        return "\n".join(
            line if line.startswith("  ") else fill(line, width, indent) for line in text.split("\n")
        )


class CommandLine(argparse.ArgumentParser):
    """Raises Mistyped where argparse would print its own words. command: its name, "" for the whole."""

    def __init__(self, command: str = "", **more: Any) -> None:
        self.command = command
        super().__init__(**more, formatter_class=Examples, allow_abbrev=False)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """As argparse does; but nothing may be left over."""
        found, left = super().parse_known_args(args, namespace)
        if left:
            raise self._left_over(left)
        return found, left

    def error(self, message: str) -> NoReturn:
        """What argparse says where an argument is missing or an option is cut short."""
        missing = re.search(r"required: (.*)", message)
        names = missing[1].split(", ") if missing else []
        actions = [action for action in self._actions if set(names) & set(_names(action))]
        problems = [Problem(_name(action), "", _expected(action, "")) for action in actions]
        raise Mistyped(self.command, *(problems or [Problem(self.prog, "", message)]))

    def _match_argument(self, action: argparse.Action, arg_strings_pattern: str) -> int:
        try:
            return super()._match_argument(action, arg_strings_pattern)
        except argparse.ArgumentError:
            raise self._wrong(action, "") from None

    def _get_value(self, action: argparse.Action, arg_string: str) -> Any:
        try:
            return super()._get_value(action, arg_string)
        except argparse.ArgumentError:
            raise self._wrong(action, arg_string) from None

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is not None and value not in action.choices:
            raise self._wrong(action, str(value))

    def _wrong(self, action: argparse.Action, typed: str) -> Mistyped:
        return Mistyped(self.command, Problem(_name(action), typed, _expected(action, typed)))

    def _left_over(self, left: list[str]) -> Mistyped:
        first = next((text for text in left if text.startswith("-")), left[0])
        known = [text for action in self._actions for text in action.option_strings]
        if first.startswith("-"):
            near = _near(first.partition("=")[0], known)
            expected = say("terminal.an_option", command=self.prog) + (near or _of(known))
        else:
            expected = say("terminal.no_more")
        return Mistyped(self.command, Problem(self.prog, " ".join(left), expected))


def add_command(commands: Any, name: str, about: str) -> CommandLine:
    """A command with its examples at the end of its help."""
    shown = f"{say('terminal.for_example')}\n{_examples(name)}"
    made: CommandLine = commands.add_parser(name, help=about, description=about, command=name, epilog=shown)
    made.add_argument("--trace", action="store_true", help=argparse.SUPPRESS)
    return made


def _examples(command: str) -> str:
    """Whole lines of the command, set in by two."""
    return "\n".join(f"  {line}" for line in say(f"examples.{command}").splitlines())


def _names(action: argparse.Action) -> tuple[str, ...]:
    return ("/".join(action.option_strings), str(action.metavar), action.dest)


def _name(action: argparse.Action) -> str:
    return action.option_strings[-1] if action.option_strings else str(action.metavar or action.dest)


def _expected(action: argparse.Action, typed: str) -> str:
    if action.choices is not None:
        return say("terminal.one_of", choices=", ".join(map(str, action.choices))) + _near(
            typed, map(str, action.choices)
        )
    if action.type in NUMBERS:
        return f"{say(f'terminal.{NUMBERS[action.type]}')}: {action.help}"
    return str(action.help)


def _near(typed: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(typed, list(known), 1, LIKE)
    return say("terminal.perhaps", text=near[0]) if near else ""


def _of(known: Iterable[str]) -> str:
    shown = [text for text in known if text.startswith("--") and text not in ("--help", "--trace")]
    return f": {', '.join(shown)}" if shown else ""
