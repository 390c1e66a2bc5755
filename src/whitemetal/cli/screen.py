"""What the terminal can show: colour, width, letters."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from dataclasses import dataclass
from typing import TextIO

COLOURS = {"good": "32", "bad": "31", "open": "33", "bold": "1", "faint": "2"}
NARROWEST, WIDEST, NOT_A_TERMINAL = 48, 100, 78


@dataclass(frozen=True)
class Screen:
    """width: columns. colour: whether escape codes may be written. plain: letters beyond ASCII cannot."""

    width: int = NOT_A_TERMINAL
    colour: bool = False
    plain: bool = False

    def paint(self, text: str, *how: str) -> str:
        """Text in a colour, where there is colour. Colour never says what the words do not."""
        if not self.colour or not how:
            return text
        return f"\x1b[{';'.join(COLOURS[each] for each in how)}m{text}\x1b[0m"

    def wrapped(self, text: str, first: str = "", rest: str = "") -> list[str]:
        """A sentence in lines that fit, the first after ``first``, the others after ``rest``."""
        return textwrap.wrap(
            text, self.width, initial_indent=first, subsequent_indent=rest, break_long_words=False,
            break_on_hyphens=False,
        ) or [first.rstrip()]  # fmt: skip

    def heading(self, text: str) -> str:
        """A heading over its lines."""
        return self.paint(text, "bold")


def screen_for(stream: TextIO, plain: bool = False) -> Screen:
    """What a stream can show. Colour only on a terminal, and not where NO_COLOR is set."""
    terminal = stream.isatty()
    width = min(max(shutil.get_terminal_size((NOT_A_TERMINAL, 24)).columns, NARROWEST), WIDEST)
    quiet = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return Screen(
        width if terminal else NOT_A_TERMINAL,
        terminal and not quiet and not plain,
        plain or not _fancy(stream),
    )


def _fancy(stream: TextIO) -> bool:
    try:
        "─│┌━◆±‰".encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def forgive(stream: TextIO) -> None:
    """Letters a stream cannot show become "?" instead of an error."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")


def progress(text: str) -> None:
    """One line on standard error about what is happening; on a terminal the next one takes its place."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{text}")
    else:
        sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


def progress_done(text: str = "") -> None:
    """The last progress line, which stays."""
    if text:
        progress(text)
    if sys.stderr.isatty() and text:
        sys.stderr.write("\n")
        sys.stderr.flush()
