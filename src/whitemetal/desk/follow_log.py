"""A logger's file that grows, taken into the record line by line as it is written.

Only whole lines are taken: what stands after the last line end waits for the rest of it. Begun again, it goes
on where the record ends, after a look that the file still begins as the record has it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from whitemetal.closing.run_in.logger_file import MOST_BYTES
from whitemetal.closing.run_in.logger_propose import Proposed, propose
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import Writer
from whitemetal.desk.run_in import CHUNK, add_to_log, log_of, read_log_so, run_of, runs
from whitemetal.errors import InputError, Problem
from whitemetal.job.run_in import RunShown
from whitemetal.job.run_state import said_of
from whitemetal.words import say

FEWEST_LINES = 2
"""Lines of data before it is told how a file is to be read. Our own: one line can look like anything."""


@dataclass(frozen=True)
class Followed:
    """What one look at the file did. lines: taken in by it. shown: the run as it stands, None before the file
    is read. waits: what stops it from being read, in words."""

    lines: int
    shown: RunShown | None
    waits: tuple[str, ...] = ()


class Follower:
    """Follows one file into one run-in. said: answers that a person gave, as of `ReadAs`; the rest is taken
    from the file. Raises InputError where the file is not the one that the record began with."""

    def __init__(
        self, desk: Desk, job: str, run: str, path: Path, writer: Writer, said: Mapping[str, Any]
    ) -> None:
        self._desk, self._job, self._run, self._path = desk, job, run, path
        self._writer, self._said = writer, dict(said)
        held = self._held_before()
        self.log = held.log if held else desk.fresh_id()
        self._part = held.parts if held else 0
        self._taken = held.text if held else ""
        self._read_so = bool(held and held.said)

    def look(self) -> Followed:
        """Take in the whole lines that came since. Raises InputError, CannotWrite."""
        new = self._new_text()
        for start in range(0, len(new), CHUNK) if len(new) > CHUNK else [0] if new else []:
            self._keep(new[start : start + CHUNK])
        waits = () if self._read_so else self._say_how()
        shown = None
        if self._read_so:
            shown = next(
                one for one in runs(self._desk, self._desk.job(self._job)) if one.run.run == self._run
            )
        return Followed(new.count("\n"), shown, waits)

    def _held_before(self) -> Any:
        logs = run_of(self._desk.job(self._job), self._run).logs
        same = [one for one in logs if one.file == self._path.name and not one.struck and not one.missing]
        text = whole_lines(self._path)
        return next((one for one in reversed(same) if one.text and text.startswith(one.text)), None)

    def _new_text(self) -> str:
        text = whole_lines(self._path)
        if not text.startswith(self._taken):
            raise InputError(Problem(self._path.name, "", say("run_in.not_the_same_file")))
        return text[len(self._taken) :]

    def _keep(self, text: str) -> None:
        self._part += 1
        kept = add_to_log(
            self._desk, self._job, self._run, self.log, self._path.name, self._part, text, self._writer
        )
        if kept.problem is not None:
            raise InputError(kept.problem)
        self._taken += text

    def _say_how(self) -> tuple[str, ...]:
        """Say how the file is to be read, once there are lines to tell from; what is still asked, else."""
        try:
            proposed = propose(self._taken)
        except InputError:
            return (say("run_in.no_lines_yet"),)
        if len(proposed.columns[0].cells) < FEWEST_LINES:
            return (say("run_in.no_lines_yet"),)
        asked = tuple(one.text for one in proposed.asked if not self._answered(one.of))
        if asked:
            raise InputError(*(Problem(self._path.name, "", text) for text in asked))
        read_log_so(self._desk, self._job, self._run, self.log, self._answers(proposed), self._writer)
        self._read_so = bool(log_of(run_of(self._desk.job(self._job), self._run), self.log).said)
        return ()

    def _answered(self, of: str) -> bool:
        if of == "columns" or of.startswith("column "):
            return bool(self._said.get("channels"))
        return bool(self._said.get(of))

    def _answers(self, proposed: Proposed) -> dict[str, Any]:
        return {**said_of(proposed.read_as), **{key: value for key, value in self._said.items() if value}}


def whole_lines(path: Path) -> str:
    """The text of a file up to its last line end. Raises InputError where it cannot be read as text."""
    try:
        data = path.read_bytes()
    except OSError as bad:
        reason = (bad.strerror or type(bad).__name__).lower()
        raise InputError(Problem(path.name, str(path), say("run_in.cannot_read", reason=reason))) from None
    if len(data) > MOST_BYTES:
        most = say("run_in.log_too_large", most=MOST_BYTES // 1_000_000)
        raise InputError(Problem(path.name, f"{len(data)} bytes", most))
    if b"\0" in data[:4000]:
        raise InputError(Problem(path.name, "", say("run_in.log_no_text")))
    whole = data[: data.rfind(b"\n") + 1]
    try:
        text = whole.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = whole.decode("windows-1252", errors="replace")
    return unicodedata.normalize("NFC", text)
