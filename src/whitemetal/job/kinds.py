"""The kinds of entry of a job, version 1: which words a body must have and where its fact belongs.

Bodies hold texts and whole numbers only. An entry of an unknown kind, or one whose body lacks a word it
needs, stays in the chain and is shown as unknown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from whitemetal.errors import InputError
from whitemetal.gauging.contract import Place
from whitemetal.job.entry import Entry
from whitemetal.units import read

AS_FOUND = "as found"
"""The purpose of a check of the bearing before anything was taken apart."""

HOLD_STATES = ("open", "closed")
UNKNOWN = "unknown"
STRUCK = "struck"


@dataclass(frozen=True)
class Kind:
    """needs: words of the body and their type. group, slot: words that say where the fact belongs.

    replaces: a later entry in the same group and slot takes the place of the ones its writer had seen.
    strikeable: whether a person may strike it.
    """

    needs: Mapping[str, type]
    group: str = ""
    slot: str = ""
    replaces: bool = False
    strikeable: bool = False


KINDS: Mapping[str, Kind] = {
    "opened/1": Kind({"bearing": str, "number": str, "title": str}),
    "adopt/1": Kind({"card": str, "reason": str}),
    "check/1": Kind({"check": str, "method": str, "purpose": str, "places": list}, "check"),
    "fact/1": Kind({"check": str, "key": str, "text": str}, "check", "key", replaces=True, strikeable=True),
    "reading/1": Kind(
        {"check": str, "place": str, "squeeze": int, "text": str}, "check", "place", strikeable=True
    ),
    "strike/1": Kind({"entry": str, "why": str}, "entry"),
    "fit/1": Kind({"what": str, "text": str}, strikeable=True),
    "hold/1": Kind({"hold": str, "state": str}, "check", "hold", replaces=True),
    "rule/1": Kind({"check": str, "rule": str, "why": str}, "check", replaces=True),
    "note/1": Kind({"text": str}, strikeable=True),
    "stripped/1": Kind({"text": str}, strikeable=True),
    "finding/1": Kind({"look": str, "where": list, "text": str}, strikeable=True),
    "known/1": Kind({"fact": str, "says": str}, "", "fact", replaces=True),
    "photo/1": Kind(
        {"digest": str, "of": str, "place": str, "caption": str, "taken": str}, "of", strikeable=True
    ),
    "missed/1": Kind({"what": str, "why": str}, "", "what", strikeable=True),
    "step/1": Kind({"step": str, "state": str, "text": str}, "", "step", replaces=True),
    "signed/1": Kind({"part": str, "state": str, "card": str, "program": str, "leaves": str, "shown": dict}),
    "concession/1": Kind(
        {"against": list, "reason": str, "restrictions": str, "until": str, "engineer": str}, strikeable=True
    ),
    "reopened/1": Kind({"why": str}),
    "run/1": Kind({"run": str, "what": str, "start": str}, "run", replaces=True),
    "run_reading/1": Kind({"run": str, "what": str, "at": str, "text": str}, "run", "what", strikeable=True),
    "log/1": Kind(
        {"run": str, "log": str, "part": int, "file": str, "text": str}, "run", "log", strikeable=True
    ),
    "log_as/1": Kind({"run": str, "log": str, "read": dict}, "run", "log", replaces=True),
    "log_struck/1": Kind(
        {"run": str, "log": str, "line": int, "text": str, "why": str}, "run", "log", strikeable=True
    ),
    "run_seen/1": Kind({"run": str, "what": str, "state": str, "text": str}, "run", "what", replaces=True),
}


def kind_of(entry: Entry) -> str:
    """The entry's kind, or UNKNOWN when this program cannot read it."""
    kind = KINDS.get(entry.kind)
    if kind is None or not all(isinstance(entry.body.get(key), of) for key, of in kind.needs.items()):
        return UNKNOWN
    if entry.kind == "check/1" and _unreadable_places(entry.body["places"]):
        return UNKNOWN
    return entry.kind


def is_as_found(purpose: str) -> bool:
    """Whether a check of this purpose is of the bearing before anything was taken apart."""
    return " ".join(purpose.split()).casefold() == AS_FOUND


def place_body(place: Place) -> dict[str, str]:
    """A place as an entry keeps it: lengths and angles as text with their unit."""
    return {
        "label": place.label, "axial": f"{_plain(place.axial * 1e3)} mm",
        "angle": f"{_plain(place.angle * _DEGREES)} deg", "piece": place.piece, "lies": place.lies,
        "title": place.title,
    }  # fmt: skip


def place_from(body: Mapping[str, Any]) -> Place:
    """A place as an entry kept it. Raises KeyError or UnitError when it cannot be read."""
    return Place(
        body["label"],
        read(body["axial"], "length", field="axial").value,
        read(body["angle"], "angle", field="angle").value,
        body["piece"],
        "along" if body["lies"] == "along" else "across",
        body.get("title", ""),
    )


_DEGREES = 57.29577951308232
"""Degrees in a radian, 180/pi; exact to the last bit."""


def _plain(number: float) -> str:
    """A number without exponent, to a billionth, without trailing zeros."""
    text = f"{number:.9f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _unreadable_places(places: list[Any]) -> bool:
    try:
        return len({place_from(place).label for place in places}) != len(places)
    except (KeyError, TypeError, AttributeError, InputError):
        return True
