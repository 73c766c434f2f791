"""Our small register of units against pint's own, unit by unit."""

import pytest

from seaflow.base.units import registry

SAME = 1e-12  # relative; both registers take the exact legal definitions
BTU = 1e-6  # pint's own Btu is the one of ISO (1055.056 J), ours the international table one
IN_HG = 1e-6  # printed to seven digits here
PAIRS = [
    *[(name, name, SAME) for name in ("inch", "foot", "yard", "nautical_mile", "knot", "gallon")],
    *[(name, name, SAME) for name in ("imperial_gallon", "liter", "pound", "psi", "bar", "degree")],
    *[(name, name, SAME) for name in ("atmosphere", "hour", "percent", "watt_hour")],
    ("gpm", "gallon / minute", SAME),
    ("horsepower", "horsepower", SAME),
    ("btu", "Btu", BTU),
    ("ton_of_refrigeration", "ton_of_refrigeration", BTU),
    ("inHg", "inHg", IN_HG),
    ("circular_mil", "circular_mil", SAME),
]


@pytest.fixture(scope="module")
def theirs():
    pint = pytest.importorskip("pint")
    return pint.UnitRegistry()


@pytest.mark.parametrize(("ours", "name", "within"), PAIRS)
def test_unit_equals_pint(theirs, ours, name, within):
    here = registry().Quantity(1.0, ours).to_base_units()
    there = theirs.Quantity(1.0, name).to_base_units()
    factor = 1e3 if "[mass]" in registry().get_dimensionality(ours) else 1.0
    power = registry().get_dimensionality(ours).get("[mass]", 0)
    base = here.magnitude / factor**power  # our base of mass is the gram
    assert base == pytest.approx(there.magnitude, rel=within)


@pytest.mark.parametrize("value", [-40.0, 0.0, 32.0, 85.0, 212.0])
def test_temperature_scales_equal_pint(theirs, value):
    ours = registry().Quantity(value, "degF").to("degC").magnitude
    assert ours == pytest.approx(theirs.Quantity(value, "degF").to("degC").magnitude, abs=1e-9)
