"""docs/commands.md: every command and option, from the parser itself."""

from __future__ import annotations

import argparse

from tools.pages.layout import page, section, table
from whitemetal.cli.options import parser

INTRO = """
Exit status: 0 when a command did what was asked (a verdict was reached, whichever it is), 2 for bad input,
1 when it could not be done. Results go to standard output, what is wrong to standard error.
"""


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    top = parser()
    first = section("whitemetal", f"{top.description}", f"{top.epilog or ''}", _options(top))
    return {
        "commands.md": page("Commands", INTRO, first, *(_command(*each) for each in commands(top).items()))
    }


def gaps() -> list[str]:
    """Commands and options without a word of help."""
    top = parser()
    found = [f"command {name}: no help" for name, command in commands(top).items() if not command.description]
    for name, command in {"": top, **commands(top)}.items():
        found += [
            f"whitemetal {name} {_named(action)}: no help" for action in _shown(command) if not action.help
        ]
    return found


def commands(top: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The commands by name."""
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def _command(name: str, command: argparse.ArgumentParser) -> str:
    usage = " ".join(command.format_usage().removeprefix("usage: ").split())
    shown = "\n".join(f"    {line.strip()}" for line in (command.epilog or "").splitlines()[1:])
    return section(
        f"whitemetal {name}",
        f"{command.description}",
        f"    {usage}",
        _options(command),
        shown and f"For example:\n\n{shown}",
    )


def _shown(command: argparse.ArgumentParser) -> list[argparse.Action]:
    hidden = (argparse._SubParsersAction, argparse._HelpAction)
    return [a for a in command._actions if not isinstance(a, hidden) and a.help != argparse.SUPPRESS]


def _options(command: argparse.ArgumentParser) -> str:
    rows = [(f"`{_named(action)}`", _help(command, action), _default(action)) for action in _shown(command)]
    return table(("argument", "what it does", "if left out"), rows)


def _named(action: argparse.Action) -> str:
    given = f"{{{','.join(map(str, action.choices))}}}" if action.choices else action.metavar or action.dest
    if not action.option_strings:
        return str(given)
    return ", ".join(action.option_strings) + ("" if action.nargs == 0 else f" {given}")


def _help(command: argparse.ArgumentParser, action: argparse.Action) -> str:
    known = {**vars(action), "prog": command.prog}
    return (action.help or "") % known


def _default(action: argparse.Action) -> str:
    silent = action.default in (None, "", False, argparse.SUPPRESS) or action.default == []
    return "" if silent or not action.option_strings else f"`{action.default}`"
