"""What the owner's answer may not leave out or lose: on the page, without its script, on paper."""

import dock_readings
import pytest
from answer_data import MOST_WORDS
from table_weighing import boats_of

from seaflow.boat.load import load_case
from seaflow.present.page.owner import owner_html
from seaflow.studies.design.cautions import named_cautions
from seaflow.studies.diagnose.infer import ROUGH_BELOW
from seaflow.studies.diagnose.look import LOAD
from seaflow.studies.page.study import owners_boats

from .conftest import FOUR, ROOT

KETCH, MOTOR, CATAMARAN = "ketch-one-unit", "motor-three-units", "catamaran-two-loops"
SHIPPED_BOATS = sorted(case.stem for case in (ROOT / "cases").glob("*.toml"))
SHIPPED = ROOT / "docs" / "at-the-dock.html"
PHONE = 390
AFTER = named_cautions(["lid"])[-1].brief
NEAREST = """() => {
  const loop = dock.loopOf(0);
  for (let value = 36; value < 75; value += 0.5) {
    const one = { loop: 0, sea: 28, numbers: [{ kind: "discharge", spot: 0, value }], signs: [] };
    if (dock.answer(one).verdict.why === "near_cut_out") return value;
  }
  return null;
}"""
# Words of the choices with a picture that do not stand within their button.
OUTSIDE = """() => [...document.querySelectorAll(".pictured label")]
  .filter((one) => one.checkVisibility()).map((one) => {
    const words = one.querySelector("span span"), range = document.createRange();
    range.selectNodeContents(words);
    const inside = range.getBoundingClientRect(), box = one.getBoundingClientRect();
    const whole = inside.left >= box.left + 2 && inside.right <= box.right - 2;
    return [words.textContent, whole, inside.height < 30];
  }).filter(([word, whole, on_a_line]) => !whole || !(on_a_line || word.includes(" ")))"""


def weak(page, spot="0-0", discharge="44"):
    page.check(f"[name=stream-{spot}][value='1']")
    page.fill("[name=sea]", "29")
    page.fill(f"[name=discharge-{spot}]", discharge)
    page.locator("#dock-answer").wait_for()


# After the work


def test_an_answer_that_shuts_the_seacock_ends_with_that_it_is_opened(owner, opened):
    """The sentence of `diagnose`, once, behind what is to be done, as long as that shuts it."""
    with opened(owner(KETCH), PHONE) as seen:
        page = seen.page
        weak(page)
        for basket in ("2", "0"):
            page.check(f"[name=sign-basket][value='{basket}']")
            page.wait_for_timeout(300)
            places = page.evaluate("dock.answer(dock.read()).places.slice(0, 2)")
            told = page.inner_text("#dock-rows")
            shuts = [one["fault"]["look"] for one in places if one["fault"]["after"]]
            assert told.count(AFTER) == (1 if shuts else 0)
            assert not shuts or told.index(AFTER) > told.lower().index(shuts[-1])
            assert basket != "2" or shuts == ["the strainer's basket"]


@pytest.mark.parametrize("name", [KETCH, CATAMARAN, ""])
def test_the_list_says_it_without_the_script_and_on_paper(owner, opened, name):
    file = owner(name) if name else SHIPPED
    with opened(file, PHONE, java_script_enabled=False) as seen:
        for medium in ("screen", "print"):
            seen.page.emulate_media(media=medium)
            orders = seen.page.locator("#dock .order").all_inner_texts()
            assert orders and all(AFTER in one for one in orders)


def test_every_caution_of_a_fault_is_told_with_it(owner):
    """Not the first alone."""
    told = {one["name"]: one for one in boats_of(owner(KETCH))["loops"][0]["faults"]}
    for setup in (one.setup for one in owners_boats(case(KETCH))):
        for fault in setup.faults:
            words = told[fault.name]["caution"] + told[fault.name]["after"]
            every = named_cautions(fault.cautions, [setup.part.kind])
            assert [one.brief for one in every if one.brief not in words] == []


def case(name):
    return load_case(str(ROOT / "cases" / f"{name}.toml")).case


# In how many words

N_TOLD = 24  # sets of readings of each boat; every fourth without a sea, every other in US units


@pytest.mark.parametrize("name", [*SHIPPED_BOATS, ""])
def test_the_answer_stands_in_its_first_sixty_words(owner, opened, name):
    plans = dock_readings.plans(name or KETCH)
    told = []
    with opened(owner(name) if name else SHIPPED, PHONE) as seen:
        n_loops = len(boats_of(owner(name) if name else SHIPPED)["loops"])
        for units in ("metric", "us"):
            seen.page.check(f"#{units}")
            for number in range(units == "us", N_TOLD, 2):
                one = plans[number % len(plans)].asked(number // len(plans))
                loop = one["loop"] if name else number % n_loops
                sea = None if number % 4 > 2 else one["sea"]
                told.append(
                    seen.page.evaluate(dock_readings.TELL, one | {"loop": loop, "sea": sea})
                )
    words = [dock_readings.first_words(said) for said in told if said]
    assert len(words) > 0.8 * N_TOLD
    longest = max(words, key=len)
    assert len(longest) <= MOST_WORDS, " ".join(longest)


# What is read next


@pytest.mark.parametrize("name", [MOTOR, FOUR])
def test_outlets_untold_are_named_first_and_opened_from_there(owner, opened, name):
    outlets = [spot["outlet"] for spot in boats_of(owner(name))["loops"][0]["spots"]]
    with opened(owner(name), PHONE) as seen:
        page, links = seen.page, seen.page.locator("#dock-rows a")
        weak(page)
        assert links.all_inner_texts() == outlets[1:]
        folded = page.locator("[data-spot='0-1']")
        assert not folded.evaluate("one => one.open")
        links.first.click()
        assert folded.evaluate("one => one.open")
        top = folded.bounding_box()["y"]
        assert 0 <= top < 900
        for spot in range(1, len(outlets)):
            page.evaluate("document.querySelectorAll('[data-spot]').forEach(d => d.open = true)")
            page.check(f"[name=stream-0-{spot}][value='3']")
        links.first.wait_for(state="detached")


def test_what_is_seen_at_a_place_that_is_told_is_not_read_next_too(owner, opened):
    (plan,) = dock_readings.plans(KETCH)
    told = 0
    with opened(owner(KETCH)) as seen:
        for number in range(N_TOLD):
            script = "one => { const { named, next } = dock.answer(one); return [named, next]; }"
            named, wanted = seen.page.evaluate(script, plan.asked(number))
            kinds = {kind for one in named for kind, _ in one["fault"]["answered"]} - {LOAD}
            told += bool(kinds)
            assert wanted is None or wanted["kind"] not in kinds
    assert told > N_TOLD / 4


def test_of_a_boat_that_reads_healthy_no_other_outlet_is_asked(owner, opened):
    strong = {"kind": "stream", "word": 3, "spots": [0]}
    with opened(owner(MOTOR)) as seen:
        for word, untold in ((3, []), (1, [1])):
            one = {"loop": 0, "sea": 25, "numbers": [], "signs": [strong | {"word": word}]}
            found = seen.page.evaluate("one => dock.answer(one)", one)
            assert found["untold"] == untold, found["verdict"]


# Where somebody looked


def test_what_was_looked_at_comes_behind_what_was_not(opened):
    """Of every size of unit, with the readings of an owner whose handle stood open."""
    told = boats_of(SHIPPED)
    with opened(SHIPPED) as seen:
        for loop in range(len(told["loops"])):
            numbers = [
                {"kind": "discharge", "spot": 0, "value": 44.0},
                {"kind": "flow", "spot": 0, "value": 0.010 / 240.0},
            ]
            signs = [
                {"kind": "stream", "word": 1, "spots": [0]},
                {"kind": "basket", "word": 0, "spots": []},
                {"kind": "handle", "word": 0, "spots": []},
            ]
            one = {"loop": loop, "sea": 29.0, "numbers": numbers, "signs": signs}
            rows = seen.page.evaluate("one => dock.answer(one).places", one)
            seen_so = (["basket", "clean"], ["handle", "open"])
            looked = [any(one in seen_so for one in row["fault"]["answered"]) for row in rows]
            assert not looked[0] and looked == sorted(looked), rows


def test_the_page_and_diagnose_call_odds_rough_by_one_number(owner):
    assert boats_of(owner(KETCH))["roughBelow"] == ROUGH_BELOW


# What was filled in


@pytest.mark.parametrize("name", [KETCH, FOUR])
def test_what_was_filled_in_is_there_after_a_reload_until_it_is_cleared(owner, opened, name):
    with opened(owner(name), PHONE) as seen:
        page = seen.page
        if name == FOUR:
            page.check("[name=sign-basket][value='2']")  # of the first pump
            page.check("[name=loop][value='1-1']")
        weak(page, "1-1" if name == FOUR else "0-0", "44,5")
        page.check("[name=sign-handle][value='1']")
        before = [page.evaluate(f"dock.read({loop})") for loop in range(2 if name == FOUR else 1)]
        page.reload()
        assert page.is_visible("#dock-answer") and page.is_visible("#dock-draft")
        after = [page.evaluate(f"dock.read({loop})") for loop in range(len(before))]
        assert after == before
        page.click("#dock-clear")
        page.locator("#dock-draft").wait_for(state="hidden")
        for _ in range(2):
            page.locator("#dock-answer").wait_for(state="hidden")
            assert page.evaluate("[dock.read().numbers, dock.read().signs]") == [[], []]
            page.reload()
        assert seen.said == [] and len(set(seen.asked)) == 1  # and nothing left the device


def test_what_was_filled_in_on_another_day_or_of_another_boat_is_not_given_back(owner, opened):
    with opened(owner(KETCH), PHONE) as seen:
        page = seen.page
        for change in ("day = '2020-01-01'", "names = 'other'", "loops = 7"):
            weak(page)
            page.evaluate(
                """change => {
              const key = "seaflow.draft." + dock.told.boat;
              const draft = JSON.parse(localStorage.getItem(key));
              const [name, value] = change.split(" = ");
              draft[name] = value.replaceAll("'", "");
              localStorage.setItem(key, JSON.stringify(draft)); }""",
                change,
            )
            page.reload()
            assert page.evaluate("dock.read().numbers") == [], change
            assert page.locator("#dock-draft").is_hidden()
        assert seen.said == []


# One claim


def test_what_was_read_what_is_healthy_and_what_is_left_are_one_sentence(owner, opened):
    with opened(owner(KETCH), PHONE) as seen:
        page = seen.page
        value = page.evaluate(NEAREST)
        assert value is not None
        page.fill("[name=sea]", "28")
        page.fill("[name=discharge-0-0]", f"{value}")
        page.locator("#dock-answer").wait_for()
        why = page.inner_text("#dock-why")
        ends = page.evaluate("""() => {
          const { room } = dock.answer(dock.read()).verdict, { margin } = dock.loopOf(0);
          return [margin, room[2]].map((one) => one.toFixed(0)); }""")
        assert why.startswith(f"{value:.1f}") and "healthy" in why
        assert why.count("cut-out") == 1
        assert all(f"{end}\u00a0K" in why for end in ends)


# Whose page it is, widths, and paper


def test_the_page_of_any_boat_says_first_of_which_boat_it_is(opened):
    with opened(SHIPPED, PHONE) as seen:
        page = seen.page
        about = page.locator("main .about").first
        assert "one unit" in about.inner_text().lower() and about.bounding_box()["y"] < 300
        page.check("[name=loop][value='2']")
        weak(page, "2-0")
        assert page.inner_text("#dock-of") == boats_of(SHIPPED)["sizes"][2]


@pytest.mark.parametrize("how", ["script", "none", "paper"])
def test_who_has_several_units_on_a_pump_is_told_what_to_do(opened, how):
    with opened(SHIPPED, PHONE, java_script_enabled=how != "none") as seen:
        seen.page.emulate_media(media="print" if how == "paper" else "screen")
        assert seen.page.inner_text("#dock").count("seaflow page") == 1


@pytest.fixture(scope="module")
def long_names(tmp_path_factory):
    """A boat whose unit and whose own name have forty letters, and no blank."""
    text = (ROOT / "cases" / f"{MOTOR}.toml").read_text(encoding="utf-8")
    boat = case(MOTOR)
    for name in (boat.boat.name, boat.unit[0].name):
        text = text.replace(f'"{name}', f'"{"W" * 40}'[: 41 - (name != boat.boat.name)])
    folder = tmp_path_factory.mktemp("long")
    (folder / "long.toml").write_text(text, encoding="utf-8")
    made = load_case(str(folder / "long.toml")).case
    page = folder / "long.html"
    page.write_text(owner_html(made, owners_boats(made), "metric"), encoding="utf-8")
    return page


@pytest.mark.parametrize("width", [320, 360, PHONE])
def test_words_stay_in_their_buttons_and_names_in_the_page(owner, opened, long_names, width):
    for file in (SHIPPED, owner(MOTOR), long_names):
        with opened(file, width) as seen:
            page = seen.page
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            number = page.input_value("[name=loop]:checked").partition("-")[0]
            weak(page, f"{number}-0")
            assert page.evaluate("document.documentElement.scrollWidth") == width, file
            assert page.evaluate(OUTSIDE) == []


@pytest.mark.parametrize("name", [KETCH, MOTOR, CATAMARAN, FOUR])
def test_on_paper_the_log_stands_with_where_to_look_and_asks_which_outlet(owner, opened, name):
    several = sum(len(loop["spots"]) for loop in boats_of(owner(name))["loops"]) > 1
    with opened(owner(name), 680) as seen:
        seen.page.emulate_media(media="print")
        heads = seen.page.locator(".readings-sheet th").all_inner_texts()
        assert ("Where" in heads) is several
        block = seen.page.locator(".to-look")
        assert block.evaluate("one => getComputedStyle(one).breakInside") == "avoid"
        assert block.locator(".order, .readings-sheet").count() == 2
        assert block.bounding_box()["height"] < 900  # of a sheet of Letter at this width


def test_an_answer_is_printed_with_what_was_read(owner, opened):
    with opened(owner(KETCH), 680) as seen:
        page = seen.page
        weak(page)
        page.check("[name=sign-basket][value='2']")
        page.wait_for_timeout(300)
        page.emulate_media(media="print")
        told = page.inner_text("#dock-answer")
        for words in (
            "44.0",
            "29.0",
            "weak",
            "full",
            str(page.evaluate("new Date().getFullYear()")),
        ):
            assert words in told
        assert page.locator("#dock-form .ask").filter(visible=True).count() == 0
