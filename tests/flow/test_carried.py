"""The verdict where there is no connection: the script gives what the record gives, and says when it cannot."""

from __future__ import annotations

import json
import random
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box, until
from tests.flow.test_begun_apart import tell
from tests.flow.test_unsaved import bench, type_at
from tests.job import test_carried_lift as lift
from tests.job import test_carried_strip as strip
from tests.job.test_carried import Typed, along, card, judged, reckon, texts_of
from tests.job.test_carried_more import TYPED, begun, fresh, twice
from tests.job.test_carried_rule import along as simple
from tests.job.test_carried_zeros import REST, told
from tests.web.plant import Job, fill
from whitemetal.job.carried import Carried, carried_json
from whitemetal.units import clearance_step, show, show_number

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = pytest.mark.browser

SAYS = "() => document.querySelector('#carried [data-line]').textContent.includes('{}')"


ZEROS = ((2, 2), (2, 3), (3, 1), (-2, 0), (0, 3), (5, None), (None, -4), (0, 0), (None, None))
"""Zeros before and after the work, in steps of 0.001 mm; none, where nobody noted it."""

Asked = tuple[Sequence[Typed], Mapping[str, str]]


def reckoned(page: Page, found: Carried, asked: Sequence[Asked]) -> list[dict[str, Any]]:
    """What the script makes of the same readings and facts, given in the same order as to the sum of the
    tests; all at once, for weights are large."""
    n, cases = len(found.places), []
    for typed, facts in asked:
        readings = []
        for squeeze in sorted({one for one, _ in typed}):
            texts = [text for one, text in typed if one == squeeze]
            for i, text in enumerate(texts):
                place = found.places[i // (len(texts) // n)]
                readings.append({"place": place, "squeeze": squeeze, "text": text, "gauge": "M-07"})
        cases.append([readings, dict(facts)])
    sent = [json.loads(json.dumps(carried_json(found))), cases]
    made: list[dict[str, Any]] = page.evaluate(
        "([a, all]) => all.map(([r, f]) => whitemetalReckon(a, r, f))", sent
    )
    return made


def test_facts_further_squeezes_and_repeats_are_reckoned_as_by_the_sum(served: Served, laptop: Page) -> None:
    """The vectors of tests/job/test_carried_more.py, where the sum is held against the judgement."""
    bench(served, laptop)
    n, second = len(fresh().places), {"joint@2": "metal to metal", "tightened@2": "final value"}
    once = [(1, text) for text in texts_of("mm", 0.225, [0.0] * n, 3)]
    coarse = [(1, text) for text in texts_of("mm", 0.225, [0.0] * n, 2)]
    first: list[Asked] = [
        (once, TYPED), (once, {}), (once, {**TYPED, "wires_out": "3"}), (once, {**TYPED, "journal_down": "no"}),
        ([one for one in coarse for _ in range(2)], TYPED),
        ([(1, f"{float(t) + 0.01 * k:.2f}") for _, t in coarse for k in range(2)], TYPED),
        *(([(1, t) for t in texts_of("mm", c, [0.0] * n, 3)], TYPED) for c in (0.17, 0.2, 0.28, 0.35)),
        *((once, {**REST, **told(*zeros)}) for zeros in ZEROS), (coarse, {**REST, **told(-7, -7)}),
    ]  # fmt: skip
    again: list[Asked] = [
        ([(k, text) for k in (1, 2) for _, text in once], second),
        ([(k, text) for k in (1, 2) for _, text in once], {}),
        ([(k, text) for k in (1, 2, 3) for _, text in once], second),
    ]
    words = []
    for found, asked in ((fresh(), first), (twice(1), again)):
        for (typed, facts), mine in zip(asked, reckoned(laptop, found, asked), strict=True):
            words.append(mine["asks"] or mine["word"])
            _as_the_sum(mine, reckon(found, typed, facts))
    assert {"scatter", "squeezes", "other", "not proven", "within limits", "outside limits"} == set(words)


def test_simple_acceptance_is_reckoned_as_by_the_sum(served: Served, laptop: Page) -> None:
    """Top centre at a limit or a step beside it, also as the rest of a zero, which floats do not hold exactly;
    the other places well inside."""
    bench(served, laptop)
    found, places = simple(), begun().places
    asked: list[Asked] = []
    for clearance, inside in ((0.149, 0.01), (0.150, 0.01), (0.300, -0.01), (0.301, -0.01)):
        for zero in range(10):
            off = [0.0 if place.angle == 0.0 else inside for place in places]
            texts = texts_of("mm", clearance + 1e-3 * zero, off, 3)
            wire = "0.40 mm" if inside < 0 else "0.30 mm"
            asked.append(([(1, t) for t in texts], {**REST, **told(zero, zero), "wire_diameter": wire}))
    words = []
    for (typed, facts), mine in zip(asked, reckoned(laptop, found, asked), strict=True):
        _as_the_sum(mine, reckon(found, typed, facts))
        words.append(mine["word"])
    assert words == ["outside limits"] * 10 + ["within limits"] * 20 + ["outside limits"] * 10


def _as_the_sum(mine: Mapping[str, Any], sums: Mapping[str, Any]) -> None:
    assert bool(mine["asks"]) == sums["asks"], mine
    if not sums["asks"]:
        assert (mine["word"], mine["u"], mine["against"]) == (sums["word"], sums["u"], sums["against"])
        rows = [show_number(value, "mm", "length", step=clearance_step("mm")) for value in sums["rows"]]
        assert [mine["diametral"], *mine["places"]] == rows


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
def test_the_script_and_the_record_print_the_same_digits(served: Served, laptop: Page, unit: str) -> None:
    """Seeded readings, judged by the record itself; a device may only say less."""
    bench(served, laptop)
    dice, found = random.Random(7), along(unit)
    decimals = {"mm": 3, "in": 5, "thou": 2}[unit]
    told = {"within limits": 0, "outside limits": 0, "not proven": 0}
    vectors = []
    for _ in range(40):
        off = [dice.uniform(-0.004, 0.004) for _ in found.places]
        vectors.append(texts_of(unit, dice.uniform(0.14, 0.37), off, decimals))
    asked: list[Asked] = [([(1, text) for text in texts], {}) for texts in vectors]
    for texts, mine in zip(vectors, reckoned(laptop, found, asked), strict=True):
        theirs = judged(unit, texts)
        assert theirs.clearance is not None
        if mine["asks"]:
            continue
        step = clearance_step(unit)
        shown = [
            show_number(v, unit, "length", step=step)
            for v in (theirs.clearance.diametral_m, theirs.clearance.radial_m)
        ]
        assert [mine["diametral"], mine["radial"]] == shown, texts
        places = [show_number(one.diametral_m, unit, "length", step=step) for one in theirs.clearance.places]
        assert mine["places"] == places
        assert mine["word"] in (theirs.verdict, "not proven")
        told[mine["word"]] += 1
    assert min(told.values()) > 0 and sum(told.values()) > 25, told
    assert card(unit).bearing.unit == unit


def test_a_phone_without_a_connection_judges_six_readings(served: Served, phone: Page) -> None:
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    check = served.desk.start_check(job, "wire", "as left", OWNER)
    fill(served.desk, Job(served.bearing, job, check), OWNER)
    for reading in served.desk.job(job).state.checks[check].readings:
        served.desk.strike(job, reading.entry, "to be read again", OWNER)
    at = f"{served.at}/jobs/{job}/checks/{check}"
    bench(served, phone, job=at)
    with phone.expect_response("**/carried?gauge=M-07") as weights:
        phone.reload()
    weights.value.finished()  # else it is cut off in the middle
    places = served.desk.job(job).state.checks[check].places
    phone.context.set_offline(True)
    for place in places[:-1]:
        type_at(phone, place.label, "0.221")
    phone.wait_for_function(SAYS.format("device can judge: 1"))
    type_at(phone, places[-1].label, "0.221")
    phone.wait_for_function(SAYS.format("within limits"))
    told = phone.locator("#carried [data-line]").inner_text()
    fact = phone.locator(
        "[data-facts] input[type=text]:visible, [data-facts] input:not([type]):visible"
    ).first
    kept = fact.input_value()
    fact.fill("9")
    fact.press("Tab")
    phone.wait_for_function(SAYS.format("the record must be asked"))
    fact.fill(kept)
    fact.press("Tab")
    assert served.desk.job(job).state.checks[check].readings == ()
    phone.context.set_offline(False)
    phone.wait_for_function("() => document.querySelector('#unsaved').hidden")
    theirs = served.desk.judgement(job, check)
    assert theirs.clearance is not None and theirs.verdict == "within limits"
    assert told.startswith(
        show_number(theirs.clearance.diametral_m, "mm", "length", step=1e-6) + " mm diametral"
    )
    assert phone.locator("#carried").is_hidden()
    assert box(phone, places[0].label).input_value() == "0.221"


def test_weights_of_another_format_are_not_read(served: Served, phone: Page) -> None:
    """What an older program left in a browser's cache tells nothing, and says so."""

    def older(route: Route) -> None:
        told = route.fetch().json()
        route.fulfill(json={**told, "format": "whitemetal.carried/3"})

    phone.route("**/carried?gauge=*", older)
    bench(served, phone)
    with phone.expect_response("**/carried?gauge=M-07") as weights:
        phone.reload()
    weights.value.finished()
    phone.context.set_offline(True)
    type_at(phone, "DE top", "0.221")
    phone.wait_for_function(SAYS.format("has not taken this check"))
    phone.context.set_offline(False)
    phone.wait_for_function("() => document.querySelector('#unsaved').hidden")


NOTHING_MORE = "() => addEventListener('bench-alone', (event) => event.stopImmediatePropagation(), true)"


def test_weights_that_come_late_are_told_at_once(served: Served, phone: Page) -> None:
    """The reading was typed before they came, and nothing else happens on the page after that."""
    coming: list[Route] = []
    phone.route("**/carried?gauge=*", lambda route: coming.append(route))
    phone.route("**/readings", lambda route: route.abort())
    bench(served, phone)
    coming.clear()
    with phone.expect_request("**/carried?gauge=M-07"):
        phone.reload()
    until(phone, lambda: bool(coming))
    type_at(phone, "DE top", "0.221")
    phone.wait_for_function(SAYS.format("has not taken this check"))
    phone.evaluate(NOTHING_MORE)
    coming[-1].continue_()
    phone.wait_for_function(SAYS.format("device can judge: 5"))


def test_gauging_strips_are_reckoned_as_by_the_sum(served: Served, laptop: Page) -> None:
    """The vectors of tests/job/test_carried_strip.py and seeded ones; readings of unlike decimals."""
    bench(served, laptop)
    found, dice = strip.fresh(), random.Random(3)
    asked: list[Asked] = [([(1, "0.20")] * 2, {}), ([(1, "0.20")] * 4, strip.TYPED)]
    for _ in range(60):
        texts = [f"{dice.uniform(0.12, 0.4):.{dice.choice((2, 3, 4))}f}"]
        texts.append(f"{float(texts[0]) + dice.uniform(-0.01, 0.01):.3f}")
        scale = dice.choice((strip.MIDDLE, strip.WIDE, "0.025 to 0.175 mm"))
        asked.append(([(1, text) for text in texts], {**strip.TYPED, "strip_range": scale}))
    words = []
    for (typed, facts), mine in zip(asked, reckoned(laptop, found, asked), strict=True):
        _as_the_sum(mine, reckon(found, typed, facts))
        words.append(mine["word"] if not mine["asks"] else "asks")
    assert {"asks", "not proven", "within limits", "outside limits"} == set(words)
    assert words[0] == "asks" and words.count("asks") < 40


def test_a_gauging_strip_is_judged_on_a_phone_without_a_connection(served: Served, phone: Page) -> None:
    job = served.desk.open_job(served.bearing, "W-2", "", OWNER)
    check = served.desk.start_check(job, "strip", "as left", OWNER)
    for key, text in strip.TYPED.items():
        if key != "strip_range":
            served.desk.keep_fact(job, check, key, text, OWNER)
    bench(served, phone, job=f"{served.at}/jobs/{job}/checks/{check}")
    with phone.expect_response("**/carried?gauge=*") as weights:
        phone.reload()
    weights.value.finished()
    phone.context.set_offline(True)
    type_at(phone, "DE top", "0.20")
    type_at(phone, "OE top", "0.205")
    phone.wait_for_function(SAYS.format("Range of the strip"))
    tell(phone, "strip_range", strip.MIDDLE)
    phone.wait_for_function(SAYS.format("within limits"))
    told_here = phone.locator("#carried [data-line]").inner_text()
    phone.context.set_offline(False)
    phone.wait_for_function("() => document.querySelector('#unsaved').hidden")
    theirs = served.desk.judgement(job, check)
    assert theirs.clearance is not None and theirs.verdict == "within limits"
    shown = show_number(theirs.clearance.diametral_m, "mm", "length", step=1e-6)
    expanded = show(theirs.clearance.expanded_m, "mm", "length", step=1e-6)
    assert told_here.startswith(f"{shown} mm diametral") and told_here.endswith(
        f"± {expanded}: within limits."
    )


def test_lifts_are_reckoned_as_by_the_sum(served: Served, laptop: Page) -> None:
    """One lift, and two that repeat more or less well; travels from too little to too much."""
    bench(served, laptop)
    dice = random.Random(5)
    once: list[Asked] = [(lift.lifts((0.24, 0.01)), {}), (lift.lifts((1.01, 0.8)), lift.TYPED)]
    twice_: list[Asked] = []
    for _ in range(40):
        clearance, cap = dice.uniform(0.1, 0.4), dice.uniform(0.0, 0.05)
        first, second = (clearance + cap, cap), (clearance + cap + dice.uniform(-0.015, 0.015), cap)
        once.append((lift.lifts(first, decimals=dice.choice((2, 3))), lift.TYPED))
        twice_.append((lift.lifts(first, second), {}))
    words = []
    for found, asked in ((lift.fresh(), once), (lift.again(1), twice_)):
        for (typed, facts), mine in zip(asked, reckoned(laptop, found, asked), strict=True):
            _as_the_sum(mine, reckon(found, typed, facts))
            words.append(mine["word"] if not mine["asks"] else "asks")
    assert {"asks", "not proven", "within limits", "outside limits"} == set(words)
    assert words.count("asks") < 40
