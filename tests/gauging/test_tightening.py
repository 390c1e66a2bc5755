"""A cap pulled nut by nut: what is left out, overdone, in another unit, on another lubricant or of another grade.

Every expected figure is worked out in the test by hand: T = K d F with the nut factors of fastener suppliers'
tables (common practice), a pound-force foot of 1.3558179 N m, proof stress 600 N/mm² of 8.8 above M16 (ISO 898-1,
from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest

from tests.gauging.build import card as plain_card
from tests.ledger.writing import CARD
from whitemetal.card import Card, Fasteners, Joint, Limit, read_card
from whitemetal.closing.sequence import sequence
from whitemetal.errors import CardError
from whitemetal.gauging.contract import Fact, Place, Reading, Result
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.gauging.tightening.layout import nuts, sequence_of
from whitemetal.job.judge import judge_readings

FACTS = {
    "thread": "oiled", "grade": "8.8", "threads": "yes", "tapped": "yes", "last_round": "no nut moved",
    "instrument.W-1.calibration_due": "2027-03-01", "date": "2026-11-25",
}  # fmt: skip
CARD_WITH_PASSES = CARD.replace("[[limit]]", '[fasteners]\npasses = "{}"\n\n[[limit]]')
USUAL = Fasteners(4, "M24", "8.8", 420.0, "maker's book (invented)", "oiled")


def a_card(fasteners: Fasteners = USUAL, **more: object) -> Card:
    return replace(plain_card(), fasteners=fasteners, **more)  # type: ignore[arg-type]


def facts(**changed: str | None) -> Mapping[str, Fact]:
    said = {**FACTS, "joint_feeler": "0 mm", **changed}
    return {key: Fact(text) for key, text in said.items() if text is not None}


def pulled(
    places: tuple[Place, ...], final: float = 420.0, passes: tuple[float, ...] = (0.3, 0.6, 1.0),
    odd: Mapping[str, str] | None = None,
) -> tuple[Reading, ...]:  # fmt: skip
    """A reading of each nut in each pass; odd: what the last pass of a nut read, "" for nothing."""
    found = []
    order = sequence(len(places)).passes[0].order if places else ()
    for squeeze, share in enumerate(passes, start=1):
        for place in (places[number - 1] for number in order):
            text = f"{share * final:g}"
            if squeeze == len(passes):
                text = (odd or {}).get(place.label, text)
            if text:
                found.append(Reading(place.label, f"{text} N m", float(text), 1.0, squeeze, "W-1"))
    return tuple(found)


def codes(result: Result, *severities: str) -> list[str]:
    """The codes found, without the room's name, notes and warnings left out unless asked for."""
    wanted = severities or ("hold", "fault", "question", "refused")
    return [one.code.removeprefix("tightening.") for one in result.findings if one.severity in wanted]


def evaluated(
    one: Card | None = None, readings: tuple[Reading, ...] | None = None, /, **changed: str | None
) -> Result:
    card = one if one is not None else a_card()
    places = nuts(card)
    return TIGHTENING.evaluate(
        card, places, facts(**changed), pulled(places) if readings is None else readings
    )


def text_of(result: Result, code: str) -> str:
    return next(one.text for one in result.findings if one.code == f"tightening.{code}")


def test_a_cap_pulled_as_the_card_says_is_within_limits() -> None:
    card = a_card()
    found = judge_readings(TIGHTENING, card, nuts(card), facts(), pulled(nuts(card)))
    assert found.verdict == "within limits"
    assert [one.severity for one in found.warnings] == ["note"]


def test_nothing_pulled_is_not_proven() -> None:
    card = a_card()
    found = judge_readings(TIGHTENING, card, nuts(card), {}, ())
    assert found.verdict == "not proven"
    assert "Not pulled: nut 1, nut 2, nut 3, nut 4." in [one.text for one in found.warnings]


@pytest.mark.parametrize(
    ("odd", "code", "verdict"),
    [
        ({"nut 3": ""}, "on_the_way", "not proven"),
        ({"nut 3": "437"}, "over", "outside limits"),
        ({"nut 3": "403"}, "under", "outside limits"),
        ({"nut 3": "310"}, "unit", "not proven"),
        ({"nut 3": "569"}, "unit", "not proven"),
    ],
)
def test_one_nut_spoils_the_cap(odd: dict[str, str], code: str, verdict: str) -> None:
    """4 % of 420 is 16.8: 437 and 403 are beyond it. 310 lbf ft are 420.3 N m, 420 lbf ft are 569.4 N m."""
    card = a_card()
    readings = pulled(nuts(card), odd=odd)
    assert codes(evaluated(card, readings)) == [code]
    assert judge_readings(TIGHTENING, card, nuts(card), facts(), readings).verdict == verdict


@pytest.mark.parametrize("read", ["404", "436", "420"])
def test_a_nut_within_what_a_wrench_may_be_wrong_by_is_at_its_torque(read: str) -> None:
    assert codes(evaluated(None, pulled(nuts(a_card()), odd={"nut 2": read}))) == []


def test_a_unit_read_for_another_is_named() -> None:
    found = evaluated(None, pulled(nuts(a_card()), odd={"nut 3": "310"}))
    assert "lbf ft to N m" in text_of(found, "unit")
    assert "N m to lbf ft" in text_of(evaluated(None, pulled(nuts(a_card()), odd={"nut 3": "569"})), "unit")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("420 N m", "420 N m"), ("310 lbf ft", "310 lbf ft"), ("310 ft lb", "310 lbf ft"), ("3717 in lb", "3717 lbf in")],
)  # fmt: skip
def test_a_torque_is_said_in_the_unit_the_cards_own_was_typed_in(typed: str, shown: str) -> None:
    """However the unit was spelled; 420 N m are 309.8 lbf ft or 3717 lbf in."""
    card = replace(a_card(), typed={"fasteners.torque": typed})
    under = evaluated(card, pulled(nuts(card), odd={"nut 3": "403"}))
    assert shown in text_of(under, "under")


@pytest.mark.parametrize(
    ("stated", "seen", "code", "share"),
    [
        ("dry", "oiled", "overload", 0.225 / 0.165 - 1.0),
        ("dry", "anti-seize compound", "overload", 0.225 / 0.14 - 1.0),
        ("oiled", "dry", "underload", 1.0 - 0.165 / 0.225),
        ("lightly oiled", "dry", "underload", 1.0 - 0.165 / 0.225),
    ],
)
def test_a_torque_on_another_lubricant_is_outside_limits(
    stated: str, seen: str, code: str, share: float
) -> None:
    """By the middles of the nut factors: 0.20 to 0.25 dry, 0.15 to 0.18 oiled, 0.12 to 0.16 anti-seize."""
    found = evaluated(a_card(replace(USUAL, lubricant=stated)), thread=seen)
    assert codes(found) == [code]
    assert f"about {100 * share:.0f} %" in text_of(found, code)


def test_the_torque_that_loads_it_the_same_is_said() -> None:
    """420 N m dry is 420 * 0.165 / 0.225 = 308 N m oiled."""
    found = evaluated(a_card(replace(USUAL, lubricant="dry")))
    assert "About 308 N m would load it the same" in text_of(found, "overload")


def test_states_whose_nut_factors_overlap_are_only_warned_of() -> None:
    """Dry 0.20 to 0.25 and zinc plated 0.18 to 0.22 have 0.20 to 0.22 in common."""
    found = evaluated(a_card(replace(USUAL, lubricant="dry")), thread="zinc plated, light oil")
    assert codes(found) == []
    assert codes(found, "warning") == ["overload"]


@pytest.mark.parametrize(("said", "code"), [("", "lubricant_not_stated"), ("goose fat", "lubricant_unknown")])
def test_a_card_that_does_not_say_for_which_thread_is_asked(said: str, code: str) -> None:
    assert codes(evaluated(a_card(replace(USUAL, lubricant=said)))) == [code]


@pytest.mark.parametrize(
    ("card_says", "stamped", "wanted"),
    [
        ("8.8", "8.8", []), ("8.8", "10.9", ["grade_differs"]), ("8.8", "none", ["not_stamped"]),
        ("Grade 5", "gr 5", []), ("house steel A", "House  Steel a", []), ("8.8", "house steel A", ["grade_differs"]),
        ("", "8.8", []),
    ],
)  # fmt: skip
def test_the_grade_stamped_against_the_card(card_says: str, stamped: str, wanted: list[str]) -> None:
    assert codes(evaluated(a_card(replace(USUAL, grade=card_says)), grade=stamped)) == wanted


def test_a_cap_pulled_home_in_one_go_is_not_proven() -> None:
    card = a_card()
    assert codes(evaluated(card, pulled(nuts(card), passes=(1.0,)))) == ["at_once"]
    two = evaluated(card, pulled(nuts(card), passes=(0.5, 1.0)))
    assert (codes(two), codes(two, "warning")) == ([], ["few_passes"])


def test_the_makers_own_passes_are_pulled_to_and_asked_for() -> None:
    """Half, then all of 420 N m, as the maker says: 210 and 420 N m, and a last round. No third is missed."""
    card = a_card(replace(USUAL, passes="50, 100"))
    order = sequence_of(card)
    assert order is not None
    assert [(one.torque, one.last) for one in order.passes] == [(210.0, False), (420.0, False), (420.0, True)]
    two = evaluated(card, pulled(nuts(card), passes=(0.5, 1.0)))
    assert (codes(two), codes(two, "warning")) == ([], [])
    assert codes(evaluated(card, pulled(nuts(card), passes=(1.0,)))) == ["at_once"]
    once = a_card(replace(USUAL, passes="100"))
    assert codes(evaluated(once, pulled(nuts(once), passes=(1.0,)))) == []
    close = a_card(replace(USUAL, passes="60, 95, 100"))
    assert codes(evaluated(close, pulled(nuts(close), passes=(0.6, 0.95, 1.0))), "hold", "warning") == []
    near = a_card(replace(USUAL, passes="95, 100"))
    assert codes(evaluated(near, pulled(nuts(near), passes=(0.95, 1.0))), "hold", "warning") == []
    assert codes(evaluated(near, pulled(nuts(near), passes=(1.0,)))) == ["at_once"]
    assert codes(evaluated(near, pulled(nuts(near), passes=(1.0, 1.0)))) == ["at_once"]
    usual = sequence_of(a_card())
    assert usual is not None and [one.share for one in usual.passes] == [0.3, 0.6, 1.0, 1.0]


@pytest.mark.parametrize("typed", ["40, 100", "40 %, 70 %, 100 %", "100", "10,20,30,40,50,60,70,100"])
def test_passes_on_a_card(typed: str) -> None:
    card = read_card(CARD_WITH_PASSES.format(typed))
    assert card.fasteners.shares == tuple(float(part.strip(" %")) / 100.0 for part in typed.split(","))


@pytest.mark.parametrize(
    "typed", ["30, 60", "60, 30, 100", "30, 30, 100", "0, 100", "-5, 100", "half, all", "nan, 100", "30, 110",
              "10, 20, 30, 40, 50, 60, 70, 80, 100", "30; 100"]
)  # fmt: skip
def test_what_are_no_passes_is_refused_with_its_line(typed: str) -> None:
    with pytest.raises(CardError) as failed:
        read_card(CARD_WITH_PASSES.format(typed))
    (problem,) = failed.value.problems
    assert (problem.field, problem.typed, problem.line) == ("fasteners.passes", typed, 15)


def test_a_pass_written_down_in_another_order_is_named_and_stops_nothing() -> None:
    """Four nuts go 1-3-2-4; here the first pass was written by their numbers."""
    places = nuts(a_card())
    first, rest = pulled(places, passes=(0.3,)), pulled(places)[4:]
    found = evaluated(None, (*sorted(first, key=lambda one: one.place), *rest))
    assert (codes(found), codes(found, "warning")) == ([], ["other_order"])
    assert "Pass 1 was written down in the order 1 – 2 – 3 – 4; the order is 1 – 3 – 2 – 4" in text_of(
        found, "other_order"
    )


def test_a_pass_with_a_nut_pulled_twice_or_left_out_says_nothing_of_the_order() -> None:
    places = nuts(a_card())
    twice = (*pulled(places), pulled(places)[0])
    assert "other_order" not in codes(evaluated(None, twice), "warning")


def test_what_is_on_the_way_is_not_called_too_low() -> None:
    """After the second pass every nut is at 252 N m, which is no fault but unfinished."""
    card = a_card()
    assert codes(evaluated(card, pulled(nuts(card), passes=(0.3, 0.6)))) == ["on_the_way"]


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"threads": "no"}, "threads_bad"), ({"tapped": "no"}, "pulled_home"), ({"last_round": "a nut moved"}, "moved"),
        ({"joint_feeler": None}, "no_feeler"), ({"joint_feeler": "-0.01 mm"}, "feeler_below_nothing"),
        ({"joint_feeler": "0.03 mm"}, "joint_open"),
    ],
)  # fmt: skip
def test_how_it_was_done(changed: dict[str, str | None], code: str) -> None:
    """No feeler of 0.02 mm may enter a closed joint (common practice)."""
    assert codes(evaluated(**changed)) == [code]


def test_the_cards_own_limit_of_the_feeler_goes_first() -> None:
    limit = Limit("joint feeler", None, 0.05e-3, "maker's figure for this machine", "book", "1")
    assert codes(evaluated(a_card(limits=(limit,)), joint_feeler="0.03 mm")) == []
    assert codes(evaluated(a_card(limits=(limit,)), joint_feeler="0.06 mm")) == ["joint_open"]


def test_of_two_limits_of_the_feeler_the_makers_goes_first_and_an_unsigned_rule_is_none() -> None:
    rule = Limit("joint feeler", None, 0.05e-3, "general rule", "a rule (invented)", "1")
    maker = Limit("joint feeler", None, 0.025e-3, "maker's figure for this machine", "book", "1")
    assert codes(evaluated(a_card(limits=(rule, maker)), joint_feeler="0.03 mm")) == ["joint_open"]
    assert codes(evaluated(a_card(limits=(rule,)), joint_feeler="0.03 mm")) == ["joint_open"]
    signed = replace(rule, signed_by="Engineer B (invented)")
    assert codes(evaluated(a_card(limits=(signed,)), joint_feeler="0.03 mm")) == []


def test_a_joint_with_shims_is_not_tried_with_a_feeler() -> None:
    filled = Joint("shims", 0.1e-3, 0.1e-3, "shell joint")
    assert codes(evaluated(a_card(joint=filled), joint_feeler=None)) == []
    assert codes(evaluated(a_card(joint=filled), joint_feeler="0.10 mm")) == []


@pytest.mark.parametrize(("torque", "asked"), [(420.0, False), (900.0, True), (100.0, True)])
def test_a_card_whose_torque_its_bolt_could_not_be_meant_to_bear_is_asked(torque: float, asked: bool) -> None:
    """M24: stress area 352.5 mm², proof load 600 * 352.5 = 211.5 kN, oiled F = T / (0.165 * 0.024 m): 420 N m is
    106 kN or half of it, 900 N m is 227 kN, beyond it, 100 N m is 25 kN or an eighth."""
    card = a_card(replace(USUAL, torque=torque))
    found = evaluated(card, pulled(nuts(card), torque))
    assert codes(found) == (["card_torque"] if asked else [])
    if not asked:
        low, high = 0.7 * 106.06, 1.3 * 106.06
        assert f"pulls with {low:.0f} kN to {high:.0f} kN" in text_of(found, "preload")


def test_of_a_grade_stated_by_its_yield_the_yield_is_named() -> None:
    """1-8 UNC: pi/4 (25.4 - 0.9743 * 3.175)^2 = 390.8 mm²; 723.9 N/mm² of yield on it are 283 kN."""
    found = evaluated(a_card(replace(USUAL, size="1-8 UNC", grade="B7")), grade="B7")
    assert text_of(found, "preload").endswith("Its load at yield is 283 kN.")


def test_a_card_without_count_or_torque_cannot_be_proven() -> None:
    assert codes(evaluated(a_card(replace(USUAL, count=None))))[:1] == ["no_nuts"]
    assert "no_torque" in codes(evaluated(a_card(replace(USUAL, torque=None))))
    eight = nuts(a_card(replace(USUAL, count=8)))
    four = TIGHTENING.evaluate(a_card(), eight, facts(), pulled(eight))
    assert codes(four) == ["other_count"]


def test_nuts_are_numbered_clockwise_from_the_left_at_the_end_one_stands_at() -> None:
    """Six in two rows on a land of 160 mm: 1 to 3 up the left row, 4 to 6 down the right one."""
    card = a_card(replace(USUAL, count=6))
    assert card.machine.view_from == card.bearing.ends[0] == "drive end"
    at = [(round(1e3 * one.axial), round(math.degrees(one.angle))) for one in nuts(card)]
    assert at == [(0, -90), (80, -90), (160, -90), (160, 90), (80, 90), (0, 90)]
    other = replace(card, machine=replace(card.machine, view_from="other end"))
    assert [round(1e3 * one.axial) for one in nuts(other)] == [160, 80, 0, 0, 80, 160]


def test_nuts_on_a_circle_stand_all_round() -> None:
    card = a_card(replace(USUAL, count=8, layout="circle"))
    assert [round(math.degrees(one.angle)) % 360 for one in nuts(card)] == [45 * i for i in range(8)]
    assert {one.piece for one in nuts(card)} == {"circle"}
    assert len(nuts(card)) == len(sequence(8, "circle").bolts)
