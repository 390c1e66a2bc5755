"""What puts a strip reading, or the whole squeeze, in doubt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.gauging import diameters
from whitemetal.gauging.contract import Facts, Finding, Reading, Severity
from whitemetal.gauging.gap_fit import shown
from whitemetal.gauging.strip.ranges import Strip, strips_for
from whitemetal.gauging.wire.facts import joint_at_closing, joint_at_squeeze, of_squeeze, text, torque
from whitemetal.gauging.wire.squeeze import TORQUE_SHARE
from whitemetal.words import say

PRACTICE = "common practice"
DRY, OILED = "dry", "oiled"
WIDEST, ELSEWHERE = "widest point", "another point"
GOOD, EXPIRED, HOT_STORED, NOT_KNOWN = "in date, kept cool", "expired", "stored hot", "not known"


def found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    """A finding of this method."""
    return Finding(f"strip.{code}", severity, say(f"strip.{code}", **values), source, place)


def before(card: Card, facts: Facts, strip: Strip | None, squeezes: Sequence[int]) -> Iterator[Finding]:
    """Doubts that need no reading."""
    yield from _handled(facts)
    yield from _condition(facts)
    yield from _tightening(card, facts, squeezes)
    yield from _joint(card, facts, squeezes)
    yield from diameters.warmth("strip", facts, ("part_temperature", "journal_temperature"))
    if strip is not None:
        yield from _limits_on_scale(card, strip)


def _handled(facts: Facts) -> Iterator[Finding]:
    if text(facts, "journal_down") == "no":
        yield found("journal_not_down", "hold")
    if text(facts, "weight_on_strip") == "yes":
        yield found("weight", "hold", "an engine maker's manual")
    if text(facts, "shaft_turned") == "yes":
        yield found("shaft_turned", "hold", "US Army TM 5-2420-222-34")
    if text(facts, "read_at") == ELSEWHERE:
        yield found("not_widest", "hold", "US Army TM 55-1905-220-14-4")
    if text(facts, "oil") == OILED:
        yield found("oiled", "warning", "sources conflict")


def _condition(facts: Facts) -> Iterator[Finding]:
    said = text(facts, "strip_condition")
    expires, date = text(facts, "strip_expires"), text(facts, "date")
    if said == EXPIRED or (expires and date and expires < date):
        yield found("expired", "hold")
    elif said == HOT_STORED:
        yield found("stored_hot", "hold")
    elif said == NOT_KNOWN:
        yield found("age_unknown", "warning")


def _tightening(card: Card, facts: Facts, squeezes: Sequence[int]) -> Iterator[Finding]:
    final = card.fasteners.torque
    for squeeze in squeezes:
        used = torque(facts, of_squeeze("torque", squeeze))
        if text(facts, of_squeeze("tightened", squeeze)) == "not final":
            yield found("tightening_not_final", "hold", squeeze=squeeze)
        elif used is not None and final is not None and abs(used - final) > TORQUE_SHARE * final:
            torques = {"used": f"{used:.0f} N m", "final": f"{final:.0f} N m"}
            yield found("tightening_differs", "hold", squeeze=squeeze, **torques)


def _joint(card: Card, facts: Facts, squeezes: Sequence[int]) -> Iterator[Finding]:
    closing = joint_at_closing(card, facts)
    if card.joint.filling in ("shims", "gasket", "sealant") and closing.filling == "metal to metal":
        yield found("left_out_at_closing", "hold", filling=card.joint.filling)
    for squeeze in squeezes:
        gap = joint_at_squeeze(card, facts, squeeze)
        change = closing.mean - gap.mean
        if card.joint.opens_bore and abs(change) > 0.0:
            word = say("strip.larger" if change > 0.0 else "strip.smaller")
            yield found("other_joint", "warning", "derived from geometry", squeeze=squeeze,
                        filling=closing.filling, by=shown(card, abs(change)), word=word)  # fmt: skip


def _limits_on_scale(card: Card, strip: Strip) -> Iterator[Finding]:
    """A strip whose scale ends inside the limits cannot say how far outside them a gap is."""
    for limit in card.limits_on(OIL_CLEARANCE):
        ends = [limit.diametral("minimum"), limit.diametral("maximum")]
        known = [end for end in ends if end is not None]
        if known and not all(strip.reaches(end) for end in known):
            better = strips_for(min(known), max(known))
            advice = say("strip.take_another", strip=better[0].name) if better else say("strip.none_reaches")
            yield found("scale_ends", "warning", strip.source, strip=strip.name, advice=advice)
            return


def of_readings(card: Card, strip: Strip, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Readings off the strip's scale (set aside), and those at its very end."""
    for reading in readings:
        where = {"place": reading.place, "place_name": reading.place, "typed": reading.text}
        if not strip.reaches(reading.value):
            yield found("out_of_range", "hold", strip.source, strip=strip.name, **where)
        elif strip.at_end(reading.value):
            yield found("at_end", "warning", strip.source, strip=strip.name, **where)
