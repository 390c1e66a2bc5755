"""The oil."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Oil:
    """grade: e.g. ISO VG 46. quantity as the maker's book states it, in words."""

    grade: str = ""
    quantity: str = ""
