"""Is the squeeze valid? Rules that put a reading or the whole check in doubt before any number is used.

A *hold* keeps the verdict at not proven until it is cleared; a *question* until it is answered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Finding, Reading, Severity
from whitemetal.gauging.gap_fit import shown
from whitemetal.gauging.wire.facts import (
    Gauge,
    JointGap,
    joint_at_closing,
    joint_at_squeeze,
    length,
    of_squeeze,
    temperature,
    text,
    torque,
)
from whitemetal.words import say

GOOD = (0.40, 0.85)
WARN = (0.33, 0.95)
"""Flattened thickness over wire diameter: good between the first pair, a warning to the second pair,
invalid outside. Common practice (at least 15 % squeezed, never below a third); the 0.40 follows from lead
flow pressure against the yield of tin white metal, derived with an assumed flow stress of 20 MPa."""

JOINT_DIFFERENCE = 20e-6
"""Left and right joint wires that differ by more mean a cocked cap. Common practice."""

ZERO_DRIFT = 2e-6
"""A session whose zero moved by more than this, or by more than half the permissible error, is discarded.
Common practice."""

TORQUE_SHARE = 0.02
"""The squeeze is tightened to the final torque; more than this share apart is another torque. Our own."""

HOT = 273.15 + 40.0
UNEQUAL = 5.0
"""Parts above 40 degC, or 5 K apart, are too warm to measure: at 5 K a steel journal of 150 mm takes 9 µm off
the clearance (derived); the thresholds are our own."""

CHECKED = "common practice"


def _found(
    code: str, severity: Severity, source: str = CHECKED, place: str = "", **values: object
) -> Finding:
    return Finding(f"wire.{code}", severity, say(f"wire.{code}", **values), source, place)


def flattening(card: Card, facts: Facts, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Wire diameter against each reading."""
    wire = length(facts, "wire_diameter")
    if wire is None:
        return
    for reading in readings:
        ratio = reading.value / wire
        severity: Severity | None = None
        code = ""
        if reading.value <= 0.0:
            code, severity = "not_positive", "hold"
        elif ratio >= 1.0:
            code, severity = "thicker_than_wire", "hold"
        elif not WARN[0] <= ratio <= WARN[1]:
            code, severity = ("too_thin" if ratio < WARN[0] else "hardly_flattened"), "hold"
        elif not GOOD[0] <= ratio <= GOOD[1]:
            code, severity = ("rather_thin" if ratio < GOOD[0] else "little_flattened"), "warning"
        if severity is not None:
            yield _found(
                code,
                severity,
                place=reading.place,
                place_name=reading.place,
                typed=reading.text,
                wire=shown(card, wire),
                percent=f"{100 * ratio:.0f}",
            )


def joint(card: Card, facts: Facts, squeezes: Sequence[int]) -> Iterator[Finding]:
    """The joint at the squeezes and at the final closing."""
    closing = joint_at_closing(card, facts)
    belongs = card.joint.filling in ("shims", "gasket", "sealant")
    if belongs and closing.filling == "metal to metal":
        yield _found("left_out_at_closing", "hold", filling=card.joint.filling)
    for squeeze in squeezes:
        gap = joint_at_squeeze(card, facts, squeeze)
        yield from _one_joint(card, gap, closing, squeeze)


def _one_joint(card: Card, gap: JointGap, closing: JointGap, squeeze: int) -> Iterator[Finding]:
    if gap.filling == "joint wires" and not gap.wires:
        yield _found("joint_wires_missing", "hold", squeeze=squeeze)
    if gap.wires and abs(gap.left - gap.right) > JOINT_DIFFERENCE:
        yield _found(
            "joint_differs", "hold", squeeze=squeeze, left=shown(card, gap.left), right=shown(card, gap.right)
        )
    left_out = closing.mean > 0.0 and closing.filling != "metal to metal" and gap.filling == "metal to metal"
    if left_out and card.joint.opens_bore:
        yield _found(
            "left_out_at_squeeze",
            "warning",
            "derived from geometry",
            squeeze=squeeze,
            filling=closing.filling,
            more=shown(card, closing.mean),
        )


def tightening(card: Card, facts: Facts, squeezes: Sequence[int]) -> Iterator[Finding]:
    """Was the cap tightened to its final value?"""
    final = card.fasteners.torque
    for squeeze in squeezes:
        said = text(facts, of_squeeze("tightened", squeeze))
        used = torque(facts, of_squeeze("torque", squeeze))
        if said == "not final":
            yield _found("tightening_not_final", "hold", squeeze=squeeze)
        elif used is not None and final is not None and abs(used - final) > TORQUE_SHARE * final:
            yield _found(
                "tightening_differs",
                "hold",
                squeeze=squeeze,
                used=f"{used:.0f} N m",
                final=f"{final:.0f} N m",
            )


def warmth(facts: Facts) -> Iterator[Finding]:
    """Hot or unequally warm parts."""
    part, journal = temperature(facts, "part_temperature"), temperature(facts, "journal_temperature")
    for value in (part, journal):
        if value is not None and value > HOT:
            yield _found("hot", "hold", "our own threshold", temperature=f"{value - 273.15:.0f} °C")
            break
    if part is not None and journal is not None and abs(part - journal) > UNEQUAL:
        yield _found("unequal", "hold", "our own threshold", difference=f"{abs(part - journal):.0f} K")


def instrument(card: Card, facts: Facts, found: Gauge) -> Iterator[Finding]:
    """Zero, calibration and anvil of one micrometer."""
    name = found.name or say("wire.no_name")
    if not found.zero_checked:
        yield _found("zero_not_checked", "warning", name=name)
    elif found.zero_drift is None:
        yield _found("zero_once", "warning", name=name)
    elif abs(found.zero_drift) > min(ZERO_DRIFT, 0.5 * found.mpe) * (1 + 1e-9):
        yield _found("zero_drift", "hold", name=name, drift=f"{abs(found.zero_drift) * 1e6:.1f} µm")
    if found.zero:
        yield _found("zero_taken_off", "note", name=name, zero=f"{found.zero * 1e6:+.1f} µm")
    date = text(facts, "date")
    if found.calibration_due and date and found.calibration_due < date:
        yield _found("calibration", "hold", name=name, due=found.calibration_due)
    elif not found.calibration_due:
        yield _found("calibration_unknown", "warning", name=name)


def housekeeping(facts: Facts) -> Iterator[Finding]:
    """Journal down, wires counted, the wire itself."""
    if text(facts, "journal_down") == "no":
        yield _found("journal_not_down", "hold")
    put_in, taken_out = text(facts, "wires_in"), text(facts, "wires_out")
    if put_in and taken_out and put_in != taken_out:
        yield _found("wires_left_in", "hold", put_in=put_in, taken_out=taken_out)
    elif not taken_out:
        yield _found("wires_not_counted", "warning")
    if text(facts, "wire_material") in ("tin-lead solder", "steel-cored"):
        yield _found("wrong_wire", "hold", material=text(facts, "wire_material"))
    if text(facts, "oil_wiped") == "no":
        yield _found("oil_under_wire", "hold")
    if text(facts, "shaft_turned") == "yes":
        yield _found("shaft_turned", "hold")
