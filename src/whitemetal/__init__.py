"""whitemetal: the oil clearance of a split white-metal journal bearing, from soft wire to verdict.

A script needs a few names; they are loaded when first used, so that ``import whitemetal`` costs nothing::

    import whitemetal

    card = whitemetal.read_card(card_toml)
    taken = whitemetal.read_readings(readings_toml, card)
    judgement = whitemetal.judge(card, taken)
    print(judgement.verdict, judgement.clearance.diametral_m)
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from whitemetal.version import VERSION

if TYPE_CHECKING:
    from whitemetal.card import Card, card_schema, read_card, write_card
    from whitemetal.errors import InputError, WhitemetalError
    from whitemetal.fitting.consequence import Consequence, WhatIf
    from whitemetal.fitting.wire_choice import Advice, advise
    from whitemetal.job.alone import judge, read_readings
    from whitemetal.job.alone_film import consequence, consequence_json
    from whitemetal.job.alone_plan import bore_order, order_json, plan, plan_json
    from whitemetal.job.judgement import Judgement
    from whitemetal.job.judgement_json import as_json
    from whitemetal.quantity import Quantity

_HOME = {
    "Advice": "whitemetal.fitting.wire_choice",
    "Card": "whitemetal.card",
    "Consequence": "whitemetal.fitting.consequence",
    "InputError": "whitemetal.errors",
    "Judgement": "whitemetal.job.judgement",
    "Quantity": "whitemetal.quantity",
    "WhatIf": "whitemetal.fitting.consequence",
    "WhitemetalError": "whitemetal.errors",
    "advise": "whitemetal.fitting.wire_choice",
    "as_json": "whitemetal.job.judgement_json",
    "bore_order": "whitemetal.job.alone_plan",
    "card_schema": "whitemetal.card",
    "consequence": "whitemetal.job.alone_film",
    "consequence_json": "whitemetal.job.alone_film",
    "judge": "whitemetal.job.alone",
    "order_json": "whitemetal.job.alone_plan",
    "plan": "whitemetal.job.alone_plan",
    "plan_json": "whitemetal.job.alone_plan",
    "read_card": "whitemetal.card",
    "read_readings": "whitemetal.job.alone",
    "write_card": "whitemetal.card",
}

__version__ = VERSION

__all__ = [
    "Advice",
    "Card",
    "Consequence",
    "InputError",
    "Judgement",
    "Quantity",
    "WhatIf",
    "WhitemetalError",
    "advise",
    "as_json",
    "bore_order",
    "card_schema",
    "consequence",
    "consequence_json",
    "judge",
    "order_json",
    "plan",
    "plan_json",
    "read_card",
    "read_readings",
    "write_card",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'whitemetal' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOME])
