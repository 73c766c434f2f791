"""The owner's questions of several pumps and outlets: short, and nothing taken as told."""

import pytest
from table_weighing import boats_of

from .conftest import FOUR

MOTOR, CATAMARAN = "motor-three-units", "catamaran-two-loops"
PHONE = 390
SEVERAL = (MOTOR, CATAMARAN, FOUR)
VISIBLE = "one => one.filter((at) => at.checkVisibility()).length"


def streams(page):
    """The streams that the script reads, by outlet."""
    signs = page.evaluate("dock.read().signs.filter((one) => one.kind === 'stream')")
    return {spot: one["word"] for one in signs for spot in one["spots"]}


@pytest.mark.parametrize("name", SEVERAL)
def test_one_stream_is_asked_and_every_outlet_and_unit_is_named(owner, opened, name):
    loops = boats_of(owner(name))["loops"]
    with opened(owner(name), PHONE) as seen:
        page = seen.page
        asked = page.locator("#dock-form .pictured").filter(visible=True)
        assert asked.count() == 3  # a stream, the basket, the handle
        places = page.locator("label:has([name=loop])").all_inner_texts()
        assert len(places) == sum(len(loop["spots"]) for loop in loops)
        told = " ".join(places).lower()
        every = [unit for loop in loops for unit in loop["heading"].split(": ")[1].split(", ")]
        assert len(every) >= 2 and [unit for unit in every if unit not in told] == []
        for number, loop in enumerate(loops):
            if len(loop["spots"]) == 1:
                continue
            page.check(f"[name=loop][value='{number}-0']")
            folded = page.locator("#dock-form [data-spot] summary").filter(visible=True)
            assert folded.count() == len(loop["spots"]) - 1
            shown = " ".join(folded.all_inner_texts())
            assert all(spot["outlet"] in shown for spot in loop["spots"][1:])


@pytest.mark.parametrize("name", [MOTOR, FOUR])
def test_an_outlet_that_was_not_told_of_is_like_another_only_if_the_owner_says_so(
    owner, opened, name
):
    with opened(owner(name), PHONE) as seen:
        page = seen.page
        assert streams(page) == {}
        page.check("[name=stream-0-0][value='1']")
        assert streams(page) == {0: 1}
        page.check("[name=alike-0]")
        assert streams(page) == {0: 1, 1: 1}
        page.locator("[data-spot='0-1'] summary").click()
        page.check("[name=stream-0-1][value='3']")
        assert streams(page) == {0: 1, 1: 3}  # what is told of an outlet itself goes first
        page.check("[name=stream-0-1][value='']")
        page.uncheck("[name=alike-0]")
        assert streams(page) == {0: 1}


def test_what_was_said_of_an_outlet_stays_its_own_when_another_is_asked_about(owner, opened):
    with opened(owner(FOUR), PHONE) as seen:
        page = seen.page
        page.check("[name=stream-0-0][value='1']")
        page.check("[name=alike-0]")
        page.fill("[name=discharge-0-0]", "41")
        page.check("[name=loop][value='0-1']")
        assert streams(page) == {0: 1, 1: 1}
        assert not page.is_checked("[name=alike-0]")
        assert page.is_visible("[name=discharge-0-1]")
        assert not page.is_visible("[name=discharge-0-0]")
        page.locator("[data-spot='0-0'] .told", has_text="41").wait_for()
        assert page.evaluate("dock.read().numbers.map((one) => [one.spot, one.value])") == [[0, 41]]


def test_what_was_found_on_one_pump_is_not_said_of_another(owner, opened):
    """A basket is that of its own strainer."""
    with opened(owner(CATAMARAN), PHONE) as seen:
        page = seen.page
        page.check("[name=sign-basket][value='2']")
        page.check("[name=loop][value='1']")
        assert page.evaluate("dock.read().signs") == []
        page.check("[name=sign-basket][value='0']")
        page.check("[name=loop][value='0']")
        assert [one["word"] for one in page.evaluate("dock.read().signs")] == [2]
        assert [one["word"] for one in page.evaluate("dock.read(1).signs")] == [0]


def test_start_again_begins_with_the_first_outlet_and_nothing_told(owner, opened):
    with opened(owner(FOUR), PHONE) as seen:
        page = seen.page
        page.check("[name=sign-handle][value='1']")
        page.check("[name=loop][value='1-1']")
        page.check("[name=stream-1-1][value='0']")
        page.locator("button[type=reset]").click()
        page.locator("[name=discharge-0-0]").wait_for()
        for loop in (0, 1):
            assert page.evaluate("loop => dock.read(loop).signs", loop) == []


# Headings


HEADED = """names => {
  const bad = [], seen = [];
  const plain = (one) => (one.firstChild?.textContent ?? "").trim().toLowerCase();
  for (const head of document.querySelectorAll("main h3, main h4")) {
    if (!head.checkVisibility() || !names.includes(plain(head))) continue;
    let next = head.nextElementSibling;
    while (next && !(next.checkVisibility() && next.getBoundingClientRect().height)) {
      next = next.nextElementSibling;
    }
    const a = head.getBoundingClientRect(), b = next?.getBoundingClientRect();
    const under = b && b.top >= a.bottom - 1 && b.top < a.bottom + 24 && b.left < a.right;
    seen.push(plain(head));
    if (!under) bad.push([head.closest("section").id, plain(head)]);
  }
  // and above each table of what is normal the nearest heading is that of its own loop
  for (const table of document.querySelectorAll("#dock .seas")) {
    if (!table.checkVisibility()) continue;
    const t = table.getBoundingClientRect(), over = (one) => one.getBoundingClientRect();
    const [near] = [...document.querySelectorAll("#dock h4")].filter((one) => one.checkVisibility()
      && over(one).bottom <= t.top && over(one).left < t.right && over(one).right > t.left)
      .sort((one, other) => over(other).bottom - over(one).bottom);
    const own = names[Number(table.closest("[data-loop]").dataset.loop)];
    if (!near || plain(near) !== own) bad.push(["normal", own]);
  }
  return [bad, seen];
}"""


@pytest.mark.parametrize("name", [CATAMARAN, "typical-catamaran-two"])
def test_the_heading_of_a_loop_stands_directly_over_what_is_the_loops(written, opened, name):
    names = [loop["name"].lower() for loop in boats_of(written(name))["loops"]]
    with opened(written(name)) as seen:
        seen.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        for medium, width in (("screen", 1280), ("screen", PHONE), ("print", 680)):
            seen.page.emulate_media(media=medium)
            seen.page.set_viewport_size({"width": width, "height": 960})
            bad, found = seen.page.evaluate(HEADED, names)
            assert bad == [], (medium, width)
            assert len(found) > 10 and set(found) == set(names)
