"""A bearing measured without any error gives back what it is, through the public path from text to result.

The readings come from exact distances (`forward`), typed to a tenth of a micrometre. What is left is the error
of the first-order model, stated with each tolerance.
"""

from __future__ import annotations

import itertools
import math

import pytest

from whitemetal.card import Bearing, Card, Joint, Machine
from whitemetal.gauging.contract import Fact, Place, Reading, Result
from whitemetal.gauging.wire import WIRE
from whitemetal.units import read

from . import forward

MODEL = 0.5e-6
"""What the first-order model and the last digit typed may cost [m]."""


def taken(place: Place, value: float, squeeze: int = 1) -> Reading:
    text = f"{1e3 * value:.4f} mm"
    typed = read(text, "length", field=place.label)
    return Reading(place.label, text, typed.value, typed.resolution, squeeze, "M1")


def result(
    truth: forward.Bearing,
    facts: dict[str, str],
    *,
    raised: float = 0.0,
    zero: float = 0.0,
    joint: Joint | None = None,
    profile: str = "plain",
    side_to_top: float | None = None,
) -> Result:
    """What the method makes of errorless strips from ``truth``, the upper half raised, the zero not at nought."""
    bearing = Bearing("1", truth.journal, truth.length, profile=profile, side_to_top=side_to_top)  # type: ignore[arg-type]
    card = Card(Machine("T-1", "invented", "fan", 100.0), bearing, joint or Joint())
    places = WIRE.default_places(card)
    known = {"wire_diameter": "1 mm", "instrument.M1.anvil": "ball", "joint": "metal to metal"} | facts
    readings = [taken(p, truth.reading(p.axial, p.angle, raised) + zero) for p in places]
    found = WIRE.evaluate(card, places, {key: Fact(text) for key, text in known.items()}, tuple(readings))
    assert found.overall is not None
    return found


def named(found: Result, key: str) -> float:
    return next(one.quantity.value for one in found.named if one.key == key)


def mean(found: Result) -> float:
    assert found.overall is not None
    return found.overall.value


@pytest.mark.parametrize("journal", [0.06, 0.16, 0.3])
@pytest.mark.parametrize("cause", ["bore", "journal", "cap"])
def test_mean_change_and_sideways(journal: float, cause: str) -> None:
    truth = forward.Bearing(journal, 0.8 * journal, 1.4e-3 * journal, 30e-6, cause, cap_right=8e-6)
    found = result(truth, {})
    assert mean(found) == pytest.approx(truth.clearance, abs=MODEL)
    assert named(found, "end_to_end") == pytest.approx(30e-6, abs=2 * MODEL)
    assert named(found, "sideways") == pytest.approx(8e-6, abs=2 * MODEL)
    for one in found.places:
        local = truth.reading(one.place.axial, one.place.angle) / (0.5 * (1 + math.cos(one.place.angle)))
        assert one.value.value == pytest.approx(local, abs=MODEL)


SHIMS = Joint("shims", 0.3e-3, 0.3e-3, "lined cap joint")
GASKET = Joint("gasket", 0.3e-3, 0.3e-3, "lined cap joint")
CASES: dict[str, tuple[Joint, dict[str, str], float]] = {
    "final shims in, no joint wires": (SHIMS, {"joint": "shims"}, 0.0),
    "joint wires, metal to metal at the end": (
        Joint(),
        {"joint": "joint wires", "joint_wire_left": "0.060 mm", "joint_wire_right": "0.050 mm"},
        55e-6,
    ),
    "gasket left out": (GASKET, {"joint": "metal to metal"}, -0.3e-3),
    "gasket left out, joint wires": (
        GASKET,
        {"joint": "joint wires", "joint_wire_left": "0.100 mm", "joint_wire_right": "0.100 mm"},
        -0.2e-3,
    ),
    "metal to metal": (Joint(), {"joint": "metal to metal"}, 0.0),
    "shim in the housing joint only": (
        Joint("shims", 0.3e-3, 0.3e-3, "housing joint"),
        {"joint": "metal to metal"},
        0.0,
    ),
}


@pytest.mark.parametrize(("joint", "facts", "raised"), CASES.values(), ids=CASES)
def test_joint(joint: Joint, facts: dict[str, str], raised: float) -> None:
    """Cd_final from strips squeezed with the upper half raised by g_squeeze - g_final."""
    truth = forward.Bearing(0.16, 0.13, 0.55e-3, 20e-6)
    assert mean(result(truth, facts, raised=raised, joint=joint)) == pytest.approx(truth.clearance, abs=MODEL)


@pytest.mark.parametrize("zero", [-8e-6, 0.0, 12e-6])
@pytest.mark.parametrize("wires", [False, True])
def test_zero_of_the_micrometer_is_taken_off(zero: float, wires: bool) -> None:
    """Off every strip measured with it, the joint wires too."""
    truth = forward.Bearing(0.16, 0.13, 0.24e-3)
    typed = f"{1e3 * zero:.4f} mm"
    facts = {"instrument.M1.zero_before": typed, "instrument.M1.zero_after": typed}
    if wires:
        gap = f"{1e3 * (60e-6 + zero):.4f} mm"
        facts |= {"joint": "joint wires", "joint_wire_left": gap, "joint_wire_right": gap}
    found = result(truth, facts, raised=60e-6 if wires else 0.0, zero=zero)
    assert mean(found) == pytest.approx(truth.clearance, abs=MODEL)


@pytest.mark.parametrize("side_to_top", [1.5, 2.0])
def test_lemon_bore(side_to_top: float) -> None:
    """Top clearance as such, and the side clearance named beside it."""
    top = 0.15e-3
    side = side_to_top * top
    truth = forward.Bearing(0.16, 0.13, side, squashed=0.5 * (side - top))
    found = result(truth, {}, profile="lemon", side_to_top=side_to_top)
    assert mean(found) == pytest.approx(top, abs=MODEL)
    assert named(found, "side_clearance") == pytest.approx(side, abs=2 * MODEL)


def part(found: Result, family: str) -> float:
    """Contribution of a family of influences to the overall value [m]."""
    assert found.overall is not None
    return math.sqrt(sum(p * p for i, p in found.overall.parts.items() if i.family == family))


def test_zero_is_no_better_known_than_its_scale() -> None:
    """A zero read as 0.00 mm lies anywhere within half a step: 10 / sqrt(12) µm, JCGM 100:2008 F.2.2.1."""
    truth = forward.Bearing(0.16, 0.13, 0.24e-3)
    card = Card(Machine("T-1", "invented", "fan", 100.0), Bearing("1", 0.16, 0.13))
    places = WIRE.default_places(card)
    facts = {"instrument.M1.zero_before": Fact("0.00 mm"), "instrument.M1.zero_after": Fact("0.00 mm")}
    readings = tuple(
        Reading(p.label, f"{1e3 * truth.reading(p.axial, p.angle):.2f} mm", 0.24e-3, 10e-6, 1, "M1")
        for p in places
    )
    assert part(WIRE.evaluate(card, places, facts, readings), "zero") == pytest.approx(
        10e-6 / math.sqrt(12), rel=0.02
    )


def test_zero_checked_once_may_have_moved() -> None:
    """A zero checked before and never again is no better known than by the drift at which a session is discarded."""
    truth = forward.Bearing(0.16, 0.13, 0.24e-3)
    once = part(result(truth, {"instrument.M1.zero_before": "0.0000 mm"}), "zero")
    assert once > 0.9 * part(result(truth, {}), "zero") > 0.0


@pytest.mark.parametrize(("squeezes", "repeats"), list(itertools.product((1, 2), (1, 2))))
def test_repeats_of_the_squeeze_shrink_the_doubt(squeezes: int, repeats: int) -> None:
    """Strip, closure and placement fall with the root of the squeezes; the micrometer does not."""
    truth = forward.Bearing(0.16, 0.13, 0.24e-3)
    card = Card(Machine("T-1", "invented", "fan", 100.0), Bearing("1", 0.16, 0.13))
    places = WIRE.default_places(card)
    facts = {"instrument.M1.anvil": Fact("ball"), "wire_diameter": Fact("0.5 mm")}
    readings = tuple(
        taken(p, truth.reading(p.axial, p.angle), squeeze)
        for squeeze in range(1, squeezes + 1)
        for p in places
        for _ in range(repeats)
    )
    found = WIRE.evaluate(card, places, facts, readings)
    alone = WIRE.evaluate(
        card, places, facts, tuple(taken(p, truth.reading(p.axial, p.angle)) for p in places)
    )
    for family in ("strip", "closure", "placement"):
        assert part(found, family) == pytest.approx(part(alone, family) / math.sqrt(squeezes), rel=1e-3)
    assert part(found, "mpe") == pytest.approx(part(alone, "mpe"), rel=1e-3)
