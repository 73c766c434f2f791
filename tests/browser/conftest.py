"""One browser for all pages, with the network off; and what it says of them."""

from __future__ import annotations

import os
import shutil
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main

ROOT = Path(__file__).parents[2]
# Boats of which a few words are said: more is to be told of them, and lines crowd otherwise.
TYPICAL = {
    "typical-catamaran": ("40 ft catamaran", "--unit", "16k"),
    "typical-catamaran-two": ("40 ft catamaran", "--unit", "16k", "--unit", "12k"),
    "typical-yacht": ("55 ft motor yacht", *3 * ("--unit", "16k"), "--supply", "115 V 60 Hz"),
}
FOUR = "typical-catamaran-four"  # two outlets on each of two pumps; of the owner's part alone
SAID = TYPICAL | {FOUR: ("14 m catamaran", "--unit", "4 x 9k", "--supply", "12 V")}
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
WITHOUT = "no browser: to run these tests type  apt-get install chromium"


@pytest.fixture(scope="session")
def browser():
    """A browser without windows."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(WITHOUT)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()


def case_of(name):
    """The case of a boat: one of these tests, or one that is shipped."""
    own = Path(__file__).with_name(f"{name}.toml")
    return own if own.exists() else ROOT / "cases" / f"{name}.toml"


def words_of(name):
    """What is typed for a boat: a few words of her, or her file."""
    return ("--boat", *SAID[name]) if name in SAID else (str(case_of(name)),)


def made(folder, name, *words):
    """The page of a boat, as the command writes it."""
    file = folder / f"{name}.html"
    few = ("--samples", "64")
    done = CliRunner().invoke(main, ["page", *map(str, words), "-o", str(file), *few])
    assert done.exit_code in (0, 1, 3), done.output
    return file


def made_for_the_owner(folder, name, *words):
    """The owner's page of a boat, as the command writes it."""
    file = folder / f"{name}.html"
    done = CliRunner().invoke(main, ["page", *words, "--owner", "-o", str(file)])
    assert done.exit_code == 0, done.output
    return file


def kept(make, folder):
    """Pages by the name of their boat: each made once, and only if asked for."""
    return cache(lambda name: make(folder, name, *words_of(name)))


@pytest.fixture(scope="session")
def written(tmp_path_factory):
    """The pages of a few boats."""
    return kept(made, tmp_path_factory.mktemp("pages"))


@pytest.fixture(scope="session")
def owner(tmp_path_factory):
    """The owner's pages of a few boats."""
    return kept(made_for_the_owner, tmp_path_factory.mktemp("dock"))


class Watched:
    """A page that is open, with all that its browser said or asked for meanwhile."""

    def __init__(self, browser, file, width=1280, **how):
        self.context = browser.new_context(
            viewport={"width": width, "height": 900}, offline=True, **how
        )
        self.page = self.context.new_page()
        self.said, self.asked = [], []
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(file.as_uri())

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.context.close()


@pytest.fixture
def opened(browser):
    """Open a file as a page that is watched."""

    def open_page(file, width=1280, **how):
        return Watched(browser, file, width, **how)

    return open_page
