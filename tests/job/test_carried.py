"""The device's short sum never says other than the record, and mostly says the same.

`reckon` below is the sum as a device does it, written from the description in `job.carried`; what it is held
against is the judgement itself, reading by reading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.web.plant import CARD, FACTS
from whitemetal.card import Card, read_card
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.job.carried import Carried, carried
from whitemetal.job.carried_sets import Weights
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState
from whitemetal.job.typed import read_fact, read_reading
from whitemetal.units import clearance_step, show_number

WIRE = method_named("wire")
UNITS = {"mm": 1.0, "in": 1 / 25.4, "thou": 1000 / 25.4}


@cache
def card(unit: str = "mm") -> Card:
    return read_card(CARD.replace("[bearing]", f'[bearing]\nunit = "{unit}"'))


@cache
def check(unit: str = "mm", without: str = "", wire: str = "0.40 mm") -> CheckState:
    typed = {**FACTS, "wire_diameter": wire, "instrument.M-07.zero_before": "0.000 mm"}
    typed |= {
        "instrument.M-07.zero_after": "0.000 mm",
        "instrument.M-07.mpe": "0.004 mm",
        "instrument.M-07.anvil": "ball",
    }
    facts = {}
    for key, text in typed.items():
        fact = read_fact(WIRE, key, text)
        assert isinstance(fact, Fact)
        if key != without:
            facts[key] = fact
    return CheckState("c", "wire", "as left", WIRE.default_places(card(unit)), facts, ())


@cache
def along(unit: str = "mm", without: str = "", wire: str = "0.40 mm") -> Carried:
    return carried(check(unit, without, wire), card(unit), "M-07")


Typed = tuple[int, str]
"""A reading as typed: its squeeze and its text, place after place."""


def reckon(
    found: Carried, texts: Sequence[str] | Sequence[Typed], facts: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """What a device makes of readings as typed, one a place or (squeeze, text) in the order of places, some
    places perhaps more than once: then as many texts a place in a row."""
    told = _told(found, facts or {})
    typed = [one if isinstance(one, tuple) else (1, one) for one in texts]
    decimals = {len(text.partition(".")[2]) for _, text in typed}
    if told is None or (len(decimals) > 1 and not found.finer):
        return {"asks": True}
    squeezes = max(squeeze for squeeze, _ in typed)
    rows_of = [[float(t) * found.scale for s, t in typed if s == k + 1] for k in range(squeezes)]
    n = len(found.places)
    groups = [row[i * (len(row) // n) : (i + 1) * (len(row) // n)] for row in rows_of for i in range(n)]
    if not found.twice and any(len(row) > 1 for row in groups):
        return {"asks": True}
    if found.twice and _differ(groups, 10.0 ** -max(decimals) * found.scale):
        return {"asks": True}
    span = next((one for one in found.ranges if one.at == told[1]), None)
    if span is None or any(
        not span.least[i % n] <= r <= span.most[i % n] for i, row in enumerate(groups) for r in row
    ):
        return {"asks": True}
    median = float(np.median([r for row in groups for r in row]))
    zeros = [*found.zeros_kept, *told[2]]
    usable = [
        one
        for one in found.sets
        if (one.decimals <= min(decimals) if found.finer else one.decimals == max(decimals))
        and one.at in ("", told[1])
        and one.squeezes == squeezes
        and median < one.below
        and _for_zeros(one, zeros, told[2], found.scale)
    ]
    if not usable:
        return {"asks": True}
    shift = sum(zeros) / len(zeros) if zeros else 0.0
    groups = [[r - part * shift for r in row] for part, row in zip(usable[0].zero, groups, strict=True)]
    if any(not span.least[i % n] <= r <= span.most[i % n] for i, row in enumerate(groups) for r in row):
        return {"asks": True}
    read = [sum(row) / len(row) for row in groups]
    rows = [
        c + sum(w * r for w, r in zip(row, read, strict=True))
        for c, row in zip(usable[0].constant, usable[0].weights, strict=True)
    ]
    if not span.mean_least <= rows[0] <= span.mean_most or _scattered(usable[0], read):
        return {"asks": True}
    lacking = [
        one.lacking
        for one in found.presumed
        if one.lacking and one.key not in told[0] and one.squeeze <= squeezes
    ]
    against = [*found.against, *lacking, *([found.lacking] if found.lacking and not told[1] else [])]
    word = _word(found, usable[0], rows[1:], against)
    return {"asks": False, "rows": rows, "u": usable[0].shown_u, "word": word, "against": against}


def _for_zeros(one: Weights, zeros: Sequence[float], told: Sequence[float], scale: float) -> bool:
    """Whether a set is for as many zeros of the gauge and, where a device was told of one of two, so many
    steps apart."""
    if one.zeros != len(zeros) or not told or len(zeros) < 2:
        return one.zeros == len(zeros) and one.drift is None
    return one.drift is not None and math.isclose(
        abs(zeros[1] - zeros[0]), one.drift * 10.0**-one.decimals * scale, abs_tol=1e-15
    )


def _told(found: Carried, facts: Mapping[str, str]) -> tuple[set[str], str, list[float]] | None:
    """Keys told as presumed, the wire or strip, and the zeros told [m]; None where the record must be asked."""
    known, at, zeros, counts = set(), "", [], dict(found.alike)
    for key, text in facts.items():
        spans = [one.at for one in found.ranges if one.at and text in _spellings(one.at)]
        if any(key == one.key and text in one.texts for one in found.presumed):
            known.add(key)
        elif key == found.key and spans:
            at = spans[0]
        elif key in found.zeros and text.split()[1] == found.unit:
            zeros.append(float(text.split()[0]) * found.scale)
        elif key in counts and text.isdecimal():
            counts[key] = text
        else:
            return None
    if len({text for text in counts.values() if text}) > 1:
        return None
    return known, at, zeros


def _spellings(at: str) -> tuple[str, ...]:
    """How an answer on which a range rests may be typed: a wire's diameter with its unit, a strip's range as it
    is."""
    return (at, f"{float(at):.2f} mm") if at.replace(".", "").isdecimal() else (at,)


def _differ(groups: list[list[float]], step: float) -> bool:
    dof = sum(len(row) - 1 for row in groups)
    if not dof:
        return False
    sd = math.sqrt(sum(sum((r - sum(row) / len(row)) ** 2 for r in row) for row in groups) / dof)
    return any(sd / math.sqrt(len(row)) > step / math.sqrt(12.0) * (1 - 1e-9) for row in groups)


def _scattered(one: Weights, read: list[float]) -> bool:
    r = np.array(read)
    chi = r @ np.array(one.chi_a) @ r + np.array(one.chi_b) @ r + one.chi_c
    return one.most is not None and float(chi) > one.most


def _word(found: Carried, one: Weights, values: list[float], against: list[str]) -> str:
    low, high = found.low, found.high
    each = list(zip(values, one.u[1:], strict=True))
    to_low = min(((v - low) / u for v, u in each), default=math.inf) if low is not None else math.inf
    to_high = min(((high - v) / u for v, u in each), default=math.inf) if high is not None else math.inf
    if against:
        return "not proven"
    if found.simple:
        over = [found.low - min(values)] if found.low is not None else []
        over += [max(values) - found.high] if found.high is not None else []
        assert abs(max(over) - found.edge) > found.edge / 10, "right at the edge a device does not say"
        return "within limits" if max(over) <= found.edge else "outside limits"
    if min(to_low, to_high) <= -one.beyond:
        return "outside limits"
    return (
        "within limits"
        if min(to_low, to_high) >= one.near and max(to_low, to_high) >= one.far
        else "not proven"
    )


def judged(unit: str, texts: list[str], without: str = "", wire: str = "0.40 mm") -> Judgement:
    begun = check(unit, without, wire)
    readings = []
    for place, text in zip(begun.places, texts, strict=True):
        read = read_reading(WIRE, place.label, text, unit)
        assert not isinstance(read, tuple)
        readings.append(Reading(place.label, text, read.value, read.resolution, 1, "M-07"))  # type: ignore[union-attr]
    return judge_check(replace(begun, readings=tuple(readings)), card(unit), ())


def texts_of(unit: str, clearance: float, off: list[float], decimals: int) -> list[str]:
    """Readings of a plain bore of this clearance [mm], each off by so many mm."""
    return [
        f"{max(0.001, clearance * (1 + math.cos(place.angle)) / 2 + by) * UNITS[unit]:.{decimals}f}"
        for place, by in zip(check(unit).places, off, strict=True)
    ]


@pytest.mark.parametrize(("unit", "decimals"), [("mm", 3), ("mm", 2), ("in", 5), ("thou", 2)])
@pytest.mark.parametrize("clearance", [0.128, 0.16, 0.175, 0.225, 0.28, 0.31, 0.36])
def test_what_the_device_shows_is_what_the_record_shows(unit: str, decimals: int, clearance: float) -> None:
    wire = "0.30 mm" if clearance < 0.2 else "0.40 mm"
    found = along(unit, wire=wire)
    assert found.why_not == "" and found.against == ()
    texts = texts_of(unit, clearance, [0.0] * len(found.places), decimals)
    mine, theirs = reckon(found, texts), judged(unit, texts, wire=wire)
    assert theirs.clearance is not None and not mine["asks"]
    shown = [show_number(value, unit, "length", step=clearance_step(unit)) for value in mine["rows"]]
    places = theirs.clearance.places
    expected = [theirs.clearance.diametral_m, *(place.diametral_m for place in places)]
    assert shown == [show_number(value, unit, "length", step=clearance_step(unit)) for value in expected]
    assert mine["rows"] == pytest.approx(expected, rel=1e-9)
    assert mine["word"] in (theirs.verdict, "not proven")
    if clearance == 0.225:
        assert mine["word"] == theirs.verdict == "within limits"
    if clearance in (0.128, 0.36):
        assert mine["word"] == theirs.verdict == "outside limits"


OFF = st.lists(st.floats(-0.02, 0.02), min_size=len(check().places), max_size=len(check().places))


@given(st.floats(0.05, 0.6), OFF, st.sampled_from([2, 3]), st.sampled_from(["", "wire_diameter", "torque"]))
def test_the_device_says_less_than_the_record_or_the_same(
    clearance: float, off: list[float], decimals: int, without: str
) -> None:
    texts = texts_of("mm", clearance, off, decimals)
    mine, theirs = reckon(along("mm", without), texts), judged("mm", texts, without)
    if mine["asks"]:
        return
    assert theirs.clearance is not None
    expected = [theirs.clearance.diametral_m, *(place.diametral_m for place in theirs.clearance.places)]
    assert mine["rows"] == pytest.approx(expected, rel=1e-9)
    if mine["word"] != "not proven":
        assert theirs.verdict == mine["word"]
    assert mine["u"].split()[0] == show_number(theirs.clearance.expanded_m, "mm", "length", step=1e-6)


def test_what_is_missing_is_carried_as_a_reason() -> None:
    found = along("mm", "wire_diameter")
    assert found.against == () and "wire" in found.lacking.casefold()
    made = reckon(found, ["0.225"] * 0 + texts_of("mm", 0.225, [0.0] * len(found.places), 3))
    assert made["against"] == [found.lacking] and made["word"] == "not proven"


def test_a_reading_too_thin_for_its_wire_must_be_asked() -> None:
    """A third of 0.40 mm is 0.133 mm: below it the record questions the reading."""
    found = along()
    assert all(0.125e-3 < least < 0.14e-3 for least in found.ranges[0].least)
    assert reckon(found, ["0.120", *["0.225"] * (len(found.places) - 1)]) == {"asks": True}


def test_readings_that_scatter_must_be_asked() -> None:
    off = [0.03 * (-1) ** i for i in range(len(check().places))]
    assert reckon(along(), texts_of("mm", 0.225, off, 3)) == {"asks": True}
    assert reckon(along(), texts_of("mm", 0.225, [0.0] * len(off), 3))["asks"] is False


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (lambda c: replace(c, stale=("scraped",)), "no longer counts"),
        (lambda c: replace(c, contradictions=("two answers",)), "looked at in the record"),
        (lambda c: replace(c, method="crown"), "needs the record"),
    ],
)
def test_what_cannot_be_judged_on_a_device_says_why(other: Any, said: str) -> None:
    assert said in carried(other(check()), card()).why_not


def test_without_a_limit_it_says_so() -> None:
    bare = read_card(CARD.partition("[[limit]]")[0])
    assert "no limit" in carried(check(), bare).why_not


@pytest.mark.parametrize("profile", ["tilting pad", "pressure dam", "multi-lobe"])
def test_a_bore_for_which_the_wire_is_wrong_needs_the_record(profile: Any) -> None:
    wrong = replace(card(), bearing=replace(card().bearing, profile=profile))
    assert "needs the record" in carried(check(), wrong, "M-07").why_not
