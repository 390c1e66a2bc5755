"""Before the squeeze: which soft wire to take, where to lay it, and what the check will be able to prove."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from whitemetal.card import Card
from whitemetal.errors import MethodRefused
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.verdict import TOO_COARSE, Band, acceptance_edges
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.gauging.wire import WIRE
from whitemetal.gauging.wire.evaluate import profile_gate
from whitemetal.gauging.wire.layout import piece_length
from whitemetal.quantity import coverage_factor
from whitemetal.units import INCH, clearance_step, show
from whitemetal.words import say

RATIO = (1.2, 2.5)
BEST_RATIO = 1.75
"""Wire diameter over expected clearance: allowed between, best in the middle of the usual 1.5 to 2. Common
practice; the upper bound follows from the pressure at which lead marks tin white metal (derived)."""

METRIC_WIRES = (
    0.15e-3,
    0.2e-3,
    0.25e-3,
    0.3e-3,
    0.35e-3,
    0.4e-3,
    0.5e-3,
    0.6e-3,
    0.8e-3,
    1.0e-3,
    1.2e-3,
    1.5e-3,
)
INCH_WIRES = tuple(thou * INCH / 1000.0 for thou in (5, 8, 10, 15, 20, 25, 32, 40, 50, 62))
"""Soft lead wires commonly sold, from memory."""

RULED_RELATIVE = 1.5e-3
"""Expected relative clearance when the card has no limits (middle of the general rules; common practice)."""


@dataclass(frozen=True)
class Advice:
    """What to take and what to expect; lengths [m].

    expected: the clearance expected, from the middle of the limits, or from rules where ``by_rule``.
    wire: the diameter to take, None when no common wire fits; wires: all that fit. piece: length of a piece
    laid across. places: the standard layout. u: standard uncertainty expected at one place. expanded: for
    95 %. accept: guarded edges (see `acceptance_edges`), None when too coarse or there are no limits.
    left: what the guard band leaves of the maker's band. coarse: whether a finer method is advised.
    sentences: the advice in words, in order. to_do: those of them that say what to do.
    """

    expected: float
    by_rule: bool
    wire: float | None
    wires: tuple[float, ...]
    piece: float
    places: tuple[Place, ...]
    u: float
    expanded: float
    accept: tuple[float | None, float | None] | None
    left: float | None
    coarse: bool
    sentences: tuple[str, ...]
    to_do: tuple[str, ...] = ()


def advise(card: Card) -> Advice:
    """Which wire to take for this bearing and what it can prove.

    Raises MethodRefused when the wire method is wrong for the bearing's bore.
    """
    refused = profile_gate(card)
    if refused is not None:
        raise MethodRefused(refused.text, "")
    ladder = climb(card, WIRE.measures)
    band = Band(None, None)
    if ladder.chosen is not None:
        band = Band(ladder.chosen.diametral("minimum"), ladder.chosen.diametral("maximum"))
    expected, by_rule = expected_clearance(card, band)
    wire, wires = choose_wire(card, expected)
    places = WIRE.default_places(card)
    u, dof = expected_uncertainty(card, places, expected, wire or 1.75 * expected)
    judged = band.low is not None or band.high is not None
    accept = acceptance_edges(u, dof, band) if judged else None
    left = None
    if judged and band.low is not None and band.high is not None:
        left = 0.0 if accept is None else (accept[1] or 0.0) - (accept[0] or 0.0)
    expanded = coverage_factor(dof) * u
    coarse = judged and expanded > TOO_COARSE * band.width
    advice = Advice(
        expected, by_rule, wire, wires, piece_length(card), places, u, expanded, accept, left, coarse, ()
    )
    said = _sentences(card, advice, band)
    to_do = tuple(sentence for sentence, is_to_do in said if is_to_do)
    return replace(advice, sentences=tuple(sentence for sentence, _ in said), to_do=to_do)


def expected_clearance(card: Card, band: Band) -> tuple[float, bool]:
    """Clearance to expect [m] and whether it is only by a general rule."""
    given = [figure for figure in (band.low, band.high) if figure is not None]
    if given:
        return sum(given) / len(given), False
    return RULED_RELATIVE * card.bearing.journal_diameter, True


def choose_wire(card: Card, expected: float) -> tuple[float | None, tuple[float, ...]]:
    """The common wire nearest 1.75 times the expected clearance, and all between 1.2 and 2.5 times."""
    sold = METRIC_WIRES if card.bearing.unit == "mm" else INCH_WIRES
    fitting = tuple(wire for wire in sold if RATIO[0] <= wire / expected <= RATIO[1])
    return min(fitting, key=lambda wire: abs(wire / expected - BEST_RATIO), default=None), fitting


def expected_uncertainty(
    card: Card, places: tuple[Place, ...], expected: float, wire: float
) -> tuple[float, float]:
    """Standard uncertainty [m] and degrees of freedom at the widest place, by the method's own budget."""
    unit = "0.001 mm" if card.bearing.unit == "mm" else "0.0001 in"
    step = 1e-6 if card.bearing.unit == "mm" else 0.0001 * INCH
    facts = {
        "wire_diameter": Fact(unit, wire),
        "joint": Fact(card.joint.filling),
        "instrument.anvil": Fact("ball"),
        "instrument.zero_before": Fact("", 0.0),
        "instrument.zero_after": Fact("", 0.0),
    }
    readings = tuple(Reading(place.label, unit, expected, step) for place in places)
    result = WIRE.evaluate(card, places, facts, readings)
    widest = max((place.value for place in result.places), key=lambda value: value.u)
    return widest.u, widest.dof


def _sentences(card: Card, advice: Advice, band: Band) -> list[tuple[str, bool]]:
    """The sentences, each with whether it says what to do. What the guard band leaves is only to know,
    unless the method is too coarse."""
    unit = card.bearing.unit

    def length(value: float) -> str:
        return show(value, unit, "length", step=clearance_step(unit))

    basis = "rule" if advice.by_rule else "limits"
    known = {"clearance": length(advice.expected), "radial": length(advice.expected / 2)}
    said = [(say(f"verdict.expect_by_{basis}", **known), False), (_wire_to_take(advice, unit, length), True)]
    if card.joint.opens_bore and card.joint.gap > 0.0:
        joint = {"filling": card.joint.filling, "gap": length(card.joint.gap)}
        said.append((say("verdict.joint_as_card", **joint), True))
    pieces = len({place.piece for place in advice.places})
    piece = show(advice.piece, "mm" if unit == "mm" else "in", "length", digits=2)
    said.append((say("verdict.pieces", count=pieces, length=piece), True))
    said.append((say("verdict.will_know", expanded=length(advice.expanded)), False))
    if advice.left is not None:
        said.append((_band_left(advice, band, length), advice.coarse or advice.accept is None))
    if advice.coarse:
        said.append((say("verdict.finer_method"), True))
    return said


def _wire_to_take(advice: Advice, unit: str, length: Callable[[float], str]) -> str:
    if advice.wire is None:
        low, high = (length(ratio * advice.expected) for ratio in RATIO)
        return say("verdict.no_wire", low=low, high=high)
    share = f"{100 * advice.expected / advice.wire:.0f}"
    return say("verdict.take_wire", wire=show(advice.wire, unit, "length", digits=2), share=share)


def _band_left(advice: Advice, band: Band, length: Callable[[float], str]) -> str:
    if advice.accept is None:
        return say("verdict.band_gone", width=length(band.width))
    low, high = (edge if edge is not None else math.nan for edge in advice.accept)
    return say(
        "verdict.band_left",
        width=length(band.width),
        left=length(high - low),
        low=length(low),
        high=length(high),
    )
