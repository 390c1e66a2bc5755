"""What stands at the head of every sheet, and the cautions on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from whitemetal.card import Card
from whitemetal.drawing import carrier_of
from whitemetal.drawing.view import axial_words, length_unit
from whitemetal.gauging.contract import Method
from whitemetal.units import show
from whitemetal.words import say


@dataclass(frozen=True)
class JobHead:
    """What the sheet's head says of the job. digest: of its book, "" outside a ledger. standing: by whose
    leave the bearing runs, or who signed, "" where nobody did."""

    number: str = ""
    title: str = ""
    purpose: str = ""
    book: str = ""
    digest: str = ""
    standing: str = ""


def head(card: Card, method: Method, job: JobHead, digest: str, version: str) -> dict[str, Any]:
    """The head of any sheet: machine, bearing, job, card revision (its digest)."""
    machine, bearing = card.machine, card.bearing
    size = f"Ø {show(bearing.journal_diameter, length_unit(card), 'length', digits=5)}"
    return {
        "title": method.title,
        "version": version,
        "machine": f"{machine.tag} {machine.name}",
        "bearing": bearing.position,
        "journal": f"{size} × {axial_words(card, bearing.length)}",
        "kind": f"{bearing.profile}, {bearing.lubrication}",
        "speed": f"{machine.rpm:.0f} rpm",
        "maker": ", ".join(part for part in (machine.maker, machine.drawing) if part),
        "card": digest,
        "view": say("sheet.seen_from", end=machine.view_from),
        "match_mark": bearing.match_mark_end,
        "job": {
            "number": job.number, "title": job.title, "purpose": job.purpose, "digest": job.digest,
            "standing": job.standing,
        },
        "unit": bearing.unit,
    }  # fmt: skip


def cautions(method: Method) -> list[str]:
    """The method's cautions, and that maker, codes and licensed practice come first."""
    return [say(f"caution.{key}") for key in (*method.cautions, "defer")]


PLACES_ALT = {"round": "sheet.alt_round", "contact grid": "sheet.alt_grid", "cap": "sheet.alt_cap"}
"""What a drawing of the places shows, by what carries them, where it is not the unrolled half."""


def alts(method: Method) -> dict[str, str]:
    """What the pictures show, for those who cannot see them."""
    carrier = carrier_of(method.views)
    return {
        "section": say("sheet.alt_section" if carrier == "unrolled half" else "sheet.alt_section_bare"),
        "places": say(PLACES_ALT.get(carrier, "sheet.alt_unrolled")),
        "along_axis": say("sheet.alt_along"),
        "section_gap": say("sheet.alt_section_gap"),
    }
