"""The owner's questions on a page: weighed as in Python, as `diagnose` weighs, and kept aboard."""

import json
import math
import re
import tomllib
from dataclasses import replace

import dock_readings
import pytest
from table_weighing import Table, boats_of

from seaflow.base.problems import SeaflowError
from seaflow.base.units import Misread, read_quantity, seconds_of, volume_and_time
from seaflow.boat.load import load_case
from seaflow.present.page.fields import FIELDS
from seaflow.present.page.owner import any_boat_html
from seaflow.studies.design.cautions import named_cautions
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.answer import posterior_of
from seaflow.studies.diagnose.infer import DEFAULT_DRAWS
from seaflow.studies.diagnose.look import looks
from seaflow.studies.diagnose.next_reading import open_readings
from seaflow.studies.diagnose.readings import Readings, signs
from seaflow.studies.diagnose.values import flow_of, read
from seaflow.studies.diagnose.verdict import ACT, UNHEATED, verdict_of
from seaflow.studies.diagnose.written import read_rows
from seaflow.studies.page import any_boat
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
    asked(28.0, [("discharge", 0, 37.0), ("volts", 0, 187.0)], [("stream", 2, [0])]),
    asked(28.0, [("volts", 0, 231.0)]),
    asked(27.5, [("discharge", 0, 55.0)], [("tripped", 0, []), ("stream", 2, [0])]),
    asked(22.0, [("suction", 0, -9e3), ("delivery", 0, 21e3), ("flow", 0, 12.0 / 6e4)]),
)


def of_unit(read, unit):
    """The same, a trip told of one unit."""
    signs = [one | {"unit": unit} if one["kind"] == "tripped" else one for one in read["signs"]]
    return {**read, "signs": signs}


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_script_weighs_as_python_does(owner, opened, name):
    table = Table(boats_of(owner(name)))
    units = range(len(table.loop["units"]))
    assert len(units) == (3 if name == MOTOR else 0)
    trips = [one for one in READ if any(sign["kind"] == "tripped" for sign in one["signs"])]
    by_unit = [of_unit(one, unit) for one in trips for unit in units]
    with opened(owner(name)) as seen:
        for one in (*READ, *by_unit):
            script = "one => { const a = dock.answer(one); return [...a.each, a.none]; }"
            assert seen.page.evaluate(script, one) == pytest.approx(table.odds(one), abs=1e-9)


def test_a_trip_is_asked_of_each_of_several_units_and_kept_so(owner, opened):
    case = load_case(str(ROOT / "cases" / f"{MOTOR}.toml")).case
    places = dock_readings.owners_setups(case)[0].places
    told = (("yes", "no", ""), ("no", "", ""), ("yes", "yes", "no"), ("", "no", "no"))
    with opened(owner(MOTOR)) as seen:
        page = seen.page
        page.evaluate("document.querySelectorAll('#dock details').forEach(d => d.open = true)")
        for words in told:
            page.evaluate("localStorage.clear()")
            for number, word in enumerate(words):
                value = {"yes": "0", "no": "1", "": ""}[word]
                page.check(f"[name=tripped-0-{number}][value='{value}']")
            (sign,) = page.evaluate("dock.read().signs")
            page.click("#dock-keep")
            with page.expect_download() as saved:
                page.click("#dock-save")
            row = tomllib.loads(saved.value.path().read_text(encoding="utf-8"))["reading"][0]
            kept = read_rows({"tripped": row["tripped"]}, places)
            plain = Readings().with_trips(
                {unit: word for unit, word in zip(places.units, words, strict=True) if word}
            )
            assert (kept.signs, kept.tripped_at) == (plain.signs, plain.tripped_at)
            assert list(signs()["tripped"].healthy)[sign["word"]] == plain.signs[0][1]
            unit = sign.get("unit")
            assert (places.units[unit] if unit is not None else "") == plain.tripped_at
        assert seen.said == []


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


# Volts below those of a sound supply, with what else is read beside them.
LOW_VOLTS = (
    asked(28.0, [("discharge", 0, 34.0), ("volts", 0, 190.0)]),
    asked(27.0, [("discharge", 0, 35.0), ("flow", 0, 13.0 / 6e4), ("volts", 0, 180.0)]),
    asked(26.0, [("volts", 0, 185.0)], [("stream", 1, [0])]),
)


def test_a_supply_read_low_is_as_likely_at_fault_as_diagnose_says(owner, opened):
    (plan,) = dock_readings.plans(KETCH)
    title = "low volts at the pump"
    with opened(owner(KETCH)) as seen:
        for asked_now in LOW_VOLTS:
            page = seen.page.evaluate(dock_readings.ASK, asked_now)["odds"][title]
            told = plan.diagnosed(asked_now, 20)["odds"][title]
            assert page == pytest.approx(told, abs=dock_readings.NEAR) and told > 0.8


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
        page.wait_for_timeout(500)  # until the last of the readings is answered
        told, after = page.inner_text("#dock-rows"), named_cautions(["lid"])[-1].brief
        assert told.count(after) <= 1 and len(told.replace(after, "").split()) <= 110
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


def test_what_a_bucket_held_stays_as_much_whatever_units_are_shown(owner, opened):
    """The usual bucket changes with the units only until something was timed with it."""
    with opened(owner(KETCH)) as seen:

        def field():
            return seen.page.input_value("[name=bucket-0-0]")

        seen.page.check("#us")
        assert field() == "2"
        seen.page.check("#metric")
        assert field() == "10"
        seen.page.fill("[name=time-0-0]", "45")
        before = seen.page.evaluate("dock.read().numbers[0].value")
        seen.page.check("#us")
        assert float(field()) == pytest.approx(10.0 / 3.785412, rel=2e-3)
        assert seen.page.evaluate("dock.read().numbers[0].value") == pytest.approx(before, rel=2e-3)
        seen.page.check("#metric")
        assert field() == "10"


def test_volts_are_held_to_what_the_supply_of_the_boat_can_give(owner, opened):
    """As the command holds them: those of another supply are no reading of this one."""
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=sea]", "28")
        seen.page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        ends = seen.page.evaluate("dock.told.loops[0].volts")
        for volts, water, held in (
            (12, True, False),
            (ends[0], True, True),
            (ends[0], False, False),
        ):
            seen.page.fill("[name=volts-0]", f"{volts}")
            seen.page.fill("[name=time-0-0]", "45" if water else "")
            found = seen.page.evaluate("dock.read().numbers.map((one) => one.kind)")
            assert ("volts" in found) is held, (volts, water)


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


def test_what_is_not_read_is_left_out_named_and_the_rest_answered(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=sea]", "28")
        seen.page.fill("[name=time-0-0]", "2'10")
        assert seen.page.evaluate("dock.read().numbers[0].time") == 130.0 == seconds_of("2m10")
        seen.page.fill("[name=time-0-0]", "soon")
        seen.page.fill("[name=discharge-0-0]", "44")
        seen.page.locator("#dock-rows", has_text="Time to fill").wait_for()
        assert seen.page.inner_text("#dock-word span") == "Act soon"


def test_without_a_sea_nothing_is_called_normal(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=discharge-0-0]", "34")
        seen.page.locator("#dock-word span", has_text="Watch").wait_for()
        assert seen.page.locator("#dock-rows div").first.inner_text().startswith("Do")
        read = asked(28.0, [("discharge", 0, 34.0)])
        for assumed, why in ((True, "sea_unread"), (False, "as_healthy")):
            script = "one => dock.answer(one).verdict.why"
            assert seen.page.evaluate(script, {**read, "assumed": assumed}) == why


def test_a_small_rise_is_usual_at_part_load_that_was_told(owner, opened):
    with opened(owner(KETCH)) as seen:
        script, cool = "one => dock.answer(one).verdict.why", [("discharge", 0, 30.0)]
        for told, why in (([("load", 1, [])], "as_at_part_load"), ([], "odd")):
            assert seen.page.evaluate(script, asked(28.0, cool, told)) == why


def test_low_volts_are_told_with_what_they_do_and_no_room_beside_them(owner, opened):
    with opened(owner(KETCH)) as seen:
        seen.page.fill("[name=sea]", "28")
        seen.page.fill("[name=discharge-0-0]", "34")
        seen.page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        for volts, word in (("210", "Normal"), ("203", "Watch")):
            seen.page.fill("[name=volts-0]", volts)
            seen.page.locator("#dock-word span", has_text=word).wait_for()
            why = seen.page.inner_text("#dock-why")
            assert ("Low volts" in why) == (word == "Watch") == ("away" not in why)


def test_a_boat_without_water_is_stopped_in_sight_whatever_else_is_typed(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        seen.page.fill("[name=time-0-0]", "soon")
        seen.page.check("[name=stream-0-0][value='0']")
        bar = seen.page.locator("#dock-bar", has_text="Stop now")
        bar.wait_for()
        box = bar.bounding_box()
        assert 0 <= box["y"] <= 900


def test_a_bar_names_the_first_place_and_leads_to_the_answer_until_that_is_in_sight(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        page, bar = seen.page, seen.page.locator("#dock-bar")
        page.fill("[name=sea]", "28")
        page.fill("[name=discharge-0-0]", "45")
        bar.filter(has_text="Act soon").wait_for()
        place = page.evaluate("dock.answer(dock.read()).places[0].fault.look")
        assert place in bar.inner_text()
        bar.click()
        bar.wait_for(state="hidden")
        assert page.locator("#dock-word").bounding_box()["y"] < 900
        page.evaluate("scrollTo(0, 0)")
        bar.wait_for(state="visible")


def test_the_fixed_order_is_folded_once_the_readings_give_one(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        page, steps = seen.page, seen.page.locator("#dock .steps")
        assert steps.is_visible()
        page.check("[name=stream-0-0][value='1']")
        steps.wait_for(state="hidden")
        page.locator("button[type=reset]").click()
        steps.wait_for(state="visible")


def test_what_is_normal_in_the_sea_of_today_stands_by_the_temperatures(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        page = seen.page
        page.fill("[name=sea]", "24")
        normal = page.locator("#dock-normal", has_text="24.0")
        normal.wait_for()
        low, high = page.evaluate("""() => {
          const { loopOf, between, healthyOf, told } = dock, loop = loopOf(0);
          const item = { kind: "discharge", spot: 0 };
          const rise = healthyOf(loop, between(loop, 24), item, told.levels);
          return [24 + rise[0], 24 + rise[2]].map((one) => one.toFixed(1)); }""")
        assert low in normal.inner_text() and high in normal.inner_text()
        field, next_ = (page.locator(f"[name={one}-0-0]") for one in ("discharge", "bucket"))
        tops = [one.bounding_box()["y"] for one in (field, normal, next_)]
        assert tops == sorted(tops)


SHIPPED = ROOT / "docs" / "at-the-dock.html"


def without_draws(page):
    """A page without what its draws decide, and what its script is told beside them."""
    told = boats_of(page)
    told |= {"loops": [loop["faults"] for loop in told["loops"]], "count": None}
    text = page.read_text(encoding="utf-8")
    for drawn in (r"<tbody>.*?</tbody>", r'<ol class="steps">.*?</ol>', r'id="boats">.*?<'):
        text = re.sub(drawn, "", text, flags=re.DOTALL)
    return text.splitlines(), told


def test_the_page_of_any_boat_is_of_today(tmp_path, monkeypatch):
    """Made anew with `python docs/make.py --dock`, whenever script, style, form or words change."""
    sizes = any_boat.SIZES
    monkeypatch.setattr(any_boat, "N_DRAWS", 64)
    monkeypatch.setattr(any_boat, "SIZES", sizes[:1])  # and the same draws for all
    (drawn,) = any_boat.any_boats()
    plates = [read_quantity(f"{size}000 BTU/h", "W") for size in sizes]
    today = tmp_path / "today.html"
    page = any_boat_html([replace(drawn, cooling=plate) for plate in plates], "metric")
    today.write_text(page, encoding="utf-8")
    (text, told), (shipped, held) = without_draws(today), without_draws(SHIPPED)
    assert [row for row in text if row not in shipped] == []
    assert text == shipped
    assert json.loads(json.dumps(told)) == held
    assert SHIPPED.stat().st_size < 800_000


def test_the_page_of_any_boat_answers_for_each_size(opened):
    told = boats_of(SHIPPED)
    with opened(SHIPPED, 390) as seen:
        page, flows = seen.page, []
        assert seen.said == [] and len(told["loops"]) == len(any_boat.SIZES)
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


def test_another_size_of_unit_takes_over_what_was_read_and_the_answer_names_it(opened):
    sizes = boats_of(SHIPPED)["sizes"]
    with opened(SHIPPED, 390) as seen:
        page = seen.page
        page.check("[name=loop][value='3']")
        page.fill("[name=sea]", "28")
        page.fill("[name=discharge-3-0]", "40")
        page.check("[name=stream-3-0][value='1']")
        page.check("[name=sign-basket][value='2']")
        first = page.evaluate("dock.read()")
        page.locator("#dock-of", has_text=sizes[3]).wait_for()
        page.check("[name=loop][value='5']")
        page.locator("#dock-of", has_text=sizes[5]).wait_for()
        read = page.evaluate("dock.read()")
    assert (read["loop"], read["numbers"], read["signs"]) == (5, first["numbers"], first["signs"])
    assert len(read["numbers"]) == 1 and len(read["signs"]) == 2


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
        assert seen.page.locator("#dock .seas tbody tr").count() == 4
        assert "topside outlet" not in text  # of one outlet alone nobody asks which


# What people type, by the field it is typed into
TYPED = {
    "temperature": ("75 F", "24 C", "24,5", "75°F", "24 °c", "26.5", "75 deg F", "33°", "300 K"),
    "bucket": ("1.5 gal", "10", "10 l", "1 1/2 gal", "8 qt", "a 5-gallon bucket", "2 imp gal"),
    "time": (
        "2 min 10 s",
        "2:10",
        "130",
        "0.6 min",
        "1min20",
        "1m30",
        "2'10",
        "45 sec",
        "2 minutes",
        "38 s",
    ),
    "suction": ("-6 kPa", "-1 psi", "−0.06 bar", "-2 inHg"),
    "volts": ("230", "12.4 V", "115 volts"),
}
NOT_TYPED = {
    "temperature": ("warm", "24 psi", "75 FF", "F", "2:10", "8/0"),
    "bucket": ("10 s", "big", "10 bananas"),
    "time": ("soon", "2:75", "10 L", "2 h 10 s"),
    "suction": ("3 V",),
}


def as_commands_read(kind, text):
    """The number that the options of `diagnose` mean by a text; a comma parts decimals."""
    unit = FIELDS[kind][0]
    plain = text.replace(",", ".").replace("−", "-")
    if kind == "time":
        return seconds_of(plain)
    if kind == "bucket":
        return volume_and_time(f"{plain}{' L' if plain.isdigit() else ''} in 1 s")[0]
    bare = plain.replace(".", "").isdigit()
    return read(plain + (f" {FIELDS[kind][1][0]}" if bare else ""), unit, kind)


def test_a_field_reads_what_people_type_as_the_commands_do(owner, opened):
    with opened(owner(KETCH)) as seen:
        ask = "([kind, text]) => dock.amount(kind, text, false)"
        for kind, texts in TYPED.items():
            for text in texts:
                found = seen.page.evaluate(ask, [kind, text])
                assert found == pytest.approx(as_commands_read(kind, text), rel=1e-9), text
        for kind, texts in NOT_TYPED.items():
            for text in texts:
                assert math.isnan(seen.page.evaluate(ask, [kind, text])), text
                with pytest.raises((SeaflowError, Misread, TypeError)):
                    as_commands_read(kind, text)
        whole = seen.page.evaluate("dock.filled('2 gal in 1:10', false)")
        of_flow = seen.page.evaluate("dock.filled('4 gpm', false)")
    volume, time = volume_and_time("2 gal in 1:10")
    assert whole == pytest.approx({"size": volume, "time": time})
    assert of_flow["size"] / of_flow["time"] == pytest.approx(flow_of("4 gpm")[0])


def test_units_typed_hold_whatever_the_switch_says(owner, opened):
    with opened(owner(KETCH)) as seen:
        page = seen.page
        page.fill("[name=sea]", "77 F")
        page.fill("[name=discharge-0-0]", "31 C")
        page.fill("[name=bucket-0-0]", "1.5 gal")
        page.fill("[name=time-0-0]", "2 min 10 s")
        for system in ("metric", "us"):
            page.check(f"#{system}")
            read_now = page.evaluate("dock.read()")
            assert read_now["faults"] == []
            assert read_now["sea"] == pytest.approx(25.0)
            warm, flow = (one["value"] for one in read_now["numbers"])
            assert warm == pytest.approx(31.0)
            assert flow == pytest.approx(1.5 * 0.003785411784 / 130.0)


def test_each_message_names_its_field_and_is_tied_to_it(owner, opened):
    wrong = {"sea": "warm", "discharge-0-0": "90", "bucket-0-0": "huge", "time-0-0": "soon"}
    with opened(owner(KETCH)) as seen:
        page = seen.page
        for name, typed in wrong.items():
            page.fill(f"[name={name}]", typed)
        page.wait_for_selector("#w-time-0-0:not([hidden])")
        for name, typed in wrong.items():
            field = page.locator(f"[name={name}]")
            label = page.inner_text(f"label[for='r-{name}']")
            said = page.inner_text(f"#w-{name}")
            assert label in said and typed in said
            assert f"w-{name}" in field.get_attribute("aria-describedby").split()
            assert field.get_attribute("aria-invalid") == "true"
            assert said in page.inner_text("#dock-wrong")
        page.fill("[name=sea]", "75 F")
        page.wait_for_selector("#w-sea[hidden]", state="attached")
        assert page.get_attribute("[name=sea]", "aria-invalid") == "false"


def test_where_to_look_is_told_by_the_rules_of_diagnose(owner, opened):
    """By odds over effort, no load on a hot unit, the stream first, and what water cannot tell."""
    told = boats_of(owner(KETCH))
    effort = {fault["name"]: fault["effort"] for fault in told["loops"][0]["faults"]}
    rows = [
        asked(28.0, [("discharge", 0, 45.0)], [("load", 1, [])]),
        asked(28.0, [("discharge", 0, 60.0), ("flow", 0, 15.8 / 6e4)], []),
        asked(28.0, [("discharge", 0, 33.0)], [("tripped", 0, []), ("load", 0, [])]),
    ]
    with opened(owner(KETCH)) as seen:
        script = """one => {
          const a = dock.answer(one); return [a.places, a.next, a.unseen, a.verdict.word]; }"""
        found = [seen.page.evaluate(script, one) for one in rows]
        for places, _, _, word in found:
            names = [one["fault"]["name"] for one in places]
            assert names and not set(names) & set(told["loads"])
            assert word in ("act_soon", "stop_now")
        (warm, following, _, _), _, (_, _, unseen, _) = found
        worth = [one["chance"] / effort[one["fault"]["name"]] for one in warm[:2]]
        assert worth == sorted(worth, reverse=True)
        assert following["kind"] == "stream"
        assert unseen == {"kind": "water_looks_well"}
        seen.page.fill("[name=sea]", "28")
        seen.page.fill("[name=discharge-0-0]", "24")
        seen.page.wait_for_selector("#w-discharge-0-0:not([hidden])")
        assert seen.page.is_hidden("#dock-answer")


# Streams of the two outlets, by word: the branch of the one unit that stands alone, or of no one.
WEAK_BRANCHES = ((1, 3, "saloon unit"), (3, 0, "wheelhouse unit"), (0, 3, ""))


def test_a_weak_branch_is_named_with_its_unit_where_diagnose_names_it(owner, opened):
    (plan,) = dock_readings.plans(MOTOR)
    with opened(owner(MOTOR)) as seen:
        for one, other, unit in WEAK_BRANCHES:
            read = asked(28.0, [], [("stream", one, [0]), ("stream", other, [1])])
            readings = plan.readings(read)
            found = posterior_of(plan.setup, readings, Sampling(DEFAULT_DRAWS, 20))
            told = {one.leads: one.unit for one in looks(found, plan.setup.part.kind, readings)}
            mine = seen.page.evaluate(
                "one => dock.answer(one).places.map((at) => [at.fault.name, at.unit])", read
            )
            both = {name: (at, told[name]) for name, at in mine if name in told}
            assert both["branch_shut"] == (unit, unit)
            assert all(at == other for at, other in both.values())


def test_a_supply_read_low_is_looked_at_before_all_but_salt_water_in_the_bilge(owner, opened):
    loop = boats_of(owner(KETCH))["loops"][0]
    weak, full = 0.9 * loop["usualVolts"][0], ("basket", 2, [])
    wet = ("bilge", 1, [])
    with opened(owner(KETCH)) as seen:
        for volts, signs, first in (
            (weak, [full], "low_volts"),
            (weak, [full, wet], "leak"),
            (loop["usualVolts"][0] + 1.0, [full], "strainer"),
        ):
            rows = [("discharge", 0, 45.0), ("volts", 0, volts)]
            found = seen.page.evaluate(ADVICE, asked(28.0, rows, signs))
            names = [one["fault"]["name"] for one in found["places"]]
            assert names[0] == first
            assert ("low_volts" in names) == (first == "low_volts")


ADVICE = """one => {
  const { verdict, places, next } = dock.answer(one);
  return { verdict, places, next };
}"""


def test_nothing_beside_stop_takes_a_pump_that_runs(owner, opened):
    """Whatever stops, no place and no reading is named for which pump or unit is to run."""
    told = boats_of(owner(KETCH))
    running = {
        kind
        for table in ("signs", "instruments")
        for kind, one in told[table].items()
        if one["running"]
    }
    assert {"bubbles", "discharge", "load"} < running
    with opened(owner(KETCH)) as seen:
        for kind, word, _ in told["stops"]:
            sign = [kind, told["signs"][kind]["words"].index(word), [0] if kind == "stream" else []]
            for numbers in ((), (("discharge", 0, 31.0), ("flow", 0, 20.0 / 6e4))):
                found = seen.page.evaluate(
                    ADVICE,
                    asked(28.0, numbers, [sign]),
                )
                assert found["verdict"]["word"] == "stop_now"
                assert not any(one["fault"]["running"] for one in found["places"])
                assert found["next"] is None or found["next"]["kind"] not in running


def test_nothing_is_asked_while_salt_water_comes_in(owner, opened):
    """Whatever else is told: that is stopped first; on the page as by `diagnose`."""
    others = (("stream", 0, [0]), ("pump", 1, []), ("breaker", 1, []), ("handle", 0, []))
    (plan,) = dock_readings.plans(KETCH)
    with opened(owner(KETCH)) as seen:
        for many in range(len(others) + 1):
            read = asked(28.0, [], [("bilge", 1, []), *others[:many]])
            found = seen.page.evaluate(ADVICE, read)
            assert found["verdict"]["why"] == "salt_water" and found["next"] is None
            posterior = posterior_of(plan.setup, plan.readings(read), Sampling(2048, 20))
            assert open_readings(posterior, plan.readings(read)) == ()


def test_the_lid_comes_off_only_once_the_basket_was_looked_at(owner, opened):
    """A hand in the bowl with the seacock cracked is asked for after what is seen with less."""
    (plan,) = dock_readings.plans(KETCH)
    told = [("pump", 0, []), ("load", 1, []), ("tripped", 0, []), ("stream", 1, [0])]
    with opened(owner(KETCH)) as seen:
        for basket in ([], [("basket", 0, [])]):
            read = asked(28.0, [], [*told, *basket])
            found = seen.page.evaluate(ADVICE, read)["next"]
            assert bool(basket) or (found or {}).get("kind") != "lid_open"
            posterior = posterior_of(plan.setup, plan.readings(read), Sampling(2048, 20))
            left = {one.kind for one in open_readings(posterior, plan.readings(read))}
            assert ("lid_open" in left) == bool(basket)


@pytest.mark.parametrize("discharge", [27.6, 28.0, 28.2])
def test_water_that_leaves_as_it_came_is_no_reason_to_stop(discharge, owner, opened):
    """A stream that a thermometer was held into comes, and the unit adds nothing to it."""
    (plan,) = dock_readings.plans(KETCH)
    read = asked(28.0, [("discharge", 0, discharge)])
    with opened(owner(KETCH)) as seen:
        found = seen.page.evaluate(ADVICE, read)["verdict"]
    assert (found["word"], found["why"], found["room"]) == ("act_soon", "no_heat", None)
    readings = plan.readings(read)
    told = verdict_of(posterior_of(plan.setup, readings, Sampling(4096, 20)), readings)
    assert (told.word, told.why, told.to_cut_out) == (ACT, UNHEATED, None)


def test_paper_has_the_answer_once_there_is_one_and_never_the_fields(owner, opened):
    with opened(owner(KETCH)) as seen:
        page = seen.page
        page.emulate_media(media="print")
        assert not page.is_visible("#dock-answer")
        page.emulate_media(media="screen")
        page.fill("[name=sea]", "28")
        page.fill("[name=discharge-0-0]", "45")
        page.locator("#dock-word span", has_text="Act soon").wait_for()
        page.emulate_media(media="print")
        assert page.is_visible("#dock-answer") and not page.is_visible("[name=sea]")


def test_what_wears_the_pump_is_acted_on_soon(owner, opened):
    told = boats_of(owner(KETCH))
    assert told["wears"]
    with opened(owner(KETCH)) as seen:
        for kind, word, why in told["wears"]:
            strong = ["stream", told["signs"]["stream"]["words"].index("strong"), [0]]
            sign = [kind, told["signs"][kind]["words"].index(word), []]
            found = seen.page.evaluate(
                ADVICE, asked(28.0, (("discharge", 0, 32.0),), [strong, sign])
            )
            assert (found["verdict"]["word"], found["verdict"]["why"]) == ("act_soon", why)


def test_no_stream_and_water_in_the_bucket_stops_without_other_advice(owner, opened):
    with opened(owner(KETCH)) as seen:
        page = seen.page
        page.fill("[name=sea]", "28")
        page.fill("[name=time-0-0]", "40")
        page.check("[name=stream-0-0][value='0']")
        page.locator("#dock-word span", has_text="Stop now").wait_for()
        assert page.inner_text("#w-time-0-0") == page.inner_text("#dock-wrong")
        heads = page.locator("#dock-rows dt").all_inner_texts()
        assert set(heads) <= {"Look here", "Then here", "Last", "Read next"}
        shown = page.inner_text("#dock-answer")
        assert told_of(page, "few_boats") not in shown and told_of(page, "rough") not in shown


def told_of(page, kind):
    """What the script says of a kind, in metric units."""
    return page.evaluate("kind => dock.told.says[kind][0]", kind)


def test_the_first_question_stands_high_on_a_phone(opened):
    with opened(SHIPPED, 390) as seen:
        assert seen.page.locator("#dock-form legend").first.bounding_box()["y"] < 400


def test_without_script_the_order_stands_before_the_tables_of_all_sizes(opened):
    with opened(SHIPPED, 390, java_script_enabled=False) as seen:
        steps, tables = seen.page.locator("#dock .steps"), seen.page.locator("#dock .seas")
        assert steps.count() == 1
        assert steps.bounding_box()["y"] < tables.first.bounding_box()["y"]


BROKEN = """() => [...document.querySelectorAll('.choices label span')].flatMap((span) => {
  const text = span.firstChild;
  if (!text || text.nodeType !== Node.TEXT_NODE) return [];
  return [...text.data.matchAll(/\\S+/g)].filter(({ 0: word, index }) => {
    const range = document.createRange();
    range.setStart(text, index);
    range.setEnd(text, index + word.length);
    return new Set([...range.getClientRects()].map((one) => Math.round(one.top))).size > 1;
  }).map(({ 0: word }) => word);
})"""


@pytest.mark.parametrize("width", [320, 360, 390])
def test_no_word_of_an_answer_is_broken_on_a_phone(width, owner, opened):
    with opened(owner(KETCH), width) as seen:
        seen.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert seen.page.evaluate(BROKEN) == []


def test_what_is_wrong_with_a_time_leaves_the_bucket_beside_it(owner, opened):
    with opened(owner(KETCH), 390) as seen:
        time, bucket = (seen.page.locator(f"[name^={name}]").first for name in ("time", "bucket"))
        time.fill("abc")
        time.blur()
        seen.page.locator(".wrong:visible").first.wait_for()
        assert time.bounding_box()["y"] == bucket.bounding_box()["y"]
