"""A check belongs to the state of the fit at which it was read; hold points open again with it."""

from __future__ import annotations

import pytest

from tests.gauging.build import card
from tests.ledger.writing import PLACES, Device, all_of
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Method
from whitemetal.job.account import Account
from whitemetal.job.chain import chain
from whitemetal.job.fit_matrix import FIT_CHANGES, POINTS, touched
from whitemetal.job.holds import ORDER_OF_TRUST, holds_of
from whitemetal.job.judgement import HoldShown
from whitemetal.job.picture import Picture, fold
from whitemetal.job.sight import stamped
from whitemetal.job.state import JobState


@pytest.fixture
def phone() -> Device:
    device = Device("phone")
    device.open()
    return device


@pytest.fixture
def laptop() -> Device:
    return Device("laptop")


def stale(*devices: Device, check: str = "c") -> tuple[str, ...]:
    return fold(all_of(*devices)).checks[check].stale


MOVES_CLEARANCE = ("scraping", "shim", "gasket", "shell", "journal", "tightening")


@pytest.mark.parametrize("what", MOVES_CLEARANCE)
def test_a_change_of_the_fit_after_a_reading_makes_the_check_stale(phone: Device, what: str) -> None:
    phone.read("DE top", "0.2 mm")
    assert stale(phone) == ()
    phone.fit(what, text="0.02 mm off")
    (said,) = stale(phone)
    assert f"{what} (upper): 0.02 mm off was entered by Phone (2026-03-02)" in said


def test_a_change_that_every_reading_had_seen_does_not(phone: Device) -> None:
    phone.fit("scraping")
    phone.read("DE top", "0.2 mm")
    assert stale(phone) == ()


def test_one_reading_before_the_change_is_enough(phone: Device, laptop: Device) -> None:
    first = phone.read("DE top", "0.2 mm")
    laptop.fit("shim", phone)
    phone.read("OE top", "0.2 mm", laptop)
    assert len(stale(phone, laptop)) == 1
    phone.strike(first)
    assert stale(phone, laptop) == ()


def test_a_reading_unaware_of_the_change_counts_wherever_it_stands(phone: Device, laptop: Device) -> None:
    tablet = Device("tablet")
    for _ in range(9):
        tablet.write("note/1", {"text": "x"}, phone)
    laptop.fit("shim", phone)
    phone.read("DE top", "0.2 mm", laptop)
    assert stale(phone, laptop, tablet) == ()
    tablet.read("OE top", "0.2 mm")
    assert len(stale(phone, laptop, tablet)) == 1


def test_the_clock_plays_no_part(phone: Device, laptop: Device) -> None:
    body = {"what": "shell", "half": "", "joint": "", "text": ""}
    laptop.write("fit/1", body, phone, at="2031-01-01T00:00:00.000Z")
    phone.read("DE top", "0.2 mm", laptop)
    assert stale(phone, laptop) == ()


def test_a_change_and_a_reading_unaware_of_each_other_are_stale_and_a_contradiction(
    phone: Device, laptop: Device
) -> None:
    laptop.fit("journal", phone)
    phone.read("DE top", "0.2 mm")
    check = fold(all_of(phone, laptop)).checks["c"]
    assert len(check.stale) == 1
    (said,) = check.contradictions
    assert "neither had seen the other" in said


def test_a_change_after_the_readings_is_no_contradiction(phone: Device) -> None:
    phone.read("DE top", "0.2 mm")
    phone.fit("journal")
    assert fold(phone.chain).checks["c"].contradictions == ()


def test_a_new_check_stands_beside_the_stale_one(phone: Device) -> None:
    phone.read("DE top", "0.2 mm")
    phone.fit("scraping")
    phone.begin("k")
    phone.read("DE top", "0.2 mm", check="k")
    assert (len(stale(phone)), len(stale(phone, check="k"))) == (1, 0)


def test_text_that_cannot_be_read_and_struck_readings_do_not_tie_a_check(phone: Device) -> None:
    phone.read("DE top", "o.2", unreadable="a number")
    phone.strike(phone.read("OE top", "0.2 mm"))
    phone.fit("scraping")
    phone.read("DE top", "0.2 mm")
    assert stale(phone) == ()


def grown(device: Device, picture: Picture, taken: int = 0) -> JobState:
    """The state after what the device wrote since was added to the picture."""
    for entry, stamp in stamped(device.chain)[taken:]:
        picture.add(entry, stamp)
    return picture.state()


def test_a_struck_change_of_the_fit_makes_nothing_stale(phone: Device) -> None:
    phone.write("hold/1", {"hold": "contact", "check": "", "state": "closed", "text": "80 % blue"})
    phone.read("DE top", "0.2 mm")
    change = phone.fit("journal")
    picture = Picture("job", Account())
    before = grown(phone, picture)
    assert (len(before.checks["c"].stale), before.holds["contact"].closed) == (1, False)
    taken = len(phone.chain)
    phone.strike(change, why="was done last year")
    after = grown(phone, picture, taken)
    assert (after.checks["c"].stale, after.holds["contact"].closed) == ((), True)
    assert after == fold(phone.chain)


# ---- hold points

WIRE = method_named("wire")


def hold(device: Device, key: str, *seen: Device, state: str = "closed", check: str = "") -> None:
    device.write("hold/1", {"hold": key, "check": check, "state": state, "text": "seen"}, *seen)


def shown(*devices: Device, method: Method = WIRE) -> dict[str, HoldShown]:
    state = fold(all_of(*devices))
    return {one.key: one for one in holds_of(state, "c", method, chain(state, {}, card()))}


def test_holds_stand_in_order_the_methods_before_the_trust_the_methods_after(phone: Device) -> None:
    keys = list(shown(phone))
    before = [point.key for point in WIRE.hold_points if point.when == "before"]
    after = [point.key for point in WIRE.hold_points if point.when == "after"]
    assert keys == [
        *before, "joint_faces", "tightening", "crush", "contact", "clearance", "alignment", "seals", *after
    ]  # fmt: skip
    assert not any(one.closed for one in shown(phone).values())


def test_a_person_closes_and_opens_a_hold(phone: Device) -> None:
    hold(phone, "joint_faces")
    hold(phone, "lead", check="c")
    found = shown(phone)
    assert found["joint_faces"].closed
    assert found["lead"].closed
    assert "closed by Phone: seen" in found["lead"].why
    hold(phone, "joint_faces", state="open")
    assert not shown(phone)["joint_faces"].closed


def test_a_hold_of_one_check_is_not_one_of_another(phone: Device) -> None:
    hold(phone, "lead", check="k")
    assert not shown(phone)["lead"].closed


def test_a_closed_hold_behind_an_open_one_is_shown_open(phone: Device) -> None:
    hold(phone, "joint_faces")
    hold(phone, "crush")
    found = shown(phone)
    assert not found["crush"].closed
    assert "rests on a point still open: Tightened" in found["crush"].why
    hold(phone, "tightening")
    assert shown(phone)["crush"].closed


@pytest.mark.parametrize(
    ("what", "open_again"),
    [
        ("shell", {"joint_faces", "crush", "contact", "alignment", "seals"}),
        ("shim", {"crush"}),
        ("gasket", {"crush"}),
        ("tightening", {"tightening", "crush"}),
        ("scraping", set()),
        ("journal", {"contact", "seals"}),
        ("oil ring", set()),
        ("seal", {"seals"}),
        ("dowel", set()),
        ("oil", set()),
        ("something newer", {"joint_faces", "tightening", "crush", "contact", "alignment", "seals"}),
    ],
)
def test_a_change_of_the_fit_opens_what_it_touches(phone: Device, what: str, open_again: set[str]) -> None:
    """`Device.fit` writes of the upper half, whose scraping touches the clearance only."""
    trust = [key for key in ORDER_OF_TRUST if key != "clearance"]
    for key in trust:
        hold(phone, key)
    assert all(fold(phone.chain).holds[key].closed for key in trust)
    phone.fit(what, text="done")
    holds = fold(phone.chain).holds
    assert {key for key in trust if not holds[key].closed} == open_again
    for key in open_again:
        assert f"opened again by {what} (upper): done (Phone)" in holds[key].why
    for key in trust:
        hold(phone, key)
    assert all(fold(phone.chain).holds[key].closed for key in trust)


def test_a_hold_closed_unaware_of_a_change_is_open(phone: Device, laptop: Device) -> None:
    laptop.fit("shell", phone)
    hold(phone, "joint_faces")
    assert not shown(phone, laptop)["joint_faces"].closed
    hold(phone, "joint_faces", laptop)
    assert shown(phone, laptop)["joint_faces"].closed


def test_a_hold_closed_by_two_of_whom_one_had_not_seen_the_change_is_open(
    phone: Device, laptop: Device
) -> None:
    laptop.write("note/1", {"text": "x"}, phone)
    laptop.fit("shell")
    hold(laptop, "joint_faces")
    hold(phone, "joint_faces")
    assert not fold(all_of(phone, laptop)).holds["joint_faces"].closed
    hold(phone, "joint_faces", laptop)
    assert fold(all_of(phone, laptop)).holds["joint_faces"].closed


def test_opened_and_closed_unaware_of_each_other_is_open(phone: Device, laptop: Device) -> None:
    laptop.write("note/1", {"text": "x"}, phone)
    hold(phone, "joint_faces")
    hold(laptop, "joint_faces", state="open")
    assert not shown(phone, laptop)["joint_faces"].closed
    assert "Laptop, Phone" in shown(phone, laptop)["joint_faces"].why


# ---- the matrix, written out by hand

ALL = set(POINTS)


@pytest.mark.parametrize(
    ("what", "half", "joint", "loaded", "expected"),
    [
        ("scraping", "lower", "", "lower", {"contact", "clearance", "alignment", "seals"}),
        ("scraping", "upper", "", "lower", {"clearance"}),
        ("scraping", "both", "", "lower", {"contact", "clearance", "alignment", "seals"}),
        ("scraping", "", "", "lower", {"contact", "clearance", "alignment", "seals"}),
        ("scraping", "upper", "", "upper", {"contact", "clearance", "alignment", "seals"}),
        ("scraping", "lower", "", "upper", {"clearance"}),
        ("scraping", "upper", "", "", {"contact", "clearance", "alignment", "seals"}),
        ("scraping", "left", "", "lower", {"contact", "clearance", "alignment", "seals"}),
        ("shell", "lower", "", "lower",
         {"joint_faces", "crush", "contact", "clearance", "alignment", "seals", "end_float", "oil_ring", "dowels",
          "shell"}),
        ("shim", "", "shell joint", "lower", {"clearance", "crush"}),
        ("shim", "", "housing joint", "lower", {"clearance", "crush"}),
        ("shim", "", "both joints", "lower", {"clearance"}),
        ("shim", "", "lined cap joint", "lower", {"clearance"}),
        ("shim", "", "", "lower", {"clearance", "crush"}),
        ("gasket", "", "both joints", "lower", {"clearance"}),
        ("gasket", "", "somewhere", "lower", {"clearance", "crush"}),
        ("tightening", "", "", "lower", {"tightening", "crush", "clearance"}),
        ("journal", "", "", "lower", {"clearance", "contact", "seals", "journal"}),
        ("oil ring", "", "", "lower", {"oil_ring"}),
        ("seal", "", "", "lower", {"seals"}),
        ("dowel", "", "", "lower", {"dowels"}),
        ("cap opened", "", "", "lower", {"tightening", "closed_up"}),
    ],
)  # fmt: skip
def test_the_matrix(what: str, half: str, joint: str, loaded: str, expected: set[str]) -> None:
    assert touched(what, half, joint, loaded) == expected


def test_every_change_has_its_row() -> None:
    assert all("*" not in touched(what) for what in FIT_CHANGES)
    assert touched("something newer") == {"*"}


def begin(device: Device, check: str, method: str) -> None:
    place = {"label": "P", "axial": "0 mm", "angle": "0 deg", "piece": "P", "lies": "across", "title": ""}
    body = {"check": check, "method": method, "purpose": "as left", "places": [place]}
    device.write("check/1", body)
    device.read("P", "none" if method == "contact" else "0.2 mm", check=check)


@pytest.mark.parametrize(
    ("half", "method", "goes_stale"),
    [
        ("upper", "contact", False), ("upper", "crush", False), ("upper", "seals", False), ("upper", "wire", True),
        ("lower", "contact", True), ("lower", "crush", False), ("lower", "seals", True), ("lower", "wire", True),
        ("lower", "air_gap", True), ("upper", "air_gap", False), ("lower", "journal", False),
    ],
)  # fmt: skip
def test_scraping_makes_stale_what_it_moves_and_nothing_else(
    phone: Device, half: str, method: str, goes_stale: bool
) -> None:
    begin(phone, "k", method)
    phone.write(
        "fit/1", {"what": "scraping", "half": half, "joint": "", "loaded": "lower", "text": "one pass"}
    )
    assert bool(stale(phone, check="k")) is goes_stale


def test_measured_facts_go_stale_as_readings_do(phone: Device) -> None:
    body = {"check": "k", "method": "oil_ring", "purpose": "as left", "places": []}
    phone.write("check/1", body)
    phone.fact("out_of_round", "0.02 mm", check="k")
    phone.fit("seal")
    assert stale(phone, check="k") == ()
    phone.fit("oil ring")
    assert len(stale(phone, check="k")) == 1
    phone.fact("out_of_round", "0.03 mm", check="k")
    assert stale(phone, check="k") == ()


# ---- as found


def test_as_found_is_due_until_it_is_taken_or_gone(phone: Device) -> None:
    assert fold(phone.chain).as_found == "due"
    phone.write("check/1", {"check": "f", "method": "wire", "purpose": "as found", "places": PLACES})
    phone.fact("wire_diameter", "0.5 mm", check="f")
    assert fold(phone.chain).as_found == "due"
    phone.read("DE top", "0.2 mm", check="f")
    assert fold(phone.chain).as_found == "taken"
    phone.fit("scraping")
    assert fold(phone.chain).as_found == "taken"


def test_only_a_clearance_counts_as_found(phone: Device) -> None:
    phone.write("check/1", {"check": "f", "method": "oil_ring", "purpose": "as found", "places": []})
    phone.fact("out_of_round", "0.02 mm", check="f")
    assert fold(phone.chain).as_found == "due"


@pytest.mark.parametrize(("what", "left"), [("seal", "due"), ("oil ring", "due"), ("shim", "missed")])
def test_a_change_that_leaves_the_clearance_leaves_it_as_found(phone: Device, what: str, left: str) -> None:
    phone.fit(what)
    assert fold(phone.chain).as_found == left


def test_readings_as_found_written_after_it_was_stripped_are_asked_about(
    phone: Device, laptop: Device
) -> None:
    phone.write("check/1", {"check": "f", "method": "wire", "purpose": "As  found", "places": PLACES})
    phone.read("DE top", "0.2 mm", check="f")
    laptop.write("stripped/1", {"text": "cap off"}, phone)
    assert fold(all_of(phone, laptop)).checks["f"].late == ()
    phone.read("OE top", "0.2 mm", check="f")
    assert fold(all_of(phone, laptop)).checks["f"].late == ()
    phone.read("OE top", "0.21 mm", laptop, check="f")
    (said,) = fold(all_of(phone, laptop)).checks["f"].late
    assert said.startswith("Entered as found after it was no longer as found")
    assert "Readings: 1." in said
    assert "stripped down: cap off (Laptop)" in said
    assert fold(all_of(phone, laptop)).checks["c"].late == ()


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("fit/1", {"what": "scraping", "half": "upper", "joint": "", "text": "x"}),
        ("stripped/1", {"text": "cap off"}),
    ],
)
def test_as_found_is_missed_once_the_bearing_is_not_as_it_was(
    phone: Device, kind: str, body: dict[str, str]
) -> None:
    change = phone.write(kind, body)
    assert fold(phone.chain).as_found == "missed"
    phone.strike(change)
    assert fold(phone.chain).as_found == "due"


def test_why_it_was_missed_is_kept(phone: Device) -> None:
    phone.write("missed/1", {"what": "clearance as found", "why": "stripped by the night shift"})
    state = fold(phone.chain)
    assert state.as_found == "missed"
    assert [(one.what, one.why, one.by) for one in state.missed] == [
        ("clearance as found", "stripped by the night shift", "Phone")
    ]
