"""Limits of the trade as printed: crush, contact, insulation, alignment, end float, and a feeler's gap as crush.

What is compared is the rule the program shows for a card that the row speaks of, so that a row keyed to the
wrong speed, seat or unit is caught as well as a wrong figure.
"""

from __future__ import annotations

import math

import pytest

from whitemetal.card import Bearing, Card, Machine
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Fact, GeneralRule, Reading
from whitemetal.units import INCH

from .case import Case

ZEIDAN = "Zeidan and Herbage, 20th Turbomachinery Symposium 1991"
CONTACT_PAGE = "a page on journal contact of sleeve bearings; 120° also in US Army TM 55-2210-223-34"
MOTOR = "a large motor maker's manual, insulated bearing test"
ALIGNMENT = "a widely copied table of alignment tolerances, short flexible coupling"
PUMP = "a pump maker's manual, axial end play"
THOU = INCH / 1000.0


def card(rpm: float = 1490.0, diameter: float = 0.16) -> Card:
    return Card(Machine("T-1", "test", "fan", rpm * math.pi / 30.0), Bearing("1", diameter, 0.14))


def shown(method: str, of: str, rpm: float = 1490.0, which: int = 0) -> GeneralRule:
    """The rule a method shows for a quantity, the first of them unless told."""
    return [rule for rule in METHODS[method].rules(card(rpm)) if rule.of == of][which]


def value(limit: float | None) -> float:
    assert limit is not None
    return limit


def end_play(thrust: str) -> GeneralRule:
    facts = {"total": Fact("0.20 mm"), "thrust": Fact(thrust)}
    return METHODS["end_float"].evaluate(card(), (), facts, ()).assessed[0].rules[0]


def crush_of_gap(gap: float) -> float:
    """Crush [mm] that a gap [mm] at the slack joint stands for, the same from both sides."""
    method = METHODS["crush"]
    taken = [Reading(f"DE {side}", f"{gap}", gap * 1e-3, 1e-6) for side in ("left", "right")]
    facts = {"way": Fact("feeler"), "in_which_joint": Fact("none: feeler")}
    found = method.evaluate(card(), method.default_places(card()), facts, tuple(taken))
    return found.assessed[0].values[0].value * 1e3


def least_arc(rpm: float, which: int = 0) -> float:
    return math.degrees(value(shown("contact", "contact arc", rpm, which).minimum))


def greatest_arc(rpm: float) -> float:
    return math.degrees(value(shown("contact", "contact arc", rpm).maximum))


def offset(rpm: float, unit: float) -> float:
    return value(shown("alignment", "alignment offset", rpm).maximum) / unit


def angle(rpm: float, per: float) -> float:
    return value(shown("alignment", "alignment angle", rpm).maximum) * per


CASES = (
    Case("crush of a thick shell, least", ZEIDAN, "seen", "0.00",
         lambda: value(shown("crush", "crush").minimum) * 1e3, "mm"),
    Case("crush of a thick shell, greatest", ZEIDAN, "seen", "0.05",
         lambda: value(shown("crush", "crush").maximum) * 1e3, "mm"),
    Case("crush of a thick shell, greatest, in inches", ZEIDAN, "seen", "0.002",
         lambda: value(shown("crush", "crush").maximum) / INCH, "in"),
    Case("0.10 mm of gap at the slack joint", "excess of circumference over pi", "derived", "0.03",
         lambda: crush_of_gap(0.10), "mm"),
    Case("contact arc, 500 rev/min and above", CONTACT_PAGE, "seen", "60", lambda: least_arc(500.0), "deg"),
    Case("contact arc, below 500 rev/min", CONTACT_PAGE, "seen", "90", lambda: least_arc(499.0), "deg"),
    Case("contact arc, below 500 rev/min, acceptable", CONTACT_PAGE, "seen", "60",
         lambda: least_arc(499.0, 1), "deg"),
    Case("contact arc, never above", CONTACT_PAGE, "seen", "120", lambda: greatest_arc(990.0), "deg"),
    Case("contact arc, slow, never above", CONTACT_PAGE, "seen", "120", lambda: greatest_arc(300.0), "deg"),
    Case("insulation at 500 V, above", MOTOR, "seen", "1",
         lambda: value(shown("insulation", "insulation resistance").minimum) / 1e6, "Mohm", 1e-9,
         "a round figure, kept exactly"),
    Case("offset at 1500 rev/min", ALIGNMENT, "seen", "0.09", lambda: offset(1500.0, 1e-3), "mm"),
    Case("offset at 3000 rev/min", ALIGNMENT, "seen", "0.06", lambda: offset(3000.0, 1e-3), "mm"),
    Case("offset at 1800 rev/min", ALIGNMENT, "seen", "3.0", lambda: offset(1800.0, THOU), "thou"),
    Case("offset at 3600 rev/min", ALIGNMENT, "seen", "1.5", lambda: offset(3600.0, THOU), "thou"),
    Case("angle at 1500 rev/min, over 100 mm", ALIGNMENT, "seen", "0.07", lambda: angle(1500.0, 100.0), "mm"),
    Case("angle at 3000 rev/min, over 100 mm", ALIGNMENT, "seen", "0.04", lambda: angle(3000.0, 100.0), "mm"),
    Case("angle at 1800 rev/min, over 10 in", ALIGNMENT, "seen", "5", lambda: angle(1800.0, 1e4), "thou"),
    Case("angle at 3600 rev/min, over 10 in", ALIGNMENT, "seen", "3", lambda: angle(3600.0, 1e4), "thou"),
    Case("soft foot", ALIGNMENT, "seen", "0.06",
         lambda: value(shown("alignment", "soft foot").maximum) * 1e3, "mm"),
    Case("end play, ball thrust bearing, least", PUMP, "seen", "0.13",
         lambda: value(end_play("ball thrust bearing").minimum) * 1e3, "mm"),
    Case("end play, ball thrust bearing, greatest", PUMP, "seen", "0.010",
         lambda: value(end_play("ball thrust bearing").maximum) / INCH, "in"),
    Case("end play, film thrust bearing, least", PUMP, "seen", "0.010",
         lambda: value(end_play("film thrust bearing").minimum) / INCH, "in"),
    Case("end play, film thrust bearing, greatest", PUMP, "seen", "0.33",
         lambda: value(end_play("film thrust bearing").maximum) * 1e3, "mm"),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    case.check()


@pytest.mark.parametrize(("method", "of"), [("crush", "crush"), ("contact", "contact arc")])
def test_seen_rules_carry_their_source(method: str, of: str) -> None:
    assert shown(method, of).source in {ZEIDAN, CONTACT_PAGE.partition(";")[0]}
