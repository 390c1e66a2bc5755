"""Damage marked on the unrolled shell and photographed, on a phone; the pages fit the hand and axe-core finds
nothing."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.desk.pictures import as_jpeg, pattern
from tests.flow.conftest import OWNER, Served
from whitemetal.desk.inspection import keep_finding
from whitemetal.desk.photographs import keep_photograph, photographs

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

THUMB = 44
"""Least height of what is tapped [px]."""


def named(page: Page, at: str) -> None:
    """Give a name in the foot of a page."""
    page.goto(at)
    page.locator("#who-name").fill("Ada Invented")
    with page.expect_navigation():
        page.locator(".who button").tap()


def begun(served: Served) -> str:
    """A job with damage seen and a photograph of it."""
    job = served.desk.open_job(served.bearing, "N-7", "", OWNER)
    kept = keep_finding(served.desk, job, "smeared", OWNER, cells=["lower first left", "lower first crown"])
    assert kept.entry is not None
    keep_photograph(served.desk, job, as_jpeg(pattern(400, 300), 6), OWNER, of=kept.entry.id, caption="wiped")
    return job


def test_damage_is_marked_by_thumb_and_photographed(served: Served, phone: Page, tmp_path: Path) -> None:
    """A picture of 12 million pixels, held upright: it arrives upright and smaller, with its time, without
    where it was taken."""
    job = served.desk.open_job(served.bearing, "N-8", "", OWNER)
    named(phone, served.at)
    phone.goto(f"{served.at}/jobs/{job}/inspection")
    phone.get_by_text("worn bright at one end, or at opposite corners").tap()
    for key in ("lower first left", "lower second right"):
        phone.locator(f'label.cell:has(input[value="{key}"])').tap()
    phone.get_by_role("button", name="Keep and show the causes").tap()
    phone.get_by_text("Where: opposite corners.").wait_for()
    (damage,) = served.desk.job(job).state.damage
    assert set(damage.cells) == {"lower first left", "lower second right"}
    picture = tmp_path / "IMG_1.jpg"
    picture.write_bytes(as_jpeg(pattern(4000, 3000), 6))
    phone.locator(f"#d-{damage.entry} .attach summary").tap()
    phone.locator(f"#d-{damage.entry} input[type=file]").set_input_files(picture)
    phone.locator(f"#d-{damage.entry} .attach input[name=caption]").fill("both corners")
    phone.get_by_role("button", name="Keep photographs").tap()
    phone.locator(f"#d-{damage.entry} .shots img").wait_for()
    ((one, file),) = photographs(served.desk, job)
    assert (one.of, one.caption, one.width, one.height) == (damage.entry, "both corners", 1920, 2560)
    assert one.taken
    assert file is not None
    kept = Image.open(BytesIO(file.content))
    assert kept.size == (1920, 2560)
    red, green, blue = kept.convert("RGB").getpixel((1900, 20))  # type: ignore[misc]
    assert red > 150 and green < 90 and blue < 90, "a quarter turn clockwise: red comes to the top right"
    assert 0x8825 not in kept.getexif()
    phone.locator(".shots img").first.scroll_into_view_if_needed()
    phone.wait_for_function("() => document.querySelector('.shots img').naturalWidth > 0")
    assert phone.evaluate("document.querySelector('.shots img').naturalWidth") == 240


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_hangs_over_the_edge(
    served: Served, window: Callable[..., Page], scheme: str
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page, job = window(360, 740, color_scheme=scheme), begun(served)
    for name in ("inspection", "as-found", "photographs"):
        page.goto(f"{served.at}/jobs/{job}/{name}")
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        found = Axe().run(page).response
        assert found["passes"], name
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found["violations"]] == [], name
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, name


def test_thumbs_find_their_targets(served: Served, phone: Page) -> None:
    job = begun(served)
    for name in ("inspection", "as-found", "photographs"):
        phone.goto(f"{served.at}/jobs/{job}/{name}")
        small = phone.evaluate(
            """least => [...document.querySelectorAll('main button, main select, main summary, main nav a, '
                    + 'main label.answer, main label.cell, main input[type=file], main .shots a')]
                .filter(one => one.offsetParent && one.getBoundingClientRect().height < least)
                .map(one => [one.className || one.textContent.trim(), one.getBoundingClientRect().height])""",
            THUMB,
        )
        assert small == [], name
