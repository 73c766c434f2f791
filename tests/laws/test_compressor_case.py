"""A unit whose case gives the maker's compressor polynomials."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from by_model import build_loops

from seaflow.base.constants import ATMOSPHERE
from seaflow.boat.checks.ratings import _oddities, _pressure_limits
from seaflow.boat.load import load_case
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.physics.heat.refrigerant import (
    critical_temperature,
    saturation_pressure,
    temperature_limits,
)

KETCH = Path(__file__).parents[2] / "cases" / "ketch-one-unit.toml"
# straight lines in the dew points: 4689 W and 1340 W at 7 and 45 degC
CAPACITY = (6089.0, 160.0, -56.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
POWER = (-100.0, 0.0, 32.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    """The ketch with polynomials in place of its plate."""
    text = KETCH.read_text(encoding="utf-8")
    line = 'input_power = "1.4 kW"\n'
    assert text.count(line) == 1
    given = f"compressor = {{ capacity = {list(CAPACITY)}, power = {list(POWER)} }}\n"
    file = tmp_path_factory.mktemp("case") / "polynomial.toml"
    file.write_text(text.replace(line, line + given), encoding="utf-8")
    return load_case(str(file)).case


def _run(case, **changes):
    pumps = {place.name: case.catalogue.pump(place.fitted) for place in case.pump}
    built = build_loops(case, pumps)[0]
    now = Conditions(sea_temperature=30.0, salinity=36.0, voltage=230.0, frequency=50.0)
    return operate(built.loop, replace(now, **changes)).units["saloon unit"]


def test_capacity_and_power_are_those_of_the_polynomials(case):
    unit = _run(case)
    at = unit.condensing_temperature
    assert unit.cooling == pytest.approx(6089.0 + 160.0 * 7.0 - 56.0 * at, rel=1e-9)
    assert unit.power == pytest.approx(-100.0 + 32.0 * at, rel=1e-9)
    assert unit.heat_rejected == pytest.approx(unit.cooling + unit.power, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "slope", "does"), [("capacity", 56.0, "rises"), ("power", -10.0, "falls")]
)
def test_a_compressor_that_does_what_none_does_is_asked_about(tmp_path, name, slope, does):
    """Cooling must shrink and power grow as it condenses hotter, from 25 to 65 degC."""
    odd = {"capacity": list(CAPACITY), "power": list(POWER)}
    odd[name] = [4000.0, 0.0, slope, *[0.0] * 7]
    text = KETCH.read_text(encoding="utf-8")
    line = 'input_power = "1.4 kW"\n'
    given = f"compressor = {{ capacity = {odd['capacity']}, power = {odd['power']} }}\n"
    file = tmp_path / "odd.toml"
    file.write_text(text.replace(line, line + given), encoding="utf-8")
    (asked,) = (one for one in load_case(str(file)).warnings if one.code == "S43")
    word = "cooling" if name == "capacity" else name
    assert f"its {word} {does}" in asked.what
    assert "from 25 to 65" in asked.what


@pytest.mark.parametrize(
    ("name", "first", "last", "said"),
    [
        # power grows one and a half to six times from 25 to 65 degC: 40 K of a straight line
        ("power", 1000.0, 1490.0, "grows 1.5 times"),
        ("power", 1000.0, 1510.0, ""),
        ("power", 1000.0, 5990.0, ""),
        ("power", 1000.0, 6010.0, "grows 6 times"),
        ("power", -10.0, 4000.0, "not above zero at 25"),
        ("capacity", 6000.0, 10.0, ""),
        ("capacity", 6000.0, -10.0, "not above zero at 65"),
    ],
)
def test_a_compressor_is_usual_up_to_its_bounds(name, first, last, said):
    slope = (last - first) / 40.0
    curve = (first - 25.0 * slope, 0.0, slope, *[0.0] * 7)
    known = {"capacity": CAPACITY, "power": POWER} | {name: curve}
    found = list(_oddities(SimpleNamespace(**known)))
    assert len(found) == bool(said)
    assert said in "".join(found)


def test_a_hump_is_told_from_where_to_where():
    """25 to 65 degC: a power of -(t - 50)^2 grows up to 50 and falls from there."""
    curve = (5000.0 - 2500.0, 0.0, 100.0, 0.0, 0.0, -1.0, *[0.0] * 4)
    (found,) = _oddities(SimpleNamespace(capacity=CAPACITY, power=curve))
    assert "power falls somewhere from 50 to 65" in found


def test_another_frequency_scales_them(case):
    """A condenser fed by a pump of its own speed: only the compressor's share is looked at."""
    slow = _run(case, frequency=40.0)
    at = slow.condensing_temperature
    assert slow.power == pytest.approx(0.8 * (-100.0 + 32.0 * at), rel=1e-9)


def test_frequencies_may_be_an_array(case):
    both = _run(case, frequency=np.asarray([40.0, 50.0]))
    assert both.power == pytest.approx(
        [_run(case, frequency=40.0).power[0], _run(case).power[0]], rel=1e-9
    )


def test_a_gauge_is_held_to_pressures_above_freezing_and_below_the_critical_point():
    for refrigerant in ("R-410A", "R-32", "R-134a"):
        low, high = _pressure_limits(refrigerant)
        coldest = float(saturation_pressure(0.0, refrigerant)) - ATMOSPHERE
        assert low == pytest.approx(coldest, rel=1e-9)
        warmest = temperature_limits(refrigerant)[1]
        assert warmest <= critical_temperature(refrigerant)
        assert low < high <= float(saturation_pressure(warmest, refrigerant)) - ATMOSPHERE
