"""docs/methods.md: every gauging method as it declares itself."""

from __future__ import annotations

from tools.pages.layout import page, section, table
from whitemetal.gauging import METHODS, Method
from whitemetal.gauging.contract import Field

INTRO = """
A gauging method is data and one function; the page, the terminal and the sheet render any of them from the
declaration below. A new method is one file in `gauging/` and one line in `gauging/register.py`.
"""


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    return {"methods.md": page("Gauging methods", INTRO, *map(_method, METHODS.values()))}


def gaps() -> list[str]:
    """What a method leaves unsaid."""
    found = []
    for method in METHODS.values():
        found += [f"{method.key}.{f.key}: no label" for f in method.fields if not f.label]
        found += [
            f"{method.key}: hold point {h.key} gives no reason" for h in method.hold_points if not h.why
        ]
        found += [
            f"{method.key}: rejection rule {r.code} has no source"
            for r in method.rejection_rules
            if not r.source
        ]
        if not method.steps:
            found.append(f"{method.key}: no steps")
    return found


def _method(method: Method) -> str:
    first = f"Key `{method.key}`. Measures the {method.measures}, basis {method.basis}."
    steps = "\n".join(f"{n}. {step}" for n, step in enumerate(method.steps, 1))
    facts = table(("fact", "key", "asked", "typed as", "needed", "notes"), map(_fact, method.fields))
    holds = table(
        ("hold point", "when", "why", "protects people"),
        [(h.text, h.when, h.why, h.people) for h in method.hold_points],
    )
    rules = table(
        ("a reading is thrown away when", "found by", "source"),
        [(r.text, r.found_by, r.source) for r in method.rejection_rules],
    )
    parts = (first, steps, "### Facts", facts, "### Hold points", holds, "### Rejection rules", rules)
    return section(method.title, *parts)


def _fact(field: Field) -> tuple[object, ...]:
    typed = (
        ", ".join(field.choices)
        or f"{field.dimension or field.kind}{f', {field.unit}' if field.unit else ''}"
    )
    notes = "; ".join(
        x
        for x in (field.help, f"if left out: {field.default} ({field.source})" if field.default else "")
        if x
    )
    return field.label, f"`{field.key}`", f"once a {field.scope}", typed, field.needed, notes
