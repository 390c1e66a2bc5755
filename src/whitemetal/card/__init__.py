"""The card: a bearing's standing facts, in SI, with the text as typed beside them."""

from whitemetal.card.bearing import Bearing
from whitemetal.card.card import Card
from whitemetal.card.duty import Duty
from whitemetal.card.fasteners import Fasteners
from whitemetal.card.joint import Joint
from whitemetal.card.limits import RUNGS, Limit
from whitemetal.card.machine import Machine
from whitemetal.card.oil import Oil

__all__ = ["RUNGS", "Bearing", "Card", "Duty", "Fasteners", "Joint", "Limit", "Machine", "Oil"]
