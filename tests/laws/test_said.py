"""The few words that are said of a boat: read as people type them, refused whole where not."""

import datetime
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.part import pump_part_of
from seaflow.forms.typical.asked_pump import asked_sheet
from seaflow.forms.typical.boat import said_of_a_file, spoken_boat
from seaflow.forms.typical.build import said_battery
from seaflow.forms.typical.hull import kinds
from seaflow.forms.typical.said import said
from seaflow.forms.typical.text import spoken
from seaflow.physics.pumping.pump import head
from seaflow.studies.design.supply import panel_volts

KETCH = "cases/ketch-one-unit.toml"
ROUNDED = 1e-5  # relative; six digits of a figure in a file


def facts(**texts):
    return said(texts, Catalogue()).facts


def refused(**texts):
    with pytest.raises(SeaflowError) as error:
        facts(**texts)
    return error.value.problems


@pytest.mark.parametrize(
    "text, kind, length, beam, built",
    [
        ("sailing monohull, 12 m", "sailing monohull", "12 m", None, None),
        ("40 ft ketch", "sailing monohull", "40 ft", None, None),
        ("catamaran 13.5 m 2012", "sailing catamaran", "13.5 m", None, 2012),
        (
            "motor yacht with flybridge, 15 m, beam 4.6 m",
            *("motor yacht, flybridge", "15 m", "4.6 m", None),
        ),
        ("12m sloop built 1998", "sailing monohull", "12 m", None, 1998),
        ("40'6\" Sloop", "sailing monohull", "486 in", None, None),
        ("power cat with flybridge 14m", "power catamaran", "14 m", None, None),
        ("4.6 m beam motor boat 15 m", "motor yacht, flybridge", "15 m", "4.6 m", None),
        ("Trawler 44 ft", "motor yacht, engine amidships", "44 ft", None, None),
    ],
)
def test_boats_are_read_as_people_type_them(text, kind, length, beam, built):
    boat = facts(boat=text).boat
    assert (boat.kind, boat.built) == (kind, built)
    assert boat.length == pytest.approx(read_quantity(length, "m"))
    assert boat.beam == (beam and pytest.approx(read_quantity(beam, "m")))


@pytest.mark.parametrize(
    "text", ["catamaran trawler 14 m", "ketch flybridge 12 m", "sloop 12 m 2012 2013"]
)
def test_no_word_of_a_boat_is_dropped(text):
    assert [problem.code for problem in refused(boat=text)] == ["T01"]


def test_a_catamaran_with_an_engine_has_two_hulls_in_whatever_order_it_is_said():
    assert facts(boat="catamaran motor yacht 14 m").boat.kind == "power catamaran"
    assert facts(boat="trawler with flybridge 14 m").boat.kind == "motor yacht, engine amidships"


def test_a_battery_is_written_in_the_unit_of_its_label():
    assert said_battery(facts(battery="400 Ah 24 V").battery)["capacity"] == "400 Ah"
    assert [*spoken(facts(battery="400 Ah 24 V"))] == ["battery 400 Ah 24 V"]
    assert [*spoken(facts(battery="5.2 kWh"))] == ["battery 5.2 kWh"]


@pytest.mark.parametrize("kind", kinds())
def test_every_typical_boat_is_named_by_its_own_name(kind):
    assert facts(boat=f"{kind}, 12 m").boat.kind == kind


def test_every_word_for_a_boat_means_one_that_is_there():
    for kind, words in read_table("said.toml")["kind"].items():
        assert kind in kinds()
        for word in words:
            assert facts(boat=f"{word}, 12 m").boat.kind in kinds()


@pytest.mark.parametrize(
    "text, cooling, power, gas, name",
    [
        ("16000 BTU/h", "16000 BTU/h", None, None, None),
        ("16k", "16000 BTU/h", None, None, None),
        ("16,000 BTU", "16000 BTU/h", None, None, None),
        ("16000", "16000 BTU/h", None, None, None),
        ("5 kW R-410A", "5 kW", None, "R-410A", None),
        ("12000 BTU/h, 1.2 kW, R410A", "12000 BTU/h", 1200.0, "R-410A", None),
        ("5 kW 1.4 kW", "5 kW", 1400.0, None, None),
        ("12k saloon", "12000 BTU/h", None, None, "saloon"),
        ("1.5 tons", "1.5 ton", None, None, None),
    ],
)
def test_units_are_read_as_people_type_them(text, cooling, power, gas, name):
    (unit,) = facts(unit=text).units
    assert unit.cooling == pytest.approx(read_quantity(cooling, "W"))
    assert (unit.input_power, unit.refrigerant, unit.name) == (power, gas, name)


def test_a_unit_that_heats_says_how_much_or_only_that_it_does():
    (plain,) = facts(unit="16k, heats 17k BTU, 1.4 kW").units
    assert plain.heating == pytest.approx(read_quantity("17000 BTU/h", "W"))
    assert plain.input_power == 1400.0
    case = spoken_boat({"unit": "16k reverse cycle"}).loaded.case
    assert case.unit[0].heating and ("unit", 0, "heating", "capacity") in case.typical
    assert spoken_boat({"unit": "16k"}).loaded.case.unit[0].heating is None


PSI, GALLON = 6894.757293168, 3.785411784e-3 / 60.0


@pytest.mark.parametrize(
    ("text", "losses"),
    [
        ("16k, 3 psi at 4 gpm", [(4 * GALLON, None, 3 * PSI)]),
        ("16k 4 gpm @ 3 psi", [(4 * GALLON, None, 3 * PSI)]),
        ("16k, 2 m at 15 L/min", [(0.25e-3, 2.0, None)]),
        ("16,000 BTU/h, water loss 7 ft at 4 gpm", [(4 * GALLON, 7 * 0.3048, None)]),
        ("16k, pressure drop of 20 kPa at 15 l/min", [(0.25e-3, None, 20e3)]),
        ("16k, head loss 2 m at 15 L/min", [(0.25e-3, 2.0, None)]),
        (
            "16k, 3 psi at 4 gpm, 5 psi at 5 gpm, heats 17k",
            [(4 * GALLON, None, 3 * PSI), (5 * GALLON, None, 5 * PSI)],
        ),
    ],
)
def test_what_a_coil_loses_is_read_beside_its_plate(text, losses):
    (unit,) = facts(unit=text).units
    assert unit.cooling == pytest.approx(read_quantity("16000 BTU/h", "W"))
    assert unit.name is None
    told = [(one.flow, one.head, one.pressure) for one in unit.losses]
    assert [tuple(map(bool, one)) for one in told] == [tuple(map(bool, one)) for one in losses]
    for one, other in zip(told, losses, strict=True):
        assert [a for a in one if a] == pytest.approx([a for a in other if a], rel=1e-6)


def test_what_a_coil_loses_stands_in_the_case_in_the_unit_it_was_said_in():
    spoken = spoken_boat({"unit": ["2 x 9k fore cabin, 3 psi at 4 gpm", "12k saloon"]})
    assert spoken.text.count('water_loss = [{ at = "4 gpm", pressure = "3 psi" }]') == 2
    case = spoken.loaded.case
    assert [len(unit.water_loss) for unit in case.unit] == [0, 1, 1]
    assert not any("water_loss" in path for path in case.typical)
    metric = spoken_boat({"unit": "16k, 2 m at 15 L/min"}).text
    assert 'water_loss = [{ at = "15 L/min", head = "2 m" }]' in metric


def test_a_plate_alone_needs_no_library_of_units():
    code = (
        "import sys\nfrom seaflow.boat.parts.catalogue import Catalogue\n"
        "from seaflow.forms.typical.said import said\n"
        "said({'unit': ['16k', '9k']}, Catalogue())\n"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    "text",
    ["16k, 4 gpm", "16k, loss 3 psi", "16k, 300 psi at 4 gpm", "16k, 1,5 m at 15 L/min"],
)
def test_a_loss_without_its_flow_or_beyond_all_coils_is_refused(text):
    with pytest.raises(SeaflowError) as refused:
        facts(unit=text)
    assert [problem.code for problem in refused.value.problems] == ["T02"]


@pytest.mark.parametrize("text", ["12k, heats 14k", "heats 14000, 12k", "12k 14k heat"])
def test_what_a_unit_heats_needs_a_unit_no_more_than_what_it_cools(text):
    assert facts(unit=text).units == facts(unit="12000 BTU/h, heats 14000 BTU/h").units


def test_a_length_that_was_forgotten_is_asked_for_whatever_year_is_told():
    for text in ("catamaran", "catamaran 2015", "motor yacht 2012"):
        (problem,) = refused(boat=text)
        assert problem.what.endswith("no length is given")
    (problem,) = refused(boat="sloop 12 2012")
    assert problem.what.endswith(": 12 has no unit")


def test_the_last_year_that_is_offered_of_a_newer_boat_is_taken():
    (problem,) = refused(boat="motor yacht 15 m 2099")
    newest = int(re.findall(r"\d{4}", problem.write)[0])
    assert facts(boat=f"motor yacht 15 m {newest}").boat.built == newest
    refused(boat=f"motor yacht 15 m {newest + 1}")


@pytest.mark.parametrize(
    ("option", "text"), [("unit", "1,5 kW"), ("unit", "1,5 PS"), ("unit", "1,5"), ("boat", "9,5 m")]
)
def test_what_is_offered_for_a_comma_is_taken(option, text):
    (problem,) = refused(**{option: text})
    offered = re.findall(r"Write (\d[^.]*(?:\.\d[^.]*)?)\.$", problem.write)
    assert bool(offered) == text.endswith(("kW", "9,5 m"))
    for one in offered:
        facts(**{option: f"{one} sloop" if option == "boat" else one})


def test_a_bank_of_more_volts_than_usual_says_that_it_is_dc():
    for text, volts in (("60 Ah 144 V DC", 144.0), ("40 kWh 400 V", 400.0), ("90 Ah 96 V", 96.0)):
        assert facts(battery=text).battery.voltage == volts


def test_several_units_are_several_texts_or_one_with_their_number():
    assert len(facts(unit=["12k", "9k", "9k"]).units) == 3
    assert facts(unit="two 9k units").units == facts(unit="2 x 9000 BTU/h").units
    assert len(facts(unit="2 x 9000 BTU/h").units) == 2


@pytest.mark.parametrize(
    "text",
    [
        "3 x 16000",
        "3x16k",
        "3×16k",
        "3*16k",
        "16k x3",
        "16k x 3",
        "16k*3",
        "3 X 16k BTU",
        "16k (3x)",
    ],
)
def test_the_number_of_units_may_stand_close_to_its_times(text):
    assert facts(unit=text).units == facts(unit=["16k"] * 3).units


def test_more_units_than_a_pump_takes_are_told_and_two_pumps_share_more():
    for told in ("12 x 16k", ["9k"] * 7):
        with pytest.raises(SeaflowError) as refused:
            spoken_boat({"boat": "12 m sloop", "unit": told, "supply": "230 V"})
        (problem,) = refused.value.problems
        assert problem.code == "T02" and "6" in problem.what
    case = spoken_boat({"boat": "14 m catamaran", "unit": "8 x 9k", "supply": "230 V"}).loaded.case
    assert len(case.unit) == 8


@pytest.mark.parametrize(
    "text, current, voltage, frequency",
    [
        ("230 V 50 Hz", "ac", 230.0, 50.0),
        ("230V/50Hz", "ac", 230.0, 50.0),
        ("230/50", "ac", 230.0, 50.0),
        ("120 V 60", "ac", 120.0, 60.0),
        ("shore 230V", "ac", 230.0, None),
        ("120 V 60 Hz", "ac", 120.0, 60.0),
        ("12 V", "dc", 12.0, None),
        ("24VDC", "dc", 24.0, None),
        ("48V battery", "dc", 48.0, None),
    ],
)
def test_supplies_are_read_as_people_type_them(text, current, voltage, frequency):
    supply = facts(supply=text).supply
    assert (supply.current, supply.voltage, supply.frequency) == (current, voltage, frequency)


@pytest.mark.parametrize(
    ("said_as", "volts", "asks"),
    [
        ("110 V", 115.0, True),
        ("110V 60Hz", 115.0, True),
        ("220 V 50 Hz", 230.0, True),
        ("115 V 60 Hz", 115.0, False),
        ("120 V 60 Hz", 120.0, False),
        ("240 V 50 Hz", 240.0, False),
        ("230 V", 230.0, False),
    ],
)
def test_mains_that_are_called_by_other_volts_than_they_have_are_told(said_as, volts, asks):
    loaded = spoken_boat({"boat": "12 m sloop", "unit": "16k", "supply": said_as}).loaded
    assert loaded.case.supply.voltage == volts
    assert [one.code for one in loaded.warnings] == ["Q03"] * asks
    beside = said_of_a_file(KETCH, {"supply": said_as})
    assert beside.case.supply.voltage == volts
    assert sum(one.code == "Q03" for one in beside.warnings) == asks


def test_seas_are_temperatures_places_or_both():
    assert facts(sea="30 degC").sea.warmest == 30.0
    assert facts(sea="84F").sea.warmest == pytest.approx((84 - 32) / 1.8)
    assert facts(sea="30 degC +/- 1 K").sea.warmest_spread == 1.0
    place = facts(sea="Carribean").sea
    assert (place.warmest, place.place) == (None, "western Caribbean")
    both = facts(sea="Bahamas 31 C").sea
    assert (both.warmest, both.place) == (31.0, "Bahamas")


@pytest.mark.parametrize(
    "text, top, most, power, points",
    [
        ("shut-off 4.2 m, open flow 30 L/min, 60 W", 4.2, 5e-4, 60.0, ()),
        ("max head 4.2 m, max flow 30 lpm", 4.2, 5e-4, None, ()),
        ("30 lpm 4.2m 60w", 4.2, 5e-4, 60.0, ()),
        ("12 L/min at 3 m", None, None, None, ((2e-4, 3.0),)),
        ("3 m @ 12 L/min, 1 m @ 24 L/min", None, None, None, ((2e-4, 3.0), (4e-4, 1.0))),
        ("shut-off 4 m, 12 L/min at 3 m", 4.0, None, None, ((2e-4, 3.0),)),
    ],
)
def test_pumps_are_read_as_people_type_them(text, top, most, power, points):
    pump = facts(pump=text).pump
    assert pump.shut_off_head == (top and pytest.approx(top))
    assert pump.open_flow == (most and pytest.approx(most))
    assert pump.power == power
    assert pump.points == tuple(pytest.approx(point) for point in points)


@pytest.mark.parametrize(
    ("supply", "amps", "least", "most"),
    [
        ("12 V", "5 A", 60.0, 60.0),  # direct current: volts times amperes
        ("24 V DC", "2.5 amps", 60.0, 60.0),
        ("115 V 60 Hz", "1.2A", 0.5 * 138.0, 0.95 * 138.0),  # any motor's power factor
    ],
)
def test_the_amps_of_a_plate_stand_for_its_watts(supply, amps, least, most):
    pump = f"500 GPH @ 0 ft, 13.5 ft shutoff, {amps}"
    told = facts(pump=pump).pump
    bare = facts(pump="500 GPH @ 0 ft, 13.5 ft shutoff").pump
    assert replace(told, current=None) == bare and told.current == float(amps.rstrip(" Aamps"))
    case = spoken_boat({"boat": "36 ft motor yacht", "supply": supply, "pump": pump}).loaded.case
    part = pump_part_of(case.catalogue.own[0])
    assert least <= part.power[0][1] <= most


def test_watts_of_a_plate_go_before_its_amps():
    sheet = asked_sheet(facts(pump="500 GPH @ 0 ft, 13.5 ft shutoff, 1.2 A, 90 W"))[0]
    assert (sheet.power, sheet.current) == (90.0, None)


def test_a_pump_is_a_row_of_the_table_or_a_sheet():
    assert facts(pump="demo mag medium 230").pump.fitted == "demo-mag-medium-230"
    told = said({"pump": "docs/examples/own-pump.csv"}, Catalogue())
    assert told.catalogue.pump(told.facts.pump.fitted).name == "bench-pump-230"


@pytest.mark.parametrize(
    "option, text",
    [
        *(("boat", text) for text in ("", "12 m", "sloop", "sloop 12", "trimaran 12 m", "cat 3 m")),
        *(("boat", text) for text in ("ketch 12 m 40 ft", "13,5 m sloop", "sloop 12 m +/- 1 m")),
        *(("boat", text) for text in ("motor yacht 2012", "ketch 12 m 1850")),
        *(("unit", text) for text in ("", "16", "aircon", "5 kW R-999", "9k 12k", "1 BTU/h")),
        *(("unit", text) for text in ("1.5 hp", "2HP", "2 kVA R-410A", "1,5 PS", "heats 14k")),
        *(("battery", text) for text in ("", "400 Ah 230 V", "400 Ah 120V", "400 Ah 5 V")),
        *(("supply", text) for text in ("", "mains", "230", "400 V DC", "12 V AC", "120/240 V")),
        *(("sea", text) for text in ("", "30", "Atlantis", "55 degC", "20 degC 30 degC")),
        *(("pump", text) for text in ("", "magic", "500 gph", "0.5 A", "no-such-file.toml")),
        *(("pump", text) for text in ("shut-off -4 m, 30 L/min open", "0 m, 30 L/min")),
        *(("pump", text) for text in ("4 m, -30 L/min", "4 m, 0 L/min open", "-3 L/min at 2 m")),
    ],
)
def test_what_is_not_understood_is_refused_with_the_forms_that_are(option, text):
    (problem,) = refused(**{option: text})
    assert problem.what and problem.write


@pytest.mark.parametrize(("ahead", "is_read"), [(-90, True), (0, True), (1, True), (2, False)])
@pytest.mark.parametrize("today", [datetime.date(2027, 1, 1), datetime.date(2031, 12, 31)])
def test_a_boat_is_of_this_year_or_the_next_at_most_whichever_year_it_is(
    monkeypatch, today, ahead, is_read
):
    monkeypatch.setattr("seaflow.forms.typical.said.this_day", lambda: today)
    text = f"sloop 12 m {today.year + ahead}"
    if is_read:
        assert facts(boat=text).boat.built == today.year + ahead
    else:
        (problem,) = refused(boat=text)
        assert str(today.year + 1) in problem.write


def test_all_that_is_not_understood_is_told_at_once():
    found = refused(boat="12", unit=["16", "17"], supply="mains", sea="30", pump="magic")
    assert [problem.code for problem in found] == ["T01", "T02", "T02", "T03", "T04", "T05"]


@given(st.sampled_from(("boat", "unit", "supply", "sea", "pump")), st.text(max_size=30))
def test_no_text_breaks_the_reader(option, text):
    try:
        facts(**{option: text})
    except SeaflowError as error:
        assert all(problem.code for problem in error.problems)


# --- the whole boat ---


def test_what_was_said_is_in_the_case_and_all_else_typical():
    spoken = spoken_boat(
        {"boat": "sailing monohull, 12 m", "unit": ["16k"], "supply": "230 V", "sea": "Bahamas"}
    )
    raw = tomllib.loads(spoken.text)
    assert raw["sea"] == {"place": "Bahamas"} and raw["unit"][0]["cooling"] == "16000 BTU/h"
    case = spoken.loaded.case
    assert case.supply.frequency == 50.0 and ("sea", "warmest") in case.typical
    assert ("unit", 0, "cooling") not in case.typical and ("hose", 0, "length") in case.typical


def test_one_frequency_goes_with_each_mains_that_is_said_without():
    assert spoken_boat({"supply": "120 V"}).loaded.case.supply.frequency == 60.0
    assert spoken_boat({"supply": "12 V"}).loaded.case.supply.frequency is None


def curve_of(text, supply="230 V 50 Hz"):
    case = spoken_boat({"pump": text, "supply": supply}).loaded.case
    return case.catalogue.pump(case.pump[0].fitted)


def test_the_pump_asked_about_is_the_pump_fitted():
    part = curve_of("shut-off 4.2 m, open flow 30 L/min, 60 W")
    assert (part.curve.shut_off_head, part.curve.free_flow) == pytest.approx((4.2, 5e-4))
    assert part.power[0][1] == pytest.approx(60.0) and part.voltage == 230.0


@pytest.mark.parametrize(
    "text", ["12 L/min at 3 m", "shut-off 4 m, 12 L/min at 3 m", "30 L/min open, 12 L/min at 3 m"]
)
def test_a_curve_goes_through_the_point_that_was_told(text):
    part = curve_of(text)
    assert float(head(part.curve, 2e-4, 1.0)) == pytest.approx(3.0, rel=ROUNDED)
    assert (part.head_spread is not None) == (text == "12 L/min at 3 m")  # one point is a guess


def test_a_curve_that_rises_is_refused():
    with pytest.raises(SeaflowError) as error:
        spoken_boat({"pump": "10 L/min at 2 m, 20 L/min at 3 m"})
    assert {problem.code for problem in error.value.problems} <= {"P08", "P09"}
    with pytest.raises(SeaflowError):
        spoken_boat({"pump": "shut-off 2 m, 12 L/min at 3 m"})


def test_facts_that_hardly_go_together_get_a_question():
    def questions(**texts):
        return [problem.code for problem in spoken_boat(texts).loaded.warnings]

    assert questions(boat="25 m motor yacht", unit=["5000 BTU/h"]) == ["Q03"]
    assert questions(boat="9 m sloop", unit=["70000 BTU/h"]) == ["Q03"]
    assert questions(boat="12 m sloop, beam 7 m") == ["Q03"]
    assert questions(boat="12 m sloop, 30 t") == ["Q03"]
    assert questions(boat="25 m motor yacht, beam 2 m", unit=["5000 BTU/h"]) == ["Q03", "Q03"]
    assert questions(boat="12 m sloop, beam 4 m, 8 tonnes", unit=["16k"]) == []


@pytest.mark.parametrize(
    ("text", "pump", "units"),
    [
        ("12 V, units on 230 V", (12.0, "dc"), (230.0, "ac")),
        ("24 V DC, units on 400 V DC", (24.0, "dc"), (400.0, "dc")),
        ("24 V and the units run from 48 V DC", (24.0, "dc"), (48.0, "dc")),
    ],
)
def test_units_may_run_from_another_supply_than_the_pump(text, pump, units):
    found = facts(supply=text)
    assert (found.supply.voltage, found.supply.current) == pump
    assert (found.unit_supply.voltage, found.unit_supply.current) == units


@pytest.mark.parametrize(
    "text", ["400 V DC, units on 12 V", "12 V, units on 2000 V DC", "12 V, units on"]
)
def test_no_pump_runs_on_high_voltage_and_no_unit_on_what_is_not_known_of(text):
    with pytest.raises(SeaflowError):
        facts(supply=text)


# --- beside a file ---


def test_what_is_said_beside_a_file_stands_in_for_it_and_the_answer_says_so():
    before = load_case(KETCH).case
    after = said_of_a_file(KETCH, {"sea": "27 degC", "supply": "120 V 60 Hz"}).case
    assert after.sea == replace(before.sea, warmest=27.0) or after.sea.warmest == 27.0
    assert (after.supply.voltage, after.supply.frequency) == (120.0, 60.0)
    assert max(panel_volts(after)) < 140.0  # the highest voltage of the file went with its supply
    told = {item.meaning: item.source for item in after.assumptions}
    assert "beside the file" in told["warmest"] and "beside the file" in told["voltage"]
    place = said_of_a_file(KETCH, {"sea": "Aegean"}).case
    assert place.sea.warmest == pytest.approx(28.6) and place.sea.heating_from < 16.0


def test_a_battery_that_no_duty_of_a_file_runs_on_is_told(tmp_path):
    file = tmp_path / "boat.toml"
    text = Path(KETCH).read_text(encoding="utf-8")
    for source, codes in (("battery", []), ("generator", ["Q03"])):
        file.write_text(text.replace('source = "battery"', f'source = "{source}"'))
        warnings = said_of_a_file(str(file), {"battery": "400 Ah 24 V"}).warnings
        assert [one.code for one in warnings] == codes


def test_a_pump_said_beside_a_file_runs_from_its_supply():
    case = said_of_a_file(KETCH, {"pump": "shut-off 4.2 m, open flow 30 L/min"}).case
    part = case.catalogue.pump(case.pump[0].fitted)
    assert (part.voltage, part.frequency) == (230.0, 50.0)


@pytest.mark.parametrize(
    ("pump", "codes"),
    [
        ("shut-off 9999 km, 30 L/min open", ["Q02"]),
        ("shut-off 0.45 m, 30 L/min open", ["Q01"]),
        ("shut-off 4.2 m, 30 L/min open", []),
    ],
)
def test_a_pump_that_is_hard_to_believe_is_asked_about_typed_or_beside_a_file(pump, codes):
    for loaded in (spoken_boat({"pump": pump}).loaded, said_of_a_file(KETCH, {"pump": pump})):
        assert [problem.code for problem in loaded.warnings if problem.code[0] == "Q"] == codes


def test_a_file_with_nothing_said_beside_it_is_the_file():
    plain, same = load_case(KETCH).case, said_of_a_file(KETCH, {}).case
    assert plain.assumptions == same.assumptions and plain.text == same.text


def test_a_point_without_head_or_without_flow_is_an_end_of_the_curve():
    """It needs the other end as well, and is asked for it."""
    ends = facts(pump="30 L/min at 0 m, 0 L/min at 5 m").pump
    assert (ends.open_flow, ends.shut_off_head) == pytest.approx((30 / 6e4, 5.0))
    assert not ends.points
    with pytest.raises(SeaflowError) as refused:
        facts(pump="500 gph at 0 m")
    assert [problem.code for problem in refused.value.problems] == ["T05"]


@pytest.mark.parametrize("text", ["shut-off 30 L/min, 4 m open", "open flow 4 m, 5 m shut-off"])
def test_ends_that_are_swapped_are_told(text):
    with pytest.raises(SeaflowError) as refused:
        facts(pump=text)
    assert [problem.code for problem in refused.value.problems] == ["T05"]


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("motor sailer 12 m", ["sailing monohull", "trawler"]),
        ("a motor-sailer, 40 ft", ["sailing monohull", "trawler"]),
        ("trimaran 12 m", ["sailing catamaran"]),
        ("catamran 12 m", ["catamaran"]),
        ("sailling yacht 12 m", ["sailing yacht"]),
    ],
)
def test_a_kind_that_no_table_has_or_that_is_misspelt_is_offered_the_nearest(text, offered):
    (problem,) = refused(boat=text)
    found = re.findall(r'"([^"]+)"', problem.write)
    assert found == offered
    for kind in found:
        assert said({"boat": f"{kind} 12 m"}, Catalogue()).facts.boat.kind
