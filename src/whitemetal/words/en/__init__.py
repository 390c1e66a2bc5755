"""English."""

from __future__ import annotations

from whitemetal.words.en import (
    agreement,
    bore,
    card,
    caution,
    contact,
    crush,
    diameters,
    film,
    instruments,
    journal,
    ledger,
    order,
    plan,
    readings,
    recorded,
    sheet,
    terminal,
    verdict,
    web,
    wire,
)

ROOMS: dict[str, dict[str, str]] = {
    "agreement": agreement.MESSAGES,
    "bore": bore.MESSAGES,
    "card": card.MESSAGES,
    "caution": caution.MESSAGES,
    "contact": contact.MESSAGES,
    "crush": crush.MESSAGES,
    "diameters": diameters.MESSAGES,
    "film": film.MESSAGES,
    "instruments": instruments.MESSAGES,
    "journal": journal.MESSAGES,
    "ledger": ledger.MESSAGES,
    "order": order.MESSAGES,
    "plan": plan.MESSAGES,
    "readings": readings.MESSAGES,
    "recorded": recorded.MESSAGES,
    "sheet": sheet.MESSAGES,
    "terminal": terminal.MESSAGES,
    "verdict": verdict.MESSAGES,
    "web": web.MESSAGES,
    "wire": wire.MESSAGES,
}
