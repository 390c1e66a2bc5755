"""From a general rule on a judgement to the card form with that limit filled in, for an engineer to sign."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from whitemetal.card.limited import LIMITED, OIL_CLEARANCE
from whitemetal.job.judgement import AssessedLimit, AssessedShown, LimitShown
from whitemetal.units import Dimension, show
from whitemetal.version import VERSION
from whitemetal.words import say

FIGURES = ("minimum", "maximum", "renewal")
CARRIED = ("of", *FIGURES, "basis", "rung", "document", "revision")
"""Keys of a limit that the address of the card form may carry."""

DIGITS = 6
"""A rule's figure is written with so many significant digits: more than any rule has."""


def of_quantity(one: AssessedShown, rule: AssessedLimit | None = None) -> str:
    """The query that fills the card form with a rule for a quantity; with the quantity alone without one."""
    dimension: Dimension = one.dimension  # type: ignore[assignment]
    texts = {"of": one.of, "basis": one.basis}
    if rule is not None:
        figures = {key: getattr(rule, key) for key in FIGURES}
        texts |= _rule(figures, one.unit, dimension, rule.title or rule.source, rule.source)
    return urlencode(texts)


def of_clearance(rule: LimitShown, unit: str) -> str:
    """The same for a general rule of the oil clearance, diametral."""
    figures = {key: getattr(rule, f"{key}_m") for key in FIGURES}
    texts = {"of": OIL_CLEARANCE, "basis": "diametral"}
    return urlencode(texts | _rule(figures, unit, "length", rule.note or rule.source, rule.source))


def _rule(
    figures: Mapping[str, float | None], unit: str, dimension: Dimension, title: str, source: str
) -> dict[str, str]:
    texts = {key: _figure(value, unit, dimension) for key, value in figures.items() if value is not None}
    document = title if title == source else f"{title}; {source}"
    said = say("web.rule_revision", version=VERSION)
    return {**texts, "rung": "general rule", "document": document, "revision": said}


def _figure(value: float, unit: str, dimension: Dimension) -> str:
    """A figure with its unit, without zeros that nobody wrote."""
    number, space, name = show(value, unit, dimension, digits=DIGITS).partition(" ")
    plain = number.rstrip("0").rstrip(".") if "." in number else number
    return f"{plain}{space}{name}"


def limit_from(query: Mapping[str, str]) -> dict[str, str]:
    """The texts of one limit from the card form's address; {} when it carries none."""
    if query.get("of") not in LIMITED:
        return {}
    return {key: query[key] for key in CARRIED if query.get(key)}
