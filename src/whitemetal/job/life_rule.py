"""The plant's own rule for opening bearings, from the plant's book: "opening_rule/1" {months, risk, text}.

The last one counts. Two that were set by people unaware of each other are both shown, and the stricter of
each figure counts until one is set anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.history.next_opening import RISK
from whitemetal.job.entry import Entry
from whitemetal.job.sight import stamped
from whitemetal.units import read
from whitemetal.words import say

KIND = "opening_rule/1"

LARGEST = 0.5
"""A risk is below this; exact: an even chance is no precaution."""

MOST_MONTHS = 600
"""Fifty years; a longer time between two openings is a slip. Our own."""


@dataclass(frozen=True)
class Rule:
    """months: longest time between two openings, None without one; risk: chance that the limit is passed
    before the opening; by, at, text: who set it, when and why. others: set unaware of this one."""

    months: int | None = None
    risk: float = RISK
    by: str = ""
    at: str = ""
    text: str = ""
    others: tuple[Rule, ...] = ()


NO_RULE = Rule()


def rule_of(entries: Iterable[Entry]) -> Rule:
    """The plant's rule from the entries of its book; `NO_RULE` where none was set."""
    pairs = [(entry, stamp) for entry, stamp in stamped(entries) if entry.kind == KIND]
    last = [
        entry for entry, stamp in pairs if not any(o.saw(stamp) for other, o in pairs if other is not entry)
    ]
    found = [one for entry in last if (one := _read(entry)) is not None]
    if not found:
        return NO_RULE
    months = [one.months for one in found if one.months is not None]
    first = found[0]
    return Rule(
        min(months, default=None), min(one.risk for one in found), first.by, first.at, first.text,
        tuple(found[1:]),
    )  # fmt: skip


def _read(entry: Entry) -> Rule | None:
    texts = {name: str(entry.body.get(name, "")) for name in ("months", "risk", "text")}
    try:
        months, risk = rule_typed(texts)
    except InputError:
        return None
    return Rule(months, risk, str(entry.by.get("name", "")), entry.at, texts["text"])


def rule_typed(texts: Mapping[str, str]) -> tuple[int | None, float]:
    """Months and risk from texts; nothing typed is no longest time and the usual risk. Raises InputError."""
    months, risk, problems = texts.get("months", "").strip(), texts.get("risk", "").strip(), list[Problem]()
    if months and not (months.isdecimal() and 0 < int(months[:6]) <= MOST_MONTHS):
        problems.append(Problem(say("life.months"), months, say("life.months_expected", most=MOST_MONTHS)))
    try:
        chance = risk_typed(risk) if risk else RISK
    except InputError as bad:
        problems += bad.problems
    if not texts.get("text", "").strip():
        problems.append(Problem(say("life.rule_text"), "", say("life.rule_text_expected")))
    if problems:
        raise InputError(*problems)
    return (int(months) if months else None), chance


def risk_typed(text: str) -> float:
    """A risk as typed, "5 %" or "5". "0.05" is asked: it may be a share or a twentieth of a per cent. Raises
    InputError."""
    typed = read(text, "ratio", field=say("history.risk_label"), default_unit="%")
    if not typed.unit_given and typed.value < 0.01:
        raise InputError(Problem(say("history.risk_label"), text, say("life.risk_unit")))
    if not 0.0 < typed.value < LARGEST:
        raise InputError(Problem(say("history.risk_label"), text, say("history.risk")))
    return typed.value
