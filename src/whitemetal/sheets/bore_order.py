"""The order to the machine shop on one page: drawing, dimension, and what else must be kept."""

from __future__ import annotations

from typing import Any

from whitemetal.card import Card
from whitemetal.fitting import bore_order_words as words
from whitemetal.fitting.bore_order import Order
from whitemetal.gauging import method_named
from whitemetal.sheets import text
from whitemetal.sheets.bore_order_drawing import order_drawing
from whitemetal.sheets.head import JobHead, head
from whitemetal.sheets.press import press
from whitemetal.words import say


def bore_order_sheet(
    card: Card, order: Order, *, job: JobHead | None = None, date: str = "", version: str = ""
) -> bytes:
    """The PDF of an order. date: "2026-03-25" or "". The same input gives the same bytes."""
    job = job if job is not None else JobHead()
    temperatures = words.temperatures(card, order)
    data: dict[str, Any] = {
        **head(card, method_named("wire"), job, card.digest, version),
        "title": words.title(order),
        "by_hand": False,
        "date": date,
        "lines": [
            {"label": one.label, "text": one.text, "source": one.source, "main": one.main}
            for one in words.lines(card, order)
        ],
        "warnings": list(words.warnings(card, order)),
        "temperature_head": say("bore_order.temperature_head"),
        "columns": list(temperatures[0]),
        "rows": [list(row) for row in temperatures[1]],
        "signed": [say("bore_order.signed"), say("bore_order.received")],
        "defer": say("bore_order.defer"),
        "alt": say("bore_order.alt_drawing"),
    }
    return press("bore_order", text.plain(data), {"drawing": order_drawing(card, order)})
