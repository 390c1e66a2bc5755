"""A check belongs to the state of the fit at which it was read; hold points open again with it."""

from __future__ import annotations

import pytest

from tests.ledger.writing import Device, all_of
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Method
from whitemetal.job.account import Account
from whitemetal.job.holds import OPENS_FROM, ORDER_OF_TRUST, holds_of, with_clearance
from whitemetal.job.judgement import HoldShown, Judgement, Word
from whitemetal.job.kinds import FIT_CHANGES
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


@pytest.mark.parametrize("what", FIT_CHANGES)
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
    change = phone.fit("scraping")
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
    return {one.key: one for one in holds_of(fold(all_of(*devices)), "c", method)}


def test_holds_stand_in_order_the_methods_before_the_trust_the_methods_after(phone: Device) -> None:
    keys = list(shown(phone))
    before = [point.key for point in WIRE.hold_points if point.when == "before"]
    after = [point.key for point in WIRE.hold_points if point.when == "after"]
    assert keys == [
        *before, "joint_faces", "tightening", "crush", "contact", "alignment", "seals", *after
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
        ("shell", {"joint_faces", "tightening", "crush", "contact", "alignment", "seals"}),
        ("shim", {"joint_faces", "tightening", "crush", "contact", "alignment", "seals"}),
        ("gasket", {"joint_faces", "tightening", "crush", "contact", "alignment", "seals"}),
        ("tightening", {"tightening", "crush", "contact", "alignment", "seals"}),
        ("scraping", {"contact", "alignment", "seals"}),
        ("journal", {"contact", "alignment", "seals"}),
        ("something newer", {"joint_faces", "tightening", "crush", "contact", "alignment", "seals"}),
    ],
)
def test_a_change_of_the_fit_opens_what_rests_on_it(phone: Device, what: str, open_again: set[str]) -> None:
    trust = [key for key in ORDER_OF_TRUST if key != "clearance"]
    for key in trust:
        hold(phone, key)
    assert all(shown(phone)[key].closed for key in trust)
    phone.fit(what, text="done")
    holds = fold(phone.chain).holds
    assert {key for key in trust if not holds[key].closed} == open_again
    assert f"opened again by {what} (upper): done (Phone)" in holds["seals"].why
    for key in trust:
        hold(phone, key)
    assert all(shown(phone)[key].closed for key in trust)


def test_every_change_of_the_fit_opens_something() -> None:
    assert set(OPENS_FROM) == set(FIT_CHANGES)
    assert set(OPENS_FROM.values()) <= set(ORDER_OF_TRUST)


def test_a_hold_closed_unaware_of_a_change_is_open(phone: Device, laptop: Device) -> None:
    laptop.fit("shell", phone)
    hold(phone, "joint_faces")
    assert not shown(phone, laptop)["joint_faces"].closed
    hold(phone, "joint_faces", laptop)
    assert shown(phone, laptop)["joint_faces"].closed


def test_opened_and_closed_unaware_of_each_other_is_open(phone: Device, laptop: Device) -> None:
    laptop.write("note/1", {"text": "x"}, phone)
    hold(phone, "joint_faces")
    hold(laptop, "joint_faces", state="open")
    assert not shown(phone, laptop)["joint_faces"].closed
    assert "Laptop, Phone" in shown(phone, laptop)["joint_faces"].why


def judged(state: JobState, verdict: Word, stale_because: str = "") -> Judgement:
    return Judgement(
        method="wire", title="", card_digest="", machine="", bearing_name="", unit="mm",
        verdict=verdict, probability=None, clearance=None, limits=None, ladder=(), rules=(), reasons=(),
        warnings=(), settle=(), next=(), budget=(), assumed=(), unknown=(), struck=(),
        holds=holds_of(state, "c", WIRE), bearing="not fit", stale=stale_because, decision_rule="",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("verdict", "because", "closed"),
    [
        ("within limits", "", True),
        ("within limits", "scraped", False),
        ("outside limits", "", False),
        ("not proven", "", False),
    ],
)
def test_the_checks_verdict_closes_the_clearance(
    phone: Device, verdict: Word, because: str, closed: bool
) -> None:
    for key in ORDER_OF_TRUST:
        hold(phone, key)
    found = with_clearance(judged(fold(phone.chain), verdict, because), WIRE).holds
    keys = [one.key for one in found]
    assert keys.index("contact") + 1 == keys.index("clearance") == keys.index("alignment") - 1
    by_key = {one.key: one.closed for one in found}
    assert (by_key["contact"], by_key["clearance"], by_key["alignment"]) == (True, closed, closed)
