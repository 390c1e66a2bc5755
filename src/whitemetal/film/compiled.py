"""The one door to the compiler. Nothing else in the program imports numba.

Compiled code is kept on disk where a folder can be written (the faces name it in ``NUMBA_CACHE_DIR`` before
the film is first imported) and in memory where none can; `kept` says which.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., Any])

_IN_MEMORY: list[str] = []
OPTIONS: dict[str, Any] = {"error_model": "numpy", "fastmath": {"contract", "nsz", "arcp", "reassoc"}}


def compiled(function: Function) -> Function:
    """``function`` compiled at its first call, kept on disk if a folder can be written, else in memory."""
    try:
        return numba.njit(cache=True, **OPTIONS)(function)  # type: ignore[no-any-return]
    except RuntimeError:  # numba found no folder it may write to
        _IN_MEMORY.append(function.__name__)
        return numba.njit(**OPTIONS)(function)  # type: ignore[no-any-return]


def kept() -> Literal["on disk", "in memory"]:
    """Where the compiled code of this process is kept; "in memory" means that each start compiles anew."""
    return "in memory" if _IN_MEMORY else "on disk"
