"""The owner's questions on a page: weighed as in Python, as `diagnose` weighs, and kept aboard."""

import tomllib

import dock_readings
import pytest
from click.testing import CliRunner
from table_weighing import Table, boats_of

from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.present.page.dock import _says
from seaflow.present.page.html import FOLDER, OWNERS, SCRIPT
from seaflow.studies.diagnose.written import read_rows
from seaflow.studies.page.any_boat import SIZES
from seaflow.studies.page.study import owners_boats

from .conftest import ROOT

KETCH, MOTOR = "ketch-one-unit", "motor-three-units"
N_HELD = 12  # sets of readings beside `diagnose`; tests/proof/dock.py takes 300 of each boat


def asked(sea, numbers=(), signs=()):
    """Readings as the script takes them."""
    return {
        "loop": 0,
        "sea": sea,
        "numbers": [dict(zip(("kind", "spot", "value"), row, strict=True)) for row in numbers],
        "signs": [dict(zip(("kind", "word", "spots"), row, strict=True)) for row in signs],
    }


READ = (
    asked(28.0, [("discharge", 0, 44.0)], [("stream", 1, [0])]),
    asked(26.3, [("discharge", 0, 31.0), ("flow", 0, 16.0 / 6e4)]),
    asked(30.0, [("flow", 0, 7.0 / 6e4)], [("basket", 0, []), ("handle", 0, [])]),
    asked(29.0, [], [("stream", 0, [0]), ("pump", 2, []), ("tripped", 0, [])]),
    asked(24.0, [("discharge", 0, 40.0), ("volts", 0, 226.0), ("amps", 0, 0.4)]),
    asked(27.5, [("discharge", 0, 55.0)], [("tripped", 0, []), ("stream", 2, [0])]),
    asked(22.0, [("suction", 0, -9e3), ("delivery", 0, 21e3), ("flow", 0, 12.0 / 6e4)]),
)


@pytest.fixture(scope="module")
def owner(tmp_path_factory):
    """The owner's page of a boat, made once."""
    folder, found = tmp_path_factory.mktemp("dock"), {}

    def page_of(name):
        if name not in found:
            file = folder / f"{name}.html"
            words = ["page", str(ROOT / "cases" / f"{name}.toml"), "--owner", "-o", str(file)]
            done = CliRunner().invoke(main, words)
            assert done.exit_code == 0, done.output
            found[name] = file
        return found[name]

    return page_of


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_script_weighs_as_python_does(owner, opened, name):
    table = Table(boats_of(owner(name)))
    with opened(owner(name)) as seen:
        for one in READ:
            script = "one => { const a = dock.answer(one); return [...a.each, a.none]; }"
            assert seen.page.evaluate(script, one) == pytest.approx(table.odds(one), abs=1e-9)


def test_it_agrees_with_diagnose(owner, opened):
    """The same boats, drawn once and for all instead of where the readings point."""
    (plan,) = dock_readings.plans(KETCH)
    with opened(owner(KETCH)) as seen:
        held = []
        for number in range(N_HELD):
            asked = plan.asked(number)
            page = seen.page.evaluate(dock_readings.ASK, asked)
            row = {"number": number, "told": [plan.diagnosed(asked, 20)]}
            held.append(dock_readings.Held.of(row, page))
    assert sum(one.agrees for one in held) >= 0.9 * N_HELD, [one.shown() for one in held]
    assert all(one.same_verdict or one.near_threshold for one in held)


def test_the_next_reading_is_one_that_was_not_taken(owner, opened):
    with opened(owner(KETCH)) as seen:
        weak = asked(27.0, [], [("stream", 1, [0])])
        both = asked(27.0, [("discharge", 0, 41.0), ("flow", 0, 9.0 / 6e4)], [("stream", 1, [0])])
        first, then = (
            seen.page.evaluate("one => dock.answer(one).next", one) for one in (weak, both)
        )
    assert first["kind"] != "stream" and then["kind"] not in ("stream", "discharge", "flow")


def test_it_is_filled_in_answered_kept_and_read_back(owner, opened, tmp_path):
    with opened(owner(KETCH), 390) as seen:
        page = seen.page
        page.fill("[name=sea]", "28")
        page.fill("[name=discharge-0-0]", "44,0")
        page.fill("[name=time-0-0]", "2:10")
        page.locator("#dock details").first.evaluate("one => one.open = true")
        page.fill("[name=delivery-0]", "31")
        page.check("[name=stream-0-0][value='1']")
        page.locator("#dock-word span", has_text="Act soon").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        assert len(page.inner_text("#dock-rows").split()) < 110
        page.click("#dock-keep")
        page.reload()
        with page.expect_download() as saved:
            page.click("#dock-save")
        row = tomllib.loads(saved.value.path().read_text(encoding="utf-8"))["reading"][0]
        assert seen.said == []
    setup = owners_boats(load_case(str(ROOT / "cases" / f"{KETCH}.toml")).case)[0].setup
    loop = row.pop("loop")
    row.pop("date")
    assert loop == setup.built.network.name
    read = read_rows(row, setup.places)
    assert read.of("sea") == 28.0 and read.of("discharge") == 44.0
    assert read.of("flow") == pytest.approx(0.010 / 130.0)
    assert read.of("delivery") == pytest.approx(31e3)


def test_numbers_follow_the_switch_of_units(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=sea]", "25")
        seen.page.check("#us")
        assert seen.page.input_value("[name=sea]") == "77"
        assert seen.page.evaluate("dock.read().sea") == pytest.approx(25.0)


def test_what_cannot_be_is_told_beside_the_answer(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=sea]", "warm")
        seen.page.wait_for_selector("#dock-wrong:not([hidden])")
        assert "warm" in seen.page.inner_text("#dock-wrong")


def test_degrees_of_the_other_scale_are_asked_about_and_never_called_normal(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.check("#us")
        seen.page.fill("[name=sea]", "29")
        seen.page.fill("[name=discharge-0-0]", "40")
        seen.page.wait_for_selector("#dock-wrong:not([hidden])")
        assert seen.page.locator("#dock-answer").is_hidden()


def test_without_a_sea_nothing_is_called_normal(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=discharge-0-0]", "34")
        seen.page.locator("#dock-word span", has_text="Watch").wait_for()
        assert seen.page.locator("#dock-rows div").first.inner_text().startswith("Do")
        read = asked(28.0, [("discharge", 0, 34.0)])
        for assumed, why in ((True, "sea_unread"), (False, "as_healthy")):
            script = "one => dock.answer(one).verdict.why"
            assert seen.page.evaluate(script, {**read, "assumed": assumed}) == why


def test_a_boat_without_water_is_stopped_in_sight_whatever_else_is_typed(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        seen.page.fill("[name=time-0-0]", "soon")
        seen.page.check("[name=stream-0-0][value='0']")
        bar = seen.page.locator("#dock-bar", has_text="Stop now")
        bar.wait_for()
        box = bar.bounding_box()
        assert 0 <= box["y"] <= 900


SHIPPED = ROOT / "docs" / "at-the-dock.html"


def test_the_page_of_any_boat_is_of_today(opened):
    """Made anew with `python docs/make.py --dock`, whenever script, style or words change."""
    text = SHIPPED.read_text(encoding="utf-8")
    for name in (*SCRIPT, *OWNERS):
        assert (FOLDER / name).read_text(encoding="utf-8") in text, name
    told = boats_of(SHIPPED)
    assert told["says"] == {kind: list(both) for kind, both in _says()}
    assert len(text) < 800_000


def test_the_page_of_any_boat_answers_for_each_size(opened):
    told = boats_of(SHIPPED)
    with opened(SHIPPED, 390) as seen:
        page, flows = seen.page, []
        assert seen.said == [] and len(told["loops"]) == len(SIZES)
        for number, loop in enumerate(told["loops"]):
            page.check(f"[name=loop][value='{number}']")
            page.fill("[name=sea]", "28")
            page.fill(f"[name=discharge-{number}-0]", "33")
            page.check(f"[name=stream-{number}-0][value='3']")
            page.locator("#dock-word span", has_text="Normal").wait_for()
            assert page.evaluate("document.documentElement.scrollWidth") == 390
            flows.append(loop["spots"][0]["usual"])
        assert flows == sorted(flows)
        asked = {"loop": 3, "sea": 28.0, "numbers": READ[0]["numbers"], "signs": READ[0]["signs"]}
        script = "one => { const a = dock.answer(one); return [...a.each, a.none]; }"
        found = page.evaluate(script, asked)
    assert found == pytest.approx(Table(told, 3).odds(asked), abs=1e-9)


def test_a_gauge_that_is_fitted_is_read_in_the_units_shown(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.evaluate("document.querySelectorAll('#dock details').forEach(d => d.open = true)")
        seen.page.fill("[name=sea]", "28")
        seen.page.fill("[name=suction-0]", "-30")
        read = seen.page.evaluate("dock.read().numbers")
        assert [(one["kind"], one["value"]) for one in read] == [("suction", -30000.0)]
        seen.page.check("#us")
        assert seen.page.input_value("[name=suction-0]") == "-4.4"


def test_without_its_script_it_tells_what_is_normal_and_where_to_look(owner, opened):
    with opened(owner(KETCH), java_script_enabled=False) as seen:
        text = seen.page.inner_text("#dock")
        assert seen.page.locator("#dock-form").is_hidden()
        assert seen.page.locator("#dock .steps li").count() == 5
        assert "topside outlet" in text
