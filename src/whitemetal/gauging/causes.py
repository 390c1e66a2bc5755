"""Why two methods disagree: the usual causes, each accused or cleared by what was recorded.

The score is plain: every point comes with its reason, and both are shown. A cause that would move the
reading the other way is cleared by the sign alone. The list and its order are common practice; the points are
our own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.agreement import Compared, Pair, Said, normalized
from whitemetal.gauging.contract import CLEARANCE
from whitemetal.gauging.diameters import EXPANSION, TORQUE_SHARE
from whitemetal.gauging.wire.facts import length, temperature, text, torque
from whitemetal.quantity import Quantity
from whitemetal.units import clearance_step, show
from whitemetal.words import say

SHOWN, OPEN, CLEARED = 3, 1, -2
"""Points for a fact that shows the cause, for one that nobody recorded, and for one that speaks against it.
Our own."""

ODD_ONE = 2
"""Points where further methods side with the other one of the pair. Our own."""

USUAL = 2
"""Points of the first cause of the list for being usual; the second has one, the rest none. Our own."""

WARM_APART = 2.0
"""Parts further apart than this [K] are unequally warm for two methods to agree. Our own."""

MOST_WARMTH = 15.0
"""No bearing that is opened is further from the shop's temperature than this [K] unnoticed. Our own."""

JOINT_FEELER = 0.02e-3
"""A feeler of more than this [m] does not enter a closed joint. Common practice: 0.02 to 0.03 mm."""

TWICE = (1.85, 2.15)
"""Two values in this ratio may be one clearance in two bases. Our own."""


@dataclass(frozen=True)
class Reason:
    """Points for or against a cause, and why."""

    points: int
    text: str


@dataclass(frozen=True)
class Suspect:
    """A cause that would explain why check ``name`` reads as it does. looks: what it would look like; next:
    what to measure to find out."""

    code: str
    name: str
    title: str
    points: int
    reasons: tuple[Reason, ...]
    looks: str
    next: str


@dataclass(frozen=True)
class Known:
    """What further checks found [m]. out_of_round: of the journal, greatest less least. joint_feeler: the
    thickest feeler that enters the closed joint. None where no check says."""

    out_of_round: Quantity | None = None
    joint_feeler: Quantity | None = None


NOTHING = Known()


@dataclass(frozen=True)
class Look:
    """One side of a pair under suspicion. difference: by how much it reads more than the other [SI].

    thirds: the other checks' values. known: what further checks of the bearing found.
    """

    card: Card
    accused: Said
    other: Said
    difference: Quantity
    thirds: tuple[Quantity, ...]
    known: Known

    def says(self, *keys: str) -> str:
        """The first of these facts of the accused that was recorded, "" when none was."""
        return next((found for key in keys if (found := text(self.accused.facts, key))), "")

    def odd(self, *codes: str) -> bool:
        """Whether the accused's method itself found one of these."""
        return any(code in self.accused.findings for code in codes)

    def length(self, value: float) -> str:
        """A length in the card's unit."""
        unit = self.card.bearing.unit
        return show(abs(value), unit, "length", step=clearance_step(unit))


@dataclass(frozen=True)
class Cause:
    """A usual cause. methods: whose reading it spoils, () for any. effect: 1 where it makes the reading too
    large, -1 too small, 0 either."""

    code: str
    methods: tuple[str, ...]
    effect: int
    evidence: Callable[[Look], Iterator[Reason]]


def suspects(
    card: Card,
    compared: Compared,
    checks: Sequence[Said],
    pair: Pair,
    known: Known = NOTHING,
) -> tuple[Suspect, ...]:
    """The usual causes of a pair's disagreement on the clearance, the likeliest first."""
    by_name = {one.name: one for one in checks}
    values = {one.name: one.value for one in compared.values}
    thirds = tuple(values[name] for name in sorted(values) if name not in (pair.high, pair.low))
    found = []
    for name, other, sign in ((pair.high, pair.low, 1.0), (pair.low, pair.high, -1.0)):
        look = Look(card, by_name[name], by_name[other], pair.difference * sign, thirds, known)
        odd = tuple(_sides(values[name], values[other], thirds))
        for place, cause in enumerate(CAUSES):
            fits = not cause.effect or cause.effect * look.difference.value > 0.0
            if fits and (not cause.methods or look.accused.method in cause.methods):
                found.append((_suspect(cause, look, (*_usual(place), *cause.evidence(look), *odd)), place))
    ranked = sorted(found, key=lambda each: (-each[0].points, each[1], each[0].name))
    return tuple(suspect for suspect, _ in ranked)


def _suspect(cause: Cause, look: Look, reasons: Sequence[Reason]) -> Suspect:
    return Suspect(
        cause.code,
        look.accused.name,
        say(f"agreement.cause_{cause.code}", check=look.accused.title),
        sum(reason.points for reason in reasons),
        tuple(reasons),
        say(f"agreement.looks_{cause.code}"),
        say(f"agreement.next_{cause.code}"),
    )


def _usual(place: int) -> Iterator[Reason]:
    if place < USUAL:
        yield Reason(USUAL - place, say("agreement.usual"))


def _sides(accused: Quantity, other: Quantity, thirds: Sequence[Quantity]) -> Iterator[Reason]:
    """Do further methods side with the other one, or with the accused?"""
    with_other = sum(normalized(third - other) <= 1.0 < normalized(third - accused) for third in thirds)
    with_accused = sum(normalized(third - accused) <= 1.0 < normalized(third - other) for third in thirds)
    if with_other:
        yield Reason(ODD_ONE * with_other, say("agreement.odd_one", count=with_other))
    if with_accused:
        yield Reason(-ODD_ONE * with_accused, say("agreement.not_alone", count=with_accused))


def _crush(look: Look) -> Iterator[Reason]:
    home = look.says("shells_home")
    if home == "no":
        yield Reason(SHOWN, say("agreement.not_home"))
    elif home == "yes":
        yield Reason(CLEARED, say("agreement.home"))
    elif look.says("joint_wire_left", "joint_wire_right"):
        yield Reason(CLEARED, say("agreement.joint_measured"))
    else:
        yield Reason(OPEN, say("agreement.home_unknown"))


def _round(look: Look) -> Iterator[Reason]:
    """A journal of this out-of-round, turned anyhow, shifts a single reading by up to half of it."""
    out = look.known.out_of_round
    if out is None:
        yield Reason(OPEN, say("agreement.round_unknown"))
        return
    left = abs(look.difference.value) - 0.5 * out.value
    explains = left <= 2.0 * math.hypot(look.difference.u, 0.5 * out.u)
    large = out.value >= abs(look.difference.value)
    if large or (explains and normalized(out) > 1.0):
        yield Reason(SHOWN, say("agreement.round_enough", out=look.length(out.value)))
    else:
        yield Reason(CLEARED, say("agreement.round_too_little", out=look.length(out.value)))


def _joint(look: Look) -> Iterator[Reason]:
    closed = look.says("joint_closed")
    if look.odd("wire.joint_differs", "wire.joint_wires_missing"):
        yield Reason(SHOWN, say("agreement.joint_odd"))
    elif closed:
        name = "agreement.joint_not_closed" if closed == "no" else "agreement.joint_closed"
        yield Reason(SHOWN if closed == "no" else CLEARED, say(name))
    elif look.says("joint_wire_left", "joint_wire_right"):
        yield Reason(CLEARED, say("agreement.joint_measured"))
    else:
        yield Reason(OPEN, say("agreement.joint_unknown"))
    feeler = look.known.joint_feeler
    if feeler is not None and feeler.value > JOINT_FEELER:
        yield Reason(SHOWN, say("agreement.feeler_enters", feeler=look.length(feeler.value)))
    elif feeler is not None:
        yield Reason(CLEARED, say("agreement.feeler_does_not_enter"))


def _cap(look: Look) -> Iterator[Reason]:
    if look.odd("lift.no_cap"):
        yield Reason(SHOWN, say("agreement.no_cap"))
    elif not look.odd("lift.cap_read"):
        yield Reason(OPEN, say("agreement.cap_unknown"))
    else:
        yield Reason(CLEARED, say("agreement.cap_read"))


def _force(look: Look) -> Iterator[Reason]:
    if look.odd("lift.force_large"):
        yield Reason(SHOWN, say("agreement.force_large"))
    elif not look.says("force"):
        yield Reason(OPEN, say("agreement.force_unknown"))


def _warm(look: Look) -> Iterator[Reason]:
    diameter = look.card.bearing.journal_diameter
    if abs(look.difference.value) > diameter * EXPANSION["steel"] * MOST_WARMTH:
        yield Reason(CLEARED, say("agreement.warm_too_little", kelvin=f"{MOST_WARMTH:.0f}"))
    part = temperature(look.accused.facts, "part_temperature")
    journal = temperature(look.accused.facts, "journal_temperature")
    if part is None or journal is None:
        yield Reason(OPEN, say("agreement.warm_unknown"))
    elif look.accused.method != "bore" and (journal - part) * look.difference.value < 0.0:
        apart = abs(part - journal)
        shows = apart > WARM_APART
        name = "agreement.warm_apart" if shows else "agreement.warm_alike"
        yield Reason(SHOWN if shows else CLEARED, say(name, kelvin=f"{apart:.1f}"))
    else:
        yield Reason(CLEARED, say("agreement.warm_alike", kelvin=f"{abs(part - journal):.1f}"))


def _torque(look: Look) -> Iterator[Reason]:
    final, used = look.card.fasteners.torque, torque(look.accused.facts, "torque")
    if look.says("tightened") == "not final":
        yield Reason(SHOWN, say("agreement.torque_not_final"))
    elif used is None or final is None:
        yield Reason(OPEN, say("agreement.torque_unknown"))
    elif used < (1.0 - TORQUE_SHARE) * final:
        yield Reason(SHOWN, say("agreement.torque_low", used=f"{used:.0f} N m", final=f"{final:.0f} N m"))
    else:
        yield Reason(CLEARED, say("agreement.torque_right"))


def _oil(look: Look) -> Iterator[Reason]:
    wiped = look.says("oil_wiped")
    if wiped == "no" or look.says("oil") == "oiled":
        yield Reason(SHOWN, say("agreement.oil_there"))
    elif wiped == "yes":
        yield Reason(CLEARED, say("agreement.oil_wiped"))
    else:
        yield Reason(OPEN, say("agreement.oil_unknown"))


def _sunk(look: Look) -> Iterator[Reason]:
    if look.odd("wire.too_thin", "wire.rather_thin"):
        yield Reason(SHOWN, say("agreement.wire_thin"))
    else:
        yield Reason(CLEARED, say("agreement.wire_flattened_well"))


def _journal_up(look: Look) -> Iterator[Reason]:
    down = look.says("journal_down")
    if down == "no":
        yield Reason(SHOWN, say("agreement.journal_up"))
    elif down == "yes":
        yield Reason(CLEARED, say("agreement.journal_down"))
    else:
        yield Reason(OPEN, say("agreement.journal_unknown"))


def _shims(look: Look) -> Iterator[Reason]:
    """Another joint at one of the two; the clearer where the difference is the joint's own thickness."""
    own, its = look.says("joint"), text(look.other.facts, "joint")
    if own and its and own != its:
        yield Reason(SHOWN, say("agreement.joints_differ", own=own, other=its))
    elif own and its:
        yield Reason(CLEARED, say("agreement.joints_alike"))
    else:
        yield Reason(OPEN, say("agreement.joints_unknown"))
    gaps = [look.card.joint.gap, *(length(look.accused.facts, f"joint_{side}") for side in ("left", "right"))]
    near = [gap for gap in gaps if gap and abs(abs(look.difference.value) - gap) <= 2.0 * look.difference.u]
    if near:
        yield Reason(SHOWN, say("agreement.as_thick_as_joint", gap=look.length(near[0])))


def _instrument(look: Look) -> Iterator[Reason]:
    codes = {code.rsplit(".", 1)[-1] for code in look.accused.findings}
    if codes & {"zero_drift", "calibration"}:
        yield Reason(SHOWN, say("agreement.instrument_odd"))
    elif codes & {"zero_not_checked", "zero_once"}:
        yield Reason(OPEN, say("agreement.instrument_unchecked"))
    else:
        yield Reason(CLEARED, say("agreement.instrument_checked"))


def _bridge(look: Look) -> Iterator[Reason]:
    yield Reason(OPEN, say("agreement.feelers_read_low"))


def _basis(look: Look) -> Iterator[Reason]:
    own, other = look.accused.says[CLEARANCE].value, look.other.says[CLEARANCE].value
    ratio = max(own, other) / min(own, other) if min(own, other) > 0.0 else math.inf
    if TWICE[0] <= ratio <= TWICE[1]:
        yield Reason(SHOWN, say("agreement.twice"))
    else:
        yield Reason(CLEARED, say("agreement.not_twice"))


SQUEEZED = ("wire", "strip")

CAUSES: tuple[Cause, ...] = (
    Cause("crush_not_home", (*SQUEEZED, "bore"), 1, _crush),
    Cause("out_of_round", (*SQUEEZED, "lift", "feeler"), 0, _round),
    Cause("joint_open", (*SQUEEZED, "lift"), 1, _joint),
    Cause("no_cap_indicator", ("lift",), 1, _cap),
    Cause("hot_part", (), 0, _warm),
    Cause("torque_low", (*SQUEEZED, "bore", "lift", "feeler"), 1, _torque),
    Cause("other_joint", (), 0, _shims),
    Cause("oil_under", SQUEEZED, 1, _oil),
    Cause("wire_sunk", ("wire",), 1, _sunk),
    Cause("journal_not_down", (*SQUEEZED, "lift", "feeler"), -1, _journal_up),
    Cause("shaft_bent", ("lift",), 1, _force),
    Cause("feeler_bridged", ("feeler",), -1, _bridge),
    Cause("instrument", (), 0, _instrument),
    Cause("other_basis", (), 0, _basis),
)
"""In the order in which they usually occur: common practice."""


def next_to_measure(found: Sequence[Suspect], most: int = 3) -> tuple[str, ...]:
    """What to measure to find out, after the likeliest causes; each once."""
    return tuple(dict.fromkeys(suspect.next for suspect in found if suspect.points > 0))[:most]
