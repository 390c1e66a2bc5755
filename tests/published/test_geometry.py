"""The reading model against exact distances (`forward`), and the common-practice facts it must give."""

from __future__ import annotations

import ast
import itertools
import math
from pathlib import Path

import numpy as np
import pytest

from whitemetal.card import Bearing as CardBearing
from whitemetal.card import Card, Machine
from whitemetal.gauging.gap_shape import design, shape_factor, shape_slope

from . import forward
from .case import Case

PRACTICE = "common practice (plain bore, journal at rest at the bottom)"
OFF_TOP = {0: "1.000", 5: "0.998", 10: "0.992", 15: "0.983", 20: "0.970", 25: "0.953", 30: "0.933",
           45: "0.854", 60: "0.750", 90: "0.500"}  # fmt: skip


def plain(diameter: float = 0.16, profile: str = "plain", side_to_top: float | None = None) -> CardBearing:
    return CardBearing("1", diameter, 0.8 * diameter, profile=profile, side_to_top=side_to_top)  # type: ignore[arg-type]


def card(bearing: CardBearing) -> Card:
    return Card(Machine("T-1", "test", "fan", 100.0), bearing)


def of(section: forward.Section, degrees: float) -> float:
    """Exact gap over the exact clearance at top centre."""
    return section.along_ray(math.radians(degrees)) / section.along_ray(0.0)


SMALL = forward.Section(0.16, 0.16 + 0.2e-3)

CASES = (
    *(
        Case(f"reading over Cd at {angle} degrees off top centre", PRACTICE, "common practice", printed,
             lambda angle=angle: shape_factor(plain(), math.radians(angle)))  # type: ignore[misc]
        for angle, printed in OFF_TOP.items()
    ),
    *(
        Case(f"the same by exact distance, {angle} degrees", "derived from geometry", "derived", printed,
             lambda angle=angle: of(SMALL, angle), tolerance=0.001, why="Cd of 1.25 per mille is not vanishing")  # type: ignore[misc]
        for angle, printed in OFF_TOP.items()
    ),
    Case("curl of a strip under a flat anvil 6.5 mm wide, journal 160 mm", "derived from geometry (arc over chord)",
         "derived", f"{1e6 * (0.08 - math.sqrt(0.08**2 - 0.00325**2)):.2f}", lambda: 1e6 * curl_160(), "µm", 0.05,
         "w^2/8R is the first term of the arc's height"),
)  # fmt: skip


def curl_160() -> float:
    from whitemetal.gauging.wire.influences import curl

    return curl(6.5e-3, 0.08)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_fact(case: Case) -> None:
    case.check()


def test_forward_model_does_not_know_the_program() -> None:
    """No import of whitemetal, hidden or open, in the generator of the truth."""
    tree = ast.parse(Path(forward.__file__).read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert names == {"__future__", "math", "dataclasses"}


def test_top_centre_is_the_diametral_clearance_and_half_is_radial() -> None:
    """Common practice: shaft at rest at the bottom, the whole clearance is at the top; exact in any size."""
    for journal, clearance in itertools.product((0.06, 0.3), (0.05e-3, 0.9e-3)):
        section = forward.Section(journal, journal + clearance)
        assert section.along_ray(0.0) == pytest.approx(clearance, rel=1e-9)
        centred = 0.5 * clearance
        assert section.along_ray(0.0) / 2 == pytest.approx(centred, rel=1e-9)


def test_side_gap_at_the_joint_is_half_of_it() -> None:
    """Common practice, plain bore; exact distance differs by Cd/(8R) of it only."""
    for clearance in (0.1e-3, 0.3e-3):
        section = forward.Section(0.16, 0.16 + clearance)
        for side in (-90.0, 90.0):
            assert section.along_ray(math.radians(side)) == pytest.approx(
                0.5 * clearance, rel=clearance / 0.16
            )


SIZES = list(itertools.product((0.06, 0.16, 0.3), (0.5e-3, 1e-3, 3e-3)))


@pytest.mark.parametrize(("diameter", "relative"), SIZES)
def test_first_order_model_of_a_plain_bore(diameter: float, relative: float) -> None:
    """The error of Cd (1 + cos a)/2 is Cd^2 sin^2 a / (8 R), the next term of the series: under 0.2 µm within
    30 degrees even at 300 mm and 3 per mille."""
    clearance = relative * diameter
    section = forward.Section(diameter, diameter + clearance)
    for degrees in range(-30, 31, 5):
        angle = math.radians(degrees)
        error = clearance * shape_factor(plain(diameter), angle) - section.along_ray(angle)
        next_term = clearance**2 * math.sin(angle) ** 2 / (4 * diameter)
        assert error == pytest.approx(next_term, rel=0.02, abs=1e-12)
        assert abs(error) < 0.2e-6


def test_error_falls_with_the_square_of_the_clearance() -> None:
    """Observed order two, as the series claims."""
    angle = math.radians(30)
    errors = [
        c * shape_factor(plain(), angle) - forward.Section(0.16, 0.16 + c).along_ray(angle)
        for c in (0.4e-3, 0.2e-3, 0.1e-3)
    ]
    orders = [math.log2(a / b) for a, b in itertools.pairwise(errors)]
    assert orders == pytest.approx([2.0, 2.0], abs=0.02)


def test_ray_and_nearest_distance_are_one_to_first_order() -> None:
    """It does not matter which of the two a flattened strip measures."""
    for diameter, relative in SIZES:
        section = forward.Section(diameter, diameter * (1 + relative), cap_right=20e-6)
        for degrees in (-30, -10, 0, 15, 30):
            angle = math.radians(degrees)
            assert section.along_ray(angle) - section.nearest(angle) == pytest.approx(0.0, abs=0.12e-6)


JOINTS = {
    "final shims in, no joint wires": (0.30e-3, 0.30e-3),
    "joint wires, metal to metal at the end": (0.05e-3, 0.0),
    "gasket left out": (0.0, 0.30e-3),
    "metal to metal": (0.0, 0.0),
}


@pytest.mark.parametrize(("at_squeeze", "at_closing"), JOINTS.values(), ids=JOINTS)
def test_joint_gap(at_squeeze: float, at_closing: float) -> None:
    """t(a) = Cd_final (1 + cos a)/2 + (g_squeeze - g_final) cos a: raising the upper half of the bore."""
    final, raised = 0.5e-3, at_squeeze - at_closing
    section = forward.Section(0.16, 0.16 + final, raised=raised)
    for degrees in (-30, -11.5, 0, 11.5, 30):
        angle = math.radians(degrees)
        model = final * shape_factor(plain(), angle) + raised * math.cos(angle)
        assert model == pytest.approx(section.along_ray(angle), abs=0.3e-6)


@pytest.mark.parametrize("clearance", [0.1e-3, 0.25e-3])
def test_sideways_cap_and_rolled_journal_read_alike(clearance: float) -> None:
    """b sin a: a cap moved sideways by b, or a journal off bottom by 2b/Cd: a wire cannot tell them apart."""
    offset = 10e-6
    moved = forward.Section(0.16, 0.16 + clearance, cap_right=offset)
    rolled = forward.Section(0.16, 0.16 + clearance, rolled=-2 * offset / clearance)
    for degrees in (-25, -11.5, 11.5, 25):
        angle = math.radians(degrees)
        model = clearance * shape_factor(plain(), angle) + offset * math.sin(angle)
        assert model == pytest.approx(moved.along_ray(angle), abs=0.1e-6)
        assert model == pytest.approx(rolled.along_ray(angle), abs=2.1 * offset**2 / clearance + 0.1e-6)


def test_bore_rolled_about_its_own_axis() -> None:
    """A circular bore rolled about its own axis changes no gap; a lemon bore rolled by 5 degrees does."""
    turned = math.radians(5.0)
    for degrees in (-30, 0, 11.5, 30):
        angle = math.radians(degrees)
        as_is = forward.Section(0.16, 0.16 + 0.2e-3).along_ray(angle)
        assert forward.Section(0.16, 0.16 + 0.2e-3, turned=turned).along_ray(angle) == as_is
    lemon = forward.Section(0.16, 0.16 + 0.4e-3, squashed=0.1e-3)
    rolled = forward.Section(0.16, 0.16 + 0.4e-3, squashed=0.1e-3, turned=turned)
    at = math.radians(11.5)
    assert abs(rolled.along_ray(at) - lemon.along_ray(at)) > 2e-6


@pytest.mark.parametrize("cause", ["bore", "journal", "cap"])
def test_change_along_the_axis(cause: str) -> None:
    """Taper of bore or journal and a tilted cap, through the design matrix: within 3 % of the change off top,
    exact at top centre. A tilted cap follows cos a, not (1 + cos a)/2, so it is the largest of the three."""
    bearing = forward.Bearing(0.16, 0.13, 0.24e-3, 40e-6, cause)
    z = np.array([0.013, 0.013, 0.013, 0.117, 0.117, 0.117])
    a = np.radians([-11.5, 0.0, 11.5, -11.5, 0.0, 11.5])
    here = CardBearing("1", 0.16, 0.13)
    matrix = design(card(here), ("mean", "end_to_end"), z, a)
    model = matrix @ np.array([0.24e-3, 40e-6])
    exact = np.array([bearing.reading(float(p), float(q)) for p, q in zip(z, a, strict=True)])
    np.testing.assert_allclose(model, exact, rtol=0, atol=0.4e-6 if cause == "cap" else 0.05e-6)
    np.testing.assert_allclose(model[[1, 4]], exact[[1, 4]], rtol=1e-7, atol=0)


@pytest.mark.parametrize("side_to_top", [1.5, 2.0, 2.5])
def test_lemon_bore(side_to_top: float) -> None:
    """Two arcs of side clearance q Cv, centres moved together by (q - 1) Cv / 2 each: Cv at top centre,
    t(a) = Cv [(q/2)(1 - cos a) + cos a]."""
    top = 0.15e-3
    side = side_to_top * top
    section = forward.Section(0.16, 0.16 + side, squashed=0.5 * (side - top))
    assert section.along_ray(0.0) == pytest.approx(top, rel=1e-9)
    for degrees in (-30, -11.5, 11.5, 30):
        angle = math.radians(degrees)
        model = top * shape_factor(plain(profile="lemon", side_to_top=side_to_top), angle)
        assert model == pytest.approx(section.along_ray(angle), abs=0.15e-6)
    joint = section.along_ray(math.radians(90.0))
    assert joint == pytest.approx(0.5 * side, rel=2e-3)


@pytest.mark.parametrize("profile", ["plain", "lemon"])
def test_slope_is_the_derivative(profile: str) -> None:
    """Central difference of the shape."""
    bearing, step = plain(profile=profile, side_to_top=2.0), 1e-6
    for angle in (-0.5, -0.1, 0.0, 0.3):
        numeric = (shape_factor(bearing, angle + step) - shape_factor(bearing, angle - step)) / (2 * step)
        assert shape_slope(bearing, angle) == pytest.approx(numeric, abs=1e-9)
