"""What a case says twice must agree, and what hardly goes together is asked about once."""

from pathlib import Path

import pytest
from CoolProp.CoolProp import PropsSI
from sizing import said_of

GOOD = (Path(__file__).parents[1] / "messages" / "good.toml").read_text(encoding="utf-8")
WARMEST, VOLTS, COOLING = 'warmest = "30 degC"', 'voltage = "230 V"', 'cooling = "16000 BTU/h"'
CONDENSING = 'condensing = { temperature = "42 degC", water = "29 degC" }\nswitched_on = true'
OF_PLATE = 'refrigerant = "R-410A"'
LOSS = '{ at = "15 L/min", head = "2.0 m" }'
MONTHS = ["14", "14", "15", "16", "19", "23", "{}", "26", "24", "21", "18", "15"]


def codes(tmp_path, *changes):
    """The codes that are said of the good case with texts replaced, and whether it can be used."""
    found = said_of(tmp_path, GOOD, *changes)
    wrong = [one.code for one in found if not one.warning]
    return wrong or [one.code for one in found], not wrong


def point(flow, loss):
    key = "pressure" if loss.endswith("kPa") else "head"
    return f'{{ at = "{flow} L/min", {key} = "{loss}" }}'


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (((8, "0.5 m"), (15, "2.0 m")), []),
        (((15, "2.0 m"), (8, "0.5 m")), []),  # rows in any order
        (((15, "2.0 m"), (8, "4 m")), ["S71"]),
        (((8, "2.0 m"), (15, "2.0 m")), ["S71"]),
        (((8, "6.5 kPa"), (11, "1.2 m")), []),
        (((8, "65 kPa"), (11, "1.2 m")), ["S71"]),
        (((8, "5 m"), (11, "4 m"), (15, "3 m")), ["S71", "S71"]),
    ],
)
def test_the_loss_of_a_coil_rises_with_its_flow(tmp_path, points, said):
    rows = ", ".join(point(*one) for one in points)
    assert codes(tmp_path, (LOSS, rows)) == (said, not said)


@pytest.mark.parametrize(
    ("head", "pressure", "said"),
    [("0.7 m", "6.5 kPa", []), ("5 m", "6.5 kPa", ["K18"]), ("0.5 m", "6.5 kPa", ["K18"])],
)
def test_head_and_pressure_of_one_loss_agree(tmp_path, head, pressure, said):
    new = f'{{ at = "15 L/min", head = "{head}", pressure = "{pressure}" }}'
    assert codes(tmp_path, (LOSS, new)) == (said, not said)


def gauge(temperature, refrigerant, side):
    """The gauge pressure in bar at which it condenses there, by the tables of another library."""
    quality = {"bubble": 0, "dew": 1}[side]
    name = refrigerant.replace("-", "")
    pressure = PropsSI("P", "T", temperature + 273.15, "Q", quality, name)
    return (pressure - 101325.0) / 1e5


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-134a", "R-32", "R-407C"])
@pytest.mark.parametrize("side", ["bubble", "dew"])
@pytest.mark.parametrize(("apart", "agrees"), [(-12, False), (-2, True), (2, True), (12, False)])
@pytest.mark.parametrize(
    ("table", "at", "more"), [("cut_out", 60.0, ""), ("condensing", 45.0, ', water = "29 degC"')]
)
def test_pressure_and_temperature_of_one_point_agree(
    tmp_path, refrigerant, side, apart, agrees, table, at, more
):
    bar = f'gauge_pressure = "{gauge(at, refrigerant, side):.4f} bar"'
    degrees = f'temperature = "{at + apart} degC"'

    def said(*keys):
        plate = f'refrigerant = "{refrigerant}"\n{table} = {{ {", ".join(keys)}{more} }}'
        return codes(tmp_path, (CONDENSING, "switched_on = true"), (OF_PLATE, plate))

    assert said(bar, degrees) == ([] if agrees else ["K18"], agrees)
    assert "K18" not in (*said(bar)[0], *said(degrees)[0])


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('typical = "26 degC"', []),
        ('typical = "30 degC"', []),
        ('typical = "31 degC"', ["S19"]),
        ('typical = "14 degC"', ["S19"]),  # the coldest is 15
        (f"months = {[f'{one} degC'.format(27) for one in MONTHS]}", []),
        (f"months = {[f'{one} degC'.format(33) for one in MONTHS]}", ["S19"]),
        (f"months = {[f'{one} degC'.format(27) for one in MONTHS][:11]}", ["S19"]),
    ],
)
def test_the_seas_of_a_year_follow_one_another(tmp_path, more, said):
    assert codes(tmp_path, (WARMEST, f"{WARMEST}\n{more}")) == (said, not said)


@pytest.mark.parametrize(
    ("place", "warmest", "said"),
    [
        ("Lesser Antilles", "18 degC", ["Q03"]),
        ("Lesser Antilles", "27 degC", []),
        ("Lesser Antilles", "84.03 degF", []),  # which its place tells in tenths of a degree
        ("Lesser Antilles, shallow cove", "36 degC", []),
        ("Brittany", "30 degC", ["Q03"]),
    ],
)
def test_a_sea_far_from_that_of_its_place_is_asked_about(tmp_path, place, warmest, said):
    told = f'place = "{place}"\nwarmest = "{warmest}"'
    assert codes(tmp_path, (WARMEST, told), ('coldest = "15 degC"\n', "")) == (said, True)


def test_no_harbour_in_whole_degrees_fahrenheit_is_colder_than_itself(tmp_path):
    for told in ("64.4", "64.5", "64.6"):  # 18.0, 18.06 and 18.11 degC
        place = f'place = "Lesser Antilles"\nwarmest = "{told} degF"'
        said, used = codes(tmp_path, (WARMEST, place), ('coldest = "15 degC"\n', ""))
        assert used and set(said) == {"Q03"}


@pytest.mark.parametrize(
    ("supply", "more", "said"),
    [
        ("ac", 'lowest_voltage = "235 V"', []),
        ("ac", 'lowest_voltage = "250 V"', ["Q03"]),
        ("ac", 'highest_voltage = "225 V"', []),
        ("ac", 'highest_voltage = "200 V"', ["Q03"]),
        ("ac", 'lowest_voltage = "20.7 V"', ["S36"]),
        ("dc", 'lowest_voltage = "25.6 V"', []),  # eight cells of lithium on a bank called 24 V
        ("dc", 'lowest_voltage = "27 V"', ["Q03"]),
        ("dc", 'highest_voltage = "23 V"', ["Q03"]),
    ],
)
def test_voltages_about_the_nominal_one(tmp_path, supply, more, said):
    changes = [(VOLTS, f"{VOLTS}\n{more}")]
    if supply == "dc":
        changes += [('"ac"', '"dc"'), (VOLTS, 'voltage = "24 V"'), ('frequency = "50 Hz"\n', "")]
        changes += [("demo-mag-medium-230", "demo-dc-medium-24")]
    assert codes(tmp_path, *changes) == (said, said != ["S36"])


@pytest.mark.parametrize(
    ("power", "said"),
    [
        ("5 kW", ["S29"]),
        ("3 kW", ["Q03"]),  # 1.6 to 1
        ("2.5 kW", []),
        ("700 W", []),
        ("600 W", ["Q03"]),  # 7.8 to 1
        ("400 W", ["S29"]),
    ],
)
def test_a_plate_hard_to_believe_is_asked_about(tmp_path, power, said):
    told = (COOLING, f'{COOLING}\ninput_power = "{power}"')
    assert codes(tmp_path, told) == (said, said != ["S29"])


@pytest.mark.parametrize(("heat", "said"), [("5000 BTU/h", ["Q03"]), ("5600 BTU/h", [])])
def test_a_heater_much_weaker_than_the_cooling_is_asked_about(tmp_path, heat, said):
    told = (COOLING, f'{COOLING}\nheating = {{ capacity = "{heat}" }}')
    assert codes(tmp_path, told) == (said, True)
