"""The gauging methods in the order of the job and of trust, as people begin them. Common practice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from whitemetal.gauging.contract import Method
from whitemetal.gauging.register import METHODS
from whitemetal.words import say

GROUPS = ("joint", "crush", "contact", "clearance", "journal", "parts", "machine")
"""Joint faces and seat carry everything after them; what belongs to the machine comes last."""

_BY_POINT = {
    "joint_faces": "joint", "tightening": "joint", "crush": "crush", "contact": "contact",
    "clearance": "clearance",
}  # fmt: skip


@dataclass(frozen=True)
class MethodGroup:
    """Methods that belong together. title: for people."""

    key: str
    title: str
    methods: tuple[Method, ...]


def group_of(method: Method) -> str:
    """The group of a method, from what it proves and measures."""
    if method.subject == "machine":
        return "machine"
    if method.proves in _BY_POINT:
        return _BY_POINT[method.proves]
    if method.measures == "oil clearance":
        return "clearance"
    return "journal" if method.ring == "journal" else "parts"


def method_groups(methods: Iterable[Method] = ()) -> tuple[MethodGroup, ...]:
    """The methods by group, in order; groups without any are left out. methods: all there are by default."""
    held = tuple(methods) or tuple(METHODS.values())
    found = {key: tuple(method for method in held if group_of(method) == key) for key in GROUPS}
    return tuple(MethodGroup(key, say(f"order.{key}"), kept) for key, kept in found.items() if kept)


def in_short(method: Method) -> str:
    """What a method is for, in half a sentence: its description up to the first stop."""
    stops = [at for at in (method.about.find(mark) for mark in (";", ". ")) if at > 0]
    return method.about[: min(stops)] if stops else method.about.rstrip(".")
