"""Limits as rows of paper: the one judged by, the other rungs, the general rules side by side."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from whitemetal.sheets import text
from whitemetal.words import say


def limit_rows(judgement: Mapping[str, Any], unit: str) -> list[dict[str, Any]]:
    """The limit judged by first, then the other rungs, then the general rules side by side."""
    rows = []
    judged_by = judgement["limits"]
    if judged_by is not None:
        rows.append(_limit_row(judged_by, unit, say("sheet.judged_by")))
    same = ("rung", "source", "minimum_m", "maximum_m")
    for one in judgement["ladder"]:
        if judged_by is None or any(one[key] != judged_by[key] for key in same):
            rows.append(_limit_row(one, unit, say("sheet.on_card")))
    rows += [_limit_row(one, unit, say("sheet.rule_of_thumb")) for one in judgement["rules"]]
    return rows


def _limit_row(limit: Mapping[str, Any], unit: str, role: str) -> dict[str, Any]:
    low, high, renewal = (limit[key] for key in ("minimum_m", "maximum_m", "renewal_m"))
    halves = [None if value is None else value / 2 for value in (low, high)]
    edges = limit["accept_from_m"], limit["accept_to_m"]
    proven = "" if edges == (None, None) else " … ".join(text.bare(edge, unit) for edge in edges)
    return {
        "role": role,
        "rung": limit["rung"],
        "source": limit["source"],
        "note": limit["note"],
        "kind": limit.get("kind", "limits"),
        "basis": limit["basis"],
        "diametral": " … ".join(text.bare(value, unit) for value in (low, high)),
        "radial": " … ".join(text.bare(value, unit, finer=True) for value in halves),
        "renewal": text.bare(renewal, unit) if renewal is not None else "",
        "proven": proven,
        "word": limit["word"] or "",
        "probability": text.percent(limit["probability"]),
        "provisional": limit["provisional"],
    }
