"""Vibration at the bearing once it runs steady: on the housing against zones, of the shaft against clearance.

A limit on the card governs. The zones are shown with machine group, support and source beside every figure;
zone C is a hold until a limit on the card decides. In zone D the check is outside, unless the maker's figure
for this very machine allows it: no zone overrides that, and it is asked whether it does.
A machine group that does not fit the card's machine is asked about: tables of zones are copied with errors,
and the wrong row lets twice the vibration pass.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.card.limits import RUNGS
from whitemetal.closing.vibration import GROUP_1_POWER, HOUSING, OF_CLEARANCE, shaft_boundaries, zone_among
from whitemetal.errors import InputError
from whitemetal.gauging.contract import (
    Facts,
    Field,
    Finding,
    GeneralRule,
    HoldPoint,
    Place,
    Reading,
    RejectionRule,
    Result,
    Severity,
)
from whitemetal.gauging.recorded import Item, Look, recorded, value_of
from whitemetal.units import read, show
from whitemetal.words import say

HOUSING_OF, SHAFT_OF = "housing vibration", "shaft vibration"
SHAFT_SOURCE = "ISO 7919-3 family, from memory; share of the clearance: common practice"

METER = 0.1e-3
"""What a vibration meter may be wrong by at the velocities of a bearing [m/s]. Common practice."""

PROBES = 3e-6
"""What a pair of shaft probes may be wrong by [m peak to peak], run-out taken off. Common practice."""

PUMP_POWER = 200e3
"""Power [W] at which the zones of pumps change: ISO 10816-7, from memory."""

LEAST_POWER, LEAST_RPM, MOST_RPM = 15e3, 120.0, 30000.0
"""Outside these the zones of machines do not hold: scope of ISO 20816-3 (front matter), W and rev/min."""

_METER_SOURCE = "vibration meter, common practice"
_WAYS = (("across", "across, level"), ("upright", "upright"), ("along", "along the shaft"))
_ITEMS = (
    *(
        Item(
            f"housing_{key}", f"Housing, {way}", HOUSING_OF, METER, _METER_SOURCE,
            "broad-band r.m.s. velocity", needed=key != "along",
        )
        for key, way in _WAYS
    ),
    *(
        Item(
            f"shaft_{key}", f"Shaft, probe {key.upper()}", SHAFT_OF, PROBES, "shaft probes, common practice",
            "peak to peak, slow-roll run-out taken off", needed=False,
        )
        for key in ("x", "y")
    ),
)  # fmt: skip


def rules_of_facts(card: Card, facts: Facts) -> tuple[GeneralRule, ...]:
    """Where zone B ends, for the machine group that was said and for the shaft at the card's speed."""
    row = HOUSING.get(_text(facts, "machine_group"))
    found = []
    if row is not None:
        title = say("vibration.rule", group=row.name)
        found.append(GeneralRule(HOUSING_OF, title, row.source, None, row.upto[1]))
    clearance = clearance_of(card, facts)
    upto = shaft_boundaries(card.machine.speed, clearance)
    title = say("vibration.shaft_rule" if clearance is not None else "vibration.shaft_rule_speed")
    found.append(GeneralRule(SHAFT_OF, title, SHAFT_SOURCE, None, upto[1]))
    return tuple(found)


def clearance_of(card: Card, facts: Facts) -> float | None:
    """Diametral oil clearance [m]: as was said, else the least that the card's limit of the highest rung
    allows; None without either."""
    fact = facts.get("clearance")
    if fact is not None and fact.text.strip():
        try:
            typed = read(fact.text, "length", field="clearance", default_unit=card.bearing.unit)
        except InputError:
            return None
        return typed.value if typed.value > 0.0 else None
    least = (one.in_main_basis("minimum") for one in card.limits_on(OIL_CLEARANCE))
    return next((value for value in least if value is not None and value > 0.0), None)


def _text(facts: Facts, key: str) -> str:
    return facts[key].text.strip() if key in facts else ""


def zones(card: Card, facts: Facts) -> Iterator[Finding]:
    """The zone of every figure that was recorded, with the row it was looked up in and its source."""
    row, clearance = HOUSING.get(_text(facts, "machine_group")), clearance_of(card, facts)
    shaft = shaft_boundaries(card.machine.speed, clearance)
    for item in _ITEMS:
        fact = facts.get(item.key)
        if fact is None or not fact.text.strip():
            continue
        value = value_of(f"vibration.{item.key}", item, card, fact).value
        housing = item.of == HOUSING_OF
        if value < 0.0 or (housing and row is None):
            continue
        upto, source = (row.upto, row.source) if housing and row else (shaft, SHAFT_SOURCE)
        zone = zone_among(value, upto)
        limited = any(one.adopted and one.maximum is not None for one in card.limits_on(item.of))
        name = row.name if housing and row else say("vibration.of_shaft")
        allowed = zone == "D" and _makers_own(card, item.of, value)
        severities: dict[str, Severity] = {
            "C": "warning" if limited else "hold", "D": "question" if allowed else "fault",
        }  # fmt: skip
        told = say(f"vibration.zone_{zone.lower()}", label=item.label, row=name, ends=_ends(upto, housing))
        asked = f" {say('vibration.maker_allows')}" if allowed else ""
        yield Finding(f"vibration.zone_{zone.lower()}", severities.get(zone, "note"), told + asked, source)
        if not housing and clearance is not None and value > OF_CLEARANCE[2] * clearance:
            share = f"{100 * value / clearance:.0f} %"
            yield Finding(
                "vibration.of_clearance", "fault",
                say("vibration.of_clearance", label=item.label, share=share), "common practice",
            )  # fmt: skip


def _makers_own(card: Card, of: str, value: float) -> bool:
    """Whether the maker's figure for this machine allows a value [m/s or m]."""
    own = (one for one in card.limits_on(of) if one.rung == RUNGS[0])
    return any(one.maximum is not None and value <= one.maximum for one in own)


def _ends(upto: tuple[float, float, float], housing: bool) -> str:
    if housing:
        return ", ".join(show(one, "mm/s", "velocity", step=1e-4) for one in upto)
    return ", ".join(show(one, "µm", "length", step=1e-6) for one in upto)


def doubts(card: Card, facts: Facts) -> Iterator[Finding]:
    """What does not fit the machine on the card: its kind, its power, its speed."""
    group, power = _text(facts, "machine_group"), card.machine.power
    of_pumps = group.startswith("pump")
    if group and of_pumps != (card.machine.kind == "pump"):
        yield _doubt("other_kind", group=group, kind=card.machine.kind)
    if power is not None and group.startswith("group") and not of_pumps:
        if group.startswith("group 1") != (power > GROUP_1_POWER):
            yield _doubt("other_power", group=group, power=_kilowatts(power))
    elif power is not None and of_pumps and group.endswith("above 200 kW") != (power > PUMP_POWER):
        yield _doubt("other_power", group=group, power=_kilowatts(power))
    elif group and power is None:
        yield Finding(
            "vibration.no_power", "warning", say("vibration.no_power", group=group), "common practice"
        )
    outside = not LEAST_RPM <= card.machine.rpm <= MOST_RPM or (power is not None and power < LEAST_POWER)
    if outside and not of_pumps:
        yield Finding("vibration.scope", "warning", say("vibration.scope"), "ISO 20816-3, front matter")
    if any(_text(facts, f"shaft_{key}") for key in ("x", "y")) and clearance_of(card, facts) is None:
        yield Finding("vibration.no_clearance", "warning", say("vibration.no_clearance"), "common practice")


def _doubt(name: str, **values: object) -> Finding:
    source = "ISO 20816-3 / 10816-7, from memory; common practice"
    return Finding(f"vibration.{name}", "question", say(f"vibration.{name}", **values), source)


def _kilowatts(power: float) -> str:
    return show(power, "kW", "power", digits=3)


_RECORDED = recorded(
    "vibration",
    "Vibration",
    _ITEMS,
    (
        Look("steady", "Run until temperatures were steady", "yes", "hold",
             "Taken before it was steady: a machine that warms up still moves in its bearings."),
        Look("at_speed", "At its usual speed and load", "yes", "hold",
             "Taken at another speed or load: the zones hold at usual running."),
        Look("runout", "Slow-roll run-out taken off the shaft figures", "yes", "warning",
             "Run-out of the shaft is still in the figures: they are too high or too low.",
             choices=("yes", "no", "no shaft probes"), needed=False, also_right=("no shaft probes",)),
    ),
    about="Whether it runs as smoothly as a machine of its kind should once it is warm; it cannot say why "
    "it does not.",
    fields=(
        Field("machine_group", "Machine group and support", "choice", choices=tuple(HOUSING), needed=True,
              help="the row of the table; group 1 is above 300 kW; a support is rigid when its lowest "
              "resonance lies a quarter above the speed (ISO 20816-3, from memory)"),
        Field("clearance", "Clearance as left, diametral", "quantity", dimension="length",
              help="shaft vibration is held against it; where left out, the least that the card allows"),
        Field("meter", "Meter and where its probe stood", "text"),
    ),
    rules_of_facts=rules_of_facts,
    hold_points=(
        HoldPoint("clear", "before", "Guards on; probe placed without reaching over turning parts",
                  "a turning shaft takes a sleeve", people=True),
    ),
    by_eye=(
        RejectionRule("loose_probe", "magnet or probe loose, on paint or on thin sheet", "person",
                      "common practice"),
        RejectionRule("neighbour", "a neighbouring machine shakes the floor", "person", "common practice"),
    ),
    cautions=(),
    steps=("Warm and steady: across, upright and along on the housing, as near the shaft as it goes.",),
    measures=HOUSING_OF,
    stale_with=("clearance", "alignment"),
)  # fmt: skip


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The figures as recorded, with zones and doubts."""
    result = _RECORDED.evaluate(card, places, facts, readings)
    return replace(result, findings=(*result.findings, *zones(card, facts), *doubts(card, facts)))


VIBRATION = replace(
    _RECORDED,
    evaluate=evaluate,
    rejection_rules=(
        *_RECORDED.rejection_rules,
        RejectionRule("vibration.zone_d", "in zone D", "program", "ISO 20816-3 / 10816-7, from memory"),
        RejectionRule("vibration.of_clearance", "shaft beyond its share of the clearance", "program",
                      "common practice"),
        RejectionRule("vibration.other_kind", "zones of another kind of machine", "program",
                      "common practice"),
        RejectionRule("vibration.other_power", "zones of another size of machine", "program",
                      "ISO 20816-3 / 10816-7, from memory"),
    ),
)  # fmt: skip
