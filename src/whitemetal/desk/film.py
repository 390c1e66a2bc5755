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
    from whitemetal.fitting.what_if import WhatIf

FOLDER = "NUMBA_CACHE_DIR"
Name = tuple[str, str]
"""Book and check."""

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
    """The newest film of each check in use. Threads may share one: of one check one calculates and the others
    wait, those of other checks do not. Trials are not kept."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._busy: dict[Name, Lock] = {}
        self._kept: OrderedDict[Name, tuple[tuple[Any, ...], Consequence]] = OrderedDict()

    def of(self, view: JobView, check: str, trial: WhatIf | None = None) -> Consequence:
        """The film of a check of this job, with what is tried. Raises UnknownBook, InputError with all that
        the card lacks, and NotConverged."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(say("ledger.unknown_check", check=check))
        if trial is not None:
            return _made(view, check, trial)
        made_from = (found, view.card)
        name = (view.state.book, check)
        with self._lock:
            busy = self._busy.setdefault(name, Lock())
        with busy:
            with self._lock:
                before = self._kept.get(name)
            if before is not None and before[0] == made_from:
                return before[1]
            film = _made(view, check, None)
            with self._lock:
                self._keep(name, made_from, film)
            return film

    def _keep(self, name: Name, made_from: tuple[Any, ...], film: Consequence) -> None:
        """Keep a film in place of the longest unmade."""
        self._kept[name] = made_from, film
        self._kept.move_to_end(name)
        while len(self._kept) > KEPT:
            gone, _ = self._kept.popitem(last=False)
            self._busy.pop(gone, None)


def _made(view: JobView, check: str, trial: WhatIf | None) -> Consequence:
    """A film, calculated."""
    name_folder()
    from whitemetal.fitting.consequence import AS_IT_IS, consequence

    return consequence(view.card, _result(view, check), trial or AS_IT_IS)


def _result(view: JobView, check: str) -> Result | None:
    """What the readings give, None while they give nothing."""
    found = view.state.checks[check]
    if not found.readings:
        return None
    try:
        return method_named(found.method).evaluate(view.card, found.places, found.facts, found.readings)
    except WhitemetalError:
        return None
