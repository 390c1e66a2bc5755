"""The chain of trust: what closes each point, who is heard against whom, and when a bearing is fit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from tests.gauging.build import card
from tests.ledger.writing import PLACES, Device, all_of
from whitemetal.card import Card, Joint
from whitemetal.gauging import METHODS
from whitemetal.job.chain import Chain, Link, Words, chain
from whitemetal.job.fit_matrix import POINTS
from whitemetal.job.judgement import Word
from whitemetal.job.picture import fold

BY_HAND = tuple(point for point in POINTS if point != "clearance")
LINED = card(joint=Joint(shim_sits="lined cap joint"))


@pytest.fixture
def phone() -> Device:
    device = Device("phone")
    device.open()
    return device


@pytest.fixture
def laptop() -> Device:
    return Device("laptop")


def hold(device: Device, key: str, *seen: Device, state: str = "closed", check: str = "") -> None:
    device.write("hold/1", {"hold": key, "check": check, "state": state, "text": "seen"}, *seen)


def begin(device: Device, check: str, method: str, *seen: Device, purpose: str = "as left") -> None:
    """A check with one thing measured."""
    body = {"check": check, "method": method, "purpose": purpose, "places": PLACES}
    device.write("check/1", body, *seen)
    measure(device, check, method)


def measure(device: Device, check: str, method: str, *seen: Device) -> None:
    measured = next((field for field in METHODS[method].fields if field.measured), None)
    if measured is None:
        device.read("DE top", "0.2 mm", *seen, check=check)
    else:
        device.fact(measured.key, "0.02 mm", *seen, check=check)


def confirm(device: Device, check: str, method: str) -> None:
    """Close the method's own hold points."""
    for point in METHODS[method].hold_points:
        hold(device, point.key, check=check)


def seen(*devices: Device, words: Mapping[str, Word] | None = None, of: Card | None = None) -> Chain:
    said: Words = words if words is not None else {}
    return chain(fold(all_of(*devices)), said, of if of is not None else card())


def links(*devices: Device, words: Mapping[str, Word] | None = None, of: Any = None) -> dict[str, Link]:
    return {link.key: link for link in seen(*devices, words=words, of=of).links}


def close_all(device: Device, *but: str) -> None:
    for key in BY_HAND:
        if key not in but:
            hold(device, key)


def test_every_point_is_there_in_order_and_open_at_first(phone: Device) -> None:
    found = seen(phone)
    assert [link.key for link in found.links] == list(POINTS)
    assert not any(link.closed for link in found.links)
    assert found.next is not None and found.next.key == "joint_faces"
    assert found.bearing == "not fit"
    assert len(found.still_open) == len(POINTS)


@pytest.mark.parametrize("key", POINTS)
def test_an_open_point_says_why_it_matters_and_what_would_close_it(phone: Device, key: str) -> None:
    link = links(phone)[key]
    ways = [method.title for method in METHODS.values() if method.proves == key]
    assert link.why in link.said
    assert all(way in link.todo for way in ways)
    assert ("by hand" in link.todo) is (key != "clearance")


def test_a_person_closes_what_no_check_measures_but_never_the_clearance(phone: Device) -> None:
    for key in POINTS:
        hold(phone, key)
    found = links(phone)
    assert found["contact"].closed and found["contact"].said == "closed by Phone: seen"
    assert not found["clearance"].stands
    assert found["clearance"].said == "Phone closed it by hand, but only a check closes it"
    assert found["seals"].stands and not found["seals"].closed
    assert found["seals"].waits_for == "Oil clearance within limits"
    assert "rests on a point still open: Oil clearance" in found["seals"].full_why


@pytest.mark.parametrize("verdict", ["within limits", "outside limits", "not proven"])
@pytest.mark.parametrize(
    ("key", "method"),
    [("joint_faces", "seat"), ("crush", "crush"), ("clearance", "wire"), ("seals", "seals")],
)
def test_a_check_decides_its_point_whatever_the_hand_says(
    phone: Device, key: str, method: str, verdict: Word
) -> None:
    close_all(phone)
    begin(phone, "w", "wire")
    begin(phone, "k", method)
    link = links(phone, words={"w": "within limits", "k": verdict})[key]
    assert link.closed is (verdict == "within limits")
    assert link.by == "check" and not link.by_hand
    assert verdict in link.said and METHODS[method].title in link.said
    if key != "clearance" and verdict != "within limits":
        assert link.contradiction.startswith("Phone closed it by hand (seen), but the check")
        assert "(Phone) says" in link.contradiction
    else:
        assert link.contradiction == ""


def test_a_contradiction_names_both(phone: Device, laptop: Device) -> None:
    close_all(phone)
    begin(laptop, "k", "crush", phone)
    said = links(phone, laptop, words={"k": "outside limits"})["crush"].contradiction
    assert said == (
        "Phone closed it by hand (seen), but the check Crush of the shell (Laptop) says: outside limits"
    )


def test_a_stale_check_closes_nothing_and_neither_does_a_hand_after_it(phone: Device) -> None:
    close_all(phone)
    begin(phone, "k", "crush")
    phone.fit("shim")
    hold(phone, "crush")
    link = links(phone, words={"k": "within limits"})["crush"]
    assert not link.closed
    assert "no longer counts: shim (upper): done was entered by Phone" in link.said
    assert link.todo == "Take the check again in the present state of the fit."


def test_the_one_measured_last_by_the_links_speaks(phone: Device, laptop: Device) -> None:
    begin(phone, "a", "crush")
    begin(laptop, "b", "crush", phone)
    state = fold(all_of(phone, laptop))
    assert state.deciding["crush"] == ("b",)
    assert not links(phone, laptop, words={"a": "within limits", "b": "outside limits"})["crush"].stands
    assert links(phone, laptop, words={"a": "outside limits", "b": "within limits"})["crush"].stands
    measure(phone, "a", "crush", laptop)
    assert fold(all_of(phone, laptop)).deciding["crush"] == ("a",)


def test_two_unaware_of_each_other_both_speak(phone: Device, laptop: Device) -> None:
    begun = Device("phone")
    begun.chain = list(phone.chain)
    begin(phone, "a", "crush")
    begin(laptop, "b", "crush", begun)
    assert set(fold(all_of(phone, laptop)).deciding["crush"]) == {"a", "b"}
    words: dict[str, Word] = {"a": "within limits", "b": "outside limits"}
    assert not links(phone, laptop, words=words)["crush"].stands
    assert links(phone, laptop, words={**words, "b": "within limits"})["crush"].stands


def test_one_who_had_not_seen_all_of_the_other_does_not_silence_it(phone: Device, laptop: Device) -> None:
    tablet = Device("tablet")
    begin(phone, "a", "crush")
    measure(tablet, "a", "crush", phone)
    begin(laptop, "b", "crush", phone)
    assert set(fold(all_of(phone, laptop, tablet)).deciding["crush"]) == {"a", "b"}
    measure(laptop, "b", "crush", tablet)
    assert fold(all_of(phone, laptop, tablet)).deciding["crush"] == ("b",)


def test_a_hand_that_was_overtaken_by_a_change_does_not_contradict(phone: Device) -> None:
    close_all(phone)
    phone.fit("shim")
    begin(phone, "k", "crush")
    link = links(phone, words={"k": "outside limits"})["crush"]
    assert not link.stands and link.contradiction == ""


def test_one_begun_and_not_measured_does_not_speak(phone: Device) -> None:
    begin(phone, "a", "crush")
    phone.write("check/1", {"check": "b", "method": "crush", "purpose": "as left", "places": PLACES})
    assert fold(phone.chain).deciding["crush"] == ("a",)


def test_a_stale_one_does_not_speak_beside_one_that_counts(phone: Device, laptop: Device) -> None:
    phone.fit("shim")
    begin(phone, "a", "crush")
    old = Device("phone")
    old.chain = phone.chain[:3]
    begin(laptop, "b", "crush", old)
    state = fold(all_of(phone, laptop))
    assert (state.checks["a"].stale, len(state.checks["b"].stale)) == ((), 1)
    assert state.deciding["crush"] == ("a",)


def test_a_person_who_opens_it_after_the_check_is_heard(phone: Device) -> None:
    for key in ("joint_faces", "tightening"):
        hold(phone, key)
    begin(phone, "k", "crush")
    words: dict[str, Word] = {"k": "within limits"}
    assert links(phone, words=words)["crush"].closed
    hold(phone, "crush", state="open")
    link = links(phone, words=words)["crush"]
    assert not link.closed and link.said == "opened by Phone: seen"
    measure(phone, "k", "crush")
    assert links(phone, words=words)["crush"].closed


def test_opened_and_closed_unaware_of_each_other_stays_open_against_a_check(
    phone: Device, laptop: Device
) -> None:
    begin(phone, "k", "seat")
    laptop.write("note/1", {"text": "x"}, phone)
    hold(phone, "joint_faces")
    hold(laptop, "joint_faces", state="open")
    assert not links(phone, laptop, words={"k": "within limits"})["joint_faces"].closed


def test_no_crush_exists_in_a_lined_cap_and_nothing_is_stuck_on_it(phone: Device) -> None:
    for key in ("joint_faces", "tightening", "contact"):
        hold(phone, key)
    link = links(phone, of=LINED)["crush"]
    assert link.closed and link.by == "does not apply" and not link.by_hand
    assert "no crush exists" in link.said
    assert links(phone, of=LINED)["contact"].closed
    assert not links(phone)["contact"].closed


# ---- fit and not fit


def whole(device: Device) -> dict[str, Word]:
    """A job in which everything is closed."""
    close_all(device)
    begin(device, "w", "wire")
    confirm(device, "w", "wire")
    return {"w": "within limits"}


def test_fit_when_everything_is_closed(phone: Device) -> None:
    found = seen(phone, words=whole(phone))
    assert (found.bearing, found.still_open, found.next) == ("fit", (), None)


def test_a_hold_point_of_a_check_that_counts_keeps_it_from_being_fit(phone: Device) -> None:
    words = whole(phone)
    hold(phone, METHODS["wire"].hold_points[0].key, check="w", state="open")
    found = seen(phone, words=words)
    assert found.bearing == "not fit"
    assert found.still_open == ("Hold points of another check: Soft-wire clearance",)


def test_a_check_of_something_else_outside_its_limits_keeps_it_from_being_fit(phone: Device) -> None:
    words = whole(phone)
    begin(phone, "d", "dowels")
    assert seen(phone, words={**words, "d": "not proven"}).bearing == "fit"
    found = seen(phone, words={**words, "d": "outside limits"})
    assert found.bearing == "not fit"
    assert found.still_open == ("Another check is outside its limits: Dowels and pins",)
    phone.fit("dowel")
    assert seen(phone, words={**words, "d": "outside limits"}).bearing == "fit"


@pytest.mark.parametrize("word", ["outside limits", "not proven"])
def test_not_fit_while_the_clearance_is_not_within_limits(phone: Device, word: Word) -> None:
    whole(phone)
    found = seen(phone, words={"w": word})
    assert found.bearing == "not fit"
    assert found.still_open == ("Oil clearance within limits", "Alignment checked", "Seals checked")
