"""Takes the README's pictures from the demo: four by headless chromium, the data sheet by pdftoppm."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "docs" / "pictures"
sys.path[:0] = [str(ROOT)]

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 900, "height": 740}


def make_record(where: Path) -> tuple[str, str]:
    """The demo at ``where``; job and check of the gear unit's bearing."""
    from whitemetal.demo_mill.load import load, mill_clock, mill_ids
    from whitemetal.desk import Desk

    desk = Desk.open(str(where), clock=mill_clock(), ids=mill_ids())
    try:
        load(desk)
        gear = next(machine for machine in desk.plant() if machine.kind == "gear unit")
        job = gear.bearings[0].jobs[0].book
        check = list(desk.job(job).state.checks)[-1]
        PICTURES.mkdir(parents=True, exist_ok=True)
        _picture_of_paper(desk.sheet(job, check), where.parent)
    finally:
        desk.close()
    return job, check


def _picture_of_paper(pdf: bytes, folder: Path) -> None:
    program = shutil.which("pdftoppm")
    if program is None:
        print("· no pdftoppm here (poppler-utils): the picture of the sheet stays as it was")
        return
    (folder / "sheet.pdf").write_bytes(pdf)
    page = ("-f", "1", "-l", "1", "-r", "80", "-png", "-singlefile")
    subprocess.run([program, *page, folder / "sheet.pdf", PICTURES / "sheet"], check=True)


def take(browser: Browser, address: str, name: str, size: dict[str, int], at: str = "body") -> None:
    """One page as it stands on a screen of this size, scrolled to what ``at`` selects."""
    tab = browser.new_page(viewport={"width": size["width"], "height": size["height"]})
    tab.goto(address)
    tab.wait_for_load_state("networkidle")
    tab.locator(at).first.evaluate("element => element.scrollIntoView()")
    tab.screenshot(path=PICTURES / f"{name}.png")
    tab.close()


def take_part(browser: Browser, address: str, name: str, part: str) -> None:
    """One element of a page, whole. The first film of an installation takes a minute or two."""
    tab = browser.new_page(viewport={"width": LAPTOP["width"], "height": LAPTOP["height"]})
    tab.goto(address, timeout=300_000)
    tab.locator(part).first.screenshot(path=PICTURES / f"{name}.png")
    tab.close()


def main() -> None:
    """Take all five."""
    from playwright.sync_api import sync_playwright

    from bench import served
    from tools import find_browser

    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "mill.sqlite3"
        job, check = make_record(where)
        with served.server("whitemetal", where) as port, sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=find_browser.find(), chromium_sandbox=False, args=["--disable-gpu"]
            )
            here = f"http://127.0.0.1:{port}"
            take(browser, f"{here}/", "plant", LAPTOP)
            take(browser, f"{here}/jobs/{job}/checks/{check}", "bench", PHONE, at="#stand")
            take(browser, f"{here}/jobs/{job}/checks/{check}/judgement", "judgement", LAPTOP)
            take_part(browser, f"{here}/jobs/{job}/checks/{check}/film", "window", ".pictures")
            browser.close()
    for picture in sorted(PICTURES.glob("*.png")):
        print(f"{picture.relative_to(ROOT)}  {picture.stat().st_size // 1024} KB")


if __name__ == "__main__":
    main()
