"""Limits as rows of paper: the one judged by, the other rungs, the general rules side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from whitemetal.sheets import text
from whitemetal.words import say


def limit_rows(judgement: Mapping[str, Any], unit: str) -> list[dict[str, Any]]:
    """The limit judged by first, then the other rungs of the card."""
    rows = []
    judged_by = judgement["limits"]
    if judged_by is not None:
        rows.append(_row(judged_by, unit, say("sheet.judged_by")))
    same = ("rung", "source", "minimum_m", "maximum_m")
    for one in judgement["ladder"]:
        if judged_by is None or any(one[key] != judged_by[key] for key in same):
            rows.append(_row(one, unit, say("sheet.on_card")))
    return rows


def rule_rows(judgement: Mapping[str, Any], unit: str) -> list[dict[str, Any]]:
    """The general rules side by side, never mixed with a limit."""
    return [_row(one, unit, "") for one in judgement["rules"]]


def _row(limit: Mapping[str, Any], unit: str, role: str) -> dict[str, Any]:
    low, high, renewal = (limit[key] for key in ("minimum_m", "maximum_m", "renewal_m"))
    halves = [None if value is None else value / 2 for value in (low, high)]
    edges = limit["accept_from_m"], limit["accept_to_m"]
    return {
        "role": role,
        "rung": limit["rung"],
        "source": limit["source"],
        "note": limit["note"],
        "basis": limit["basis"],
        "diametral": _range([low, high], unit, limit["kind"]),
        "radial": _range(halves, unit, limit["kind"], finer=True),
        "renewal": text.bare(renewal, unit) if renewal is not None else "",
        "proven": "" if edges == (None, None) else _range(edges, unit, "limits"),
        "word": limit["word"] or "",
        "probability": text.percent(limit["probability"]),
        "provisional": limit["provisional"],
    }


def _range(figures: Sequence[float | None], unit: str, kind: str, *, finer: bool = False) -> str:
    """Two figures as a range, or one where a rule gives only a typical value."""
    low, high = (text.bare(value, unit, finer=finer) for value in figures)
    return say("sheet.about", figure=low) if kind == "typical" else f"{low} … {high}"
