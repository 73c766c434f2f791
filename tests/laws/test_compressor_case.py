"""A unit whose case gives the maker's compressor polynomials."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from by_model import build_loops

from seaflow.boat.load import load_case
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate

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
