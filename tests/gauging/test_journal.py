"""The journal survey: two lobes, taper, surface.

The two-lobe fit is checked against `numpy.linalg.lstsq` (with its own design, in the powers of a complex
exponential) on generated profiles; the rest is hand arithmetic written out here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from tests.gauging.build import MAKER, card
from whitemetal.card import Card, Limit
from whitemetal.gauging.contract import JOURNAL_CHANGE, Assessed, Fact, Place, Reading, Result
from whitemetal.gauging.diameters import Diameter
from whitemetal.gauging.journal import JOURNAL
from whitemetal.gauging.journal.shape import Lobes, two_lobes
from whitemetal.job.judge import judge_readings
from whitemetal.quantity import Influence, Quantity
from whitemetal.units import INCH

D = 0.160
RECORDED = {
    "raised_metal": "no",
    "cracks": "no",
    "journal_temperature": "20 degC",
    "instrument.M-3.zero_before": "0.000 mm",
    "instrument.M-3.zero_after": "0.000 mm",
    "instrument.M-3.calibration_due": "2027-03-01",
}


def facts(**changed: str | None) -> Mapping[str, Fact]:
    texts: dict[str, str | None] = {**RECORDED, **{k.replace("__", "."): v for k, v in changed.items()}}
    return {key: Fact(text) for key, text in texts.items() if text is not None}


def taken(one: Card, size: Callable[[Place], float]) -> tuple[Reading, ...]:
    found = []
    for place in JOURNAL.default_places(one):
        text = f"{1e3 * size(place):.4f} mm"
        found.append(Reading(place.label, text, 1e-3 * float(text[:-3]), 1e-7, 1, "M-3"))
    return tuple(found)


def sized(one: Card, size: Callable[[Place], float], **changed: str | None) -> Result:
    return JOURNAL.evaluate(one, JOURNAL.default_places(one), facts(**changed), taken(one, size))


def codes(result: Result, *severities: str) -> set[str]:
    return {f.code for f in result.findings if not severities or f.severity in severities}


def assessed(result: Result, of: str) -> Assessed:
    return next(one for one in result.assessed if one.of == of)


def fitted(angles: list[float], sizes: list[float]) -> Lobes:
    own = [Influence(f"own.{i}", "own", 3e-6) for i in range(len(sizes))]
    found = [
        Diameter(Place(f"P{i}", 0.0, a, "P"), Quantity.of(s, own[i]), s, 1, 3e-6)
        for i, (a, s) in enumerate(zip(angles, sizes, strict=True))
    ]
    lobes = two_lobes(found)
    assert lobes is not None
    return lobes


@pytest.mark.parametrize("seed", range(40))
def test_two_lobes_against_least_squares_of_another_kind(seed: int) -> None:
    """Independent: real and imaginary part of one complex coefficient of exp(2ia), by numpy's lstsq (SVD)."""
    dice = np.random.default_rng(seed)
    count = int(dice.integers(4, 9))
    angles = np.arange(count) * math.pi / count + dice.uniform(0.0, 0.3)
    depth, turn = dice.uniform(2e-6, 60e-6), dice.uniform(0.0, math.pi)
    sizes = D + depth * np.cos(2.0 * (angles - turn)) + dice.normal(0.0, 2e-6, count)
    wave = np.exp(2j * angles)
    design = np.column_stack([wave.real, -wave.imag, np.ones(count)])
    (real, imag, mean), *_ = np.linalg.lstsq(design, sizes, rcond=None)
    z = complex(real, imag)
    lobes = fitted(list(angles), list(sizes))
    assert lobes.mean.value == pytest.approx(mean, rel=1e-12)
    assert lobes.amplitude.value == pytest.approx(abs(z), rel=1e-8)
    apart = math.remainder(lobes.direction.value - (-0.5 * np.angle(z)), math.pi)
    assert apart == pytest.approx(0.0, abs=1e-7)
    assert 0.0 <= lobes.direction.value <= math.pi


def test_the_uncertainty_of_the_lobes_by_hand() -> None:
    """Four directions at 45°: C = (d0 - d90)/2, S = (d45 - d135)/2, each u/√2 of one diameter (3 µm): 2.12 µm;
    the amplitude has the same, and the direction u(A)/(2A): 2.12/(2 x 20) = 0.053 rad."""
    angles = [math.radians(a) for a in (0, 45, 90, 135)]
    lobes = fitted(angles, [D + 20e-6 * math.cos(2 * (a - 0.4)) for a in angles])
    assert lobes.amplitude.value == pytest.approx(20e-6, rel=1e-9)
    assert lobes.direction.value == pytest.approx(0.4, abs=1e-9)
    assert lobes.amplitude.u == pytest.approx(3e-6 / math.sqrt(2.0), rel=1e-9)
    assert lobes.direction.u == pytest.approx(3e-6 / math.sqrt(2.0) / 40e-6, rel=1e-9)


def test_three_lobes_cannot_be_seen_and_the_survey_says_so() -> None:
    """A radius with three lobes has the same diameter everywhere: r(a) + r(a + π) = 2 r0."""

    def size(place: Place) -> float:
        def radius(a: float) -> float:
            return 0.5 * D + 15e-6 * math.cos(3.0 * a)

        return radius(place.angle) + radius(place.angle + math.pi)

    result = sized(card(), size)
    assert max(q.value for q in assessed(result, "journal out-of-round").values) == pytest.approx(
        0.0, abs=1e-9
    )
    assert any("odd number" in text for text in result.unknown)


def test_twelve_diameters_give_roundness_taper_and_undersize() -> None:
    """By hand, mm: every station 160.000, 160.010, 159.996, 159.986 (out of round 0.024) less 0.002 and 0.004 in
    the middle and at the far end (14.4 mm or a tenth, here 16 mm, from each edge of 160): over the whole land
    0.004 x 160/128 = 0.005. Mean 159.998 - 0.002 = 159.996: 0.004 undersize."""
    shape = {0: 0.0, 45: 10e-6, 90: -4e-6, 135: -14e-6}
    less = {"DE": 0.0, "M": 2e-6, "OE": 4e-6}

    def size(place: Place) -> float:
        return D + shape[round(math.degrees(place.angle))] - less[place.piece]

    result = sized(card(), size)
    out = assessed(result, "journal out-of-round")
    assert out.where == ("DE", "M", "OE")
    assert [q.value for q in out.values] == pytest.approx([24e-6] * 3, abs=1e-9)
    assert assessed(result, "journal taper").values[0].value == pytest.approx(5e-6, abs=1e-9)
    assert result.says[JOURNAL_CHANGE].value == pytest.approx(-5e-6, abs=1e-9)
    assert assessed(result, "journal undersize").values[0].value == pytest.approx(4e-6, abs=1e-9)
    named = {n.key: n.quantity.value for n in result.named}
    assert named["barrel"] == pytest.approx(0.0, abs=1e-9)
    assert named["amplitude.M"] == pytest.approx(1e-6 * math.hypot(2.0, 12.0), abs=1e-9)


def test_what_the_micrometer_shares_drops_out_of_roundness_but_not_of_size() -> None:
    """By hand: one diameter's own part is 3 µm of feel and 0.03 of the step; roundness is a difference of two:
    4.24 µm. Size: 7 µm/√3 = 4.04, warmth 160 mm x 11.5e-6/√3 = 1.06, 3/√12 = 0.87: 4.27 µm."""
    result = sized(card(), lambda place: D + (1e-6 if "45" in place.label else 0.0))
    assert assessed(result, "journal out-of-round").values[0].u == pytest.approx(4.24e-6, rel=0.01)
    assert assessed(result, "journal undersize").values[0].u == pytest.approx(4.27e-6, rel=0.01)


def test_the_journal_is_brought_to_20_degrees() -> None:
    """ISO 1: 160 mm of steel at 30 °C is 160 x 11.5e-6 x 10 = 0.0184 mm too thick."""
    result = sized(card(), lambda place: D, journal_temperature="30 degC")
    assert assessed(result, "journal undersize").values[0].value == pytest.approx(18.4e-6, abs=1e-8)


def test_a_misread_diameter_is_named() -> None:
    """One reading 30 µm off: the four-fold contrast is 30/4 = 7.5 µm at each of the four directions."""
    result = sized(card(), lambda place: D + (30e-6 if place.label == "M 90" else 0.0))
    (odd,) = (f for f in result.findings if f.code == "journal.no_two_lobes")
    assert odd.text.startswith("M:")
    assert result.fit is not None and result.fit.dof == 3


def test_a_barrel_is_no_taper() -> None:
    result = sized(card(), lambda place: D + (25e-6 if place.piece == "M" else 0.0))
    assert assessed(result, "journal taper").values[0].value == pytest.approx(0.0, abs=1e-9)
    assert "journal.barrelled" in codes(result, "warning")
    worn = sized(card(), lambda place: D - (25e-6 if place.piece == "M" else 0.0))
    assert "journal.hollow" in codes(worn, "warning")


def test_a_scratch_is_held_against_six_times_the_least_film() -> None:
    """Branagan, Lubricants 2015: six times the least film; 20 µm of film allow 0.12 mm."""
    deep = sized(card(), lambda place: D, scratch_depth="0.15 mm", least_film="20 µm")
    assert "journal.deep" in codes(deep, "warning")
    (rule,) = assessed(deep, "journal scratch depth").rules
    assert rule.maximum == pytest.approx(0.12e-3)
    fine = sized(card(), lambda place: D, scratch_depth="0.10 mm", least_film="20 µm")
    assert "journal.deep" not in codes(fine)
    unknown = sized(card(), lambda place: D, scratch_depth="0.10 mm")
    assert "journal.film_unknown" in codes(unknown, "note")
    assert assessed(unknown, "journal scratch depth").rules == ()


def test_general_rules_are_the_published_figures() -> None:
    """0.0005 in = 0.0127 mm, 0.002 in = 0.0508 mm, 0.003 in = 0.0762 mm; a tenth of the least clearance of 0.20
    is 0.020, which counts on a journal above 150 mm (0.025)."""
    rules = {(rule.of, rule.title): rule.maximum for rule in JOURNAL.rules(card())}
    by_of: dict[str, list[float]] = {}
    for (of, _), most in rules.items():
        by_of.setdefault(of, []).append(round((most or 0.0) * 1e6, 1))
    assert by_of == {
        "journal out-of-round": [12.7, 50.8, 20.0],
        "journal taper": [12.7],
        "journal scratch depth": [76.2],
        "journal roughness": [0.8, 0.4],
        "journal undersize": [25.4],
    }
    small = {rule.title: rule.maximum for rule in JOURNAL.rules(card(diameter=0.100, limits=()))}
    assert small["industrial journals, never above a tenth of the least clearance"] == pytest.approx(13e-6)


def test_the_tenth_is_of_the_least_clearance_with_most_authority_wherever_it_stands_on_the_card() -> None:
    """An owner's 0.10 mm stands first, the maker's 0.20 mm second: a tenth of 0.20 mm is 20 µm."""
    owners = Limit("oil clearance", 0.10e-3, None, "owner's standard", "shop sheet (invented)", "1")
    rules = {rule.title: rule.maximum for rule in JOURNAL.rules(card(limits=(owners, *card().limits)))}
    assert rules["industrial journals, never above a tenth of the least clearance"] == pytest.approx(20e-6)


def limited(*pairs: tuple[str, float]) -> tuple[Limit, ...]:
    return tuple(
        Limit(of, None, most, "owner's standard", "shop sheet (invented)", "1", basis="as it is")
        for of, most in pairs
    )


def test_the_verdict_is_of_roundness_and_taper_together() -> None:
    one = card(limits=(MAKER, *limited(("journal out-of-round", 25e-6), ("journal taper", 25e-6))))

    def word(lobe: float) -> str:
        readings = taken(one, lambda p: D + 0.5 * lobe * math.cos(2.0 * p.angle))
        return judge_readings(JOURNAL, one, JOURNAL.default_places(one), facts(), readings).verdict

    assert word(2e-6) == "within limits"
    assert word(24e-6) == "not proven"
    assert word(50e-6) == "outside limits"
    bare = card()
    readings = taken(bare, lambda p: D)
    assert (
        judge_readings(JOURNAL, bare, JOURNAL.default_places(bare), facts(), readings).verdict == "not proven"
    )


def test_cracks_are_outside_whatever_the_numbers_say() -> None:
    one = card(limits=limited(("journal out-of-round", 25e-6), ("journal taper", 25e-6)))
    places, readings = JOURNAL.default_places(one), taken(one, lambda p: D)
    assert judge_readings(JOURNAL, one, places, facts(), readings).verdict == "within limits"
    assert judge_readings(JOURNAL, one, places, facts(cracks="yes"), readings).verdict == "outside limits"
    assert judge_readings(JOURNAL, one, places, facts(raised_metal="yes"), readings).verdict == "not proven"


def test_readings_that_are_rejected() -> None:
    one = card()
    places, good = JOURNAL.default_places(one), taken(one, lambda p: D)

    def held(readings: tuple[Reading, ...], **changed: str | None) -> set[str]:
        return codes(JOURNAL.evaluate(one, places, facts(**changed), readings), "hold")

    assert held(good) == set()
    assert held(good[1:]) == {"journal.directions"}
    assert held(good[4:]) == {"journal.stations"}
    assert held((*good, replace(good[0], value=D + 30e-6))) == {"journal.repeats_differ"}
    assert held((replace(good[0], value=D / INCH), *good[1:])) == {"journal.far_off", "journal.directions"}
    assert held(good, journal_temperature="50 degC") == {"journal.hot"}
    assert held(good, **{"instrument__M-3__zero_after": "0.003 mm"}) == {"journal.zero_drift"}
    assert held(good, date="2027-04-01") == {"journal.calibration"}
    assert held(()) == {"journal.no_readings"}


def test_every_rule_the_program_finds_is_one_it_can_find() -> None:
    from whitemetal.words.en import ROOMS

    said = {f"journal.{name}" for room in ("journal", "diameters") for name in ROOMS[room]}
    assert {rule.code for rule in JOURNAL.rejection_rules if rule.found_by == "program"} <= said


def test_the_order_of_entry_changes_nothing() -> None:
    one = card()
    places = JOURNAL.default_places(one)
    readings = taken(one, lambda p: D + 7e-6 * math.cos(2.0 * p.angle - 1.0) + 40e-6 * p.axial)
    more = (*readings, replace(readings[3], value=readings[3].value + 4e-6))
    first = judge_readings(JOURNAL, one, places, facts(), more)
    for turn in (more[::-1], more[5:] + more[:5]):
        assert judge_readings(JOURNAL, one, places, facts(), turn) == first


def test_repeats_widen_or_narrow_what_they_should() -> None:
    """Two repeats at a place halve the variance of finding it: 3 µm become 2.12; roundness against a place read
    once is then √(4.5 + 9) = 3.67 µm."""
    one = card()
    readings = taken(one, lambda p: D + (10e-6 if p.label == "DE 0" else 0.0))
    twice = (*readings, readings[0])
    out = assessed(JOURNAL.evaluate(one, JOURNAL.default_places(one), facts(), twice), "journal out-of-round")
    assert out.values[0].u == pytest.approx(3.67e-6, rel=0.01)


@pytest.mark.parametrize(("sign", "end"), [(1.0, "other end"), (-1.0, "drive end")])
def test_the_thicker_end_is_named(sign: float, end: str) -> None:
    result = sized(card(), lambda place: D + sign * 100e-6 * place.axial)
    found = assessed(result, "journal taper")
    assert found.values[0].value == pytest.approx(16e-6, abs=0.5e-6)
    assert found.note == f"thicker at {end}"
