"""Closed up: everything that was put in counted out again after the last opening, every part in its place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Facts,
    Field,
    Finding,
    HoldPoint,
    Place,
    Reading,
    RejectionRule,
    Result,
)
from whitemetal.gauging.recorded import Look, recorded
from whitemetal.gauging.wire.facts import text
from whitemetal.words import say

PRACTICE = "common practice"
COUNTED: tuple[tuple[str, str], ...] = (
    ("wires", "Wires"),
    ("rags", "Rags"),
    ("plugs", "Port plugs and tools"),
)
"""What is counted in and out: key and name."""

NONE_HERE = "none on this bearing"
_FITTED = ("yes", "no", NONE_HERE)


def _looked(key: str, label: str, text: str, help: str = "") -> Look:
    return Look(key, label, "yes", "fault", text, help)


def _fitted(key: str, label: str, text: str) -> Look:
    """A part that not every bearing has."""
    return Look(key, label, "yes", "fault", text, choices=_FITTED, also_right=(NONE_HERE,))


LOOKS: tuple[Look, ...] = (
    _looked("blue_off", "Blue and grease wiped off shells, journal and joint",
            "Blue or grease was left in: it ends up in the oil and holds the joint open."),
    _looked("oil_holes", "Oil holes and grooves clear",
            "An oil hole is closed: the bearing will starve.", "look through or blow through each"),
    _looked("dowels_in", "Dowels and pins in", "A dowel is missing: the shell can turn and close its oil."),
    _looked("locked", "Locking devices fitted, new ones, on every nut", "A nut is not locked."),
    _fitted("ring_screws", "Oil ring's screws in and locked, ring turns freely",
            "The oil ring is not as it must be: the bearing seizes within minutes."),
    _fitted("gasket", "Gasket or sealant as the card says", "The joint is not filled as the card says."),
    _fitted("seals_in", "Seals in, right way round, free of the shaft", "A seal is not as it must be."),
    _looked("oil_in", "Oil to the mark", "The oil does not stand at the mark."),
)  # fmt: skip

FIELDS: tuple[Field, ...] = (
    *(
        field
        for key, name in COUNTED
        for field in (
            Field(f"{key}_in", f"{name} put in", "number", needed=True, help="0 where none were"),
            Field(f"{key}_out", f"{name} counted out", "number", needed=True, measured=True),
        )
    ),
    Field("oil_grade", "Oil filled", "text", needed=True, measured=True, help="as it stands on the drum"),
    Field("oil_quantity", "Quantity filled", "text", needed=True, measured=True, help="or: to the mark"),
)

_LOOKED_AT = recorded(
    "closed_up",
    "Closed up",
    (),
    LOOKS,
    fields=FIELDS,
    about="That nothing was left inside and every part is in, after the cap was last opened; opened again, "
    "it counts no more.",
    hold_points=(
        HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
                  "a machine that starts kills", people=True),
        HoldPoint("guards", "after", "Guards back and fixed, people out of the way",
                  "a turning coupling catches", people=True),
        HoldPoint("second_count", "after", "Counted out by a second person",
                  "who put a rag in does not see it any more"),
    ),
    by_eye=(RejectionRule("by_memory", "counted from memory, not from what lies on the bench", "person",
                          PRACTICE),),
    cautions=("isolated", "before_closing"),
    steps=(
        "Lay out what came out: wires, rags, plugs, tools; count against what was written when it went in.",
        "Look at each part in its place, fill the oil, put back the guards.",
    ),
    stale_with=("closed_up", "clearance", "oil_ring", "dowels", "seals"),
)  # fmt: skip


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The looks, the counts, and the oil against the card's."""
    found = _LOOKED_AT.evaluate(card, places, facts, readings)
    return replace(found, findings=(*found.findings, *_counts(facts), *_oil(card, facts)))


def _counts(facts: Facts) -> Iterator[Finding]:
    for key, name in COUNTED:
        put_in, out = text(facts, f"{key}_in"), text(facts, f"{key}_out")
        if put_in and out and int(put_in) != int(out):
            said = say("tightening.counted", what=name, put_in=put_in, out=out)
            yield Finding("closed_up.counted", "fault", said, PRACTICE)


def _oil(card: Card, facts: Facts) -> Iterator[Finding]:
    filled, wanted = text(facts, "oil_grade"), card.oil.grade
    if filled and wanted and _plain(filled) != _plain(wanted):
        said = say("tightening.other_oil", filled=filled, wanted=wanted)
        yield Finding("closed_up.other_oil", "fault", said, PRACTICE)


def _plain(grade: str) -> str:
    """A grade without blanks, hyphens and the words that are left out as often as written: "ISO VG 46" and
    "vg46" are one."""
    return grade.casefold().replace(" ", "").replace("-", "").removeprefix("iso").removeprefix("vg")


CLOSED_UP = replace(
    _LOOKED_AT,
    evaluate=evaluate,
    rejection_rules=(
        RejectionRule("closed_up.counted", say("tightening.count_rule"), "program", PRACTICE),
        RejectionRule("closed_up.other_oil", say("tightening.oil_rule"), "program", PRACTICE),
        *_LOOKED_AT.rejection_rules,
    ),
)
"""Counting out and parts in."""
