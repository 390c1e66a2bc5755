"""Contact by bluing: where the journal bears on the loaded half."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contact.evaluate import evaluate
from whitemetal.gauging.contact.pattern import COLOURS, standard_places
from whitemetal.gauging.contract import Field, GeneralRule, HoldPoint, Method, RejectionRule, SheetLine

_PRACTICE = "common practice"
_PAGE = "a page on journal contact of sleeve bearings"
SLOW = 500.0
"""Speed [rev/min] below which a wider arc is wanted: common practice, from a page on journal contact
of sleeve bearings."""


LEAST, LEAST_SLOW, MOST = math.radians(60.0), math.radians(90.0), math.radians(120.0)
"""Least arc [rad] from `SLOW` up and below it, and the arc above which a shell is bored again or scrapped:
a page on journal contact of sleeve bearings; the last also in US Army TM 55-2210-223-34."""


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """By speed: 60 degrees from 500 rev/min, 90 (60 acceptable) below; never above 120."""
    return (
        *_arcs(card.machine.rpm < SLOW * (1.0 - 1e-9)),
        GeneralRule("contact length", "at least 75 % of the length", _PRACTICE, 0.75),
        GeneralRule("contact area", "at least 70 % of the arc", _PRACTICE, 0.70),
        GeneralRule("contact bare end", "no bare end above 10 mm", _PRACTICE, None, 10e-3),
        GeneralRule("contact spots", "at least 2 per cm²", _PRACTICE, 2e4),
    )


def _arcs(slow: bool) -> tuple[GeneralRule, ...]:
    if not slow:
        return (GeneralRule("contact arc", "from 500 rev/min 60°, never above 120°", _PAGE, LEAST, MOST),)
    return (
        GeneralRule("contact arc", "below 500 rev/min 90°, never above 120°", _PAGE, LEAST_SLOW, MOST),
        GeneralRule("contact arc", "below 500 rev/min 60° acceptable, never above 120°", _PAGE, LEAST, MOST),
    )


CONTACT = Method(
    key="contact",
    title="Contact by bluing",
    measures="contact",
    basis="none",
    reading_field=Field("colour", "Blue in the cell", "choice", choices=COLOURS),
    fields=(
        Field("how", "Blue taken from", "choice", choices=("journal, blued", "mandrel, blued", "dry rub"),
              needed=True, help="blue and dry rub are different tests"),
        Field("film", "Blue laid on", "choice", choices=("thin", "thick"), needed=True,
              help="thin: 2 to 5 µm; a thick film hides a hollow of 10 to 20 µm"),
        Field("turned", "Journal turned once or twice on the shell", "yes or no", choices=("yes", "no")),
        Field("spots", "Spots counted", "number", measured=True, help="in all sample squares together"),
        Field("squares", "In so many squares", "number", measured=True),
        Field("square", "Side of a square", "quantity", dimension="length", unit="mm", measured=True),
        Field("pass_number", "After scraping pass", "number", help="0 before any"),
    ),
    default_places=standard_places,
    evaluate=evaluate,
    views=("contact grid", "section"),
    hold_points=(
        HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
                  "a machine that starts kills", people=True),
        HoldPoint("shaft_held", "before", "Shaft lifted with tested gear and blocked before hands go under",
                  "a shaft that drops crushes", people=True),
        HoldPoint("crush_first", "before", "Shell seated and crush proven before the blue is read",
                  "a shell that moves makes another pattern each time"),
        HoldPoint("blue_off", "after", "Blue wiped off journal and shell", "blue is read as clearance"),
        HoldPoint("no_grit", "after", "No abrasive cloth used on the white metal; scrapings out",
                  "grit sinks in and cuts the journal"),
    ),
    rejection_rules=(
        RejectionRule("contact.thick", "blue laid on thick", "program", _PRACTICE),
        RejectionRule("contact.not_all", "cells that nobody looked at", "program", "our own"),
        RejectionRule("contact.no_blue", "no blue at all", "program", _PRACTICE),
        RejectionRule("rocked", "shell moved while the blue was taken", "person", _PRACTICE),
        RejectionRule("smeared", "blue smeared when the shaft was lifted", "person", _PRACTICE),
    ),
    sheet_lines=(
        SheetLine("Blue taken from", "how"),
        SheetLine("Blue laid on", "film"),
        SheetLine("Spots counted", "spots"),
        SheetLine("After scraping pass", "pass_number"),
    ),
    cautions=("isolated", "fingers", "lead"),
    steps=(
        "Blue the journal thinly, lower it onto the shell, turn once or twice, lift it straight off.",
        "Fill in the grid: heavy where the blue is rubbed through or thick, light where it has touched.",
    ),
    assesses=("contact arc", "contact length", "contact area", "contact bare end", "contact spots"),
    rules=rules,
    proves="contact",
    repeats=False,
    again="take the blue again",
    finish="Wipe the blue off journal and shell.",
    about="Where the journal bears: arc, length and evenness about the load. It shows no clearance, and a "
    "thick film of blue hides hollows.",
)  # fmt: skip
