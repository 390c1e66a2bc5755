"""General rules for oil clearance, used only where no maker's figure is given, and then side by side.

They differ by a factor of two for the same bearing and all have worked for somebody: they are shown as
the spread they are, marked provisional, and never mixed. A rule without its constant is a different rule.
All figures are diametral; D is the journal diameter in the unit of the constant.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.units import INCH

SMALL = 0.050
"""Below this journal diameter [m] the rules collide (common practice)."""

Line = tuple[float, float]
"""Constant [m] and slope [-]: figure = constant + slope * D."""


@dataclass(frozen=True)
class Rule:
    """A rule as printed. minimum, maximum: for a bearing put back; typical: a middle value, no limit;
    renewal: in service. kinds: machines it was written for, () for any. applies: further conditions."""

    key: str
    title: str
    source: str
    kinds: tuple[str, ...] = ()
    minimum: Line | None = None
    maximum: Line | None = None
    typical: Line | None = None
    renewal: Line | None = None
    applies: Callable[[Card], bool] = lambda card: True


@dataclass(frozen=True)
class RuleFigures:
    """A rule worked out for one card; diametral [m]."""

    rule: Rule
    minimum: float | None
    maximum: float | None
    typical: float | None
    renewal: float | None


def _thou(constant: float, slope: float) -> Line:
    return constant * INCH / 1000.0, slope / 1000.0


_HANDBOOK = "Major Process Equipment Maintenance and Repair, p. 30"
_ASSOCIATION = "Plant Engineering, 24 June 2016 (motor repair association author)"
_SPECIFICATION = "a published sleeve-bearing clearance specification for motors, Table 2"
_CHARTS = "makers' charts collected in the same motor specification, makers not named"

RULES: tuple[Rule, ...] = (
    Rule("utilities", '0.002 in + 0.001 in per inch, "normal"', "MIL-HDBK-1164 Table 17", ("pump", "motor"),
         typical=_thou(2, 1)),
    Rule("process_pump", "typical 0.0015 in per inch, never above 0.003", _HANDBOOK, ("pump",),
         typical=_thou(0, 1.5), renewal=_thou(0, 3)),
    Rule("turbomachinery", "0.0015 in per inch, normal", "C. Jackson, Radial and Thrust Bearing Practices",
         ("turbine", "blower"), typical=_thou(0, 1.5)),
    Rule("motor_one_plus_one", "0.001 in + 0.001 in per inch", _ASSOCIATION, ("motor",), typical=_thou(1, 1)),
    Rule("motor_two_plus_one", "0.002 in + 0.001 in per inch", _ASSOCIATION, ("motor",), typical=_thou(2, 1)),
    Rule("motor_one_and_half", "0.0015 in per inch", _ASSOCIATION, ("motor",), typical=_thou(0, 1.5)),
    Rule("motor_two", "0.002 in per inch", _ASSOCIATION, ("motor",), typical=_thou(0, 2)),
    Rule("motor_slow", "up to 600 rpm and longer than thick: from 0.002 in per inch, 0.004 in service",
         _SPECIFICATION, ("motor",), minimum=_thou(0, 2), renewal=_thou(0, 4),
         applies=lambda card: card.machine.rpm <= 600 and card.bearing.slenderness > 1.0),
    Rule("motor_fast", "from 3000 rpm: 0.001 in + 0.001 to 0.0015 in per inch", _SPECIFICATION, ("motor",),
         minimum=_thou(1, 1), maximum=_thou(1, 1.5), applies=lambda card: card.machine.rpm >= 2950),
    Rule("motor_other", "all others: from 0.0015 in per inch, 0.002 in service", _SPECIFICATION, ("motor",),
         minimum=_thou(0, 1.5), renewal=_thou(0, 2),
         applies=lambda card: card.machine.rpm < 2950
         and not (card.machine.rpm <= 600 and card.bearing.slenderness > 1.0)),
    Rule("chart_a", "0.002 to 0.004 in per inch", _CHARTS, ("motor",), minimum=_thou(0, 2),
         maximum=_thou(0, 4)),
    Rule("chart_b", "0.003 + 0.001 to 0.005 + 0.001 in per inch", _CHARTS, ("motor",), minimum=_thou(3, 1),
         maximum=_thou(5, 1)),
    Rule("chart_c", "0.002 + 0.001 to 0.003 + 0.0015 in per inch", _CHARTS, ("motor",), minimum=_thou(2, 1),
         maximum=_thou(3, 1.5)),
    Rule("chart_d", "0.001 + 0.001 to 0.0015 + 0.0015 in per inch", _CHARTS, ("motor",), minimum=_thou(1, 1),
         maximum=_thou(1.5, 1.5)),
    Rule("one_to_two", "1 to 2 per mille at 1000 to 1800 rpm, renewal at 3", "common practice, a suggestion",
         ("fan", "pump", "blower", "gear unit", "other"), minimum=_thou(0, 1), maximum=_thou(0, 2),
         renewal=_thou(0, 3), applies=lambda card: 950 <= card.machine.rpm <= 1850),
    Rule("iso_range", "mean relative clearance 0.56 to 3.15 per mille, the range of the standard's fits",
         "ISO 12129-1:2019, scope", minimum=_thou(0, 0.56), maximum=_thou(0, 3.15)),
)  # fmt: skip

PSI_TABLE: tuple[tuple[float, tuple[float, ...]], ...] = (
    (0.100, (1.32, 1.6, 1.9, 2.24, 2.24)),
    (0.250, (1.12, 1.32, 1.6, 1.9, 2.24)),
    (math.inf, (1.12, 1.12, 1.32, 1.6, 1.9)),
)
"""Mean relative clearance [per mille] up to a journal diameter [m], for speeds below 3, 10, 25, 50, 125 m/s:
companion table of ISO 7902-3, from memory; check against the standard."""

PSI_SPEEDS = (3.0, 10.0, 25.0, 50.0, 125.0)
"""Surface speeds [m/s] below which the columns of ``PSI_TABLE`` hold: same table, from memory."""


def surface_speed(card: Card) -> float:
    """Surface speed of the journal [m/s]."""
    return 0.5 * card.machine.speed * card.bearing.journal_diameter


def psi_by_speed(speed: float) -> float:
    """Relative clearance 0.8e-3 v^(1/4) [-], v in m/s: a design estimate (from memory)."""
    return 0.8e-3 * math.sqrt(math.sqrt(speed))


def psi_by_table(diameter: float, speed: float) -> float | None:
    """Mean relative clearance [-] of the companion table, None above its last speed."""
    row = next(values for largest, values in PSI_TABLE if diameter <= largest)
    return next((1e-3 * psi for limit, psi in zip(PSI_SPEEDS, row, strict=True) if speed < limit), None)


def rules_for(card: Card) -> tuple[RuleFigures, ...]:
    """The rules that apply to this machine and speed, worked out for its journal."""
    diameter = card.bearing.journal_diameter
    found = [
        RuleFigures(
            rule, *(_at(line, diameter) for line in (rule.minimum, rule.maximum, rule.typical, rule.renewal))
        )
        for rule in RULES
        if (not rule.kinds or card.machine.kind in rule.kinds) and rule.applies(card)
    ]
    return (*found, *_by_speed(card, diameter))


def _by_speed(card: Card, diameter: float) -> list[RuleFigures]:
    speed = surface_speed(card)
    estimate = Rule("speed_estimate", "0.8 v^(1/4) per mille, v in m/s", "a design estimate, from memory")
    found = [RuleFigures(estimate, None, None, psi_by_speed(speed) * diameter, None)]
    mean = psi_by_table(diameter, speed)
    if mean is not None:
        table = Rule("iso_table", "mean relative clearance by size and speed",
                     "companion table of ISO 7902-3, from memory; check against the standard")  # fmt: skip
        found.append(RuleFigures(table, None, None, mean * diameter, None))
    return found


def _at(line: Line | None, diameter: float) -> float | None:
    return None if line is None else line[0] + line[1] * diameter
