"""The saturation table against the library that made it, between its rows and over all of it."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.base.tables import read_table
from seaflow.boat.defaults import default, has_default
from seaflow.physics.heat import refrigerant

PropsSI = pytest.importorskip("CoolProp.CoolProp").PropsSI

NAMES = tuple(read_table("refrigerants.toml")["refrigerant"])
ZERO = 273.15
PRESSURE_TOLERANCE = 1e-3  # the table is meant to be read within 0.1 %
MEAN_TEMPERATURE_TOLERANCE = 0.05  # K, 0.1 % of pressure at about 2 % per kelvin


def library_name(name: str) -> str:
    """Return the name by which the library knows a refrigerant."""
    return str(read_table("refrigerants.toml")["refrigerant"][name]["library_name"])


def library_pressure(name: str, temperature: float, quality: int) -> float:
    """Return the library's pressure, or nan where it finds none (a few points of blends)."""
    try:
        return float(PropsSI("P", "T", temperature + ZERO, "Q", quality, library_name(name)))
    except ValueError:
        return float("nan")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("side", "quality"), [("bubble", 0), ("dew", 1)])
def test_table_follows_the_library_between_its_rows(name: str, side: str, quality: int) -> None:
    lowest, highest = refrigerant.temperature_limits(name, side)
    temperatures = np.arange(lowest + 0.5, highest, 0.5)
    truth = np.array([library_pressure(name, value, quality) for value in temperatures])
    found = np.isfinite(truth)
    assert found.mean() > 0.9
    ours = refrigerant.saturation_pressure(temperatures, name, side)
    np.testing.assert_allclose(ours[found], truth[found], rtol=PRESSURE_TOLERANCE)


@pytest.mark.parametrize("name", ["R-407C", "R-410A", "R-22"])
def test_mean_side_is_the_mean_of_both_temperatures(name: str) -> None:
    for pressure in np.linspace(6e5, 3e6, 9):
        both = [PropsSI("T", "P", pressure, "Q", q, library_name(name)) - ZERO for q in (0, 1)]
        ours = refrigerant.saturation_temperature(float(pressure), name)
        assert ours == pytest.approx(sum(both) / 2, abs=MEAN_TEMPERATURE_TOLERANCE)


@pytest.mark.parametrize("name", NAMES)
def test_critical_point_lies_above_the_table(name: str) -> None:
    record = refrigerant.record(name)
    _, highest = refrigerant.temperature_limits(name, "bubble")
    assert highest < record.critical_temperature
    assert refrigerant.saturation_pressure(highest, name, "bubble") < record.critical_pressure


# Settings of high-pressure switches that mechanics name, psi gauge: a thread, publisher withheld;
# those of R-32 from memory.
SWITCHES = {
    "R-22": (350.0, 400.0),
    "R-410A": (525.0, 650.0),
    "R-407C": (400.0,),
    "R-32": (610.0, 640.0),
    "R-134a": (300.0, 350.0),
}


@pytest.mark.parametrize(("name", "settings"), SWITCHES.items())
def test_the_usual_cut_out_with_its_ends_takes_in_the_switches_of_the_trade(
    name: str, settings: tuple[float, ...]
) -> None:
    usual, row = "unit.cut_out_temperature", read_table("spreads.toml")["cut_out"]
    own = f"{usual}.{name}"
    middle = default(own if has_default(own) else usual).value
    for setting in settings:
        absolute = setting * 6894.757 + 101325.0
        opens = float(refrigerant.saturation_temperature(absolute, name))
        assert row["low"] <= opens - middle <= row["high"]


def test_lines_are_straight_because_the_rows_are_dense_enough() -> None:
    """A table with every second row, read the same way, misses the target no more than fourfold."""
    row = read_table("refrigerants.toml")["refrigerant"]["R-134a"]
    temperature, logs = np.array(row["temperature"], float), np.log(np.array(row["bubble"]))
    coarse = np.interp(temperature[1:-1:2], temperature[::2], logs[::2])
    assert np.abs(np.expm1(coarse - logs[1:-1:2])).max() < 2.0 * PRESSURE_TOLERANCE
