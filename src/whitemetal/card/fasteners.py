"""The cap's nuts or bolts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fasteners:
    """count of nuts on the cap. torque: the final value [N m], or None. source: document and revision."""

    count: int | None = None
    size: str = ""
    grade: str = ""
    torque: float | None = None
    source: str = ""
    lubricant: str = ""
