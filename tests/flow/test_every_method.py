"""Rings typed by thumb, a grid marked by a dragging thumb and by keys, facts as the form, a rule adopted."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import box, job_at, readings, saved, tab_to, tap, turned, until
from tests.flow.test_unsaved import bench

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

    from whitemetal.job.state import CheckState

pytestmark = pytest.mark.browser


def begun(served: Served, page: Page, method: str) -> str:
    """The bench of a new check by this method, opened by a named person; returns its address."""
    job = served.desk.open_job(served.bearing, f"W-{method}", "", OWNER)
    check = served.desk.start_check(job, method, "as found", OWNER)
    return bench(served, page, job=f"{served.at}/jobs/{job}/checks/{check}")


def state(served: Served, address: str) -> CheckState:
    job, check = job_at(address)
    return served.desk.job(job).state.checks[check]


def middle(page: Page, place: str) -> tuple[float, float]:
    found = page.locator(f'.cell[data-place="{place}"] button').bounding_box()
    assert found is not None
    return found["x"] + found["width"] / 2, found["y"] + found["height"] / 2


def drag(page: Page, *places: str) -> None:
    """A thumb put down on the first place, drawn over the others, and lifted; the next tap takes a moment, or
    the browser takes both for one gesture."""
    page.locator(f'.cell[data-place="{places[0]}"] button').scroll_into_view_if_needed()
    thumb = page.context.new_cdp_session(page)
    for number, place in enumerate(places):
        x, y = middle(page, place)
        kind = "touchMove" if number else "touchStart"
        thumb.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    thumb.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    thumb.detach()
    page.wait_for_timeout(400)  # of the hand, not of the machine: what was marked is waited for (`come_to`)


def come_to(page: Page, expected: dict[str, str]) -> None:
    """Wait until exactly this is marked: the browser hands a thumb's way on when it has a moment."""
    until(page, lambda: marked(page) == expected)


def marked(page: Page) -> dict[str, str]:
    found: dict[str, str] = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('select.choice')]
            .filter(one => one.value).map(one => [one.dataset.place, one.value]))"""
    )
    return found


def all_kept(page: Page) -> None:
    """Wait until nothing is marked that is not kept."""
    page.wait_for_function(
        "() => ![...document.querySelectorAll('.cell')].some(one => one.dataset.state === 'unsaved')"
    )
    saved(page)


def test_rings_are_typed_by_thumb_and_an_inch_on_a_millimetre_box(served: Served, phone: Page) -> None:
    """6.2992 in are 160.00 mm (25.4 mm to the inch)."""
    at = begun(served, phone, "journal")
    ring = ("DE 0", "DE 45", "DE 90", "DE 135")
    phone.locator(".tabs").get_by_role("link", name="M-07").tap()
    for place, text in zip(ring, ("160.00", "159.99", "160.00", "6.2992 in"), strict=True):
        box(phone, place).tap()
        phone.keyboard.type(text)
        phone.keyboard.press("Enter")
    saved(phone)
    assert readings(served.desk, at) == list(
        zip(ring, ("160.00", "159.99", "160.00", "6.2992 in"), strict=True)
    )
    inch = next(one for one in state(served, at).readings if one.place == "DE 135")
    assert inch.value == pytest.approx(0.0254 * 6.2992)
    typed = box(phone, "DE 135")
    assert not typed.locator("xpath=../span[@class='unit']").is_visible(), "its own unit stands in the box"
    assert typed.evaluate("one => one.scrollWidth <= one.clientWidth")
    heights = phone.evaluate(
        "() => [...document.querySelectorAll('input.reading')].map(one => one.getBoundingClientRect().height)"
    )
    assert len(heights) == 12
    assert min(heights) >= 44
    assert "not proven" in phone.locator("#strip").inner_text()


def test_a_grid_is_marked_by_a_dragging_thumb(served: Served, phone: Page) -> None:
    at = begun(served, phone, "contact")
    entries = served.desk.job(job_at(at)[0]).state.entries
    drag(phone, "C5", "C6", "C7", "C8")
    come_to(phone, dict.fromkeys(("C5", "C6", "C7", "C8"), "heavy"))
    all_kept(phone)
    assert dict(readings(served.desk, at)) == dict.fromkeys(("C5", "C6", "C7", "C8"), "heavy")
    assert served.desk.job(job_at(at)[0]).state.entries == entries + 4, "one entry a cell"
    phone.locator('.cell[data-place="D6"] button').tap()
    phone.locator('.cell[data-place="D6"] button').tap()
    all_kept(phone)
    assert dict(readings(served.desk, at))["D6"] == "light", "two taps, one reading"
    assert state(served, at).struck == ()
    drag(phone, "C8", "C9")
    phone.wait_for_function("() => document.querySelector('select[data-place=\"C9\"]').value === 'light'")
    all_kept(phone)
    assert dict(readings(served.desk, at))["C8"] == "light", "marked anew from heavy"
    assert [one.reading.place for one in state(served, at).struck] == ["C8"]
    phone.reload()
    assert marked(phone) == {
        "C5": "heavy", "C6": "heavy", "C7": "heavy", "C8": "light", "C9": "light", "D6": "light",
    }  # fmt: skip


def test_every_other_cell_is_marked_at_once(served: Served, phone: Page) -> None:
    at = begun(served, phone, "contact")
    drag(phone, "A6", "A7")
    come_to(phone, dict.fromkeys(("A6", "A7"), "heavy"))
    tap(phone.get_by_role("button", name="Mark every other cell none"))
    all_kept(phone)
    kept = dict(readings(served.desk, at))
    assert len(kept) == 72
    assert {place for place, word in kept.items() if word != "none"} == {"A6", "A7"}
    assert "72 of 72 cells marked" in phone.locator("#table").inner_text()


def test_a_grid_is_marked_by_keys(served: Served, laptop: Page) -> None:
    at = begun(served, laptop, "contact")
    tab_to(laptop, ".mark-it")
    start = laptop.evaluate("document.activeElement.cell.place")
    assert start == "F1", "the far row, as one stands"
    for key in ("h", "ArrowRight", "l", "ArrowDown", "Space", "Space", "Space", "ArrowLeft", "h", "Delete"):
        laptop.keyboard.press(key)
    all_kept(laptop)
    assert dict(readings(served.desk, at)) == {"F1": "heavy", "F2": "light", "E2": "none"}
    laptop.keyboard.press("Tab")
    assert laptop.evaluate("document.activeElement.id") == "grid-rest", "one stop for the whole grid"


def test_a_grid_marked_without_a_network_is_kept_later(served: Served, phone: Page) -> None:
    at = begun(served, phone, "contact")
    phone.context.set_offline(True)
    drag(phone, "B3", "B4")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('1')")
    assert readings(served.desk, at) == []
    phone.context.set_offline(False)
    all_kept(phone)
    assert dict(readings(served.desk, at)) == {"B3": "heavy", "B4": "heavy"}


def test_what_somebody_else_marks_appears(served: Served, phone: Page) -> None:
    at = begun(served, phone, "contact")
    job, check = job_at(at)
    served.desk.keep_reading(job, check, "A1", "light", OWNER)
    phone.evaluate("dispatchEvent(new Event('focus'))")
    phone.wait_for_function("() => document.querySelector('select[data-place=\"A1\"]').value === 'light'")
    drag(phone, "A1")
    all_kept(phone)
    assert dict(readings(served.desk, at)) == {"A1": "none"}


def test_measured_facts_are_the_form(served: Served, phone: Page) -> None:
    at = begun(served, phone, "seat")
    phone.get_by_label("Share of the shell's back").fill("85")
    phone.keyboard.press("Enter")
    saved(phone)
    phone.get_by_label("Thickest feeler that enters").fill("0")
    phone.keyboard.press("Enter")
    saved(phone)
    for question in ("Shell rocks in its seat", "Bright spots", "Joint faces clean", "Match marks together"):
        answer = "yes" if question.startswith(("Joint", "Match")) else "no"
        tap(phone.get_by_role("group", name=question).get_by_role("radio", name=answer))
        saved(phone)
    facts = state(served, at).facts
    assert facts["contact"].value == pytest.approx(0.85)
    assert {facts[key].text for key in ("rocks", "bright_spots")} == {"no"}
    live = phone.locator("#live").inner_text()
    assert "85.0 %" in live
    assert "no limit on the card" in live


def test_a_rule_is_adopted_from_the_judgement(served: Served, phone: Page) -> None:
    at = begun(served, phone, "end_float")
    phone.get_by_label("Whole travel").or_(phone.locator("[name='fact.total']")).first.fill("6.0")
    phone.keyboard.press("Enter")
    saved(phone)
    phone.goto(f"{at}/judgement")
    link = (
        phone.get_by_role("link", name="Adopt on the card")
        .or_(phone.get_by_role("link", name="write it on the card"))
        .first
    )
    with turned(phone):
        link.tap()
    limit = phone.locator("#new-limit")
    assert limit.evaluate("one => one.open")
    assert limit.locator("[data-quantity]").input_value() == "end float"
    limit.locator("[data-quantity]").select_option("contact arc")
    assert limit.locator("[data-figure]").first.get_attribute("placeholder") == "… deg"
    bases = limit.locator("select[data-bases] option").all_inner_texts()
    assert bases[1:] == ["as it is"]
    limit.locator("[data-quantity]").select_option("crush")
    assert limit.locator("select[data-bases] option").all_inner_texts()[1:] == ["diametral", "joint gap"]


def test_cells_marked_while_others_are_on_their_way_stay_marked(served: Served, phone: Page) -> None:
    """The answer to the first cells comes after later ones were marked and are to go: it takes nothing back."""
    at = begun(served, phone, "contact")
    held: list[Route] = []
    phone.route("**/readings", lambda route: held.append(route))
    drag(phone, "A1", "A2")
    until(phone, lambda: len(held) == 1)
    drag(phone, "B1", "B2")
    phone.wait_for_function("() => document.querySelector('#unsaved').textContent.includes('2')")
    held[0].continue_()
    phone.wait_for_function("() => document.querySelector('#table').innerText.includes('2 of 72')")
    assert marked(phone) == dict.fromkeys(("A1", "A2", "B1", "B2"), "heavy")
    until(phone, lambda: len(held) == 2)
    held[1].continue_()
    all_kept(phone)
    assert dict(readings(served.desk, at)) == dict.fromkeys(("A1", "A2", "B1", "B2"), "heavy")


def test_a_grid_without_a_script_is_a_list_of_choices(served: Served, window: Callable[..., Page]) -> None:
    page = window(360, 740, java_script_enabled=False)
    at = begun(served, page, "contact")
    found = [one.bounding_box() for one in page.locator("select.choice").all()[:6]]
    names = [one.bounding_box() for one in page.locator(".cell label").all()[:6]]
    assert all(one is not None and one["height"] >= 44 and one["width"] >= 44 for one in found)
    for number in range(3):
        above, below = found[number], names[number + 3]
        assert above is not None and below is not None
        assert above["y"] + above["height"] <= below["y"], "no box covers the next row's name"
    page.locator("select[name='reading.C6']").select_option("heavy")
    with page.expect_navigation():
        page.get_by_role("button", name="Save the readings").click()
    assert dict(readings(served.desk, at)) == {"C6": "heavy"}
