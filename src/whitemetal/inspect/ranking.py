"""Likely causes of what was seen, ranked by points whose every reason is shown. There is no black box: the
score of a cause is the sum of the points listed with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.inspect.causes import CAUSES, FIRST_OF_LOOK, NEXT_OF_LOOK, Cause, Known
from whitemetal.inspect.looks import LOOKS, Look, Where
from whitemetal.words import say


@dataclass(frozen=True)
class Reason:
    """points: for (above zero) or against the cause; text: why; source."""

    points: int
    text: str
    source: str


@dataclass(frozen=True)
class Ranked:
    """A cause with its reasons; points is their sum."""

    cause: Cause
    reasons: tuple[Reason, ...]

    @property
    def points(self) -> int:
        """Sum of the points of the reasons."""
        return sum(reason.points for reason in self.reasons)


def rank(look: str, where: Where | Sequence[Where] | None, known: Known) -> tuple[Ranked, ...]:
    """Causes of a look, likeliest first; equal ones in the order in which the look lists them.

    where: on the unrolled shell, by one name or several, None when it was not said. Raises InputError for a
    look that is not known.
    """
    seen = LOOKS.get(look)
    if seen is None:
        raise InputError(Problem("look", look, say("inspect.look", known=", ".join(LOOKS))))
    places = (where,) if isinstance(where, str) else tuple(where or ())
    ranked = [Ranked(CAUSES[key], _reasons(seen, CAUSES[key], places, known)) for key in seen.causes]
    return tuple(sorted(ranked, key=lambda one: -one.points))


def _reasons(look: Look, cause: Cause, places: Sequence[Where], known: Known) -> tuple[Reason, ...]:
    usual = look.causes[0] == cause.key
    points = FIRST_OF_LOOK if usual else NEXT_OF_LOOK
    reasons = [
        Reason(points, say("inspect.usual" if usual else "inspect.possible", look=look.name), look.source)
    ]
    for where in places:
        if where in cause.places:
            reasons.append(Reason(cause.places[where], say("inspect.where", where=where), cause.source))
    for sign in cause.signs:
        value = getattr(known, sign.fact)
        if value is not None:
            name = "speaks_for" if value is sign.says else "speaks_against"
            points = sign.points if value is sign.says else -sign.points
            reasons.append(Reason(points, say(f"inspect.{name}", text=sign.text), cause.source))
    return tuple(reasons)
