"""The fold: links decide, never the order of arrival; nothing is replaced or dropped in silence."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.writing import PLACES, Device, all_of, reading_body
from whitemetal.job.account import Account, account_of, from_json, to_json
from whitemetal.job.entry import Entry, book_digest
from whitemetal.job.kinds import place_body, place_from
from whitemetal.job.picture import Picture, fold
from whitemetal.job.sight import Stamp, stamped, unaware
from whitemetal.job.state import CheckState, JobState


def the_check(*devices: Device) -> CheckState:
    return fold(all_of(*devices)).checks["c"]


def live(check: CheckState) -> list[tuple[str, str]]:
    return [(reading.place, reading.text) for reading in check.readings]


@pytest.fixture
def phone() -> Device:
    device = Device("phone")
    device.open()
    return device


@pytest.fixture
def laptop() -> Device:
    return Device("laptop")


def test_a_job_reads_as_it_was_written(phone: Device) -> None:
    phone.fact("wire_diameter", "0,40 mm")
    reading = phone.read("DE top", "0.212 mm", instrument="M7")
    phone.write("note/1", {"text": "oil dark"})
    state = fold(phone.chain)
    check = state.checks["c"]
    assert (state.number, state.title, state.bearing, state.card) == ("J1", "opening", "b", "d" * 64)
    assert check.facts["wire_diameter"].value == pytest.approx(0.0004, rel=1e-12)
    assert check.facts["purpose"].text == check.purpose == "as left"
    (read,) = check.readings
    assert (read.instrument, read.entry) == ("M7", reading.id)
    assert read.value == pytest.approx(0.212e-3)
    assert read.resolution == pytest.approx(1e-6)
    assert [note.text for note in state.notes] == ["oil dark"]
    assert state.entries == 6
    assert state.heads == (phone.chain[-1].digest,)
    assert state.digest == book_digest([phone.chain[-1].digest])


def test_places_come_back_as_they_were_begun() -> None:
    for body in PLACES:
        assert place_body(place_from(body)) == body
    place = place_from(PLACES[0])
    tilted = replace(place, angle=-0.2, axial=0.0123456789)
    back = place_from(place_body(tilted))
    assert back.angle == pytest.approx(-0.2, abs=1e-10)
    assert back.axial == pytest.approx(0.0123456789, abs=1e-12)


def test_a_later_fact_replaces_the_one_its_writer_had_seen_whatever_the_clocks_say(
    phone: Device, laptop: Device
) -> None:
    phone.write("fact/1", {"check": "c", "key": "joint", "text": "shims"}, at="2026-03-02T09:00:00.000Z")
    laptop.write(
        "fact/1", {"check": "c", "key": "joint", "text": "gasket"}, phone, at="2025-01-01T00:00:00.000Z"
    )
    check = the_check(phone, laptop)
    assert check.facts["joint"].text == "gasket"
    assert check.facts["joint"].by == "Laptop"
    assert check.contradictions == ()


def test_two_facts_written_unaware_of_each_other_are_a_contradiction(phone: Device, laptop: Device) -> None:
    begun = list(phone.chain)
    phone.fact("joint", "shims")
    laptop.write("fact/1", {"check": "c", "key": "joint", "text": "gasket"}, _at(begun))
    (said,) = the_check(phone, laptop).contradictions
    assert '"shims"' in said
    assert '"gasket"' in said
    phone.fact("joint", "shims", laptop)
    assert the_check(phone, laptop).contradictions == ()


def _at(chain: Sequence[Entry]) -> Device:
    """The device of a chain as it stood earlier."""
    earlier = Device(chain[0].device)
    earlier.chain = list(chain)
    return earlier


def test_the_same_fact_written_twice_unaware_is_no_contradiction(phone: Device, laptop: Device) -> None:
    begun = _at(phone.chain)
    phone.fact("joint", "shims")
    laptop.fact("joint", "shims", begun)
    assert the_check(phone, laptop).contradictions == ()


def test_an_empty_text_takes_a_fact_away(phone: Device) -> None:
    phone.fact("torque", "210 N m")
    phone.fact("torque", "")
    assert "torque" not in the_check(phone).facts


def test_a_fact_that_cannot_be_read_is_kept_and_shown(phone: Device) -> None:
    entry = phone.fact("torque", "two hundred")
    check = the_check(phone)
    assert "torque" not in check.facts
    assert check.unreadable == ((entry.id, "torque", "two hundred"),)


def test_two_writers_on_one_place_unaware_of_each_other_are_a_contradiction(
    phone: Device, laptop: Device
) -> None:
    begun = _at(phone.chain)
    first = phone.read("DE top", "0.212 mm")
    laptop.read("DE top", "0.250 mm", begun)
    check = the_check(phone, laptop)
    assert sorted(live(check)) == [("DE top", "0.212 mm"), ("DE top", "0.250 mm")]
    (said,) = check.contradictions
    assert "neither had seen the other" in said
    assert "0.212 mm" in said
    assert "0.250 mm" in said
    laptop.strike(first, phone)
    settled = the_check(phone, laptop)
    assert live(settled) == [("DE top", "0.250 mm")]
    assert settled.contradictions == ()


def test_a_repeat_is_no_contradiction_and_other_squeezes_are_other_readings(
    phone: Device, laptop: Device
) -> None:
    begun = _at(phone.chain)
    phone.read("DE top", "0.212 mm")
    phone.read("DE top", "0.213 mm", repeat="yes")
    laptop.read("DE top", "0.214 mm", begun, squeeze=2)
    check = the_check(phone, laptop)
    assert len(check.readings) == 3
    assert check.contradictions == ()


def test_a_second_reading_not_called_a_repeat_is_shown(phone: Device) -> None:
    phone.read("DE top", "0.212 mm")
    phone.read("DE top", "0.250 mm")
    check = the_check(phone)
    assert len(check.readings) == 2
    assert "without saying that it is a repeat" in check.contradictions[0]


def test_a_struck_reading_stays_visible_with_who_and_why(phone: Device, laptop: Device) -> None:
    reading = phone.read("DE top", "0.212 mm")
    laptop.strike(reading, phone, why="strip was folded")
    phone.read("DE top", "0.230 mm", laptop)
    check = the_check(phone, laptop)
    assert live(check) == [("DE top", "0.230 mm")]
    (struck,) = check.struck
    assert (struck.reading.text, struck.by, struck.why) == ("0.212 mm", "Laptop", "strip was folded")
    assert struck.reading.value == pytest.approx(0.212e-3)


def test_a_strike_that_arrives_before_its_reading_strikes_it(phone: Device, laptop: Device) -> None:
    begun = _at(phone.chain)
    laptop.strike("phone-4", begun)
    assert [one.entry for one in fold(all_of(phone, laptop)).unknown] == ["laptop-1"]
    phone.read("DE top", "0.212 mm")
    state = fold(all_of(phone, laptop))
    assert state.unknown == ()
    assert live(state.checks["c"]) == []
    assert len(state.checks["c"].struck) == 1


def test_strikes_of_what_is_not_here_or_cannot_be_struck_are_kept_and_shown(phone: Device) -> None:
    phone.strike("nowhere")
    phone.strike(phone.chain[2])
    state = fold(phone.chain)
    assert [(one.kind, one.entry) for one in state.unknown] == [
        ("strike/1", "phone-4"), ("strike/1", "phone-5")
    ]  # fmt: skip
    assert "not here" in state.unknown[0].why
    assert "cannot be struck" in state.unknown[1].why
    assert state.entries == 5


def in_order(*entries: Entry) -> JobState:
    """The state of entries taken in one by one in this order of arrival."""
    stamps = {entry.id: stamp for entry, stamp in stamped(entries)}
    picture = Picture("job", Account())
    for entry in entries:
        picture.add(entry, stamps[entry.id])
    return picture.state()


def test_a_strike_on_a_hold_point_strikes_nothing_whichever_arrives_first(
    phone: Device, laptop: Device
) -> None:
    begun = list(phone.chain)
    laptop.write("hold/1", {"hold": "contact", "check": "", "state": "closed", "text": ""}, phone)
    strike = phone.strike("laptop-1")
    for order in ((*begun, strike, *laptop.chain), (*begun, *laptop.chain, strike)):
        state = in_order(*order)
        assert state.holds["contact"].closed
        assert [one.entry for one in state.unknown] == [strike.id]


def test_a_reading_struck_before_it_arrives_may_be_struck_again(phone: Device, laptop: Device) -> None:
    begun = list(phone.chain)
    reading = laptop.read("DE top", "0.212 mm", phone)
    first = phone.strike(reading, why="folded")
    again = phone.strike(reading, why="yes, folded")
    state = in_order(*begun, first, reading, again)
    assert [(one.reading.text, one.why) for one in state.checks["c"].struck] == [("0.212 mm", "folded")]


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("photo/1", {"digest": "x"}),
        ("reading/2", reading_body("DE top", "0.2 mm")),
        ("reading/1", {"check": "c", "place": "DE top"}),
        ("reading/1", reading_body("DE top", "0.2 mm", squeeze="1")),
        ("check/1", {"check": "x", "method": "wire", "purpose": "", "places": [{"label": "a"}]}),
        ("check/1", {"check": "x", "method": "wire", "purpose": "", "places": [PLACES[0], PLACES[0]]}),
        ("check/1", {"check": "x", "method": "wire", "purpose": "", "places": ["a"]}),
    ],
)
def test_what_cannot_be_used_is_kept_and_shown(phone: Device, kind: str, body: dict[str, object]) -> None:
    before = fold(phone.chain)
    entry = phone.write(kind, body)
    state = fold(phone.chain)
    assert [(one.entry, one.kind) for one in state.unknown] == [(entry.id, kind)]
    assert state.checks == before.checks
    assert state.entries == before.entries + 1


def test_entries_of_a_check_that_is_not_here_are_shown(phone: Device) -> None:
    phone.read("DE top", "0.2 mm", check="other")
    assert [one.entry for one in fold(phone.chain).unknown] == ["phone-4"]


def test_a_reading_at_a_place_the_check_does_not_have_is_kept_as_unreadable(phone: Device) -> None:
    entry = phone.read("M top", "0.2 mm")
    assert the_check(phone).unreadable == ((entry.id, "M top", "0.2 mm"),)


def test_text_that_cannot_be_read_waits_until_its_place_is_read_again(phone: Device) -> None:
    slip = phone.read("DE top", "o.212 mm", unreadable="a number")
    assert the_check(phone).unreadable == ((slip.id, "DE top", "o.212 mm"),)
    again = phone.read("DE top", "0.212 mm")
    check = the_check(phone)
    assert check.unreadable == ()
    assert [(one.reading.entry, one.reading.text) for one in check.struck] == [(slip.id, "o.212 mm")]
    phone.strike(again)
    assert the_check(phone).unreadable == ((slip.id, "DE top", "o.212 mm"),)


def test_instruments_join_the_facts_of_the_checks_that_used_them(phone: Device) -> None:
    plant = {"M7": {"mpe": "4 um", "anvil": "ball"}, "M8": {"mpe": "2 um"}}
    phone.fact("instrument.M7.anvil", "flat, strip flattened")
    phone.read("DE top", "0.212 mm", instrument="M7")
    facts = fold(phone.chain, plant).checks["c"].facts
    assert facts["instrument.M7.mpe"].value == pytest.approx(4e-6)
    assert facts["instrument.M7.anvil"].text == "flat, strip flattened"
    assert not any(key.startswith("instrument.M8") for key in facts)


def test_the_decision_rule_comes_with_who_and_why(phone: Device, laptop: Device) -> None:
    rule = {"check": "c", "rule": "simple acceptance", "why": "the maker says so"}
    begun = _at(phone.chain)
    phone.write("rule/1", rule)
    check = the_check(phone)
    assert (check.rule, check.rule_by, check.rule_why) == ("simple acceptance", "Phone", "the maker says so")
    laptop.write("rule/1", {**rule, "rule": "conformity probability"}, begun)
    doubted = the_check(phone, laptop)
    assert (doubted.rule, len(doubted.contradictions)) == ("", 1)


def test_the_job_is_judged_by_the_card_it_adopted_last(phone: Device, laptop: Device) -> None:
    begun = _at(phone.chain)
    phone.write("adopt/1", {"card": "e" * 64, "reason": "revision D"})
    state = fold(phone.chain)
    assert state.card == "e" * 64
    assert [one.card[0] for one in state.card_history] == ["d", "e"]
    laptop.write("adopt/1", {"card": "f" * 64, "reason": "revision E"}, begun)
    doubted = fold(all_of(phone, laptop))
    assert len(doubted.contradictions) == 1
    assert doubted.checks["c"].contradictions == doubted.contradictions


# ---- any order, the same state

Move = tuple[int, int, int, set[int]]
MOVES = st.lists(
    st.tuples(st.integers(0, 2), st.integers(0, 11), st.integers(0, 7), st.sets(st.integers(0, 2))),
    min_size=1, max_size=16,
)  # fmt: skip
TEXTS = ("0.210 mm", "0.220 mm", "o.2", "0.24")


def story(moves: Sequence[Move]) -> list[Device]:
    """Three devices that write all sorts of things, each having seen some of the others or none."""
    devices = [Device(name) for name in ("phone", "laptop", "tablet")]
    devices[0].open()
    devices[0].begin("k")
    for who, what, number, seen in moves:
        others = [devices[i] for i in sorted(seen)]
        if what < 3:
            strike(devices, devices[who], what, number, others)
        else:
            act(devices[who], what, number, others)
    return devices


def strike(devices: list[Device], device: Device, what: int, number: int, others: list[Device]) -> None:
    """Strike something: what may come only later, any of the latest entries, the latest one seen."""
    if what == 0:
        device.strike(f"{('phone', 'laptop', 'tablet')[number % 3]}-{2 + number}", *others)
    elif what == 1:
        device.strike(all_of(*devices)[-1 - number % 4], *others)
    else:
        device.strike((all_of(*others) or all_of(*devices))[-1], *others)


def act(device: Device, what: int, number: int, others: list[Device]) -> None:
    """Write something else."""
    half = number % 2
    match what:
        case 3:
            device.read("DE top", TEXTS[number % 4], *others)
        case 4:
            device.read("OE top", TEXTS[number % 4], *others, repeat=("no", "yes")[half])
        case 5:
            device.read("DE top", TEXTS[number % 4], *others, check="k", squeeze=1 + half)
        case 6:
            device.fact("joint", ("shims", "gasket", "", "tin")[number % 4], *others)
        case 7:
            device.fact("torque", f"{200 + number} N m", *others, check="ck"[half])
        case 8:
            device.fit(("scraping", "shim", "journal")[number % 3], *others)
        case 9:
            state = {"hold": ("contact", "crush")[half], "state": ("closed", "open")[number // 4]}
            device.write("hold/1", {**state, "check": "", "text": ""}, *others)
        case 10:
            device.write("adopt/1", {"card": "ab"[half] * 64, "reason": "r"}, *others)
        case _:
            device.write(("note/1", "later/9")[half], {"text": str(number)}, *others)


def linked(entries: Sequence[Entry], order: Sequence[int]) -> list[tuple[Entry, Stamp]]:
    """The entries in another order that still never puts one before what it links to."""
    pairs = stamped(entries)
    waiting = sorted(range(len(pairs)), key=lambda i: order[i % len(order)] * 1000 + i)
    done: list[tuple[Entry, Stamp]] = []
    while waiting:
        for index in waiting:
            stamp = pairs[index][1]
            if all(not stamp.saw(pairs[other][1]) for other in waiting if other != index):
                done.append(pairs[index])
                waiting.remove(index)
                break
    return done


@settings(max_examples=150, deadline=None)
@given(MOVES, st.randoms(use_true_random=False))
def test_any_order_of_arrival_gives_the_same_state(moves: list[Move], chance: Random) -> None:
    entries = all_of(*story(moves))
    mixed = [*entries, *chance.sample(entries, len(entries) // 2)]
    chance.shuffle(mixed)
    assert fold(mixed) == fold(entries)


@settings(max_examples=150, deadline=None)
@given(MOVES, st.lists(st.integers(0, 99), min_size=1, max_size=20), st.integers(0, 20))
def test_one_entry_at_a_time_with_the_account_written_down_between_gives_the_full_fold(
    moves: list[Move], order: list[int], cut: int
) -> None:
    entries = all_of(*story(moves))
    picture = Picture("job", Account())
    states: list[JobState] = []
    for number, (entry, stamp) in enumerate(linked(entries, order)):
        if number == cut:
            picture = Picture("job", from_json(json.loads(json.dumps(to_json(picture.account)))))
        picture.add(entry, stamp)
        picture.add(entry, stamp)
        states.append(picture.state())
    assert states[-1] == fold(entries)


def test_an_entry_was_before_another_only_by_links(phone: Device, laptop: Device) -> None:
    early = _at(phone.chain)
    phone.read("DE top", "0.2 mm")
    laptop.read("OE top", "0.2 mm", early, at="2030-01-01T00:00:00.000Z")
    laptop.read("OE top", "0.2 mm")
    stamps = {entry.id: stamp for entry, stamp in stamped(all_of(phone, laptop))}
    assert stamps["laptop-2"].saw(stamps["laptop-1"])
    assert stamps["laptop-2"].saw(stamps["phone-3"])
    assert not stamps["laptop-2"].saw(stamps["phone-4"])
    assert unaware(stamps["laptop-2"], stamps["phone-4"])


def reaches(later: Entry, earlier: Entry, by_digest: dict[str, Entry]) -> bool:
    """Whether an entry is reached from another by following links one by one."""
    waiting, seen = [later.digest], set()
    while waiting:
        digest = waiting.pop()
        if digest in by_digest and digest not in seen:
            seen.add(digest)
            waiting += [by_digest[digest].prev, *by_digest[digest].after]
    return earlier.digest in seen


@settings(max_examples=100, deadline=None)
@given(MOVES)
def test_one_saw_another_exactly_when_links_lead_there(moves: list[Move]) -> None:
    entries = all_of(*story(moves))
    by_digest = {entry.digest: entry for entry in entries}
    pairs = stamped(entries)
    for number, (later, stamp) in enumerate(pairs):
        for earlier, other in pairs[: number + 1]:
            assert stamp.saw(other) == reaches(later, earlier, by_digest)
            assert other.saw(stamp) == (later is earlier)


def test_a_fact_struck_before_it_arrives_does_not_live(phone: Device, laptop: Device) -> None:
    phone.fact("joint", "shims")
    laptop.strike("phone-5", phone)
    phone.fact("joint", "gasket")
    assert "joint" not in the_check(phone, laptop).facts
    picture = Picture("job", Account())
    for entry, stamp in linked(all_of(phone, laptop), [0]):
        picture.add(entry, stamp)
    assert "joint" not in picture.state().checks["c"].facts


def test_only_one_who_saw_an_unreadable_text_can_write_it_again(phone: Device, laptop: Device) -> None:
    begun = _at(phone.chain)
    slip = phone.read("DE top", "o.212 mm", unreadable="a number")
    laptop.read("DE top", "0.212 mm", begun)
    assert [entry for entry, _, _ in the_check(phone, laptop).unreadable] == [slip.id]


def test_struck_notes_and_fit_changes_say_so(phone: Device) -> None:
    picture = Picture("job", Account())
    note = phone.write("note/1", {"text": "oil dark"})
    change = phone.fit("shell")
    for entry, stamp in stamped(phone.chain):
        picture.add(entry, stamp)
    before = picture.state()
    assert [before.notes[0].struck, before.fit_changes[0].struck] == ["", ""]
    phone.strike(note, why="was the other machine")
    phone.strike(change, why="not done")
    for entry, stamp in stamped(phone.chain)[-2:]:
        picture.add(entry, stamp)
    after = picture.state()
    assert after.notes[0].struck == "struck by Phone: was the other machine"
    assert after.fit_changes[0].struck == "struck by Phone: not done"


def test_the_account_counts_every_entry_once(phone: Device) -> None:
    assert len(account_of([*phone.chain, *phone.chain]).ids) == len(phone.chain)
