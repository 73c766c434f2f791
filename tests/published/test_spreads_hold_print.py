"""The spreads that are drawn hold what was published, even where publishers disagree."""

from __future__ import annotations

import numpy as np
import pytest
from by_model import from_rating, heat_rejection_factor
from CoolProp.CoolProp import PropsSI

from seaflow.base.tables import read_table
from seaflow.boat.defaults import default
from seaflow.studies.design.certainty.spreads import spread

GALLON = 3.785411784e-3  # m3, US
PSI = 6894.757  # Pa
INCH = 0.0254  # m
WATER = 998.2  # kg/m3, for which flow coefficients are given

# Flow coefficients, gpm at 1 psi, of clean strainers of 1 in: two makers' examples (read).
STRAINERS = (22.5, 8.0)

# Heat rejected over cooling, condensing 30 to 55 degC by 5: selection data for condensers,
# publisher withheld (read). What both say is known to 0.05.
CONDENSING = np.arange(30.0, 60.0, 5.0)
OPEN = {
    0.0: [1.12, 1.15, 1.18, 1.2, 1.24, 1.27],
    5.0: [1.1, 1.13, 1.15, 1.17, 1.2, 1.24],
    10.0: [1.08, 1.11, 1.13, 1.15, 1.18, 1.2],
}
HERMETIC = {
    0.0: [1.2, 1.22, 1.25, 1.28, 1.32, 1.36],
    5.0: [1.16, 1.19, 1.22, 1.24, 1.27, 1.31],
    10.0: [1.13, 1.15, 1.18, 1.21, 1.24, 1.26],
}
# An open compressor at 40 degF, condensing 110, 120 and 130 degF: catalogue of condensing units,
# publisher withheld (read).
IN_FAHRENHEIT = [1.215, 1.245, 1.275]
# An R-410A compressor condensing at 50, 60 and 65 degC over 40.56 degC: ten-coefficient map of an
# example in an open cycle library, publisher withheld; heat with CoolProp's enthalpies (computed).
MAP_AT, MAP_POWER, MAP_HEAT = (50.0, 60.0, 65.0), (1.264, 1.639, 1.876), (0.95, 0.90, 0.87)


def test_clean_strainers():
    usual, drawn = float(default("strainer.clean_loss").value), spread("strainer")
    area = np.pi / 4.0 * INCH**2
    for coefficient in STRAINERS:
        velocity = coefficient * GALLON / 60.0 / area
        loss = PSI / (0.5 * WATER * velocity**2)
        assert usual * drawn.low <= loss
        assert loss <= usual * drawn.high


def test_scale_of_a_month_in_tropical_sea():
    """4e-6 m2 K/W a day in tubes nobody cleaned: J. Solar Energy Engineering 103, 1981 (abstract).

    A film thickens for three weeks and then sloughs (Desalination 135, 2001, abstract), and a brush
    leaves up to 2e-5 behind.
    """
    most = float(read_table("spreads.toml")["coil_scale"]["most"])
    assert most >= 21.0 * 4e-6 + 2e-5
    assert most >= 8.8e-5  # TEMA, second-hand


def rejections():
    """Model and table of every published compressor, from its own point at 35 K of lift."""
    for table in (OPEN, HERMETIC):
        for evaporating, printed in table.items():
            ours = heat_rejection_factor(table[5.0][2], 35.0, CONDENSING - evaporating)
            yield ours, np.asarray(printed)
    lifts = np.asarray([70.0, 80.0, 90.0]) / 1.8
    yield heat_rejection_factor(IN_FAHRENHEIT[0], lifts[0], lifts), np.asarray(IN_FAHRENHEIT)
    yield from_rating("R-410A", 40.56, np.asarray(MAP_AT))[1], np.asarray(MAP_HEAT)


@pytest.mark.parametrize(("ours", "printed"), list(rejections()))
def test_heat_of_published_compressors(ours, printed):
    """The spread of the heat on a plate leaves room for what compressors differ by."""
    drawn = spread("plate_heat")
    assert np.all(printed / ours >= drawn.low)
    assert np.all(printed / ours <= drawn.high)
    assert np.all(np.abs(printed / ours - 1.0) <= 0.05)  # as its row says


def test_power_of_our_cycle_stands_between_published_compressors():
    hermetic = heat_rejection_factor(1.22, 35.0, np.asarray([50.0])) - 1.0
    assert hermetic[0] > HERMETIC[5.0][-1] - 1.0
    power, _ = from_rating("R-410A", 40.56, np.asarray(MAP_AT))
    assert np.all(power < MAP_POWER)


def efficiency(evaporating, factors):
    """Overall efficiency of a compressor with R-22, from its heat, by a property library."""
    low = PropsSI("P", "T", evaporating + 273.15, "Q", 1, "R22")
    suction = evaporating + 8.0 + 273.15
    before = PropsSI("H", "T", suction, "P", low, "R22")
    entropy = PropsSI("S", "T", suction, "P", low, "R22")
    found = []
    for condensing, factor in zip(CONDENSING, factors, strict=True):
        high = PropsSI("P", "T", condensing + 273.15, "Q", 1, "R22")
        work = PropsSI("H", "P", high, "S", entropy, "R22") - before
        liquid = PropsSI("H", "T", condensing - 5.0 + 273.15, "P", high, "R22")
        found.append(work / (before - liquid) / (factor - 1.0))
    return found


def test_why_the_hermetic_table_is_no_check_of_the_cycle():
    """Its compressor gains an eighth and more from 30 to 55 degC; that of the open one stays."""
    for evaporating, printed in HERMETIC.items():
        first, *_, last = efficiency(evaporating, printed)
        assert last > 1.125 * first
    for evaporating, printed in OPEN.items():
        first, *_, last = efficiency(evaporating, printed)
        assert last == pytest.approx(first, rel=0.07)
