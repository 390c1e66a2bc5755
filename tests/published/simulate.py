"""Random bearings with known clearances, measured by a hand and a micrometer that err as the budget says.

The truth and what a wire would read come from `forward`, which works by exact distance. From the program
it takes only what a person at the bench is given: the standard layout, and the stated budget (size, shape,
degrees of freedom and reach of each influence). Two kinds of shop are drawn. One works exactly as the stated
defaults say. The other has put its own figures on the card: estimates of what its hands really do, that
scatter about the truth as sqrt(chi2_nu / nu), which is what nu degrees of freedom mean (JCGM 100:2008 G.3).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from whitemetal.card import Bearing, Card, Joint, Machine
from whitemetal.gauging.contract import Place
from whitemetal.gauging.wire import WIRE
from whitemetal.gauging.wire.influences import DEFAULTS, STEEL_EXPANSION

from . import forward

Random = np.random.Generator

MICROMETERS: tuple[tuple[str, float, int, float], ...] = (
    ("mm", 1e-3, 3, 0.70),
    ("mm", 1e-3, 2, 0.10),
    ("thou", 25.4e-6, 1, 0.10),
    ("in", 0.0254, 4, 0.10),
)
"""Unit, its size [m], decimals shown, and how often such a micrometer is met."""


@dataclass(frozen=True)
class Micrometer:
    unit: str
    size: float
    decimals: int
    mpe: float
    zero_before: float
    zero_after: float
    checks: int
    anvil: str

    def shown(self, value: float, comma: bool = False) -> str:
        """A length as read off and typed: rounded to the last digit, the trailing zero kept."""
        text = f"{value / self.size:.{self.decimals}f}"
        return f"{text.replace('.', ',') if comma else text} {self.unit}"


@dataclass(frozen=True)
class Measured:
    """One bearing with its truth, and the two files that were typed about it."""

    truth: forward.Bearing
    card: Card
    facts: dict[str, str]
    readings: tuple[tuple[Place, int, str], ...]

    def local(self, place: Place) -> float:
        """True diametral clearance at a place: the gap there over (1 + cos a)/2 [m]."""
        return self.truth.reading(place.axial, place.angle) / (0.5 * (1.0 + math.cos(place.angle)))

    def readings_toml(self) -> str:
        """The readings file as a person writes it: place, squeeze, and the number as read off."""
        lines = ['format = "whitemetal.readings/1"', 'method = "wire"', *self._facts()]
        seen: set[tuple[str, int]] = set()
        for place, squeeze, text in self.readings:
            again = (place.label, squeeze) in seen
            seen.add((place.label, squeeze))
            lines += ["[[reading]]", f'place = "{place.label}"', f"squeeze = {squeeze}", f'text = "{text}"']
            lines += ['repeat = "yes"'] if again else []
        return "\n".join(lines)

    def _facts(self) -> list[str]:
        tables: dict[str, list[str]] = {"facts": [], "instrument.M1": []}
        for key, text in self.facts.items():
            stem, _, squeeze = key.partition("@")
            table = f"squeeze.{squeeze}" if squeeze else "facts"
            if key.startswith("instrument.M1."):
                table, stem = "instrument.M1", key.removeprefix("instrument.M1.")
            tables.setdefault(table, []).append(f'{stem} = "{text}"')
        return [line for table, rows in tables.items() for line in (f"[{table}]", *rows)]


@dataclass
class Errors:
    """The errors of one bearing's measurement; each is drawn once where it reaches and then kept.

    spreads: true standard deviation, or true bound where the shape is rectangular, of each influence [SI].
    """

    draw: Random
    spreads: dict[str, float]
    kept: dict[tuple[str, str], float] = field(default_factory=dict)

    def of(self, key: str, where: str = "") -> float:
        """Error of influence ``key`` at ``where``."""
        shape, size = DEFAULTS[key].shape, self.spreads[key]
        if shape == "rectangular":
            return self.between(key, where, -size, size)
        assert shape == "normal"
        if (key, where) not in self.kept:
            self.kept[key, where] = self.draw.normal(0.0, size)
        return self.kept[key, where]

    def between(self, key: str, where: str, low: float, high: float) -> float:
        """An error of which only its bounds are known."""
        if (key, where) not in self.kept:
            self.kept[key, where] = self.draw.uniform(low, high)
        return self.kept[key, where]


def shop(draw: Random, doubtful: bool) -> tuple[dict[str, float], dict[str, float]]:
    """True spreads of a shop's work, and what its cards say of them ({} where they rely on the defaults).

    doubtful: the defaults stand, and the true spreads scatter about them.
    """
    spreads = {key: default.value for key, default in DEFAULTS.items()}
    estimated = [key for key, default in DEFAULTS.items() if default.shape == "normal"]
    if doubtful:
        for key in estimated:
            spreads[key] *= math.sqrt(DEFAULTS[key].dof / draw.chisquare(DEFAULTS[key].dof))
        return spreads, {}
    kind = draw.random()
    if kind < 0.4:
        return spreads, {}
    for key in estimated:
        spreads[key] *= 0.4 if kind > 0.8 else 1.0
    scatter = {key: draw.chisquare(DEFAULTS[key].dof) / DEFAULTS[key].dof for key in estimated}
    return spreads, {key: spreads[key] * math.sqrt(scatter[key]) for key in estimated}


JOINTS = ("metal to metal", "joint wires", "gasket left out", "final shims in")


def bearing(draw: Random) -> forward.Bearing:
    """Journal 60 to 300 mm, clearance 0.5 to 3 per mille, taper or tilt, cap sideways or journal off bottom."""
    journal = round(draw.uniform(0.060, 0.300), 3)
    clearance = journal * draw.uniform(0.5e-3, 3e-3)
    sideways = draw.uniform(-1.0, 1.0) * min(20e-6, 0.05 * clearance)
    off_bottom = draw.random() < 0.3
    return forward.Bearing(
        journal,
        round(journal * draw.uniform(0.5, 1.2), 3),
        clearance,
        draw.normal(0.0, 12e-6),
        str(draw.choice(["bore", "journal", "cap"])),
        cap_right=0.0 if off_bottom else sideways,
        rolled=-2.0 * sideways / clearance if off_bottom else 0.0,
    )


def micrometer(draw: Random) -> Micrometer:
    """Set to zero as well as its scale allows, or left a few micrometres off; drifting by up to 2 µm."""
    unit, size, decimals, _ = MICROMETERS[int(draw.choice(len(MICROMETERS), p=[m[3] for m in MICROMETERS]))]
    step = size * 10.0**-decimals
    checks = int(draw.choice([2, 1, 0], p=[0.85, 0.05, 0.10]))
    before = draw.uniform(-0.5, 0.5) * step if draw.random() < 0.7 else draw.uniform(-5e-6, 5e-6)
    before = before if checks else 0.0
    return Micrometer(
        unit,
        size,
        decimals,
        float(draw.choice([2e-6, 4e-6, 4e-6, 6e-6])),
        before,
        before + draw.uniform(-2e-6, 2e-6),
        checks,
        str(draw.choice(["ball", "flat, strip flattened", "flat, strip not flattened"], p=[0.5, 0.4, 0.1])),
    )


def measured(seed: int, doubtful: bool = False) -> Measured:
    """Bearing number ``seed``, measured once or twice, each strip read one to three times."""
    draw = np.random.default_rng([2024, seed])
    truth, (spreads, stated) = bearing(draw), shop(draw, doubtful)
    gauge, errors = micrometer(draw), Errors(draw, spreads)
    kind = str(draw.choice(JOINTS, p=[0.4, 0.4, 0.1, 0.1]))
    filling = round(float(draw.uniform(0.1, 0.3)) * truth.clearance, 6)
    card = carded(truth, stated, kind, filling)
    places = WIRE.default_places(card)
    facts = facts_of(gauge, truth)
    squeezes = int(draw.choice([1, 2], p=[0.6, 0.4]))
    count = int(draw.choice([1, 2, 3], p=[0.6, 0.2, 0.2]))
    comma = bool(draw.random() < 0.3)
    taken: list[tuple[Place, int, str]] = []
    thickest = 0.0
    for squeeze in range(1, squeezes + 1):
        raised = joint(errors, gauge, facts, kind, filling, squeeze)
        for place in places:
            strip = squeezed(truth, errors, place, squeeze, raised)
            for _ in range(count):
                stands = read_off(errors, gauge, truth, place, strip, count > 1)
                thickest = max(thickest, stands)
                taken.append((place, squeeze, gauge.shown(stands, comma)))
    facts["wire_diameter"] = f"{1.7e3 * thickest:.2f} mm"
    return Measured(truth, card, facts, tuple(taken))


def carded(truth: forward.Bearing, stated: dict[str, float], kind: str, filling: float) -> Card:
    """The card: what belongs in the joint, and the shop's own figures."""
    belongs = {"gasket left out": "gasket", "final shims in": "shims"}.get(kind)
    joint = Joint(belongs, filling, filling, "lined cap joint") if belongs else Joint()  # type: ignore[arg-type]
    machine = Machine("T-1", "invented", "fan", 104.7)
    return Card(machine, Bearing("1", truth.journal, truth.length), joint, uncertainty=stated)


def facts_of(gauge: Micrometer, truth: forward.Bearing) -> dict[str, str]:
    facts = {
        "instrument.M1.mpe": f"{1e6 * gauge.mpe:.0f} um",
        "instrument.M1.anvil": gauge.anvil,
    }
    if gauge.checks > 0:
        facts["instrument.M1.zero_before"] = gauge.shown(gauge.zero_before)
    if gauge.checks > 1:
        facts["instrument.M1.zero_after"] = gauge.shown(gauge.zero_after)
    return facts


def joint(
    errors: Errors, gauge: Micrometer, facts: dict[str, str], kind: str, filling: float, squeeze: int
) -> float:
    """How far the upper half stands above its place at the final closing [m]; what is known goes into facts."""
    suffix = "" if squeeze == 1 else f"@{squeeze}"
    if kind in ("metal to metal", "gasket left out"):
        facts[f"joint{suffix}"] = "metal to metal"
        share = errors.of("gasket_share") if kind == "gasket left out" else -1.0
        return -filling * (1.0 + share)
    if kind == "final shims in":
        facts[f"joint{suffix}"] = "shims"
        return 0.0
    facts[f"joint{suffix}"] = "joint wires"
    gaps = [errors.between("gap", f"{squeeze}.{side}", 20e-6, 150e-6) for side in ("left", "right")]
    for side, gap in zip(("left", "right"), gaps, strict=True):
        strip = gap + errors.of("strip", f"joint.{squeeze}.{side}") + zero(errors, gauge)
        error = errors.between("mpe", f"joint.{squeeze}.{side}", -gauge.mpe, gauge.mpe)
        facts[f"joint_wire_{side}{suffix}"] = gauge.shown(strip + error)
    return 0.5 * sum(gaps)


def zero(errors: Errors, gauge: Micrometer) -> float:
    """What the micrometer shows at nothing while the strips are measured [m]: between its zero checks."""
    if gauge.checks == 0:
        return errors.of("zero")
    return errors.between("zero drift", "", *sorted((gauge.zero_before, gauge.zero_after)))


def squeezed(truth: forward.Bearing, errors: Errors, place: Place, squeeze: int, raised: float) -> float:
    """Thickness of the strip left at a place [m], by exact distance."""
    piece = f"{squeeze}.{place.piece}"
    grown = truth.journal * STEEL_EXPANSION * errors.of("temperature")
    warm = replace(truth, journal=truth.journal + grown, clearance=truth.clearance - grown)
    angle = place.angle + 2.0 * errors.of("placement_arc", piece) / truth.journal
    exact = warm.reading(place.axial, angle, raised + errors.of("closure", str(squeeze)))
    own = errors.of("strip", f"{squeeze}.{place.label}")
    return exact + own + errors.of("placement", piece) + errors.of("spring_back")


def read_off(
    errors: Errors, gauge: Micrometer, truth: forward.Bearing, place: Place, strip: float, scattered: bool
) -> float:
    """What the micrometer stands at over the strip, not yet rounded [m]."""
    stands = strip + errors.between("mpe", "", -gauge.mpe, gauge.mpe) + zero(errors, gauge)
    if gauge.anvil == "flat, strip not flattened" and place.lies == "across":
        radius, width = 0.5 * truth.journal, DEFAULTS["anvil_width"].value
        stands += errors.between("curl", "", 0.0, radius - math.sqrt(radius**2 - 0.25 * width**2))
    return stands + (errors.draw.normal(0.0, 1.5e-6) if scattered else 0.0)
