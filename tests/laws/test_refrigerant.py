"""Laws of the saturation table: order of sides, monotone, inverse, arrays, refusals, names."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table
from seaflow.physics.heat import refrigerant

NAMES = tuple(read_table("refrigerants.toml")["refrigerant"])
SIDES = ("bubble", "dew", "mean")
INVERSE_TOLERANCE = 1e-9  # K; both directions read the same straight lines


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("side", SIDES)
def test_pressure_rises_with_temperature_and_back(name: str, side: str) -> None:
    lowest, highest = refrigerant.temperature_limits(name, side)
    temperatures = np.linspace(lowest, highest, 301)
    pressures = refrigerant.saturation_pressure(temperatures, name, side)
    assert np.all(np.diff(pressures) > 0.0)
    back = refrigerant.saturation_temperature(pressures, name, side)
    np.testing.assert_allclose(back, temperatures, atol=INVERSE_TOLERANCE)


@pytest.mark.parametrize("name", NAMES)
def test_dew_lies_below_mean_and_bubble_above(name: str) -> None:
    lowest, highest = refrigerant.temperature_limits(name)
    temperatures = np.linspace(max(lowest, -25.0), highest - 5.0, 50)
    bubble, dew, mean = (refrigerant.saturation_pressure(temperatures, name, s) for s in SIDES)
    rounding = 1e-6  # the table is printed to a pascal
    assert np.all(dew <= mean * (1 + rounding))
    assert np.all(mean <= bubble * (1 + rounding))


@pytest.mark.parametrize("name", ["R-134a", "R-32", "R-290", "R-22"])
def test_sides_of_a_single_substance_agree(name: str) -> None:
    values = [refrigerant.saturation_pressure(40.0, name, side) for side in SIDES]
    assert values == pytest.approx([values[0]] * 3, rel=1e-6)


def test_scalar_is_a_float_and_equals_the_array() -> None:
    one = refrigerant.saturation_pressure(41.3, "R-410A")
    assert type(one) is float
    assert refrigerant.saturation_pressure(np.array([41.3, 20.0]), "R-410A")[0] == one
    assert type(refrigerant.saturation_temperature(2e6, "R-410A")) is float


@pytest.mark.parametrize("temperature", [-31.0, 70.5, np.inf, np.nan])
def test_refuses_outside_the_table(temperature: float) -> None:
    with pytest.raises(RangeError, match="condensing temperature must lie from"):
        refrigerant.saturation_pressure(temperature, "R-410A")


@pytest.mark.parametrize("pressure", [0.0, -1.0, 1e3, 9e6])
def test_refuses_pressures_outside_the_table(pressure: float) -> None:
    with pytest.raises(RangeError, match="refrigerant pressure"):
        refrigerant.saturation_temperature(pressure, "R-410A")


@pytest.mark.parametrize("spelling", ["R410A", "r-410a", "R 410a", "R-410A"])
def test_names_are_found_in_any_spelling(spelling: str) -> None:
    assert refrigerant.find(spelling) == "R-410A"


def test_unknown_name_lists_the_nearest() -> None:
    with pytest.raises(KeyError, match="R-410A"):
        refrigerant.find("R410B")
    with pytest.raises(KeyError, match="known are"):
        refrigerant.find("brine")
    with pytest.raises(KeyError, match="bubble"):
        refrigerant.saturation_pressure(40.0, "R-32", "top")


@pytest.mark.parametrize("name", NAMES)
def test_records_are_sensible(name: str) -> None:
    record = refrigerant.record(name)
    assert record.name == name
    assert record.safety_class in {"A1", "A2L", "A3"}
