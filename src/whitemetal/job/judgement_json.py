"""A judgement as JSON: format "whitemetal.judgement/1", every length in metres under a key ending in _m."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from whitemetal.job.judgement import FORMAT, Judgement


def as_json(judgement: Judgement) -> dict[str, Any]:
    """Plain JSON values. Numbers that are not finite (infinite degrees of freedom) become null."""
    return {"format": FORMAT, **plain(judgement)}


def plain(value: Any) -> Any:
    """Dataclasses, tuples and numbers as JSON values; a number that is not finite becomes null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, tuple | list):
        return [plain(inner) for inner in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value
