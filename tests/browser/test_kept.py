"""Readings that the owner's page keeps on the device: to be seen, filled in again, and deleted."""

import json
import tomllib

import pytest
from abreast import abreast
from click.testing import CliRunner
from table_weighing import boats_of

from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.studies.diagnose.written import read_rows
from seaflow.studies.page.study import owners_boats, owners_setups

from .conftest import FOUR, ROOT

KETCH, CATAMARAN = "ketch-one-unit", "catamaran-two-loops"
SHIPPED = ROOT / "docs" / "at-the-dock.html"


def saved(page):
    """The rows of the file that is saved."""
    with page.expect_download() as file:
        page.click("#dock-save")
    return tomllib.loads(file.value.path().read_text(encoding="utf-8"))["reading"]


def filled(page, discharge):
    page.fill("[name=sea]", "28")
    page.fill("[name=discharge-0-0]", discharge)
    page.fill("[name=time-0-0]", "1:20")
    page.check("[name=stream-0-0][value='1']")
    page.check("[name=sign-basket][value='2']")


def test_kept_readings_are_there_after_a_reload_to_be_looked_at_and_deleted(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        page, rows = seen.page, seen.page.locator("#dock-list li")
        page.on("dialog", lambda dialog: dialog.accept())
        for discharge in ("44,5", "39"):
            filled(page, discharge)
            page.click("#dock-keep")
        page.reload()
        assert rows.count() == 2
        today = page.evaluate("new Date().getFullYear()")
        newest, oldest = rows.all_inner_texts()
        for words in (str(today), "28.0", "39.0", "80", "weak", "full"):
            assert words in newest
        assert "44.5" in oldest
        rows.first.get_by_role("button", name="Delete").click()
        assert rows.count() == 1 and "44.5" in rows.first.inner_text()
        page.reload()
        assert rows.count() == 1
        (row,) = saved(page)
        assert "44.5" in row["discharge"][0]
        assert seen.said == []


@pytest.mark.parametrize("general", [True, False])
def test_the_file_that_is_saved_is_taken_by_diagnose_beside_the_boat(
    owner, opened, tmp_path, general
):
    """Rows of the page of any boat name no loop and no outlet; those of her own page do."""
    with opened(SHIPPED if general else owner(KETCH)) as seen:
        page, loop = seen.page, "3" if general else "0"
        if general:
            page.check(f"[name=loop][value='{loop}']")
        page.fill("[name=sea]", "28")
        page.fill(f"[name=discharge-{loop}-0]", "44")
        page.fill(f"[name=time-{loop}-0]", "1:20")
        page.check(f"[name=stream-{loop}-0][value='1']")
        page.click("#dock-keep")
        with page.expect_download() as file:
            page.click("#dock-save")
        rows = tmp_path / "rows.toml"
        file.value.save_as(rows)
    (row,) = tomllib.loads(rows.read_text(encoding="utf-8"))["reading"]
    named = [value[0] for value in row.values() if isinstance(value, list) and "=" in value[0]]
    assert ("loop" not in row and not named) if general else ("loop" in row and len(named) == 3)
    for boat in (KETCH, CATAMARAN):
        words = ["diagnose", str(ROOT / "cases" / f"{boat}.toml"), "--readings", str(rows)]
        done = CliRunner().invoke(main, [*words, "--draws", "1024"])
        refused = boat == CATAMARAN  # hers are two, and none has the name of the loop
        assert (done.exit_code == 2) == refused, done.output
        assert refused or "44.0 °C leaves" in done.output


def test_amps_of_several_pumps_are_kept_with_the_name_of_the_pump_they_are_asked_of(
    opened, tmp_path
):
    boat, page = tmp_path / "boat.toml", tmp_path / "owner.html"
    boat.write_text(abreast(), encoding="utf-8")
    done = CliRunner().invoke(main, ["page", str(boat), "-o", str(page), "--owner"])
    assert done.exit_code == 0, done.output
    with opened(page) as seen:
        seen.page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        seen.page.fill("[name=sea]", "28")
        seen.page.fill("[name=amps-0]", "0.5")
        seen.page.click("#dock-keep")
        (row,) = saved(seen.page)
        assert seen.said == []
    assert row["amps"] == "P1=0.5 A"
    case = load_case(str(boat)).case
    told = {key: value for key, value in row.items() if key not in ("date", "loop")}
    (setup,) = owners_setups(case)
    number = next(one for one in read_rows(told, setup.places).numbers if one.kind == "amps")
    assert (number.place, number.value) == ("P1", 0.5)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_kept_readings_are_filled_in_again_as_they_were(owner, opened, system):
    with opened(owner(KETCH), 390) as seen:
        page = seen.page
        filled(page, "44,5")
        before = page.evaluate("dock.read()")
        page.click("#dock-keep")
        page.locator("button[type=reset]").click()
        page.reload()
        assert page.evaluate("dock.read().numbers") == []
        page.check(f"#{system}")
        page.locator("#dock-list").get_by_role("button", name="Fill in").click()
        after = page.evaluate("dock.read()")
        assert after["signs"] == before["signs"]
        assert after["sea"] == pytest.approx(before["sea"], abs=0.06)
        for one, other in zip(before["numbers"], after["numbers"], strict=True):
            assert other["value"] == pytest.approx(one["value"], rel=2e-3)
        page.locator("#dock-word span", has_text="Act soon").wait_for()
        if system == "metric":
            assert page.input_value("[name=time-0-0]") == "1:20"  # as it was typed


def test_what_is_filled_in_and_not_kept_is_not_lost_without_a_question(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        page, asked = seen.page, []
        page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
        filled(page, "44.5")
        page.click("#dock-keep")
        page.fill("[name=discharge-0-0]", "40")
        page.locator("#dock-list").get_by_role("button", name="Fill in").click()
        assert len(asked) == 1 and page.input_value("[name=discharge-0-0]") == "40"


def test_readings_of_a_loop_that_is_not_shown_are_kept_with_its_own_signs(owner, opened):
    case = load_case(str(ROOT / "cases" / f"{CATAMARAN}.toml")).case
    setups = {boats.setup.built.network.name: boats.setup for boats in owners_boats(case)}
    with opened(owner(CATAMARAN), 390) as seen:
        page = seen.page
        filled(page, "44")
        page.check("[name=loop][value='1']")
        page.fill("[name=discharge-1-0]", "35")
        page.click("#dock-keep")
        assert page.locator("#dock-list li").count() == 2
        rows = saved(page)
    loops = [loop["name"] for loop in boats_of(owner(CATAMARAN))["loops"]]
    assert [row["loop"] for row in rows] == loops
    assert [row.get("basket") for row in rows] == ["full", None]
    for row, leaves in zip(rows, (44.0, 35.0), strict=True):
        row.pop("date")
        read = read_rows(row, setups[row.pop("loop")].places)
        assert read.of("discharge") == leaves and read.of("sea") == 28.0


def test_what_stands_folded_is_kept_and_comes_back_with_its_loop(owner, opened):
    with opened(owner(FOUR), 390) as seen:
        page = seen.page
        page.check("[name=loop][value='1-0']")
        page.fill("[name=sea]", "27")
        page.locator("[data-spot='1-1'] summary").click()
        page.fill("[name=discharge-1-1]", "36")
        page.check("[name=stream-1-1][value='2']")
        page.locator("[data-spot='1-1'] summary").click()  # folded again
        page.click("#dock-keep")
        page.reload()
        page.locator("#dock-list").get_by_role("button", name="Fill in").click()
        read = page.evaluate("dock.read()")
    assert read["loop"] == 1
    assert [(one["kind"], one["spot"], one["value"]) for one in read["numbers"]] == [
        ("discharge", 1, 36)
    ]
    assert [(one["word"], one["spots"]) for one in read["signs"]] == [(2, [1])]


def test_rows_of_an_earlier_page_are_shown_and_saved(owner, opened):
    row = '[[reading]]\ndate = 2026-05-01\nsea = "26.0 degC"\n'
    with opened(owner(KETCH), 390) as seen:
        page = seen.page
        script = "row => localStorage.setItem('seaflow.readings.' + dock.told.boat, row)"
        page.evaluate(script, json.dumps([row, None, 7]))
        page.reload()
        assert "26.0 degC" in page.inner_text("#dock-list")
        assert [one["sea"] for one in saved(page)] == ["26.0 degC"]
        assert seen.said == []


def test_a_checker_of_accessibility_finds_nothing_serious_beside_kept_readings(owner, opened):
    from axe_playwright_python.sync_playwright import Axe

    with opened(owner(FOUR), 390) as seen:
        page = seen.page
        filled(page, "44")
        page.click("#dock-keep")
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found = Axe().run(page, options={"resultTypes": ["violations"]}).response
        bad = [one["id"] for one in found["violations"] if one["impact"] in ("serious", "critical")]
        assert bad == []
