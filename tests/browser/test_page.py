"""The page of a boat in a real browser: quiet, offline, narrow, by keyboard, and on paper."""

import re
import unicodedata
from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner
from disguise import read
from disguise import written as toml_of
from pypdfium2 import PdfDocument
from table_weighing import boats_of

from seaflow.boat.checks.names import LONGEST_NAME
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.present.page import html
from seaflow.present.page.page import IN_SHORT
from seaflow.studies.page import study
from seaflow.studies.page.study import UNITS_WITH_OWNER, room_for

from .conftest import ROOT, TYPICAL, Watched, case_of, made, made_for_the_owner

BOATS = ("ketch-one-unit", "motor-three-units", "catamaran-two-loops")
EVERY = (*BOATS, "badly-arranged", "battery-sloop-variable")
PHONE = 390
WIDTHS = (360, 760, 1280)
SHEET = 680  # pixels across that A4 leaves, at 96 to the inch


def open_all(seen):
    """Unfold everything."""
    seen.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")


@pytest.mark.parametrize("name", BOATS)
def test_it_opens_from_a_file_without_a_word_and_asks_for_nothing_else(written, opened, name):
    file = written(name)
    with opened(file) as seen:
        assert seen.page.title().endswith("seawater cooling")
        assert seen.said == []
        assert seen.asked == [file.as_uri()]


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


def test_every_shipped_boat_is_among_them():
    assert sorted(EVERY) == sorted(case.stem for case in (ROOT / "cases").glob("*.toml"))


# Every reader


AXE_FOUND = ("serious", "critical")


@pytest.mark.parametrize(("name", "scheme"), [(BOATS[0], "light"), (BOATS[1], "dark")])
def test_a_checker_of_accessibility_finds_nothing_serious(written, opened, name, scheme):
    from axe_playwright_python.sync_playwright import Axe

    with opened(written(name), color_scheme=scheme) as seen:
        # the checker's own script is let in by its own way, not by the page
        found = Axe().run(seen.page, options={"resultTypes": ["violations"]}).response
        worst = [
            (one["id"], [node["target"] for node in one["nodes"]][:3])
            for one in found["violations"]
            if one["impact"] in AXE_FOUND
        ]
        assert worst == []


@pytest.mark.parametrize("name", [BOATS[0], "typical-catamaran-two"])
def test_the_keyboard_reaches_everything_that_can_be_used_and_shows_where_it_is(
    written, opened, name
):
    with opened(written(name)) as seen:
        wanted = seen.page.evaluate(
            """() => [...document.querySelectorAll('a[href], button, summary, input')]
                .filter(e => e.checkVisibility() && !(e.type === 'radio' && !e.checked)).length"""
        )
        reached = set()
        for _ in range(wanted + 5):
            seen.page.keyboard.press("Tab")
            at = seen.page.evaluate(
                """() => { const e = document.activeElement;
                    if (e === document.body) return null;
                    const all = [...document.querySelectorAll('*')];
                    const ring = getComputedStyle(e.closest('label') || e).outlineStyle;
                    return [all.indexOf(e), ring]; }"""
            )
            if at is None:
                break
            assert at[1] == "solid"
            reached.add(at[0])
        assert len(reached) == wanted


def test_enter_opens_what_is_folded(written, opened):
    with opened(written(BOATS[0]), PHONE) as seen:
        fold = seen.page.locator("#place .fold")
        assert fold.get_attribute("open") is None
        seen.page.locator("#place summary").first.focus()
        seen.page.keyboard.press("Enter")
        assert fold.get_attribute("open") is not None
        seen.page.evaluate("location.hash = '#energy'")
        assert seen.page.locator("#energy .fold").get_attribute("open") is not None


# between the margins of A4 and of Letter, in px of 96 to the inch
PAPERS = ((680, 1009), (702, 942))


@pytest.mark.parametrize(("wide", "high"), PAPERS)
def test_the_drawing_of_the_place_and_its_key_fit_on_one_sheet(written, opened, wide, high):
    with opened(written("motor-three-units"), wide) as seen:
        open_all(seen)
        seen.page.emulate_media(media="print")
        assert seen.page.locator(".plan .key li").count() > 15
        assert seen.page.locator(".plan").bounding_box()["height"] < high


# Pictures

BOXES = """() => {
  const bad = [];
  for (const svg of document.querySelectorAll('main svg[role=img]')) {
    if (!svg.checkVisibility()) continue;
    const whole = svg.getBoundingClientRect();
    const boxes = [...svg.querySelectorAll('text')].map(t => {
      const b = t.getBoundingClientRect(), pad = b.height * 0.16;
      return [t.textContent, b.left, b.top + pad, b.right, b.bottom - pad];
    });
    boxes.forEach(([words, l, t, r, b], i) => {
      if (l < whole.left - 3 || r > whole.right + 3 || t < whole.top - 3 || b > whole.bottom + 3)
        bad.push([svg.getAttribute('class'), 'cut', words]);
      for (const [other, l2, t2, r2, b2] of boxes.slice(i + 1)) {
        const over = Math.min(Math.min(r, r2) - Math.max(l, l2), Math.min(b, b2) - Math.max(t, t2));
        if (over > 3) bad.push([svg.getAttribute('class'), words, other]);
      }
    });
  }
  return bad;
}"""


CROWDED = """() => {
  const bad = [];
  for (const svg of document.querySelectorAll('main svg[role=img]')) {
    if (!svg.checkVisibility()) continue;
    const boxes = [...svg.querySelectorAll('text')]
      .filter(t => getComputedStyle(t).textAnchor === 'middle' && /^[0-9.]+$/.test(t.textContent))
      .map(t => [t.textContent, t.getBoundingClientRect()]);
    boxes.forEach(([words, a], i) => {
      for (const [other, b] of boxes.slice(i + 1)) {
        const apart = Math.max(a.left, b.left) - Math.min(a.right, b.right);
        if (Math.abs(a.top - b.top) < 1 && apart < a.height / 3) bad.push([words, other, apart]);
      }
    });
  }
  return bad;
}"""


@pytest.mark.parametrize("name", [*EVERY, *TYPICAL, "hostile"])
def test_no_words_of_a_picture_stand_in_others_or_are_cut(written, opened, name):
    """On every screen, in both systems of units, and laid out for paper."""
    with opened(written(name)) as seen:
        open_all(seen)
        for medium, width in [*(("screen", width) for width in WIDTHS), ("print", SHEET)]:
            seen.page.emulate_media(media=medium)
            seen.page.set_viewport_size({"width": width, "height": 960})
            assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
            for system in ("metric", "us"):
                seen.page.evaluate("id => document.getElementById(id).click()", system)
                assert seen.page.evaluate(BOXES) == [], (medium, width, system)
                assert seen.page.evaluate(CROWDED) == [], (medium, width, system)


# Paper


PAPERS = ("A4", "Letter")
FOOT = 0.065  # of the height, where each sheet is named and numbered
LEAST_FULL = 0.3  # of a sheet that others follow
SCREEN_WORDS = (
    r"this device|browser|\bscript|on the screen|more below|network|(?<!critical )questions"
)


@pytest.fixture(scope="module")
def paper(written, browser):
    """What a page prints, by the name of its boat and the paper: each printed once."""

    @cache
    def on_paper(name, size="A4"):
        with Watched(browser, written(name)) as seen:
            return printed(seen, size)

    return on_paper


def printed(seen, size="A4"):
    return PdfDocument(seen.page.pdf(format=size, print_background=True))


def read_sheet(sheet):
    """The words of a sheet, and how far down they stand, as a share of it."""
    words, high = sheet.get_textpage(), sheet.get_height()
    ends = (words.get_rect(n)[1] for n in range(words.count_rects()))
    lowest = min(end for end in ends if end > FOOT * high)
    text = " ".join(unicodedata.normalize("NFKC", words.get_text_bounded()).split())
    return text, round(1.0 - lowest / high, 2)


HEADINGS = """() => [...document.querySelectorAll('h2, h3, h4, summary, .typical')]
    .filter(e => e.checkVisibility()).map(e => e.innerText)"""


def plain(text):
    """Letters and figures alone, as paper and screen have them alike."""
    return re.sub(r"\W+", "", unicodedata.normalize("NFKC", text))


def ends_on(sheet, headings):
    """The heading that is the last thing on a sheet, if one is: the foot comes first in it."""
    text = sheet.get_textpage().get_text_bounded().strip()
    body, last = plain(text), plain(text.splitlines()[-1])
    of = (plain(one) for one in headings)
    return next((one for one in of if one.endswith(last) and body.endswith(one)), None)


@pytest.mark.parametrize("name", [*EVERY, "typical-catamaran-two", "typical-yacht"])
def test_no_sheet_is_nearly_empty_or_ends_on_a_heading_and_no_steps_are_cut(
    written, paper, opened, name
):
    with opened(written(name)) as seen:
        steps = seen.page.locator("#start .steps li").all_inner_texts()
        seen.page.emulate_media(media="print")
        headings = seen.page.evaluate(HEADINGS)
    assert len(headings) > 20
    for size in PAPERS:
        sheets = [read_sheet(sheet) for sheet in paper(name, size)]
        full = [down for _, down in sheets]
        assert min(full[:-1]) >= LEAST_FULL, (size, full)
        assert [one for one in paper(name, size) if ends_on(one, headings)] == [], size
        held = [[step[:40] in text for text, _ in sheets] for step in steps]
        assert any(held[0]) and held == [held[0]] * len(held), size
        for text, _ in sheets:
            assert re.search(SCREEN_WORDS, text, re.IGNORECASE) is None
        (made_by,) = [text for text, _ in sheets if "Made with seaflow" in text]
        assert "Cautions in full" in made_by, size  # at the end it would have a sheet to itself


@pytest.mark.parametrize("name", [*EVERY, *TYPICAL])
def test_the_first_sheet_is_the_answer(written, paper, opened, name):
    """All of a loop's answer: typical values add to what is told, and must not push it further."""
    with opened(written(name)) as seen:
        first = seen.page.locator("#answer .loop-answer").first
        ends = first.locator("dl.terms > div").all_inner_texts()
    for size in PAPERS:
        text, full = read_sheet(paper(name, size)[0])
        assert full > 0.7, size
        assert plain(ends[-1])[-40:] in plain(text), size


def test_it_prints_on_either_paper_with_the_answer_first_and_nothing_cut(written, paper, opened):
    with opened(written(BOATS[0])) as seen:
        sections = seen.page.locator("section.starts").count()
        for size in PAPERS:
            assert sections < len(paper(BOATS[0], size)) <= 20
        seen.page.emulate_media(media="print")
        seen.page.set_viewport_size({"width": SHEET, "height": 960})  # what A4 leaves, in pixels
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= SHEET
        answer = seen.page.locator("#answer").bounding_box()
        assert answer["y"] + answer["height"] < 960  # on the first sheet
        assert seen.page.locator("header").is_hidden()
        assert seen.page.locator("#place .fold").is_visible()


def test_drawings_in_fewer_letters_look_as_they_were_drawn(opened, tmp_path, monkeypatch):
    slim = made(tmp_path, "slim", case_of(BOATS[0]))
    monkeypatch.setattr(html, "slim", lambda page: (page, ""))
    plain = made(tmp_path, "plain", case_of(BOATS[0]))
    assert slim.stat().st_size < plain.stat().st_size - 30_000
    sheets = []
    for file in (slim, plain):
        with opened(file) as seen:
            sheets.append([sheet.render(scale=1.0).to_numpy() for sheet in printed(seen)])
    assert len(sheets[0]) == len(sheets[1]) > 10
    for one, other in zip(*sheets, strict=True):
        off = np.abs(np.subtract(one, other, dtype=int)).max(axis=2)
        assert np.count_nonzero(off > 40) < 10  # of half a million pixels


STOP = (160, 18, 40)  # the colour of a caution's frame
PIXELS = 6.0  # of a picture of a sheet, for each point


def runs_at_the_ends(row):
    """How many cells of a row are set in one go from its first that is, and to its last."""
    at = np.flatnonzero(row)
    breaks = np.flatnonzero(np.diff(at) > 1)
    return breaks[0] + 1, at.size - breaks[-1] - 1


@pytest.mark.parametrize("size", PAPERS)
def test_the_frame_of_a_caution_is_as_thick_at_the_edge_of_the_paper(paper, size):
    bitmap = paper(BOATS[0], size)[0].render(scale=PIXELS).to_numpy()[:, :, :3]
    red = np.abs(bitmap[:, :, ::-1].astype(int) - STOP).max(axis=2) < 40
    left = np.flatnonzero(red.any(axis=0))[0]
    ends = [runs_at_the_ends(row) for row in red if row[left : left + 3].all()]
    first, last = np.median([pair for pair in ends if max(pair) < 20], axis=0)
    assert first > 5 and abs(first - last) <= 1


def test_the_owners_sheet_has_what_is_normal_for_every_loop_and_lines_to_write_on(paper):
    sheets = [read_sheet(sheet) for sheet in paper("catamaran-two-loops")]
    own = " ".join(text for text, _ in sheets if "Why is the water warm?" in text)
    for words in ("Port hull", "Starboard hull", "What is normal", "What you read"):
        assert words in own


def test_first_start_and_owners_part_each_say_first_of_which_pump_they_speak(written, opened):
    """On the ketch the pump that is put first is not the one that is fitted."""
    with opened(written(BOATS[0])) as seen:
        open_all(seen)
        start, dock = (seen.page.locator(f"#{part}").inner_text() for part in ("start", "dock"))
    first, fitted = "demo-self-priming-230", "demo-mag-medium-230"
    assert first in start.split("Careful")[0] and fitted not in start
    assert fitted in dock.split("In other seas")[0] and first not in dock


@pytest.mark.parametrize("part", ["#answer .figures", "#curve", "#run", "#place"])
def test_wherever_the_water_stands_that_the_pump_gives_is_in_which_state(written, opened, part):
    with opened(written(BOATS[0])) as seen:
        open_all(seen)
        told = seen.page.locator(part).first.inner_text()
    assert "warmest sea, all clean" in told


def test_an_owner_with_a_phone_is_one_tap_from_the_question(written, opened):
    with opened(written(BOATS[0]), PHONE) as seen:
        link = seen.page.get_by_role("link", name="Why is the water warm?").first
        box = link.bounding_box()
        assert box["y"] + box["height"] < 450 and box["height"] >= 44
        link.click()
        first = seen.page.locator("#dock-form legend").first
        first.wait_for()
        assert 0 <= first.bounding_box()["y"] < 900


# The pages of one command alone


@pytest.mark.parametrize("command", ["size", "place"])
def test_the_page_of_one_command_is_as_quiet_narrow_and_legible(opened, tmp_path, command):
    file = tmp_path / f"{command}.html"
    CliRunner().invoke(main, [command, str(case_of(BOATS[1])), "-o", str(file)])
    with opened(file, WIDTHS[0]) as seen:
        open_all(seen)
        assert seen.said == [] and seen.asked == [file.as_uri()]
        for width in WIDTHS:
            seen.page.set_viewport_size({"width": width, "height": 960})
            assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
            assert seen.page.evaluate(BOXES) == [], width
        sheets = [read_sheet(sheet) for sheet in printed(seen)]
    assert all(down >= LEAST_FULL for _, down in sheets[:-1])


# What a case may hold


def test_words_that_are_meant_to_break_the_page_are_only_words(written, opened):
    with opened(written("hostile"), PHONE) as seen:
        open_all(seen)
        assert seen.said == [] and len(seen.asked) == 1
        assert seen.page.title().startswith("<script>document.title='owned'</script> \"Ketch\" ]]>")
        assert seen.page.locator("h1").count() == 1
        assert seen.page.locator("main img, [onmouseover], b").count() == 0
        shown = seen.page.locator("main").inner_text()
        for words in ("</svg></section><h1>out</h1>", "{{ 7 * 7 }} ' onmouseover", "משאבה"):
            assert words.lower() in shown.lower()
        assert seen.page.evaluate("document.documentElement.scrollWidth") == PHONE


def test_names_as_long_as_a_case_takes_them_and_without_a_blank_go_nowhere_sideways(
    opened, tmp_path
):
    raw = read(case_of(BOATS[1]))
    names = {
        thing["name"]: thing["name"].replace(" ", "").ljust(LONGEST_NAME, "g")
        for table in ("unit", "outlet", "strainer", "compartment", "pump_place", "pump")
        for thing in raw[table]
    }
    text = toml_of(raw)
    for name, long in names.items():
        text = re.sub(rf'(?<!use = )"{re.escape(name)}"', f'"{long}"', text)
    case = tmp_path / "long.toml"
    case.write_text(text, encoding="utf-8")
    with opened(made(tmp_path, "long", case), PHONE) as seen:
        open_all(seen)
        for width in WIDTHS:
            seen.page.set_viewport_size({"width": width, "height": 960})
            assert seen.page.evaluate("document.documentElement.scrollWidth") <= width


def most_bytes(units):
    """What a page may weigh, by the units of its boat."""
    return 800_000 if units <= 2 else 1_300_000 if units <= 4 else 1_600_000


@pytest.mark.parametrize("name", [*EVERY, "hostile"])
def test_a_page_is_small_enough_to_send(written, name):
    units = len(load_case(str(case_of(name))).case.unit)
    assert written(name).stat().st_size < most_bytes(units)


# Typical boats, of which more is to be told: two to six units, in one loop and in two.
SPREAD = (
    ("10 m sloop", "2 x 6k"),
    ("catamaran 13.5 m 2012", "2 x 12k"),
    ("catamaran 14 m", "4 x 9k", "--supply", "12 V"),
    ("trawler 18 m", "5 x 12k", "--supply", "24 V DC"),
    ("catamaran 17 m", "6 x 12k"),
)
FEW = 1024  # simulated boats: what they weigh grows as they do, and nothing else does


def units_of(words):
    return int(words[1][0])


@pytest.fixture(scope="module")
def spread(tmp_path_factory):
    """The page with the owner's part of one of these boats, few simulated, and how many it has."""
    folder, found = tmp_path_factory.mktemp("spread"), {}

    def page_of(words):
        if words not in found:
            rooms = []
            with pytest.MonkeyPatch.context() as patch:
                patch.setattr(
                    study, "room_for", lambda setups: rooms.append(room_for(setups)) or FEW
                )
                options = ("--boat", words[0], "--unit", *words[1:])
                make = made if units_of(words) <= UNITS_WITH_OWNER else made_for_the_owner
                found[words] = make(folder, f"boat-{len(found)}", *options), rooms[0]
        return found[words]

    return page_of


@pytest.mark.parametrize("words", SPREAD, ids=" ".join)
def test_the_page_of_a_typical_boat_is_small_enough_to_send(words, spread):
    file, room = spread(words)
    columns = sum(len(text) for loop in boats_of(file)["loops"] for text in columns_of(loop))
    weighs = file.stat().st_size + columns * (room / FEW - 1.0)
    assert columns > 10_000 and weighs < most_bytes(units_of(words))


ON_PAPER = """() => [...document.querySelectorAll("main section")]
    .filter((one) => one.getClientRects().length).map((one) => one.id)"""


def test_a_page_is_printed_in_short_with_what_a_customer_keeps(written, opened):
    with opened(written(BOATS[0])) as seen:
        page = seen.page
        every = page.evaluate(ON_PAPER)
        page.evaluate("window.print = () => { window.printed = document.body.className; }")
        page.click("#in-short")
        assert page.evaluate("window.printed") == "short"
        page.emulate_media(media="print")
        assert page.evaluate(ON_PAPER) == [mark for mark in every if mark in IN_SHORT]
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert page.evaluate(ON_PAPER) == every and len(every) > len(IN_SHORT)
        page.emulate_media(media="screen")


NARROW = 320  # pixels, of the smallest phones, and of a larger one with its text enlarged


def assert_nothing_goes_sideways(seen):
    """Whatever is opened, in both systems of units, with an answer for the owner."""
    open_all(seen)
    seen.page.fill("[name=sea]", "28")
    seen.page.check("[name=stream-0-0][value='1']")
    seen.page.locator("#dock-answer").wait_for()
    for system in ("metric", "us"):
        seen.page.evaluate("id => document.getElementById(id).click()", system)
        assert seen.page.evaluate("document.documentElement.scrollWidth") == NARROW, system


@pytest.mark.parametrize("name", [*EVERY, "typical-yacht"])
def test_nothing_goes_sideways_on_the_narrowest_phone(written, opened, name):
    with opened(written(name), NARROW) as seen:
        assert_nothing_goes_sideways(seen)


@pytest.mark.parametrize("words", SPREAD, ids=" ".join)
def test_no_page_of_a_typical_boat_goes_sideways_on_it(words, spread, opened):
    with opened(spread(words)[0], NARROW) as seen:
        assert_nothing_goes_sideways(seen)


def test_a_page_of_many_units_sends_the_owner_to_a_page_of_its_own(opened, tmp_path):
    boat, plates = SPREAD[-1]
    with opened(made(tmp_path, "six", "--boat", boat, "--unit", plates), NARROW) as seen:
        open_all(seen)
        assert "--owner -o dock.html" in seen.page.locator("#dock").inner_text()
        assert seen.page.locator("#dock input").count() == 0
        assert seen.page.evaluate("document.documentElement.scrollWidth") == NARROW
        assert seen.said == []


def columns_of(packed):
    """Yield the columns of a loop that have a place for each of its boats."""
    if isinstance(packed, dict) and "lengths" in packed:
        yield packed["at"]
    elif isinstance(packed, dict):
        yield from columns_of([value for key, value in packed.items() if key != "chances"])
    elif isinstance(packed, list):
        for one in packed:
            yield from columns_of(one)
