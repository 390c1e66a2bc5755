"""What holds of every job, whoever wrote what in which order: made-up devices write at random.

What is expected is worked out here from the links of the entries, walked one by one, and from a table of what
moves what that is written out by hand; not from the program's own clocks and matrix.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.gauging.build import card
from tests.ledger.writing import AT, PLACES, Device, all_of
from whitemetal.job.chain import Chain, chain
from whitemetal.job.entry import Entry
from whitemetal.job.fit_matrix import POINTS
from whitemetal.job.judgement import Word
from whitemetal.job.picture import fold
from whitemetal.job.sight import parents_of
from whitemetal.job.state import JobState

CHECKS = {
    "w": "wire",
    "n": "crush",
    "b": "contact",
    "s": "seals",
    "r": "oil_ring",
    "a": "alignment",
    "W": "wire",
}
MEASURED = {"r": "out_of_round", "a": "offset_upright"}
"""A fact of each method without places that is a reading of the parts."""

MOVES: Mapping[tuple[str, str], str] = {
    ("scraping", "upper"): "w", ("scraping", "lower"): "wbsa", ("scraping", "both"): "wbsa",
    ("scraping", ""): "wbsa", ("scraping", "sideways"): "wbsa",
    ("shim", "shell joint"): "wn", ("shim", "housing joint"): "wn", ("shim", "both joints"): "w",
    ("shim", "lined cap joint"): "w", ("shim", ""): "wn", ("shim", "somewhere"): "wn",
    ("shell", ""): "wnbsra", ("journal", ""): "wbs", ("tightening", ""): "wn", ("oil ring", ""): "r",
    ("seal", ""): "s", ("dowel", ""): "", ("oil", ""): "", ("something newer", ""): "wnbsra",
}  # fmt: skip
"""By change and half or joint, the lower half loaded: first letters of the checks it touches. Common practice;
where a shim sits: derived from geometry."""


@dataclass(frozen=True)
class Step:
    """device, sees: which write and whose entries they have seen. kind, of: what. at: the clock."""

    device: int
    sees: tuple[int, ...]
    kind: str
    of: int
    at: int


STEPS = st.lists(
    st.builds(
        Step, st.integers(0, 2), st.lists(st.integers(0, 2), max_size=2).map(tuple),
        st.sampled_from(["measure", "measure", "fit", "fit", "hold", "strike"]), st.integers(0, 1000),
        st.integers(0, 9),
    ),
    max_size=16,
)  # fmt: skip


def written(steps: Sequence[Step]) -> list[Device]:
    """The devices after these steps; each has seen the job opened and every check begun."""
    devices = [Device("phone"), Device("laptop"), Device("tablet")]
    first = devices[0]
    first.write("opened/1", {"bearing": "b", "number": "J1", "title": "opening"})
    for check, method in CHECKS.items():
        first.write("check/1", {"check": check, "method": method, "purpose": "as left", "places": PLACES})
    for other in devices[1:]:
        other.write("note/1", {"text": "here"}, first)
    for number, step in enumerate(steps):
        _one(devices, step, number)
    return devices


def _one(devices: list[Device], step: Step, number: int) -> None:
    device, seen = devices[step.device], [devices[other] for other in step.sees]
    at = AT.replace("2026", str(2020 + step.at))
    if step.kind == "measure":
        check = list(CHECKS)[step.of % len(CHECKS)]
        kind, body = _measured(check, number)
        device.write(kind, body, *seen, at=at)
    elif step.kind == "fit":
        what, where = list(MOVES)[step.of % len(MOVES)]
        half, joint = (where, "") if what == "scraping" else ("", where)
        body = {"what": what, "half": half, "joint": joint, "loaded": "lower", "text": "x"}
        device.write("fit/1", body, *seen, at=at)
    elif step.kind == "hold":
        state = ("open", "closed", "closed")[step.of % 3]
        body = {"hold": POINTS[step.of % len(POINTS)], "check": "", "state": state, "text": "x"}
        device.write("hold/1", body, *seen, at=at)
    else:
        fits = [entry.id for entry in all_of(*devices) if entry.kind == "fit/1"]
        if fits:
            device.write("strike/1", {"entry": fits[step.of % len(fits)], "why": "x"}, *seen, at=at)


def _measured(check: str, number: int) -> tuple[str, dict[str, object]]:
    """Each time another thing is measured, so that nothing is replaced and all of it stands."""
    if check in MEASURED:
        return "fact/1", {"check": check, "key": MEASURED[check], "text": f"0.{number + 10} mm", "unit": ""}
    place = PLACES[number % 2]["label"]
    text = "heavy" if CHECKS[check] == "contact" else "0.2 mm"
    return "reading/1", {
        "check": check, "place": place, "squeeze": number + 1, "text": text, "unit": "", "basis": "diametral",
        "instrument": "", "repeat": "no", "unreadable": "",
    }  # fmt: skip


# ---- what is expected, by walking the links


def reach(entries: Sequence[Entry]) -> Mapping[str, set[str]]:
    """By id: the ids of everything an entry links to, near or far, and itself."""
    by_digest = {entry.digest: entry for entry in entries}
    found: dict[str, set[str]] = {}

    def of(entry: Entry) -> set[str]:
        if entry.id not in found:
            found[entry.id] = {entry.id}.union(*(of(by_digest[link]) for link in parents_of(entry)))
        return found[entry.id]

    for entry in entries:
        of(entry)
    return found


def live(entries: Sequence[Entry], check: str) -> list[Entry]:
    """What was measured in a check: readings, and facts that nobody who had seen them wrote anew."""
    seen = reach(entries)
    mine = [e for e in entries if e.kind in ("reading/1", "fact/1") and e.body["check"] == check]
    if check not in MEASURED:
        return mine
    return [e for e in mine if not any(e is not o and e.id in seen[o.id] for o in mine)]


def expected_stale(entries: Sequence[Entry], check: str) -> set[str]:
    """Ids of the changes of the fit that make a check stale."""
    seen, struck = reach(entries), {e.body["entry"] for e in entries if e.kind == "strike/1"}
    measured = live(entries, check)
    return {
        change.id
        for change in entries
        if change.kind == "fit/1"
        and change.id not in struck
        and check.lower() in MOVES[change.body["what"], change.body["half"] or change.body["joint"]]
        and any(change.id not in seen[one.id] for one in measured)
    }


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_a_check_is_stale_by_the_links_alone(steps: list[Step]) -> None:
    entries = all_of(*written(steps))
    state = fold(entries)
    for check in CHECKS:
        assert set(state.checks[check].stale_by) == expected_stale(entries, check), check


@settings(max_examples=60, deadline=None)
@given(STEPS, st.integers(0, 10**6))
def test_the_order_of_arrival_changes_nothing(steps: list[Step], seed: int) -> None:
    entries = all_of(*written(steps))
    shuffled = list(entries)
    Random(seed).shuffle(shuffled)
    assert fold(shuffled) == fold(entries)


def without_dates(state: JobState) -> tuple[object, ...]:
    """All that decides, without what is shown of the clock."""
    return (
        {key: (check.stale_by, check.measured_by, bool(check.contradictions)) for key, check in state.checks.items()},
        {key: (held.closed, held.by_hand, held.older_than) for key, held in state.holds.items()},
        state.deciding, state.as_found, [(change.entry, change.touches) for change in state.fit_changes],
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(STEPS, st.lists(st.integers(0, 9), min_size=16, max_size=16))
def test_the_clock_changes_nothing(steps: list[Step], clock: list[int]) -> None:
    other = [replace(step, at=at) for step, at in zip(steps, clock, strict=False)]
    assert without_dates(fold(all_of(*written(steps)))) == without_dates(fold(all_of(*written(other))))


# ---- what a stale check can do


def chained(state: JobState, word: Word = "within limits") -> Chain:
    """The chain as if every check that speaks said this."""
    return chain(state, {check: word for checks in state.deciding.values() for check in checks}, card())


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_a_stale_check_closes_nothing(steps: list[Step]) -> None:
    state = fold(all_of(*written(steps)))
    for link in chained(state).links:
        if link.by == "check" and link.closed:
            assert not any(state.checks[one.check].stale for one in link.checks)
        if any(one.stale for one in link.checks):
            assert not link.stands and chained(state).bearing == "not fit"


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_a_check_that_counts_is_never_silenced_by_a_stale_or_an_older_one(steps: list[Step]) -> None:
    entries = all_of(*written(steps))
    state, seen = fold(entries), reach(entries)
    measured = [c for c in ("w", "W") if live(entries, c)]
    counting = [c for c in measured if not expected_stale(entries, c)] or measured
    speaking = state.deciding.get("clearance", ())
    assert set(speaking) <= set(counting)
    assert bool(speaking) is bool(measured)
    for silent in set(counting) - set(speaking):
        (other,) = speaking
        everything = {one.id for one in live(entries, silent)}
        assert any(everything <= seen[one.id] for one in live(entries, other))
    if len(speaking) == 2:
        for one, other in (speaking, speaking[::-1]):
            everything = {reading.id for reading in live(entries, one)}
            assert not any(everything <= seen[reading.id] for reading in live(entries, other))


@settings(max_examples=100, deadline=None)
@given(STEPS)
def test_no_hand_closes_a_point_that_a_check_does_not(steps: list[Step]) -> None:
    state = fold(all_of(*written(steps)))
    for link in chained(state, "outside limits").links:
        assert not (link.checks and link.stands)
        if link.key == "clearance":
            assert not link.stands


@settings(max_examples=100, deadline=None)
@given(STEPS)
def test_a_closed_point_stands_on_closed_points(steps: list[Step]) -> None:
    links = chained(fold(all_of(*written(steps)))).links
    closed = [link.closed for link in links]
    assert closed == sorted(closed, reverse=True), "closed ones first, never one behind an open one"


@settings(max_examples=100, deadline=None)
@given(STEPS)
def test_scraping_the_half_that_is_not_loaded_opens_nothing_but_the_clearance(steps: list[Step]) -> None:
    devices = written(steps)
    before = fold(all_of(*devices))
    body = {"what": "scraping", "half": "upper", "joint": "", "loaded": "lower", "text": "x"}
    devices[0].write("fit/1", body, *devices[1:])
    after = fold(all_of(*devices))
    for check in CHECKS:
        grew = len(after.checks[check].stale_by) > len(before.checks[check].stale_by)
        assert not grew or CHECKS[check] == "wire"
    for key, held in after.holds.items():
        assert held.closed == before.holds[key].closed or key == "clearance"
