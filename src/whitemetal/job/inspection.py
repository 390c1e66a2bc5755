"""The damage guide on a job: what was seen, what it is called, and its likely causes with every reason.

The score of a cause is the sum of the points shown with it. It says where to look first; it proves nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from whitemetal.card import Card
from whitemetal.gauging import METHODS
from whitemetal.inspect.causes import NEXT
from whitemetal.inspect.looks import LOOKS, Look, Where
from whitemetal.inspect.ranking import Ranked, rank
from whitemetal.inspect.where import CELLS, where_of
from whitemetal.job.judgement import Judgement
from whitemetal.job.known import KnownFact, known_facts, known_of
from whitemetal.job.state import Damage, JobState

FORMAT = "whitemetal.inspection/1"


@dataclass(frozen=True)
class Seen:
    """Damage with what it comes to. look: None where this program does not know it. where: what the marked
    cells are called. ranked: likely causes, likeliest first."""

    damage: Damage
    look: Look | None
    where: tuple[Where, ...]
    ranked: tuple[Ranked, ...]


@dataclass(frozen=True)
class Inspection:
    """seen: damage, also struck (then without causes). facts: what is known of the bearing, from where."""

    seen: tuple[Seen, ...]
    facts: tuple[KnownFact, ...]


def inspection(state: JobState, card: Card, judgements: Mapping[str, Judgement]) -> Inspection:
    """The damage of a job with its likely causes. judgements: of the checks that were measured."""
    facts = known_facts(state, judgements, state.answers)
    known = known_of(facts)
    seen = []
    for damage in state.damage:
        look = LOOKS.get(damage.look)
        cells = [CELLS[key] for key in damage.cells if key in CELLS]
        where = where_of(cells, card.duty.loaded_half, at_feed=damage.at_feed)
        ranked = rank(look.key, where, known) if look is not None and not damage.struck else ()
        seen.append(Seen(damage, look, where, ranked))
    return Inspection(tuple(seen), facts)


def next_methods(cause: str) -> tuple[str, ...]:
    """Keys of the methods that tell whether it is this cause."""
    return tuple(key for key in NEXT.get(cause, ()) if key in METHODS)


def inspection_json(found: Inspection) -> dict[str, Any]:
    """The inspection as plain JSON values."""
    return {
        "format": FORMAT,
        "damage": [_seen_json(one) for one in found.seen],
        "known": [
            {"fact": one.fact, "text": one.text, "value": one.value, "said": one.said, "check": one.check,
             "methods": list(one.methods), "by_hand": one.by_hand}
            for one in found.facts
        ],
    }  # fmt: skip


def _seen_json(one: Seen) -> dict[str, Any]:
    damage = one.damage
    return {
        "entry": damage.entry, "look": damage.look, "seen": one.look.seen if one.look else "",
        "name": one.look.name if one.look else "", "cells": list(damage.cells), "at_feed": damage.at_feed,
        "where": list(one.where), "text": damage.text, "by": damage.by, "at": damage.at,
        "struck": damage.struck,
        "causes": [
            {
                "cause": ranked.cause.key, "name": ranked.cause.name, "points": ranked.points,
                "reasons": [vars(reason) for reason in ranked.reasons], "check_next": ranked.cause.check,
                "methods": list(next_methods(ranked.cause.key)),
            }
            for ranked in one.ranked
        ],
    }  # fmt: skip
