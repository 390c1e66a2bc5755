"""docs/card.md: every field of a card."""

from __future__ import annotations

from tools.pages.layout import page, section, table
from whitemetal.card.fields import CARD_FIELDS, TABLES, CardField, fields_of
from whitemetal.units import units_of

INTRO = """
A card holds a bearing's standing facts. It is a TOML file: one table for each heading below, one line for
each field. Lengths and other quantities are typed as text with their unit, `"160 mm"`, `"6.2992 in"`,
`"3.5 thou"`; the text is kept as typed. A wrong card is refused with every problem at once: the line, the
field, what was typed and what is expected. The JSON Schema is [schemas/card.json](schemas/card.json).
"""

LIMITS = """
A card may hold several limits, each a table `[[limit]]`: one for every document that states one. The one that
stands on the highest rung is judged by; the others are shown beside it.
"""


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    return {"card.md": page("The card, field by field", INTRO, *map(_table, TABLES))}


def gaps() -> list[str]:
    """Fields nobody could fill in from their label alone."""
    unlabelled = [f"card {f.path}: no label" for f in CARD_FIELDS if not f.label]
    choiceless = [
        f"card {f.path}: a choice without choices"
        for f in CARD_FIELDS
        if f.kind == "choice" and not f.choices
    ]
    dimensionless = [
        f"card {f.path}: a quantity without a dimension"
        for f in CARD_FIELDS
        if f.kind == "quantity" and f.dimension is None
    ]
    strangers = [f"card {f.path}: its table is not in TABLES" for f in CARD_FIELDS if f.table not in TABLES]
    return [*unlabelled, *choiceless, *dimensionless, *strangers]


def _table(name: str) -> str:
    heading = "[[limit]]" if name == "limit" else f"[{name}]"
    heads = ("field", "what", "typed as", "needed", "if left out", "notes")
    rows = [
        (
            f"`{f.key}`",
            f.label,
            _typed_as(f),
            f.needed,
            _left_out(f),
            "; ".join(x for x in (f.help, f.source) if x),
        )
        for f in fields_of(name)
    ]
    return section(f"`{heading}`", LIMITS if name == "limit" else "", table(heads, rows))


def _left_out(field: CardField) -> str:
    return "" if field.needed else field.default if field.default is not None else "not known"


def _typed_as(field: CardField) -> str:
    if field.choices:
        return "one of: " + ", ".join(f"`{choice}`" for choice in field.choices)
    if field.kind == "quantity" and field.dimension is not None:
        names = [unit.name or "a bare number" for unit in units_of(field.dimension)]
        return f"{field.dimension}: " + ", ".join(names)
    return field.kind
