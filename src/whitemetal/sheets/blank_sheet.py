"""The blank sheet: everything the check asks for, to be written by hand at the machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.drawing import Spot, places_svg
from whitemetal.fitting.ladder import climb
from whitemetal.gauging.contract import Field, Method, Place, Result, unit_of
from whitemetal.job import shown
from whitemetal.sheets import text
from whitemetal.sheets.assessed import wanted_blocks
from whitemetal.sheets.head import JobHead, alts, cautions, head
from whitemetal.sheets.limits import limit_rows, rule_rows
from whitemetal.sheets.pictures import ring_columns, section_of
from whitemetal.sheets.press import press
from whitemetal.units import written
from whitemetal.words import say

BOX = 58.0
"""Height of a box on the drawing, 360 wide: some 18 mm on the paper."""


def blank_sheet(
    card: Card,
    method: Method,
    *,
    places: Sequence[Place] | None = None,
    advice: Sequence[str] = (),
    job: JobHead | None = None,
    version: str = "",
) -> bytes:
    """The PDF of a blank sheet for one method on one bearing. places: the standard layout when None.

    advice: sentences on what to take and expect (which wire). The same input gives the same bytes.
    """
    data, pictures = blank_content(card, method, places=places, advice=advice, job=job, version=version)
    return press("blank_sheet", data, pictures)


def blank_content(
    card: Card,
    method: Method,
    *,
    places: Sequence[Place] | None = None,
    advice: Sequence[str] = (),
    job: JobHead | None = None,
    version: str = "",
) -> tuple[dict[str, Any], dict[str, str]]:
    """What stands on a blank sheet, ready to print, and its pictures (SVG); arguments as of `blank_sheet`."""
    job = job if job is not None else JobHead()
    places = method.default_places(card) if places is None else places
    spots = [Spot(p.label, p.axial, p.angle, piece=p.piece, lies=p.lies) for p in places]
    columns = ring_columns(method, places)
    pictures = _pictures(card, method, spots, columns)
    data = {
        **head(card, method, job, card.digest, version),
        "by_hand": True,
        "date": "",
        "cautions": cautions(method),
        "advice": list(advice),
        "clears": method.measures == OIL_CLEARANCE,
        **_limits(card, method),
        "assessed": wanted_blocks(card, method),
        "steps": list(method.steps),
        **{scope: _asked(method, scope, card) for scope in ("check", "squeeze", "instrument")},
        "points": [
            {"when": say("sheet.before") if p.when == "before" else say("sheet.after"), "text": p.text,
             "why": p.why, "people": p.people}
            for p in method.hold_points
        ],
        "reject": {
            who: [rule.text for rule in method.rejection_rules if rule.found_by == who]
            for who in ("person", "program")
        },
        "wide": columns > 1,
        "chosen": method.reading_field.kind == "choice",
        "drawn": list(pictures),
        "alts": alts(method),
    }  # fmt: skip
    plain: dict[str, Any] = text.plain(data)
    return plain, pictures


def _pictures(card: Card, method: Method, spots: Sequence[Spot], columns: int) -> dict[str, str]:
    made = {
        "section": section_of(card, method, spots),
        "places": places_svg(
            card, method.views, spots, ring=method.ring, box_height=BOX, columns=columns
        ),
    }  # fmt: skip
    return {name: svg for name, svg in made.items() if svg}


def _limits(card: Card, method: Method) -> dict[str, Any]:
    """The card's limits and, where no maker's figure stands, the general rules; nothing judged."""
    if method.measures != OIL_CLEARANCE:
        return {"limits": [], "rules": []}
    ladder = climb(card, method.measures)
    judgement = {
        "limits": None,
        "ladder": [asdict(shown.limit(one)) for one in ladder.limits],
        "rules": [asdict(one) for one in shown.rules(ladder, Result(None))],
    }
    unit = card.bearing.unit
    return {"limits": limit_rows(judgement, unit), "rules": rule_rows(judgement, unit)}


def _asked(method: Method, scope: str, card: Card) -> list[dict[str, Any]]:
    """Fields of a scope, those that are readings of the parts first."""
    fields = sorted(method.fields, key=lambda one: not one.measured)
    return [_field(field, card) for field in fields if field.scope == scope]


def _field(field: Field, card: Card) -> dict[str, Any]:
    choices = field.choices or (("yes", "no") if field.kind == "yes or no" else ())
    return {
        "label": field.label, "unit": written(unit_of(field, card)), "choices": list(choices),
        "help": field.help, "measured": field.measured,
    }  # fmt: skip
