"""The oil."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Oil:
    """grade: e.g. ISO VG 46. quantity as the maker's book states it, in words. feed_pressure [Pa], gauge, and
    inlet_temperature [K] of oil that is fed under pressure."""

    grade: str = ""
    quantity: str = ""
    feed_pressure: float | None = None
    inlet_temperature: float | None = None
