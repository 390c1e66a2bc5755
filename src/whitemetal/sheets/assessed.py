"""Quantities other than the oil clearance as blocks of paper: values, limits with their source, the word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from whitemetal.card import LIMITED, Card
from whitemetal.gauging.contract import Assessed, Method, Result
from whitemetal.job.assessed import assess
from whitemetal.job.judgement_json import plain
from whitemetal.sheets import text
from whitemetal.units import show_number
from whitemetal.words import say


def assessed_blocks(quantities: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """One block a quantity of a judgement's JSON: label, values, limits, rules, word."""
    return [_block(one) for one in quantities]


def wanted_blocks(card: Card, method: Method) -> list[dict[str, Any]]:
    """The same for a blank sheet: every quantity the method assesses, with its limits and no value yet."""
    empty = tuple(Assessed(of, of[:1].upper() + of[1:], (), ()) for of in method.assesses)
    return assessed_blocks(plain(assess(card, method, Result(None, assessed=empty))))


def _block(one: Mapping[str, Any]) -> dict[str, Any]:
    judged_by = one["limit"]
    same = ("rung", "source", "minimum", "maximum")
    others = [
        limit
        for limit in one["ladder"]
        if judged_by is None or any(limit[key] != judged_by[key] for key in same)
    ]
    limits = [] if judged_by is None else [_limit(judged_by, one, say("sheet.judged_by"))]
    return {
        "label": one["label"],
        "basis": one["basis"] if len(LIMITED[one["of"]].bases) > 1 else "",
        "unit": one["unit"],
        "note": one["note"],
        "values": [_value(value, one) for value in one["values"]],
        "limits": [*limits, *(_limit(limit, one, say("sheet.on_card")) for limit in others)],
        "judged": judged_by is not None,
        "rules": [_limit(rule, one, "") for rule in one["rules"]],
        "word": one["word"] or "",
        "probability": text.percent(one["probability"]),
        "needed": one["needed"],
    }


def _value(value: Mapping[str, Any], one: Mapping[str, Any]) -> dict[str, str]:
    return {
        "where": value["where"],
        "value": figure(value["value"], one),
        "expanded": spread(value["expanded"], one),
        "word": value["word"] or "",
        "probability": text.percent(value["probability"]),
    }


def figure(value: float | None, one: Mapping[str, Any]) -> str:
    """A value [SI] in the quantity's unit, without its name; clearances to their step."""
    if value is None:
        return "–"
    if _is_clearance(one):
        return text.bare(value, one["unit"])
    return show_number(value, one["unit"], one["dimension"])


def spread(value: float | None, one: Mapping[str, Any]) -> str:
    """An uncertainty [SI] in the quantity's unit, two digits, without the unit's name."""
    if value is None:
        return "–"
    if _is_clearance(one):
        return text.uncertainty(value, one["unit"]).rpartition(" ")[0]
    return show_number(value, one["unit"], one["dimension"], digits=2)


def _is_clearance(one: Mapping[str, Any]) -> bool:
    return one["dimension"] == "length" and one["unit"] in ("mm", "in", "thou")


def _limit(limit: Mapping[str, Any], one: Mapping[str, Any], role: str) -> dict[str, Any]:
    low, high, renewal = (limit[key] for key in ("minimum", "maximum", "renewal"))
    return {
        "role": role,
        "rung": limit["rung"],
        "source": limit["source"],
        "title": limit["title"],
        "basis": limit["basis"] if limit["basis"] != one["basis"] else "",
        "note": limit["note"],
        "figures": _range(low, high, one),
        "renewal": "" if renewal is None else f"{figure(renewal, one)} {one['unit']}".rstrip(),
        "word": limit["word"] or "",
        "probability": text.percent(limit["probability"]),
        "provisional": limit["provisional"],
    }


def _range(low: float | None, high: float | None, one: Mapping[str, Any]) -> str:
    """Both figures, or the one there is with "at least" or "at most"."""
    unit = one["unit"]
    if low is not None and high is not None:
        return f"{figure(low, one)} … {figure(high, one)} {unit}".rstrip()
    if low is not None:
        return say("sheet.at_least", figure=f"{figure(low, one)} {unit}".rstrip())
    if high is not None:
        return say("sheet.at_most", figure=f"{figure(high, one)} {unit}".rstrip())
    return "–"
