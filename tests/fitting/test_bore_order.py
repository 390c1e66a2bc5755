"""Orders to the machine shop, worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.gauging.build import MAKER, card
from whitemetal.card import Card, Joint, Limit
from whitemetal.errors import InputError, MethodRefused
from whitemetal.fitting.bore_order import Spread, at_temperature, of_card, order_bore, order_journal
from whitemetal.fitting.bore_order_measured import bore_measured, journal_measured
from whitemetal.fitting.bore_order_words import lines, temperatures, warnings
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.units import INCH

MM = 1e-3
JOURNAL = Spread(159.990 * MM, 160.000 * MM, 0.002 * MM, "invented survey")


def told(one: Card, spread: Spread = JOURNAL) -> dict[str, str]:
    return {line.label: line.text for line in lines(one, order_bore(one, spread))}


def test_the_finished_bore_by_hand() -> None:
    """Greatest journal 160.000, clearance 0.20 to 0.28, middle 0.24: bore 160.240; IT7 of 120 to 180 mm is
    0.040: 160.220 to 160.260. Clearance 0.220 to 0.270 with a journal of 159.990 to 160.000; known to 0.004."""
    order = order_bore(card(), JOURNAL)
    assert (order.grade, round(order.tolerance / MM, 6)) == (7, 0.040)
    assert [round(x / MM, 6) for x in (order.least, order.greatest)] == [160.220, 160.260]
    assert [round(x / MM, 6) for x in (order.clearance_least, order.clearance_greatest)] == [0.220, 0.270]
    assert round(order.expanded / MM, 6) == 0.004 and order.fits


def test_a_finer_grade_where_the_usual_one_does_not_fit() -> None:
    """A journal 0.035 mm uneven: 0.220 to 0.295 with grade 7; grade 6 (0.025): 0.2275 to 0.2875; grade 5 (0.018):
    0.231 to 0.284: none fits below 0.28."""
    uneven = replace(JOURNAL, least=159.965 * MM)
    order = order_bore(card(), uneven)
    assert order.grade == 5 and not order.fits
    assert any("No grade down to 5 fits" in one for one in warnings(card(), order))
    better = order_bore(card(), replace(JOURNAL, least=159.980 * MM))
    assert (better.grade, better.fits) == (6, True)


def test_the_tolerance_never_grows_by_rounding() -> None:
    """In inches sizes go in steps of 0.0001 in, inwards."""
    one = replace(card(), bearing=replace(card().bearing, unit="in"))
    order = order_bore(one, JOURNAL)
    for size in (order.least, order.greatest):
        assert math.isclose(size / (1e-4 * INCH), round(size / (1e-4 * INCH)), abs_tol=1e-6)
    assert order.target - 0.5 * order.tolerance <= order.least + 1e-12
    assert order.greatest <= order.target + 0.5 * order.tolerance + 1e-12


def test_a_lemon_is_cut_round_with_shims() -> None:
    """Side clearance twice the top one: top 0.24, side 0.48. Cut at 160.480 with 0.24 of shims in the joint;
    without them the upper half comes down by 0.24: top 0.24, sides 0.48."""
    one = card(profile="lemon", side_to_top=2.0)
    order = order_bore(one, JOURNAL)
    assert round(order.shim_when_cut / MM, 6) == 0.240 and round((order.side or 0) / MM, 6) == 0.480
    assert [round(x / MM, 6) for x in (order.least, order.greatest)] == [160.460, 160.500]
    assert [round(x / MM, 6) for x in (order.clearance_least, order.clearance_greatest)] == [0.220, 0.270]
    assert "cut round with 0.240 mm of shims" in told(one)["Lemon bore"]
    with pytest.raises(InputError, match="ratio of side to top"):
        order_bore(card(profile="lemon"), JOURNAL)


def test_bores_that_are_no_circle_go_by_the_makers_drawing() -> None:
    for profile in ("tilting pad", "offset halves", "multi-lobe"):
        with pytest.raises(MethodRefused):
            order_bore(card(profile=profile), JOURNAL)


def test_the_journal_ground_undersize_by_hand() -> None:
    """Least bore 160.300, clearance 0.24: 160.060, IT6 of 120 to 180 mm is 0.025: 160.0475 to 160.0725, in whole
    micrometres inwards 160.048 to 160.072. Bore 160.300 to 160.310: clearance 0.228 to 0.262."""
    order = order_journal(card(), Spread(160.300 * MM, 160.310 * MM, 0.003 * MM, "invented bore"))
    assert order.grade == 6 and order.fits
    assert [round(x / MM, 6) for x in (order.least, order.greatest)] == [160.048, 160.072]
    assert [round(x / MM, 6) for x in (order.clearance_least, order.clearance_greatest)] == [0.228, 0.262]
    assert any("must be allowed by the maker" in one for one in warnings(card(), order))


def test_the_cards_journal_is_said_to_be_the_cards() -> None:
    one = card()
    order = order_bore(one, of_card(one))
    assert any("Nobody has measured this journal" in said for said in warnings(one, order))


def test_without_both_limits_there_is_no_order() -> None:
    only = replace(MAKER, maximum=None)
    for one in (card(limits=()), card(limits=(only,))):
        with pytest.raises(InputError, match="least and a greatest"):
            order_bore(one, JOURNAL)


def test_a_grade_that_is_not_in_the_table() -> None:
    with pytest.raises(InputError, match="5 to 11"):
        order_bore(card(), JOURNAL, grade=4)
    assert order_bore(card(), JOURNAL, grade=9).fits is False


def test_temperature_by_hand() -> None:
    """ISO 1: steel 11.5 µm/(m K), 160.240 mm, 10 K above: 160.240 * 115e-6 = 0.0184 mm more."""
    assert math.isclose(at_temperature(0.160240, 11.5e-6, 303.15), 0.1602584, abs_tol=5e-8)
    head, rows = temperatures(card(), order_bore(card(), JOURNAL))
    assert head[1] == "steel" and rows[1][:2] == ("20 °C", "160.240 mm")
    assert rows[-1][:2] == ("30 °C", "160.258 mm")


def test_shims_that_belong_in_the_joint_are_in_it_while_it_is_cut() -> None:
    shims = card(joint=Joint("shims", 0.1 * MM, 0.1 * MM, "lined cap joint"))
    assert "0.100 mm of shims a side in the lined cap joint" in told(shims)["Joint while it is cut"]
    assert "Crush" not in told(shims)
    outside = card(joint=Joint("shims", 0.1 * MM, 0.1 * MM, "housing joint"))
    assert "shims a side" not in told(outside)["Joint while it is cut"]


def test_the_crush_is_the_cards_or_to_be_asked() -> None:
    limit = Limit("crush", 0.01 * MM, 0.04 * MM, "maker's figure for this machine", "invented", "A")
    assert "0.010 mm to 0.040 mm" in told(card(limits=(MAKER, limit)))["Crush"]
    assert "ask the maker" in told(card())["Crush"]


def _survey(one: Card) -> tuple[tuple[Place, ...], tuple[Reading, ...]]:
    places = method_named("journal").default_places(one)
    sizes = [159.990 + 0.001 * (i % 5) for i in range(len(places))]
    return places, tuple(
        Reading(place.label, f"{size:.3f} mm", size * MM, 1e-6)
        for place, size in zip(places, sizes, strict=True)
    )


def test_the_survey_gives_greatest_and_least() -> None:
    """At 30 °C a steel journal reads 160 mm * 11.5e-6 * 10 = 0.0184 mm more than at 20 °C."""
    one = card()
    places, readings = _survey(one)
    found = journal_measured(one, "journal", places, {}, readings)
    assert found is not None and found.u > 0
    assert [round(x / MM, 4) for x in (found.least, found.greatest)] == [159.990, 159.994]
    warm = {"journal_temperature": Fact("30 degC", 303.15)}
    there = journal_measured(one, "journal", places, warm, readings)
    assert there is not None and math.isclose(found.greatest - there.greatest, 0.0184 * MM, abs_tol=1e-7)


def test_bore_and_journal_come_from_one_check() -> None:
    one = card()
    places = method_named("bore").default_places(one)
    readings = []
    for i, place in enumerate(places):
        size = (160.250 if "bore" in place.piece else 160.000) + 0.001 * (i % 3)
        readings.append(Reading(place.label, f"{size:.3f} mm", size * MM, 1e-6))
    journal = journal_measured(one, "bore", places, {}, tuple(readings))
    bore = bore_measured(one, "bore", places, {}, tuple(readings))
    assert journal is not None and bore is not None
    assert [round(x / MM, 4) for x in (journal.greatest, bore.least)] == [160.002, 160.250]
    assert journal_measured(one, "wire", places, {}, ()) is None
    assert bore_measured(one, "journal", places, {}, ()) is None
