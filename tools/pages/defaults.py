"""docs/defaults.md: every default number in the product with its source."""

from __future__ import annotations

import math

from tools.pages import numbers
from tools.pages.layout import micro, number, page, section, table
from whitemetal.card.fields import CARD_FIELDS
from whitemetal.fitting.rules import RULES, Line
from whitemetal.gauging import METHODS
from whitemetal.gauging.wire.influences import DEFAULTS


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    return {"defaults.md": page("Default numbers and where they come from", INTRO, *_sections())}


def gaps() -> list[str]:
    """Defaults without a source and named numbers without a sentence."""
    facts = [f"{m.key}.{f.key}: a default without a source" for m in METHODS.values() for f in m.fields
             if f.default is not None and not f.source]  # fmt: skip
    cards = [f"card {f.path}: a default without a source" for f in CARD_FIELDS
             if f.default is not None and not f.source]  # fmt: skip
    budget = [f"budget {d.key}: no source" for d in DEFAULTS.values() if not d.source]
    rules = [f"rule {r.key}: no source" for r in RULES if not r.source]
    return [*facts, *cards, *budget, *rules, *numbers.untold()]


INTRO = """
A default is used only where nothing better was typed, and the screen, the terminal and the sheet say so when
one was. The tags: *common practice* is what the trade works by; *derived* follows from geometry or
statistics; *from memory* was not looked up in the source itself; *our own* is a choice made here; a standard
or handbook is named with its clause or table. A maker's figure on the card takes the place of any of them.
"""


def _sections() -> tuple[str, ...]:
    return (
        section("Uncertainty of a wire reading", BUDGET, _budget()),
        section("General rules for oil clearance", RULES_SAY, _rules()),
        section("Facts of a check", _facts()),
        section("Fields of a card", _cards()),
        section("Every other named number", OTHERS, _others()),
    )


BUDGET = """
Each can be replaced on the card (table `[uncertainty]`, by key). *Reaches* says which readings share the
error.
"""

RULES_SAY = """
Diametral, D the journal diameter, per mille of it; used side by side and marked provisional, and only where
no maker's figure is given.
"""

OTHERS = """
Figures of the trade, thresholds and settings, by the module that holds them. Looks (line weights, widths) are
not listed.
"""


def _budget() -> str:
    heads = ("key", "what", "default", "shape", "degrees of freedom", "reaches", "source")
    rows = [
        (f"`{d.key}`", d.label, micro(d.value, d.unit), d.shape, "" if math.isinf(d.dof) else number(d.dof),
         d.scope, d.source)
        for d in DEFAULTS.values()
    ]  # fmt: skip
    return table(heads, rows)


def _rules() -> str:
    heads = ("rule", "for", "minimum", "maximum", "typical", "renewal", "source")
    rows = [
        (r.title, ", ".join(r.kinds) or "any machine", _line(r.minimum), _line(r.maximum), _line(r.typical),
         _line(r.renewal), r.source)
        for r in RULES
    ]  # fmt: skip
    return table(heads, rows)


def _line(line: Line | None) -> str:
    if line is None:
        return ""
    constant, slope = line
    share = f"{number(1e3 * slope)} ‰ D"
    return f"{number(1e6 * constant)} µm + {share}" if constant else share


def _facts() -> str:
    rows = [
        (method.title, field.label, f"`{field.key}`", field.default, field.source)
        for method in METHODS.values()
        for field in method.fields
        if field.default is not None
    ]
    return table(("method", "fact", "key", "default", "source"), rows)


def _cards() -> str:
    rows = [(f"`{f.path}`", f.label, f.default, f.source) for f in CARD_FIELDS if f.default is not None]
    return table(("field", "what", "default", "source"), rows)


def _others() -> str:
    rows = [(f"`{n.module}.{n.name}`", f"`{n.value}`", n.about) for n in numbers.named()]
    return table(("number", "value (SI)", "what it is and where it comes from"), rows)
