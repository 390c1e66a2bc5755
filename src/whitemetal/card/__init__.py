"""The card: a bearing's standing facts, in SI, with the text as typed beside them."""

from whitemetal.card.bearing import Bearing
from whitemetal.card.build import canonical, card_digest, card_from_texts
from whitemetal.card.card import Card
from whitemetal.card.construction import Construction
from whitemetal.card.doubts import CardWarning, card_warnings
from whitemetal.card.duty import Duty
from whitemetal.card.fasteners import Fasteners
from whitemetal.card.fields import CARD_FIELDS, CardField
from whitemetal.card.joint import Joint
from whitemetal.card.limited import LIMITED, Limited
from whitemetal.card.limits import RUNGS, Limit
from whitemetal.card.machine import Machine
from whitemetal.card.oil import Oil
from whitemetal.card.schema import card_schema
from whitemetal.card.toml_in import read_card
from whitemetal.card.toml_out import texts_of, write_card

__all__ = [
    "CARD_FIELDS",
    "LIMITED",
    "RUNGS",
    "Bearing",
    "Card",
    "CardField",
    "CardWarning",
    "Construction",
    "Duty",
    "Fasteners",
    "Joint",
    "Limit",
    "Limited",
    "Machine",
    "Oil",
    "canonical",
    "card_digest",
    "card_from_texts",
    "card_schema",
    "card_warnings",
    "read_card",
    "texts_of",
    "write_card",
]
