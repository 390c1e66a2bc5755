"""What is typed where there is no record: facts, the whole squeeze again, a place read twice.

Each is held against the judgement of the same check with the same facts and readings in the record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.job.test_carried import WIRE, Typed, card, check, reckon, texts_of
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.job.carried import Carried, carried, squeezes_of, with_readings
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState
from whitemetal.job.typed import read_fact, read_reading
from whitemetal.units import clearance_step, show, show_number

KNOWN = {"mpe": "0.004 mm", "anvil": "ball", "calibration_due": "2027-03-01"}
TYPED = {
    "wire_diameter": "0.40 mm", "journal_down": "yes", "joint": "metal to metal", "tightened": "final value",
    "torque": "420 N m", "wires_in": "2", "wires_out": "2", "oil_wiped": "yes", "shaft_turned": "no",
    "instrument.M-07.zero_before": "0.000 mm", "instrument.M-07.zero_after": "0.000 mm",
}  # fmt: skip
"""What a millwright types at the bench of a check just begun."""


def with_facts(begun: CheckState, typed: Mapping[str, str]) -> CheckState:
    facts = {}
    for key, text in typed.items():
        fact = read_fact(WIRE, key, text)
        assert isinstance(fact, Fact), key
        facts[key] = fact
    return replace(begun, facts={**begun.facts, **facts})


def begun() -> CheckState:
    """A check in which nothing was entered; the plant knows its gauge."""
    bare = replace(check(), facts={})
    return with_facts(bare, {f"instrument.M-07.{key}": text for key, text in KNOWN.items()})


def read(found: CheckState, typed: Sequence[Typed]) -> CheckState:
    """The check with readings, as many a place in a row as there are of each squeeze."""
    readings, n = [], len(found.places)
    for squeeze in sorted({one for one, _ in typed}):
        texts = [text for one, text in typed if one == squeeze]
        each = len(texts) // n
        for i, text in enumerate(texts):
            place = found.places[i // each].label
            value = read_reading(WIRE, place, text, "mm")
            assert isinstance(value, Reading)
            readings.append(Reading(place, text, value.value, value.resolution, squeeze, "M-07"))
    return replace(found, readings=tuple(readings))


def judged(found: CheckState) -> Judgement:
    return judge_check(found, card(), ())


@cache
def fresh() -> Carried:
    return carried(begun(), card(), "M-07")


@cache
def twice(squeezes: int) -> Carried:
    """Carried along when so many squeezes are full; one more is to come."""
    whole = with_facts(begun(), TYPED)
    texts = texts_of("mm", 0.225, [0.0] * len(whole.places), 3)
    return carried(read(whole, [(s + 1, text) for s in range(squeezes) for text in texts]), card(), "M-07")


def same(mine: Mapping[str, object], theirs: Judgement) -> None:
    """Same digits; the same word, or the device says less."""
    assert theirs.clearance is not None
    rows = mine["rows"]
    assert isinstance(rows, list)
    expected = [theirs.clearance.diametral_m, *(place.diametral_m for place in theirs.clearance.places)]
    step = clearance_step("mm")
    assert [show_number(v, "mm", "length", step=step) for v in rows] == [
        show_number(v, "mm", "length", step=step) for v in expected
    ]
    assert mine["u"] == show(theirs.clearance.expanded_m, "mm", "length", step=step)
    assert mine["word"] in (theirs.verdict, "not proven")


@given(
    st.floats(0.12, 0.40), st.sampled_from([2, 3]), st.sets(st.sampled_from(sorted(TYPED))),
    st.sampled_from(["0.30 mm", "0.40 mm", "0.50 mm"]),
)  # fmt: skip
def test_facts_typed_on_the_device_are_judged_as_the_record_judges_them(
    clearance: float, decimals: int, left_out: set[str], wire: str
) -> None:
    typed = {key: text for key, text in {**TYPED, "wire_diameter": wire}.items() if key not in left_out}
    if "instrument.M-07.zero_before" not in typed:
        typed.pop("instrument.M-07.zero_after", None)
    texts = texts_of("mm", clearance, [0.0] * len(begun().places), decimals)
    mine = reckon(fresh(), texts, typed)
    theirs = judged(read(with_facts(begun(), typed), [(1, text) for text in texts]))
    if mine["asks"]:
        return
    same(mine, theirs)
    told = {warned.text for warned in theirs.warnings}
    assert set(mine["against"]) <= told and (mine["against"] == [] or mine["word"] == "not proven")


def test_a_check_just_begun_can_be_proven_on_the_device() -> None:
    texts = texts_of("mm", 0.225, [0.0] * len(begun().places), 3)
    mine = reckon(fresh(), texts, TYPED)
    assert mine["word"] == "within limits" and mine["against"] == []
    same(mine, judged(read(with_facts(begun(), TYPED), [(1, text) for text in texts])))
    nothing = reckon(fresh(), texts)
    assert nothing["word"] == "not proven" and len(nothing["against"]) == 4, nothing["against"]


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("journal_down", "no"), ("tightened", "not final"), ("torque", "300 N m"), ("wires_out", "3"),
        ("instrument.M-07.zero_before", "0.003 mm"), ("instrument.M-07.zero_after", "0.0005 mm"),
        ("instrument.M-07.zero_after", "0.002 in"), ("wire_material", "steel-cored"),
        ("shaft_turned", "yes"), ("oil_wiped", "no"),
        ("joint", "shims"), ("part_temperature", "60 degC"),
    ],
)  # fmt: skip
def test_an_unusual_answer_is_for_the_record(key: str, text: str) -> None:
    texts = texts_of("mm", 0.225, [0.0] * len(begun().places), 3)
    assert reckon(fresh(), texts, {**TYPED, key: text}) == {"asks": True}


@pytest.mark.parametrize("clearance", [0.20, 0.225, 0.25, 0.33])
def test_the_whole_squeeze_again_is_judged_as_the_record_judges_it(clearance: float) -> None:
    found, n = twice(1), len(begun().places)
    assert {one.squeezes for one in found.sets} == {1, 2}
    typed = [(1, text) for text in texts_of("mm", clearance, [0.0] * n, 3)]
    typed += [(2, text) for text in texts_of("mm", clearance, [0.003] * n, 3)]
    second = {"joint@2": "metal to metal", "tightened@2": "final value"}
    mine = reckon(found, typed, second)
    whole = with_facts(begun(), {**TYPED, **second})
    assert not mine["asks"]
    same(mine, judged(read(whole, typed)))
    lacking = reckon(found, typed)
    assert len(lacking["against"]) == 2 and lacking["word"] == "not proven"
    three = [*typed, *((3, text) for _, text in typed[n:])]
    assert reckon(found, three, second) == {"asks": True}, "weights of three squeezes did not come along"


def test_a_place_read_twice_counts_with_its_mean_while_the_scale_explains_it() -> None:
    whole, n = with_facts(begun(), TYPED), len(begun().places)
    texts = texts_of("mm", 0.225, [0.0] * n, 2)
    typed = [(1, text) for text in texts for _ in range(2)]
    mine = reckon(fresh(), typed, TYPED)
    assert mine["word"] == "within limits"
    same(mine, judged(read(whole, typed)))
    apart = [(1, f"{float(text) + 0.01 * again:.2f}") for text in texts for again in range(2)]
    assert reckon(fresh(), apart, TYPED) == {"asks": True}
    theirs = judged(read(whole, apart))
    assert theirs.clearance is not None, "the record weighs how they scatter"
    assert mine["u"] != show(theirs.clearance.expanded_m, "mm", "length", step=clearance_step("mm"))


def test_readings_of_the_record_are_told_by_their_digits() -> None:
    whole = read(with_facts(begun(), TYPED), [(1, "0.221"), (1, "0.22"), *[(1, "0.230")] * 4])
    held = with_readings(fresh(), whole).readings
    assert [one.text for one in held][:3] == ["0.221", "0.22", "0.230"]
    assert {(one.squeeze, one.gauge) for one in held} == {(1, "M-07")}
    assert squeezes_of(whole) == (1, 2) and squeezes_of(begun()) == (1,)
