"""Values of birth: kept for ever in the bearing's own book, never replaced, handed to the checks of its jobs."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, BO, CARD, a_desk
from whitemetal.desk import Desk, Kept
from whitemetal.errors import InputError, UnknownBook
from whitemetal.gauging import METHODS
from whitemetal.gauging.birth import birth_field, birth_key
from whitemetal.job.births import births_of, with_births

LIMITED = (
    CARD
    + """
[[limit]]
of = "crown wear"
maximum = "0.08 mm"
basis = "as it is"
rung = "owner's standard"
document = "sheet 4 (invented)"
revision = "1"
"""
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


@pytest.fixture
def bearing(desk: Desk) -> str:
    return desk.keep_card(LIMITED, ANN).bearing


def marks(desk: Desk, bearing: str) -> list[str]:
    return [place.label for place in METHODS["crown"].default_places(desk.bearing(bearing).card)]


def keep(desk: Desk, bearing: str, place: str, text: str, unit: str = "mm", by: object = ANN) -> Kept:
    return desk.keep_birth(bearing, "crown", place, text, by, unit=unit, source="stamped on the shell")  # type: ignore[arg-type]


def a_crown_check(desk: Desk, bearing: str, now: str = "11.960 mm") -> tuple[str, str]:
    job = desk.open_job(bearing, "W-1", "crown", ANN)
    check = desk.start_check(job, "crown", "as left", ANN)
    desk.keep_fact(job, check, "anvil", "ball anvil", ANN)
    for place in marks(desk, bearing):
        assert desk.keep_reading(job, check, place, now, ANN).problem is None
    return job, check


def test_values_of_birth_reach_the_checks_of_every_job(desk: Desk, bearing: str) -> None:
    """12.000 - 11.960 = 0.040 mm of 0.08 allowed; without values of birth nothing is proven."""
    job, check = a_crown_check(desk, bearing)
    before = desk.judgement(job, check)
    assert before.verdict == "not proven" and before.assessed == ()
    for place in marks(desk, bearing):
        assert keep(desk, bearing, place, "12.000").problem is None
    after = desk.judgement(job, check)
    assert after.verdict == "within limits"
    assert [v.value for v in after.assessed[0].values] == pytest.approx([0.040e-3] * 6)
    facts = desk.job(job).state.checks[check].facts
    assert facts[birth_key("crown", "DE middle")].text == "12.000 mm"
    other, again = a_crown_check(desk, bearing)
    assert desk.judgement(other, again).verdict == "within limits"


def test_the_list_of_jobs_follows(desk: Desk, bearing: str) -> None:
    a_crown_check(desk, bearing)
    assert desk.bearing(bearing).jobs[0].verdict_words == "not proven"
    for place in marks(desk, bearing):
        keep(desk, bearing, place, "12.000")
    assert desk.bearing(bearing).jobs[0].verdict_words == "within limits"
    desk.rebuild()
    assert desk.bearing(bearing).jobs[0].verdict_words == "within limits"


def test_a_later_value_never_replaces_an_earlier_one(desk: Desk, bearing: str) -> None:
    for place in marks(desk, bearing):
        keep(desk, bearing, place, "12.000")
    job, check = a_crown_check(desk, bearing)
    second = keep(desk, bearing, "DE middle", "12.100", by=BO)
    assert second.entry is not None and second.problem is not None
    assert ANN.name in second.problem.expected and "12.000 mm" in second.problem.expected
    held = [one for one in desk.bearing(bearing).births if one.place == "DE middle"]
    assert [(one.text, one.disputed) for one in held] == [("12.000 mm", True), ("12.100 mm", True)]
    judged = desk.judgement(job, check)
    assert judged.verdict == "not proven"
    said = next(one.text for one in judged.warnings if one.code == "verdict.contradiction")
    assert "DE middle" in said and "12.000 mm" in said and "12.100 mm" in said
    assert "crown.no_birth" in {one.code for one in judged.warnings}
    assert "DE middle" not in {value.where for one in judged.assessed for value in one.values}


def test_striking_the_wrong_one_needs_a_reason_and_leaves_it_visible(desk: Desk, bearing: str) -> None:
    for place in marks(desk, bearing):
        keep(desk, bearing, place, "12.000")
    job, check = a_crown_check(desk, bearing)
    wrong = keep(desk, bearing, "DE middle", "12.100", by=BO).entry
    assert wrong is not None
    with pytest.raises(InputError, match="reason"):
        desk.strike_birth(bearing, wrong.id, "  ", ANN)
    desk.strike_birth(bearing, wrong.id, "read off the next shell", ANN)
    struck = next(one for one in desk.bearing(bearing).births if one.entry == wrong.id)
    assert (struck.struck, struck.struck_by) == ("read off the next shell", ANN.name)
    assert not any(one.disputed for one in desk.bearing(bearing).births)
    assert desk.judgement(job, check).verdict == "within limits"
    with pytest.raises(InputError):
        desk.strike_birth(bearing, wrong.id, "again", ANN)
    with pytest.raises(InputError):
        desk.strike_birth(bearing, "no-such-entry", "why", ANN)
    assert desk.verify() == ()


def test_one_that_is_struck_is_no_party_to_a_dispute(desk: Desk, bearing: str) -> None:
    kept = [keep(desk, bearing, "DE middle", text).entry for text in ("12.000", "12.100", "12.200")]
    assert kept[2] is not None
    desk.strike_birth(bearing, kept[2].id, "slip", ANN)
    assert [one.disputed for one in desk.bearing(bearing).births] == [True, True, False]


def test_the_same_value_again_is_the_one_that_is_there(desk: Desk, bearing: str) -> None:
    """12 mm in inches would be 0.47244 in; 12.000 mm and 12000 µm are the same."""
    first = keep(desk, bearing, "DE middle", "12.000")
    again = keep(desk, bearing, "DE middle", "12000", "µm", by=BO)
    assert again.problem is None and first.entry is not None and again.entry is not None
    assert again.entry.id == first.entry.id
    assert len(desk.bearing(bearing).births) == 1


@pytest.mark.parametrize(
    ("method", "place", "text", "unit"),
    [
        ("wire", "DE top", "12.000", "mm"),
        ("wishing", "DE middle", "12.000", "mm"),
        ("crown", "DE roof", "12.000", "mm"),
        ("crown", "DE middle", "twelve", "mm"),
        ("crown", "DE middle", "12.000", ""),
        ("crown", "DE middle", "-12.000", "mm"),
        ("crown", "DE middle", "0", "mm"),
    ],
)
def test_what_cannot_be_is_said_and_not_kept(
    desk: Desk, bearing: str, method: str, place: str, text: str, unit: str
) -> None:
    kept = desk.keep_birth(bearing, method, place, text, ANN, unit=unit)
    assert kept.entry is None and kept.problem is not None
    assert desk.bearing(bearing).births == ()


def test_an_unknown_bearing_is_said(desk: Desk) -> None:
    with pytest.raises(UnknownBook):
        keep(desk, "nobody", "DE middle", "12.000")


def test_nobody_types_a_value_of_birth_into_a_check(desk: Desk, bearing: str) -> None:
    job, check = a_crown_check(desk, bearing)
    with pytest.raises(InputError):
        desk.keep_fact(job, check, birth_key("crown", "DE middle"), "12.500 mm", ANN)


def test_a_bridge_gauges_constant_is_not_the_crowns(desk: Desk, bearing: str) -> None:
    assert desk.keep_birth(bearing, "bridge", "DE top", "50.000", ANN, unit="mm").problem is None
    job, check = a_crown_check(desk, bearing)
    assert not any(key.startswith("birth.") for key in desk.job(job).state.checks[check].facts)


def test_order_of_arrival_changes_nothing(desk: Desk, bearing: str) -> None:
    for text in ("12.000", "12.100"):
        for place in marks(desk, bearing)[:3]:
            keep(desk, bearing, place, text)
    found = desk.bearing(bearing).births
    desk.strike_birth(bearing, found[0].entry, "worn stamp", BO)
    entries = list(desk.entries(bearing))
    expected = births_of(entries)
    for seed in range(20):
        random.Random(seed).shuffle(entries)
        assert births_of(entries) == expected
    assert expected == desk.bearing(bearing).births


def test_the_state_without_values_of_birth_is_left_as_it_is(desk: Desk, bearing: str) -> None:
    job, _ = a_crown_check(desk, bearing)
    state = desk.job(job).state
    assert with_births(state, ()) is state
    forged = replace(state, checks={})
    assert with_births(forged, desk.bearing(bearing).births) == forged


def test_a_key_of_birth_belongs_to_methods_that_have_them() -> None:
    assert birth_field(METHODS["crown"], "birth.crown.DE left") is not None
    assert birth_field(METHODS["crown"], "birth.bridge.DE top") is None
    assert birth_field(METHODS["crown"], "birth.crown.") is None
    assert birth_field(METHODS["wire"], "birth.wire.DE top") is None
