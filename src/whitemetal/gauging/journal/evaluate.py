"""From twelve diameters to what is wrong with a journal: roundness, taper, size, and its surface."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging import diameters
from whitemetal.gauging.contract import (
    JOURNAL_CHANGE,
    Assessed,
    Assumed,
    Facts,
    Finding,
    Fitted,
    GeneralRule,
    Named,
    Place,
    Reading,
    Result,
    Severity,
)
from whitemetal.gauging.diameters import EXPANSION, FEEL, PRACTICE, Taken, shown
from whitemetal.gauging.instruments import OUTSIDE_MICROMETER, mpe_of, of_instrument
from whitemetal.gauging.journal.shape import Ring, change, hollow, in_words, rings_of
from whitemetal.gauging.wire.facts import length, temperature, text
from whitemetal.quantity import Influence, Quantity, combine
from whitemetal.words import say

KEY = "journal"
SHAFT = "steel"

DEEP = 6.0
"""A scratch deeper than so many times the least film is deep: Branagan, Lubricants 2015, 3, 91-112."""

ROUGHNESS_SHARE = 0.1
"""A roughness read with a comparator or a pocket instrument is known to this share. Our own assumption."""

DEPTH_KNOWN = 10e-6
"""The depth of a scratch is known to this [m], rectangular. Our own assumption."""

WARMTH_KNOWN = 1.0
"""The journal's temperature is known, or is that of the micrometer, within this [K]. Our own assumption."""

DIRECTIONS, STATIONS = 4, 3
"""Diameters at each station, and stations. Common practice."""

ODD_ONE_OUT = 0.01
"""Below this chance the diameters of a station are no two lobes. Our own."""

BARREL = 0.5
"""The middle station stands out when it is off the ends by this share of the taper's usual limit of
0.013 mm. Our own."""


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Roundness, taper and undersize from the diameters; roughness and scratches from the facts. SI, at 20 °C
    where the temperature was recorded."""
    by_label = {place.label: place for place in places}
    nominal = card.bearing.journal_diameter
    usable, aside = diameters.set_aside(KEY, card, by_label, readings, lambda place: nominal)
    findings = [*_before(card, facts, readings), *aside]
    surface = tuple(_surface(facts))
    if not usable:
        findings.append(Finding("journal.no_readings", "hold", say("journal.no_readings")))
        return Result(None, findings=tuple(findings), assessed=surface)
    largest = max(reading.value for reading in usable)
    for name in sorted({reading.instrument for reading in usable}):
        mpe, _ = mpe_of(facts, name, OUTSIDE_MICROMETER, largest)
        findings += diameters.instrument_doubts(KEY, facts, name, mpe)
    rings = rings_of(diameters.diameters(_taken(card, facts, largest), places, usable))
    findings += [*_incomplete(rings), *_shape(card, rings), *_scratch(card, facts)]
    taper = change(card, rings)
    return Result(
        None,
        named=tuple(_named(card, rings, taper)),
        fit=_fitted(rings),
        findings=tuple(findings),
        unknown=(say("journal.unknown_odd"), say("journal.unknown_concentric")),
        assumed=tuple(_assumed(facts, usable, largest)),
        assessed=(*_assessed(card, rings, taper), *surface),
        says={} if taper is None else {JOURNAL_CHANGE: taper},
    )


def _taken(card: Card, facts: Facts, largest: float) -> Taken:
    material = text(facts, "journal_material") or SHAFT
    warm = temperature(facts, "journal_temperature")
    u = largest * EXPANSION[material] * WARMTH_KNOWN / math.sqrt(3.0)
    label, source = say("journal.warmth"), say("journal.warmth_source")
    warmth = Influence(f"{KEY}.temperature.", label, u, math.inf, "rectangular", source, "temperature")

    def shared(name: str) -> Quantity:
        own = of_instrument(KEY, facts, name, OUTSIDE_MICROMETER, largest)
        zero = diameters.zero_taken_off(KEY, card, facts, name)
        return zero + Quantity.of(0.0, own) + Quantity.of(0.0, warmth)

    return Taken(KEY, "journal", FEEL["outside"], shared, warm, EXPANSION[material])


def _assessed(card: Card, rings: Sequence[Ring], taper: Quantity | None) -> Iterator[Assessed]:
    round_ = [ring for ring in rings if len(ring.diameters) > 1]
    if round_:
        yield Assessed(
            "journal out-of-round",
            say("journal.out_of_round"),
            tuple(ring.out_of_round for ring in round_),
            tuple(ring.name for ring in round_),
            say("journal.out_of_round_note"),
        )
    if taper is not None:
        first, last = card.bearing.ends
        size = taper if taper.value >= 0.0 else -taper
        note = say("journal.taper_note", thicker=last if taper.value >= 0.0 else first)
        yield Assessed("journal taper", say("journal.taper"), (size,), note=note)
    mean = combine([1.0 / len(rings)] * len(rings), [ring.mean for ring in rings])
    under = card.bearing.journal_diameter - mean
    label, note = say("journal.undersize"), say("journal.undersize_note")
    yield Assessed("journal undersize", label, (under,), note=note, needed=False)


def _surface(facts: Facts) -> Iterator[Assessed]:
    rough, depth = length(facts, "roughness"), length(facts, "scratch_depth")
    if rough is not None:
        label, source = say("journal.roughness_known"), say("journal.roughness_source")
        u = rough * ROUGHNESS_SHARE / math.sqrt(3.0)
        of = Influence(f"{KEY}.roughness", label, u, math.inf, "rectangular", source, "roughness")
        values = (Quantity.of(rough, of),)
        yield Assessed("journal roughness", say("journal.roughness"), values, needed=False)
    if depth is not None:
        label, source = say("journal.depth_known"), say("journal.depth_source")
        u = DEPTH_KNOWN / math.sqrt(3.0)
        of = Influence(f"{KEY}.depth", label, u, math.inf, "rectangular", source, "depth")
        values, rules = (Quantity.of(depth, of),), tuple(_deep(facts))
        label = say("journal.scratch_depth")
        yield Assessed("journal scratch depth", label, values, needed=False, rules=rules)


def _deep(facts: Facts) -> Iterator[GeneralRule]:
    """What the film at its least makes of a scratch."""
    film = length(facts, "least_film")
    if film is not None and film > 0.0:
        title, source = say("journal.deep_rule"), say("journal.deep_source")
        yield GeneralRule("journal scratch depth", title, source, maximum=DEEP * film)


def _named(card: Card, rings: Sequence[Ring], taper: Quantity | None) -> Iterator[Named]:
    for ring in rings:
        yield Named(f"mean.{ring.name}", say("journal.mean_of", station=ring.name), ring.mean)
        if ring.lobes is not None:
            label = say("journal.amplitude_of", station=ring.name)
            note = in_words(ring.lobes.direction.value)
            yield Named(f"amplitude.{ring.name}", label, ring.lobes.amplitude, note=note)
            label = say("journal.direction_of", station=ring.name)
            yield Named(f"direction.{ring.name}", label, ring.lobes.direction, "angle")
    if taper is not None:
        first, last = card.bearing.ends
        yield Named("journal_change", say("journal.change", first=first, last=last), taper)
        label = say("journal.slope")
        yield Named("taper", label, taper * (1.0 / card.bearing.length), "slope")
    barrel = hollow(rings)
    if barrel is not None:
        yield Named("barrel", say("journal.barrel"), barrel)


def _fitted(rings: Sequence[Ring]) -> Fitted | None:
    """All stations' two-lobe fits together."""
    fitted = [(ring, ring.lobes.fit) for ring in rings if ring.lobes is not None and ring.lobes.fit.dof > 0]
    if not fitted:
        return None
    from scipy.special import gammaincc

    chi, dof = sum(fit.chi_square for _, fit in fitted), sum(fit.dof for _, fit in fitted)
    ring, fit = max(fitted, key=lambda pair: float(np.max(np.abs(pair[1].standardized))))
    worst = int(np.argmax(np.abs(fit.standardized)))
    label = ring.diameters[worst].place.label
    chance = float(gammaincc(dof / 2.0, chi / 2.0))
    return Fitted(chi, dof, chance, label, float(fit.standardized[worst]), math.sqrt(chi / dof))


def _assumed(facts: Facts, readings: Sequence[Reading], largest: float) -> Iterator[Assumed]:
    for name in sorted({reading.instrument for reading in readings}):
        mpe, source = mpe_of(facts, name, OUTSIDE_MICROMETER, largest)
        if source != say("instruments.recorded"):
            label = say("journal.mpe_label", name=name or say("diameters.no_name"))
            yield Assumed(f"mpe.{name}", label, f"{mpe * 1e6:g} µm", source)
    if not text(facts, "journal_material"):
        yield Assumed("journal_material", say("journal.material"), SHAFT, PRACTICE)


def _found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    return Finding(f"{KEY}.{code}", severity, say(f"journal.{code}", **values), source, place)


def _before(card: Card, facts: Facts, readings: Sequence[Reading]) -> Iterator[Finding]:
    yield from diameters.warmth(KEY, facts, ("journal_temperature",))
    yield from diameters.repeats_differ(KEY, card, readings)
    if temperature(facts, "journal_temperature") is None:
        yield _found("not_warm", "warning")
    if text(facts, "cracks") == "yes":
        yield _found("cracks", "fault")
    if text(facts, "raised_metal") == "yes":
        yield _found("raised_metal", "hold")


def _incomplete(rings: Sequence[Ring]) -> Iterator[Finding]:
    for ring in rings:
        if len(ring.diameters) < DIRECTIONS:
            yield _found(
                "directions", "hold", station=ring.name, count=len(ring.diameters), wanted=DIRECTIONS
            )
    if len(rings) < STATIONS:
        yield _found("stations", "hold", count=len(rings), wanted=STATIONS)


def _shape(card: Card, rings: Sequence[Ring]) -> Iterator[Finding]:
    """Diameters that are no two lobes, and a middle that stands out."""
    for ring in rings:
        fit = ring.lobes.fit if ring.lobes is not None else None
        if fit is not None and fit.dof > 0 and fit.chi_probability < ODD_ONE_OUT:
            worst = ring.diameters[int(np.argmax(np.abs(fit.residuals)))].place.label
            off = shown(card, float(np.max(np.abs(fit.residuals))))
            yield _found("no_two_lobes", "warning", place=worst, place_name=worst, station=ring.name, off=off)
    barrel = hollow(rings)
    if barrel is not None and abs(barrel.value) > max(BARREL * TAPER, 2.0 * barrel.u):
        code = "barrelled" if barrel.value > 0.0 else "hollow"
        yield _found(code, "warning", off=shown(card, abs(barrel.value)))


TAPER = 13e-6
"""Usual limit of a journal's taper over its length [m]: US Army TM 9-6115-604-34 (0.0005 in)."""


def _scratch(card: Card, facts: Facts) -> Iterator[Finding]:
    depth, film = length(facts, "scratch_depth"), length(facts, "least_film")
    if depth is None:
        return
    if film is None or film <= 0.0:
        yield _found("film_unknown", "note", say("journal.deep_source"))
    elif depth > DEEP * film:
        yield _found("deep", "warning", say("journal.deep_source"), depth=shown(card, depth),
                     allowed=shown(card, DEEP * film))  # fmt: skip


def sizes(
    card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]
) -> tuple[diameters.Diameter, ...]:
    """Every diameter that can be used, at 20 °C where the temperature was recorded; () without readings."""
    nominal = card.bearing.journal_diameter
    by_label = {place.label: place for place in places}
    usable, _ = diameters.set_aside(KEY, card, by_label, readings, lambda place: nominal)
    if not usable:
        return ()
    taken = _taken(card, facts, max(reading.value for reading in usable))
    return diameters.diameters(taken, places, usable)
