"""Runs a command: 0 when it did what was asked, 2 for bad input, 1 when it could not be done."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress

from whitemetal.cli.command_line import Mistyped
from whitemetal.cli.files import FileInputError
from whitemetal.cli.options import Serve, parser
from whitemetal.cli.screen import forgive, open_closed_streams, visible
from whitemetal.errors import InputError, MethodRefused, WhitemetalError
from whitemetal.words import say

DONE, NOT_DONE, BAD_INPUT, STOPPED, NOBODY_READS = 0, 1, 2, 130, 141
"""Exit statuses. The last two are what a shell reports for an interrupt and for a closed pipe."""


def run(arguments: Sequence[str], serve: Serve) -> int:
    """Run one command line; the exit status. ``serve`` shows the pages: it is another face's work."""
    open_closed_streams()
    for stream in (sys.stdout, sys.stderr):
        forgive(stream)
    options = argparse.Namespace()
    try:
        try:
            options = parser().parse_args(arguments)
            status = _dispatch(options, serve)
        except SystemExit as stop:
            status = stop.code if isinstance(stop.code, int) else BAD_INPUT
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        _let_output_go()
        return NOBODY_READS
    except KeyboardInterrupt:
        print(say("terminal.stopped"), file=sys.stderr)
        return STOPPED
    except Exception as bad:
        if getattr(options, "trace", False):
            raise
        if isinstance(bad, OSError):
            _let_output_go()
        return _told(bad)


def _let_output_go() -> None:
    """What could not be written must not be tried again when the program ends."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _dispatch(options: argparse.Namespace, serve: Serve) -> int:
    if options.version:
        from whitemetal.version import VERSION

        print(f"whitemetal {VERSION}")
        return DONE
    if options.command is None:
        parser().print_help(sys.stderr)
        return BAD_INPUT
    from whitemetal.cli import commands

    command: Callable[[argparse.Namespace, Serve], int] = getattr(commands, f"do_{options.command}")
    return command(options, serve)


def _told(bad: Exception) -> int:
    """Say what went wrong, on standard error; the exit status."""
    if isinstance(bad, InputError):
        name = f"{bad.name}: " if isinstance(bad, FileInputError) else ""
        print(say("terminal.wrong_input"), file=sys.stderr)
        for problem in bad.problems:
            print(f"  {visible(f'{name}{problem}')}", file=sys.stderr)
        if isinstance(bad, Mistyped):
            print(bad.shown, file=sys.stderr)
        return BAD_INPUT
    if isinstance(bad, MethodRefused):
        print(say("terminal.not_done", why=bad), file=sys.stderr)
        return BAD_INPUT
    if isinstance(bad, WhitemetalError):
        print(say("terminal.not_done", why=bad), file=sys.stderr)
        return NOT_DONE
    if isinstance(bad, OSError):
        reason = (bad.strerror or type(bad).__name__).lower()
        print(say("terminal.output_refused", reason=reason), file=sys.stderr)
        return NOT_DONE
    what = f"{type(bad).__name__}: {bad}".splitlines()[0]
    print(say("terminal.own_fault", what=what), file=sys.stderr)
    return NOT_DONE
