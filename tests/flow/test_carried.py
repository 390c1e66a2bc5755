"""The verdict where there is no connection: the script gives what the record gives, and says when it cannot."""

from __future__ import annotations

import json
import random
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box
from tests.flow.test_unsaved import bench, type_at
from tests.job.test_carried import along, card, judged, texts_of
from tests.web.plant import Job, fill
from whitemetal.job.carried import carried_json
from whitemetal.units import clearance_step, show_number

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

SAYS = "() => document.querySelector('#carried [data-line]').textContent.includes('{}')"


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
def test_the_script_and_the_record_print_the_same_digits(served: Served, laptop: Page, unit: str) -> None:
    """Seeded readings, judged by the record itself; a device may only say less."""
    bench(served, laptop)
    dice, found = random.Random(7), along(unit)
    decimals = {"mm": 3, "in": 5, "thou": 2}[unit]
    told = {"within limits": 0, "outside limits": 0, "not proven": 0}
    for _ in range(40):
        off = [dice.uniform(-0.004, 0.004) for _ in found.places]
        texts = texts_of(unit, dice.uniform(0.14, 0.37), off, decimals)
        mine = laptop.evaluate(
            "([a, t]) => whitemetalReckon(a, t)", [json.loads(json.dumps(carried_json(found))), texts]
        )
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
    with phone.expect_response("**/carried?gauge=M-07"):
        bench(served, phone, job=at)
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
