"""Take the pictures of the page that the README shows: a desk's, and the owner's phone.

python docs/pictures.py     writes docs/pictures/page.png and docs/pictures/phone.png

It needs Debian's chromium, and playwright from the test extra.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from click.testing import CliRunner
from generator.text import ROOT
from playwright.sync_api import Browser, Page, sync_playwright

from seaflow.cli.main import main

FOLDER = ROOT / "docs" / "pictures"
DESK, PHONE = ROOT / "cases" / "motor-three-units.toml", ROOT / "cases" / "ketch-one-unit.toml"


def opened(browser: Browser, file: Path, size: tuple[int, int], sharp: float) -> Page:
    """Return a page as a window of this size shows it, with the network off."""
    viewport = {"width": size[0], "height": size[1]}
    context = browser.new_context(viewport=viewport, device_scale_factor=sharp, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    return page


def take() -> None:
    """Write both pictures."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        boat, dock = Path(folder) / "boat.html", Path(folder) / "dock.html"
        CliRunner().invoke(main, ["page", str(DESK), "-o", str(boat)])
        CliRunner().invoke(main, ["page", str(PHONE), "--owner", "-o", str(dock)])
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        opened(browser, boat, (1280, 960), 0.6).screenshot(path=FOLDER / "page.png")
        phone = opened(browser, dock, (390, 844), 0.9)
        phone.fill("[name=sea]", "28")
        phone.fill("[name=discharge-0-0]", "44")
        phone.check("[name=stream-0-0][value='1']")
        phone.locator("#dock-rows div").first.wait_for()
        phone.locator("#dock-answer").scroll_into_view_if_needed()
        phone.evaluate("document.getElementById('dock-answer').scrollIntoView()")
        phone.screenshot(path=FOLDER / "phone.png")
        browser.close()


if __name__ == "__main__":
    take()
