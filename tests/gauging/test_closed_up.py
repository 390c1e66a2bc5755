"""Counted out and parts in; and studs judged by their stretch, worked out by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from tests.gauging.build import card as plain_card
from whitemetal.card import Card, Fasteners, Limit
from whitemetal.card.oil import Oil
from whitemetal.gauging.closed_up import CLOSED_UP, LOOKS
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.gauging.tightening.layout import nuts
from whitemetal.gauging.tightening.stretch import STUD_STRETCH, rules
from whitemetal.job.fit_matrix import things_of, touched, touches
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Judgement

COUNTS = {
    "wires_in": "4",
    "wires_out": "4",
    "rags_in": "2",
    "rags_out": "2",
    "plugs_in": "0",
    "plugs_out": "0",
}
RIGHT = {**{look.key: "yes" for look in LOOKS}, **COUNTS, "oil_grade": "VG 46", "oil_quantity": "3.2 l"}
OILED = replace(plain_card(), oil=Oil(grade="ISO VG 46"))


def closed(card: Card = OILED, /, **changed: str | None) -> Judgement:
    said = {key: text for key, text in {**RIGHT, **changed}.items() if text is not None}
    return judge_readings(CLOSED_UP, card, (), {key: Fact(text) for key, text in said.items()}, ())


def test_everything_out_and_everything_in_is_within_limits() -> None:
    assert (closed().verdict, closed().warnings) == ("within limits", ())


@pytest.mark.parametrize("key", [*RIGHT])
def test_what_nobody_recorded_is_not_proven(key: str) -> None:
    found = closed(**{key: None})
    assert (found.verdict, [one.code for one in found.warnings]) == ("not proven", [f"needed.{key}"])


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.key)
def test_each_part_that_is_not_in_puts_it_outside(look: object) -> None:
    key, text = look.key, look.text  # type: ignore[attr-defined]
    found = closed(**{key: "no"})
    assert found.verdict == "outside limits"
    assert text in [one.text for one in found.warnings]


@pytest.mark.parametrize("key", ["ring_screws", "gasket", "seals_in"])
def test_a_part_this_bearing_has_not_is_no_fault(key: str) -> None:
    assert closed(**{key: "none on this bearing"}).verdict == "within limits"


@pytest.mark.parametrize(("put_in", "out", "fault"), [("4", "3", True), ("4", "5", True), ("4", "04", False)])
def test_what_went_in_must_come_out(put_in: str, out: str, fault: bool) -> None:
    found = closed(wires_in=put_in, wires_out=out)
    assert found.verdict == ("outside limits" if fault else "within limits")
    if fault:
        assert f"Wires: {put_in} put in, {out} counted out" in found.warnings[0].text


@pytest.mark.parametrize(
    ("filled", "other"),
    [
        ("ISO VG 46", False),
        ("iso-vg 46", False),
        ("VG46", False),
        ("46", False),
        ("VG 68", True),
        ("460", True),
    ],
)
def test_another_oil_than_the_cards_is_named(filled: str, other: bool) -> None:
    assert (
        "The card says ISO VG 46" in str(closed(oil_grade=filled)).replace("the card", "The card")
    ) is other
    assert closed(oil_grade=filled).verdict == ("outside limits" if other else "within limits")


def test_opened_again_it_counts_no_more_and_so_after_any_work_inside() -> None:
    things = things_of(CLOSED_UP)
    for change in (
        "cap opened",
        "scraping",
        "shim",
        "shell",
        "journal",
        "oil ring",
        "dowel",
        "seal",
        "gasket",
    ):
        assert touches(touched(change), things), change


def test_a_cap_opened_again_touches_tightening_and_not_the_clearance() -> None:
    assert touched("cap opened") == {"tightening", "closed_up"}
    assert touches(touched("cap opened"), things_of(STUD_STRETCH))


STUDS = Fasteners(4, "M24", "8.8", 420.0, "book (invented)", "oiled", grip=0.120)
STUDDED = replace(plain_card(), fasteners=STUDS)
FACTS: Mapping[str, Fact] = {
    "grade": Fact("8.8"), "slack_first": Fact("yes"), "joint_feeler": Fact("0 mm"),
    "instrument.D-1.calibration_due": Fact("2027-03-01"), "date": Fact("2026-11-25"),
}  # fmt: skip
LIMIT = Limit("stud stretch", 0.20e-3, 0.30e-3, "maker's figure for this machine", "book", "1")


def stretched(card: Card, texts: tuple[str, ...], **changed: str) -> Judgement:
    places = nuts(card)
    taken = tuple(
        Reading(place.label, f"{text} mm", 1e-3 * float(text), 1e-6, 1, "D-1")
        for place, text in zip(places, texts, strict=False)
    )
    facts = {**FACTS, **{key: Fact(text) for key, text in changed.items()}}
    return judge_readings(STUD_STRETCH, card, places, facts, taken)


def test_a_rule_of_stretch_follows_from_the_studs() -> None:
    """M24 8.8 over 120 mm: 0.75 * 600 N/mm² * 120 mm / 205000 N/mm² = 0.2634 mm, the stress area cancels; at 65 %
    0.2283 mm."""
    (rule,) = rules(STUDDED)
    assert rule.minimum == pytest.approx(0.2283e-3, rel=1e-3)
    assert rule.maximum == pytest.approx(0.2634e-3, rel=1e-3)


def test_a_grade_stated_by_its_yield_counts_with_two_thirds_of_it() -> None:
    """B7, 105 ksi of yield = 723.9 N/mm²: 0.75 * 2/3 * 723.9 = 362.0; * 120 mm / 205000 = 0.2119 mm."""
    (rule,) = rules(replace(STUDDED, fasteners=replace(STUDS, size="1-8 UNC", grade="B7")))
    assert rule.maximum == pytest.approx(0.2119e-3, rel=1e-3)


def test_a_thread_that_strips_first_lowers_it() -> None:
    """Old grey iron, 24 mm engaged: width 1.5 + (24 - 22.0515) tan 30° = 2.6249 mm, pi * 24 * 24/3 * 2.6249 * 150 =
    237.5 kN strip it, half is 118.8 kN or 337 N/mm² of 352.5 mm²: 337 * 120 / 205000 = 0.1972 mm."""
    weak = replace(STUDDED, fasteners=replace(STUDS, housing="old grey cast iron", engagement=0.024))
    (rule,) = rules(weak)
    assert rule.maximum == pytest.approx(0.1972e-3, rel=2e-3)


@pytest.mark.parametrize("lacking", [{"grip": None}, {"size": ""}, {"grade": "?"}, {"size": "M64"}])
def test_without_size_grade_or_clamped_length_there_is_no_rule(lacking: dict[str, object]) -> None:
    assert rules(replace(STUDDED, fasteners=replace(STUDS, **lacking))) == ()  # type: ignore[arg-type]


def test_studs_are_judged_by_the_limit_on_the_card() -> None:
    limited = replace(STUDDED, limits=(LIMIT,))
    assert stretched(limited, ("0.250",) * 4).verdict == "within limits"
    assert stretched(limited, ("0.250", "0.250", "0.340", "0.250")).verdict == "outside limits"
    assert stretched(STUDDED, ("0.250",) * 4).verdict == "not proven", "a rule counts when it is adopted"


def test_a_stud_left_out_and_one_that_warmed_are_not_proven() -> None:
    limited = replace(STUDDED, limits=(LIMIT,))
    missed = stretched(limited, ("0.250",) * 3)
    assert (missed.verdict, [one.text for one in missed.warnings]) == ("not proven", ["Not read: nut 4."])
    warm = stretched(limited, ("0.250",) * 4, slack_temperature="20 degC", tight_temperature="24 degC")
    assert (warm.verdict, warm.warnings[0].text.split(" K ")[0]) == ("not proven", "The studs were +4")
