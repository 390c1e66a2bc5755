"""The oil film of a check: calculated when asked for, kept while the check and the card stay as they are."""

from __future__ import annotations

import os
import sys
import tempfile
from collections import OrderedDict
from collections.abc import MutableMapping
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from whitemetal.desk.rows import JobView
from whitemetal.errors import UnknownBook, WhitemetalError
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Result
from whitemetal.version import VERSION
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence

FOLDER = "NUMBA_CACHE_DIR"
KEPT = 16
"""Films that stay in memory. Our own."""


def name_folder(environment: MutableMapping[str, str] = os.environ) -> str:
    """Name a folder of the user's for compiled code, before the film is first imported; "" when none can be
    written, and then compiled code is kept in memory. A folder that is already named stays."""
    if environment.get(FOLDER):
        return environment[FOLDER]
    home = environment.get("XDG_CACHE_HOME") or environment.get("LOCALAPPDATA") or ""
    try:
        base = Path(home) if home else Path.home() / ".cache"
        python = f"py{sys.version_info.major}{sys.version_info.minor}"
        folder = base / "whitemetal" / f"film-{VERSION}-{python}"
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except (OSError, RuntimeError):
        return ""
    environment[FOLDER] = str(folder)
    return str(folder)


def in_memory() -> bool:
    """Whether compiled code could not be kept on disk. Asked after a film."""
    from whitemetal.film.compiled import kept

    return kept() == "in memory"


class Films:
    """The newest film of each check in use. Threads may share one: one calculates, the others wait."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._kept: OrderedDict[tuple[str, str], tuple[tuple[Any, ...], Consequence]] = OrderedDict()

    def of(self, view: JobView, check: str) -> Consequence:
        """The film of a check of this job. Raises UnknownBook, InputError with all that the card lacks, and
        NotConverged."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(say("ledger.unknown_check", check=check))
        made_from = (found, view.card)
        name = (view.state.book, check)
        with self._lock:
            before = self._kept.get(name)
            if before is not None and before[0] == made_from:
                return before[1]
            name_folder()
            from whitemetal.fitting.consequence import consequence

            film = consequence(view.card, _result(view, check))
            self._kept[name] = made_from, film
            self._kept.move_to_end(name)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
            return film


def _result(view: JobView, check: str) -> Result | None:
    """What the readings give, None while they give nothing."""
    found = view.state.checks[check]
    if not found.readings:
        return None
    try:
        return method_named(found.method).evaluate(view.card, found.places, found.facts, found.readings)
    except WhitemetalError:
        return None
