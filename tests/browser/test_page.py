"""The page of a boat in a real browser: quiet, offline, narrow, by keyboard, and on paper."""

import re

import pytest

BOATS = ("ketch-one-unit", "motor-three-units", "catamaran-two-loops")
PHONE = 390


@pytest.mark.parametrize("name", BOATS)
def test_it_opens_from_a_file_without_a_word_and_asks_for_nothing_else(written, opened, name):
    file = written(name)
    with opened(file) as seen:
        assert seen.page.title().endswith("seawater cooling")
        assert seen.said == []
        assert seen.asked == [file.as_uri()]


@pytest.mark.parametrize("name", BOATS)
def test_nothing_stands_beyond_the_edge_of_a_phone(written, opened, name):
    with opened(written(name), PHONE) as seen:
        seen.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert seen.page.evaluate("document.documentElement.scrollWidth") == PHONE


def test_the_page_forbids_itself_the_network_and_any_script_but_its_own(written):
    text = written(BOATS[0]).read_text(encoding="utf-8")
    rule = re.search(r'Content-Security-Policy" content="([^"]*)"', text)[1]
    assert "default-src 'none'" in rule and "'unsafe-eval'" not in rule
    assert re.search(r"script-src 'sha256-[\w+/=]{44}';", rule)
    assert not re.search(r'(?:src|href|action)="(?!#)', text)


def test_the_switch_shows_one_system_of_units(written, opened):
    with opened(written(BOATS[0])) as seen:
        figure = seen.page.locator(".figures dd").first
        assert "L/min" in figure.inner_text() and "gpm" not in figure.inner_text().split("\n")[0]
        seen.page.keyboard.press("Tab")
        seen.page.locator("#metric").focus()
        seen.page.keyboard.press("ArrowRight")
        assert "gpm" in figure.inner_text()
        seen.page.reload()
        assert "gpm" in figure.inner_text()


def test_it_is_dark_where_the_device_is_and_as_the_switch_says(written, opened):
    with opened(written(BOATS[0]), color_scheme="dark") as seen:
        paper = "getComputedStyle(document.body).backgroundColor"
        dark = seen.page.evaluate(paper)
        seen.page.locator("#light").check()
        assert seen.page.evaluate(paper) == "rgb(255, 255, 255)" != dark
        seen.page.locator("#dark").check()
        assert seen.page.evaluate(paper) == dark
        seen.page.emulate_media(media="print")
        assert seen.page.evaluate(paper) == "rgb(255, 255, 255)"
