"""Every page for everyone: axe-core finds nothing, nothing hangs over the edge, thumbs find their targets."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import say_who, tap
from tests.web.plant import Job, fill

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

THUMB = 48
"""Least height of what is tapped at the bench [px]."""


def pages(served: Served) -> dict[str, str]:
    """Every page, one job before its readings and one after, with a struck and an unreadable reading."""
    desk = served.desk
    made = []
    for number in ("W-1", "W-2"):
        opened = desk.open_job(served.bearing, number, "as found", OWNER)
        made.append(Job(served.bearing, opened, desk.start_check(opened, "wire", "as found", OWNER)))
    early, late = made
    fill(desk, late, OWNER)
    first = desk.job(late.job).state.checks[late.check].readings[0]
    desk.strike(late.job, first.entry, "misread", OWNER)
    desk.keep_reading(late.job, late.check, first.place, "1,234", OWNER, unit="mm")
    desk.change_fit(late.job, "scraping", "lower", "", "high spot taken down", OWNER)
    book = f"/bearings/{served.bearing}"
    others = {method: f"/jobs/{late.job}/checks/{desk.start_check(late.job, method, 'as left', OWNER)}"
              for method in ("journal", "contact", "seat", "alignment")}  # fmt: skip
    contact = others["contact"].rpartition("/")[2]
    for place, word in (("A6", "heavy"), ("A7", "light"), ("B6", "none")):
        desk.keep_reading(late.job, contact, place, word, OWNER)
    seat = others["seat"].rpartition("/")[2]
    for key, text in (("contact", "85 %"), ("joint_feeler", "0 mm"), ("rocks", "yes")):
        desk.keep_fact(late.job, seat, key, text, OWNER)
    return {
        **{f"bench {method}": at for method, at in others.items()},
        **{f"judgement {method}": f"{at}/judgement" for method, at in others.items()},
        "adopting": f"{book}/edit?of=crush&minimum=0 mm&rung=general rule",
        "plant": "/", "gauges": "/instruments", "proof": "/verify", "new card": "/bearings/new", "card": book,
        "card form": f"{book}/edit", "card text": f"{book}/edit?as=text", "new job": f"{book}/jobs/new",
        "job": f"/jobs/{late.job}", "bench before": early.at, "bench after": late.at,
        "bench turned": f"{late.at}?stand=180&squeeze=2", "place": f"{late.at}/places/{first.place}",
        "judgement before": f"{early.at}/judgement", "judgement": f"{late.at}/judgement",
        "plan": f"{late.at}/plan", "plan tried": f"{late.at}/plan?rough.drive end=1",
        "order": f"/jobs/{late.job}/order", "fit": f"/jobs/{late.job}/fit?what=shim",
        "procedure": f"/jobs/{late.job}/procedure", "type in": f"/jobs/{late.job}/type-in",
        "the plant's procedure": "/procedure",
        "life": f"{book}/life", "old paper": f"{book}/paper", "openings": "/openings",
        "record": f"/record/{late.job}", "no such page": "/nowhere",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("width", "height", "scheme"), [(360, 740, "light"), (1280, 800, "light"), (360, 740, "dark")]
)
def test_axe_finds_nothing(
    served: Served, window: Callable[..., Page], width: int, height: int, scheme: str
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = window(width, height, color_scheme=scheme)
    axe = Axe()
    found: dict[str, list[Any]] = {}
    for name, address in pages(served).items():
        page.goto(served.at + address)
        if name.startswith("bench"):
            page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        result = axe.run(page).response
        assert result["passes"], name
        wrong = [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in result["violations"]]
        if wrong:
            found[name] = wrong
    assert found == {}


def test_axe_would_have_found_something(served: Served, laptop: Page) -> None:
    from axe_playwright_python.sync_playwright import Axe

    laptop.goto(served.at)
    laptop.evaluate("document.querySelector('#who-name').labels[0].remove()")
    assert [v["id"] for v in Axe().run(laptop).response["violations"]] == ["label"]


@pytest.mark.parametrize("width", [360, 1280])
def test_nothing_hangs_over_the_edge(served: Served, window: Callable[..., Page], width: int) -> None:
    page = window(width, 740)
    for name, address in pages(served).items():
        page.goto(served.at + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name


def test_thumbs_find_their_targets(served: Served, phone: Page) -> None:
    phone.goto(served.at + pages(served)["bench after"])
    small = phone.evaluate(
        """least => [...document.querySelectorAll(
                'main button, main input:not([type=hidden]), main select, main summary, main a')]
            .filter(one => one.offsetParent && !one.closest('[hidden]'))
            .map(one => [one.name || one.textContent.trim(), one.getBoundingClientRect().height])
            .filter(([, height]) => height < least)""",
        THUMB,
    )
    boxes = phone.locator("input.reading").count()
    assert boxes == 6
    assert small == []


def test_the_boxes_come_soon_after_the_facts(served: Served, phone: Page) -> None:
    both = pages(served)
    for name, screens in (("bench before", 2.0), ("bench after", 1.5)):
        phone.goto(served.at + both[name])
        way = phone.evaluate(
            "() => ['#h-facts', 'input.reading'].map(s => document.querySelector(s).getBoundingClientRect().top)"
        )
        assert 0 < way[1] - way[0] <= screens * 740, name


@pytest.mark.parametrize("width", [360, 1280])
def test_the_title_block_has_no_empty_cell(served: Served, window: Callable[..., Page], width: int) -> None:
    page = window(width, 740)
    for name, address in pages(served).items():
        page.goto(served.at + address)
        gaps = page.evaluate(
            """() => [...document.querySelectorAll('main .block')].flatMap(block => {
                const edge = block.getBoundingClientRect().right, rows = new Map();
                for (const cell of block.children) {
                    const at = cell.getBoundingClientRect();
                    rows.set(Math.round(at.top), Math.max(rows.get(Math.round(at.top)) || 0, at.right));
                }
                return [...rows.values()].map(right => edge - right).filter(gap => gap > 1.5);
            })"""
        )
        assert gaps == [], name


def test_no_word_on_the_title_block_is_broken(served: Served, phone: Page) -> None:
    """Each word fits its cell: a cell too narrow takes another line instead."""
    for name, address in pages(served).items():
        phone.goto(served.at + address)
        over = phone.evaluate(
            """() => [...document.querySelectorAll('main .block > div')]
                .filter(cell => { const own = cell.getBoundingClientRect().width, was = cell.style.cssText;
                    cell.style.width = 'min-content'; cell.style.flex = 'none';
                    const least = cell.getBoundingClientRect().width; cell.style.cssText = was;
                    return least > own + 1; })
                .map(cell => cell.textContent.trim())"""
        )
        assert over == [], name


def test_no_table_scrolls_sideways_on_a_phone(served: Served, phone: Page) -> None:
    phone.goto(served.at + pages(served)["judgement"])
    phone.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    tables = phone.locator(".scroll")
    assert tables.count() >= 3
    wide = phone.evaluate(
        """() => [...document.querySelectorAll('.scroll, .scroll td, .scroll th')]
            .filter(one => one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 1)
            .map(one => one.textContent.trim().slice(0, 40))"""
    )
    assert wide == []
    heads = phone.evaluate(
        "() => [...document.querySelectorAll('.scroll td')].filter(one => !one.dataset.head).length"
    )
    assert heads == 0, "every stacked cell says its column"


def test_the_place_in_hand_keeps_its_name_in_sight(served: Served, phone: Page) -> None:
    """The box with the focus draws its frame inwards: the name above it is not covered."""
    phone.goto(served.at + pages(served)["bench before"])
    tap(phone.locator("input.reading").first)
    frame = phone.evaluate(
        """() => { const style = getComputedStyle(document.activeElement.closest('.box'));
            return [style.outlineStyle, parseFloat(style.outlineWidth), parseFloat(style.outlineOffset)]; }"""
    )
    assert frame[0] == "solid"
    assert frame[1] >= 2
    assert frame[1] + frame[2] <= 1


def test_a_reading_in_its_own_unit_is_seen_whole_without_the_boxes_unit(served: Served, phone: Page) -> None:
    phone.goto(served.at + pages(served)["bench before"])
    box = phone.locator("input.reading").first
    unit = box.locator("xpath=../span[@class='unit']")
    assert unit.is_visible()
    box.fill("11.4 thou")
    assert not unit.is_visible()
    assert box.evaluate("one => one.scrollWidth <= one.clientWidth")
    box.fill("0.225")
    assert unit.is_visible()


def test_a_reading_is_seen_whole_in_its_box(served: Served, phone: Page) -> None:
    phone.goto(served.at + pages(served)["bench after"])
    cut = phone.evaluate(
        """() => [...document.querySelectorAll('input.reading')]
            .filter(one => one.scrollWidth > one.clientWidth).map(one => one.value)"""
    )
    assert phone.locator("input.reading").first.input_value() != ""
    assert cut == []


def test_axe_finds_nothing_while_the_bench_asks_and_complains(served: Served, phone: Page) -> None:
    from axe_playwright_python.sync_playwright import Axe

    phone.goto(served.at + pages(served)["bench after"])
    say_who(phone, "Tove Invented")
    boxes = phone.locator("input.reading")
    boxes.nth(0).fill("0.199")
    phone.keyboard.press("Enter")
    phone.locator("#ask").wait_for()
    phone.route("**/facts", lambda route: route.abort())
    phone.locator("section[aria-labelledby=h-facts] summary").first.tap()
    phone.get_by_label("Wire diameter").fill("0.41")
    phone.keyboard.press("Enter")
    phone.locator("[data-key=wire_diameter] .state").wait_for()
    assert Axe().run(phone).response["violations"] == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
