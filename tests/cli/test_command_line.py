"""Every command mistyped: the error names the option, what was typed, what was expected, and an example."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tools.pages.commands import commands
from whitemetal.cli.options import parser

COMMANDS = sorted(commands(parser()))

MISTYPED = {
    "bogus": 'COMMAND: "bogus" was typed; expected one of judge,',
    "serv": "perhaps serve",
    "serve --port x": '--port: "x" was typed; expected a whole number: port to listen on',
    "serve --databse plant": '"--databse plant" was typed; expected an option of whitemetal serve; perhaps --database',
    "tell http://x.example/": "--to: nothing was typed; expected the address",
    "tell --to": "--to: nothing was typed; expected the address",
    "tell --to http://x.example/ --every now": '--every: "now" was typed; expected a number of seconds, 0 or more:',
    "tell --to http://x.example/ --every -3": '--every: "-3" was typed; expected a number of seconds',
    "tell --to http://x.example/ --every nan": '--every: "nan" was typed; expected a number of seconds',
    "tell --to x.example": '--to: "x.example" was typed; expected an address that begins with https',
    "people first Jo": 'NAME: "Jo" was typed; expected no name',
    "people list --role fit": '--role: "fit" was typed; expected roles only with add and roles',
    "people list": "--database: nothing was typed; expected a record: there is no whitemetal.sqlite3 here",
    "verify": "RECORD: nothing was typed; expected a record: there is no",
    "backup night.backup": "RECORD: nothing was typed; expected a record: there is no",
    "move": "FROM: nothing was typed; expected the record as it is now",
    "move a": "TO: nothing was typed; expected where it goes",
    "move a b c": 'whitemetal move: "c" was typed; expected nothing more',
    "move --from a --to b": '"--from --to" was typed; expected an option of whitemetal move',
    "backup": "FILE: nothing was typed; expected where the backup goes",
    "backup a b --database c": '--database: "c" was typed; expected no second record: a was named already',
    "restore": "FILE: nothing was typed; expected the backup",
    "restore a": "TO: nothing was typed; expected where it goes",
    "restore a b --database c": '--database: "c" was typed; expected no second record',
    "verify a --database b": '--database: "b" was typed; expected no second record',
    "people": "WHAT: nothing was typed; expected one of first, list",
    "people lst": 'WHAT: "lst" was typed; expected one of first, list, add, code',
    "schema crad": '"crad" was typed; expected one of card, readings, judgement; perhaps card',
    "export --as pdf": '--as: "pdf" was typed; expected one of csv, xlsx, json',
    "export": "--as: nothing was typed; expected one of csv",
    "judge a b --jsn": '"--jsn" was typed; expected an option of whitemetal judge; perhaps --json',
}


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("WHITEMETAL_DATABASE", raising=False)


@pytest.mark.parametrize("typed", MISTYPED)
def test_what_was_mistyped_is_named(command: Command, tmp_path: Path, typed: str) -> None:
    wrong = command(*typed.split()).wrong
    assert MISTYPED[typed] in wrong[0]
    assert list(tmp_path.iterdir()) == [], "something was made"


@pytest.mark.parametrize("typed", ["serv", "move", "serve --port x", "restore a"])
def test_a_line_that_cannot_be_leads_to_the_help(command: Command, typed: str) -> None:
    said = command(*typed.split()).wrong[-1]
    assert said.startswith("Every argument: whitemetal") and said.endswith(" --help")


def test_all_that_is_missing_is_named_at_once(command: Command) -> None:
    wrong = command("follow").wrong
    assert [line.split(":")[0].strip() for line in wrong[:3]] == ["FILE", "--job", "--by"]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_refuses_an_option_it_has_not(command: Command, name: str) -> None:
    wrong = command(name, "--no-such-option", "a", "b").wrong
    assert f"whitemetal {name}" in "\n".join(wrong)
    assert any(line.startswith(f"  whitemetal {name}") for line in wrong), "no example"


def test_the_examples_of_every_command_can_be_typed(command: Command) -> None:
    """Each line is read by the parser itself."""
    counted = 0
    for name in COMMANDS:
        shown = command(name, "--help").out.partition("for example:\n")[2]
        for line in filter(None, shown.splitlines()):
            program, *words = shlex.split(line, comments=True)
            assert (program, parser().parse_args(words).command) == ("whitemetal", name)
            counted += 1
    assert counted > len(COMMANDS)


def test_an_example_that_cannot_be_typed_would_be_seen() -> None:
    with pytest.raises(Exception, match="no-such"):
        parser().parse_args(["move", "a", "b", "--no-such"])
