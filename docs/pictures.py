"""Take the pictures of the page that the README shows: a desk's and a phone's.

python docs/pictures.py     writes docs/pictures/page.png and docs/pictures/phone.png

It needs Debian's chromium, and playwright from the test extra.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from click.testing import CliRunner
from generator.text import ROOT
from playwright.sync_api import Page, sync_playwright

from seaflow.cli.main import main

FOLDER = ROOT / "docs" / "pictures"
BOAT = ROOT / "cases" / "motor-three-units.toml"
SHOTS = {"page.png": (1280, 960, 0.6), "phone.png": (390, 844, 0.9)}  # width, height, sharpness


def take() -> None:
    """Write both pictures."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        file = Path(folder) / "boat.html"
        CliRunner().invoke(main, ["page", str(BOAT), "-o", str(file)])
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for name, (width, height, sharp) in SHOTS.items():
            context = browser.new_context(
                viewport={"width": width, "height": height}, device_scale_factor=sharp, offline=True
            )
            page: Page = context.new_page()
            page.goto(file.as_uri())
            page.screenshot(path=FOLDER / name)
        browser.close()


if __name__ == "__main__":
    take()
