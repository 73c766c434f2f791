"""Cable sizes by an independent route: printed areas, the other form, and a plain search."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from seaflow.physics.electric.wiring import (
    CIRCULAR_MIL,
    awg_area,
    conductor_size,
    conductor_sizes,
    voltage_drop,
)

# Circular mils of American wire gauges in a distributor's table (read): minimum strandings.
PRINTED = {14: 4100, 12: 6500, 10: 10500, 8: 16800, 6: 26600, 4: 42000, 2: 66500, 1: 83690}
STRANDING = 0.02  # strandings of the same gauge differ by this much


@pytest.mark.parametrize("gauge", PRINTED)
def test_gauge_area_against_printed_mils(gauge: int) -> None:
    assert awg_area(gauge) == pytest.approx(PRINTED[gauge] * CIRCULAR_MIL, rel=STRANDING)


def test_three_gauges_double_the_area_about() -> None:
    gauge = np.arange(0.0, 37.0)
    ratio = awg_area(gauge) / awg_area(gauge + 3.0)
    np.testing.assert_allclose(ratio, 92.0 ** (6.0 / 39.0), rtol=1e-12)


@pytest.mark.parametrize("system", ["metric", "awg", "sae"])
def test_size_is_what_a_plain_search_finds(system: str) -> None:
    for current, length, volts in itertools.product(
        (0.5, 2.0, 8.0, 20.0), (1.0, 4.0, 9.0), (12.0, 24.0, 115.0, 230.0)
    ):
        fits = [
            row["name"]
            for row in conductor_sizes(system)
            if row["allowed"]
            and row["ampacity"] >= current
            and voltage_drop(current, length, row["area"], 30.0) <= 0.03 * volts
        ]
        if fits:
            assert conductor_size(current, length, volts, system=system).name == fits[0]
