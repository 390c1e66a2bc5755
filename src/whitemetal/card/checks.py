"""Checks between the fields of a card: limits in order, ends named, the joint complete."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from whitemetal.card.fasteners import MOST_PASSES, shares_of
from whitemetal.card.fields import LIMIT_FIGURES
from whitemetal.card.limited import LIMITED, OIL_CLEARANCE
from whitemetal.errors import Problem
from whitemetal.words import say

Typed = Mapping[str, tuple[str, int | None]]
"""Text and line by path."""

_DEFAULT_ENDS = ("drive end", "other end")


def check(values: dict[str, Any], typed: Typed) -> Iterator[Problem]:
    """Every problem between fields. ``values``: what could be read, by path; names of ends are made to
    agree in spelling with ``bearing.ends``, and ends not typed are filled in where there is no choice."""
    yield from _ends(values, typed)
    yield from _joint(values, typed)
    yield from _profile(values, typed)
    yield from _passes(values, typed)
    numbers = sorted({int(path.split(".")[1]) for path in typed if path.startswith("limit.")})
    for number in numbers:
        yield from _limit(values, typed, f"limit.{number}")


def _passes(values: Mapping[str, Any], typed: Typed) -> Iterator[Problem]:
    path = "fasteners.passes"
    try:
        shares_of(values.get(path, "100"))
    except ValueError:
        yield _problem(typed, path, say("card.passes", most=MOST_PASSES))


def _problem(typed: Typed, path: str, expected: str) -> Problem:
    text, line = typed.get(path, ("", None))
    if line is None:
        line = typed.get(path.rpartition(".")[0], ("", None))[1]
    return Problem(path, text, expected, line)


def _ends(values: dict[str, Any], typed: Typed) -> Iterator[Problem]:
    if "bearing.ends" in typed and "bearing.ends" not in values:
        return
    ends: tuple[str, str] = values.get("bearing.ends", _DEFAULT_ENDS)
    initials = {"".join(word[0] for word in end.split()).upper() for end in ends}
    if len(initials) < 2 or "M" in initials:
        yield _problem(typed, "bearing.ends", say("card.ends_alike"))
    for path in ("machine.view_from", "bearing.match_mark_end"):
        named = values.get(path, "drive end")
        spelled = next((end for end in ends if end.casefold() == named.casefold()), None)
        if spelled is None:
            yield _problem(typed, path, say("card.one_of_ends", first=ends[0], last=ends[1]))
        elif path in values or spelled != "drive end":
            values[path] = spelled


def _joint(values: Mapping[str, Any], typed: Typed) -> Iterator[Problem]:
    if "joint.filling" in typed and "joint.filling" not in values:
        return
    filling = values.get("joint.filling", "metal to metal")
    for side in ("left", "right"):
        path = f"joint.{side}"
        thickness = values.get(path, 0.0)
        if filling == "metal to metal" and thickness > 0.0:
            yield _problem(typed, path, say("card.nothing_in_joint"))
        if filling != "metal to metal" and path not in typed:
            yield _problem(typed, path, say("card.joint_thickness", filling=filling, side=side))
    sits = values.get("joint.shim_sits", "nowhere")
    if filling != "metal to metal" and sits == "nowhere":
        yield _problem(typed, "joint.shim_sits", say("card.where_it_sits", filling=filling))
    if filling == "metal to metal" and sits != "nowhere":
        yield _problem(typed, "joint.shim_sits", say("card.sits_nowhere"))


def _profile(values: Mapping[str, Any], typed: Typed) -> Iterator[Problem]:
    if "bearing.side_to_top" in values and values.get("bearing.profile", "plain") != "lemon":
        yield _problem(typed, "bearing.side_to_top", say("card.lemon_only"))


def _basis(values: Mapping[str, Any], typed: Typed, limit: str) -> Iterator[Problem]:
    quantity = LIMITED.get(values.get(f"{limit}.of", OIL_CLEARANCE))
    path = f"{limit}.basis"
    if quantity is None or (path in typed and path not in values):
        return
    basis = values.get(path)
    if basis is None and len(quantity.bases) > 1:
        yield _problem(
            typed, path, say("card.basis_missing", of=quantity.of, bases=" or ".join(quantity.bases))
        )
    if basis is not None and basis not in quantity.bases:
        yield _problem(typed, path, say("card.basis_of", of=quantity.of, bases=" or ".join(quantity.bases)))


def _limit(values: Mapping[str, Any], typed: Typed, limit: str) -> Iterator[Problem]:
    yield from _basis(values, typed, limit)
    figures = [f"{limit}.{key}" for key in LIMIT_FIGURES]
    if not any(path in typed for path in figures):
        yield _problem(typed, f"{limit}.minimum", say("card.a_figure"))
    minimum, maximum, renewal = (values.get(path) for path in figures)
    if minimum is not None and maximum is not None and minimum >= maximum:
        yield _problem(typed, f"{limit}.minimum", say("card.below_maximum", maximum=typed[figures[1]][0]))
    fresh = maximum if maximum is not None else minimum
    if renewal is not None and fresh is not None and renewal < fresh:
        other = figures[1] if maximum is not None else figures[0]
        yield _problem(typed, f"{limit}.renewal", say("card.renewal_above", figure=typed[other][0]))
