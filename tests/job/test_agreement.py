"""The checks of a job side by side: which are compared, and what a contradiction does to a verdict.

Readings are made from a bearing whose numbers are written out here: journal 160 mm, clearance 0.240 mm.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations

import pytest

from tests.gauging import test_bore, test_journal
from tests.gauging.build import card, places_of, readings
from tests.gauging.build import facts as wire_facts
from whitemetal.card import Card
from whitemetal.gauging.agreement import Said, compare
from whitemetal.gauging.bore import BORE
from whitemetal.gauging.causes import Known
from whitemetal.gauging.contract import CLEARANCE, Fact, Place, Result
from whitemetal.gauging.journal import JOURNAL
from whitemetal.job.agreement import Comparison, Read, agreement_json, agreements, comparisons, doubts
from whitemetal.job.judge import judge_check
from whitemetal.job.state import CheckState, JobState
from whitemetal.quantity import Influence, Quantity

D, CD = 0.160, 0.240e-3
WARM = {"part_temperature": "20 degC", "journal_temperature": "20 degC"}


def state(*checks: CheckState) -> JobState:
    return JobState(
        "book", "J-1", "", "bearing", "card", (), {c.check: c for c in checks}, {}, (), (), (), (), 0, (), ""
    )  # fmt: skip


def wire(name: str = "wire1", clearance: float = CD, purpose: str = "as left", gauge: str = "M-7",
         **changed: str | None) -> CheckState:  # fmt: skip
    one = card()

    def thickness(place: Place) -> float:
        return shape(place, clearance)

    taken = tuple(replace(r, instrument=gauge) for r in readings(places_of(one), thickness))
    recorded: dict[str, str | None] = {f"instrument__{gauge}__{k}": v for k, v in GAUGE.items()}
    recorded |= {"oil_wiped": "yes", **WARM, **changed}
    return CheckState(name, "wire", purpose, places_of(one), wire_facts(**recorded), taken)


GAUGE = {
    "anvil": "ball",
    "zero_before": "0.000 mm",
    "zero_after": "0.000 mm",
    "calibration_due": "2027-03-01",
}


def shape(place: Place, clearance: float) -> float:
    """A circle in a circle, touching at the bottom."""
    return clearance * (1.0 + math.cos(place.angle)) / 2.0


def bore(
    name: str = "bore1", clearance: float = CD, purpose: str = "as left", **changed: str | None
) -> CheckState:
    one = card()

    def size(place: Place) -> float:
        return D + (clearance if "bore" in place.piece else 0.0)

    facts = test_bore.facts(**changed)
    return CheckState(name, "bore", purpose, BORE.default_places(one), facts, test_bore.taken(one, size))


def survey(name: str = "journal1", lobe: float = 0.0, purpose: str = "as found") -> CheckState:
    one = card()
    taken = test_journal.taken(one, lambda p: D + lobe * math.cos(2.0 * p.angle))
    return CheckState(name, "journal", purpose, JOURNAL.default_places(one), test_journal.facts(), taken)


def compared(*checks: CheckState, one: Card | None = None) -> tuple[Comparison, ...]:
    return comparisons(state(*checks), one or card())


def verdict(check: CheckState, *others: CheckState) -> tuple[str, list[tuple[str, str]]]:
    found = doubts(compared(check, *others), check.check)
    judged = judge_check(check, card(), (), found)
    return judged.verdict, [(w.code, w.severity) for w in judged.warnings if w.code.startswith("agreement.")]


def test_what_agrees_is_pooled_and_doubts_nothing() -> None:
    (found,) = agreements(compared(wire(), bore()))
    assert (found.purpose, found.word) == ("as left", "agree")
    clearance = found.measured[0]
    assert clearance.of == "clearance"
    assert clearance.pooled_m == pytest.approx(CD, abs=1e-6)
    assert sum(v.weight for v in clearance.values) == pytest.approx(1.0)
    assert clearance.pooled_u_m is not None
    assert clearance.pooled_u_m < min(v.u_m for v in clearance.values)
    assert verdict(wire(), bore()) == ("within limits", [])
    assert verdict(bore(), wire()) == ("within limits", [])


def test_a_contradiction_leaves_both_not_proven_until_it_is_answered() -> None:
    """Wire 0.240, bore less journal 0.205: 35 µm apart, u of the difference about 10 µm; both alone are inside
    0.15 to 0.28 mm."""
    wide = card(limits=(replace(card().limits[0], minimum=0.15e-3),))
    one, other = wire(), bore(clearance=0.205e-3)
    found = comparisons(state(one, other), wide)
    for check in (one, other):
        alone = judge_check(check, wide, ())
        assert alone.verdict == "within limits"
        judged = judge_check(check, wide, (), doubts(found, check.check))
        assert judged.verdict == "not proven"
        (said,) = (w for w in judged.warnings if w.code == "agreement.disagree.clearance")
        assert said.severity == "question"
        answer = Fact("The bore was taken again by hand with a second gauge; it stands.")
        answered = replace(check, facts={**check.facts, "answer.agreement.disagree.clearance": answer})
        assert judge_check(answered, wide, (), doubts(found, check.check)).verdict == "within limits"
    (shown,) = agreements(found)
    assert shown.word == "disagree"
    assert shown.measured[0].pooled_m is None
    assert shown.measured[0].suspects[0].title.startswith("Soft-wire clearance: the shell was not home")


def test_the_doubt_says_which_way_and_by_how_much() -> None:
    found = compared(wire(), bore(clearance=0.205e-3))
    (of_wire,), (of_bore,) = doubts(found, "wire1"), doubts(found, "bore1")
    assert "Bore less journal has the oil clearance at mid-land 0.035 mm smaller" in of_wire.text
    assert "Soft-wire clearance has the oil clearance at mid-land 0.035 mm larger" in of_bore.text


def test_stale_checks_and_other_purposes_are_not_compared() -> None:
    off = bore(clearance=0.180e-3)
    assert compared(wire(), replace(off, stale=("scraped",))) == ()
    assert compared(wire(), replace(off, purpose="as found")) == ()
    assert compared(wire()) == ()
    assert [c.purpose for c in compared(wire(), off, wire("w2", purpose="as found"), replace(off, check="b2", purpose="as found"))] == ["as left", "as found"]  # fmt: skip


def test_a_held_check_is_shown_but_neither_pooled_nor_in_the_way() -> None:
    held = wire("wire2", clearance=0.320e-3, tightened="not final")
    good = (wire(), bore())
    (found,) = agreements(compared(*good, held))
    assert found.word == "agree"
    assert [(one.check, bool(one.why)) for one in found.left_out] == [("wire2", True)]
    weights = {v.check: v.weight for v in found.measured[0].values}
    assert weights["wire2"] == 0.0
    word, said = verdict(wire(), bore(), held)
    assert word == "within limits"
    assert said == [("agreement.disagree.clearance", "warning")]
    assert verdict(held, *good)[1] == []


def test_the_journals_survey_belongs_to_every_purpose() -> None:
    """An as-found survey finds 60 µm out of round; wire and bore as left are 40 µm apart: enough to explain."""
    (found,) = agreements(compared(wire(), bore(clearance=0.200e-3), survey(lobe=30e-6)))
    by_code = {s.code: s for s in found.measured[0].suspects}
    assert "out of round, enough" in " ".join(text for _, text in by_code["out_of_round"].reasons)
    assert by_code["out_of_round"].points == max(s.points for s in found.measured[0].suspects)
    assert [m.of for m in found.measured] == ["clearance", "gap_change", "journal_change"]
    other = agreements(compared(wire(), bore(clearance=0.200e-3), survey(lobe=1e-6)))[0]
    assert other.measured[0].suspects[0].code == "crush_not_home"


def test_whose_taper_it_is() -> None:
    """Bore 40 µm wider towards the far end, journal straight: the wire sees the same 40 µm."""
    one = card()

    def along(place: Place) -> float:
        return 40e-6 * (place.axial / one.bearing.length - 0.5)

    taken = test_bore.taken(one, lambda p: D + (CD + along(p) if "bore" in p.piece else 0.0))
    tapered = replace(bore(), readings=taken)
    wires = tuple(
        replace(r, value=shape(p, CD + along(p))) for r, p in zip(wire().readings, wire().places, strict=True)
    )
    (found,) = agreements(compared(replace(wire(), readings=wires), tapered))
    assert found.taper is not None
    assert (found.taper.door, found.taper.closes) == ("bore", True)
    assert found.taper.closure_m == pytest.approx(0.0, abs=3e-6)
    (straight,) = agreements(compared(replace(wire(), readings=wires), bore()))
    assert straight.taper is not None and straight.taper.closes is False
    assert "nobody's door" in straight.taper.text


def test_two_wires_with_two_micrometers_share_nothing() -> None:
    """One micrometer's permissible error of 4 µm is u = 2.31 µm. Shared it drops out
    of the difference, which is then 2 x 2.31² = 10.7 µm² surer: a little more, as wires off top centre read less
    than the clearance and their errors are carried up by up to 1 %."""

    def variance(*checks: CheckState) -> float:
        (found,) = compared(*checks)
        return found.compared[0].pairs[0].difference.variance

    same = variance(wire("w1"), wire("w2"))
    other = variance(wire("w1"), wire("w2", gauge="M-8"))
    assert 1.0 < (other - same) / (2.0 * (4e-6) ** 2 / 3.0) < 1.02


def test_order_and_titles() -> None:
    checks = (wire("w1"), wire("w2", clearance=0.246e-3), bore(), survey())
    texts = {json.dumps(agreement_json(agreements(compared(*order)))["purposes"][0]["measured"][0]["pooled_m"]) for order in permutations(checks)}  # fmt: skip
    assert len(texts) == 1
    (found,) = agreements(compared(*checks))
    assert [v.title for v in found.measured[0].values] == ["Bore less journal", "Soft-wire clearance", "Soft-wire clearance 2"]  # fmt: skip


def test_json_is_plain_and_in_metres() -> None:
    found = agreement_json(agreements(compared(wire(), bore(clearance=0.205e-3))))
    assert found["format"] == "whitemetal.agreement/1"
    again: Mapping[str, object] = json.loads(json.dumps(found, allow_nan=False))
    assert again == found
    value = found["purposes"][0]["measured"][0]["values"][0]
    assert value["value_m"] == pytest.approx(0.205e-3, abs=1e-6)
    assert value["low_m"] < value["value_m"] < value["high_m"]


def test_the_unit_of_the_card_changes_no_number() -> None:
    one = card()
    inches = replace(one, bearing=replace(one.bearing, unit="in"))
    metric, imperial = compared(wire(), bore()), compared(wire(), bore(), one=inches)
    assert metric[0].compared == imperial[0].compared


def test_two_of_many_that_are_far_apart_by_chance_are_not_asked() -> None:
    """Six values, two of them 1.45 standard uncertainties off to either side: 2.9/√2 of their difference's, more
    than 1.96; yet chi-square is 2 x 1.45² = 4.2 for 5, which chance gives every second time."""
    values = {f"c{i}": 0.2e-3 + 8e-6 * off for i, off in enumerate((-1.45, 1.45, 0.0, 0.0, 0.0, 0.0))}
    checks = [
        Said(n, n, "wire", {CLEARANCE: Quantity.of(v, Influence(n, n, 8e-6))}) for n, v in values.items()
    ]
    compared_ = compare(CLEARANCE, checks)
    assert compared_ is not None and compared_.consistent
    assert compared_.pairs[0].normalized == pytest.approx(1.046, abs=0.001)
    reads = tuple(Read(wire(), one, Result(None), "") for one in checks)
    found = (Comparison("as left", card(), reads, (compared_,), Known()),)
    assert doubts(found, "c0") == ()
