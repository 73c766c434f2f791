"""Cable: balances, monotone, the larger of three sizes, refusals."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.physics.electric import wiring

SYSTEMS = ("metric", "awg", "sae")


def test_area_and_drop_undo_each_other() -> None:
    current = np.geomspace(0.2, 50.0, 30)
    area = wiring.area_for_drop(current, 7.0, 12.0, 0.03, 45.0)
    np.testing.assert_allclose(wiring.voltage_drop(current, 7.0, area, 45.0), 0.36, rtol=1e-12)


def test_drop_is_counted_out_and_back() -> None:
    one_way = wiring.copper_resistivity(20.0) * 6.0 / 2.5e-6 * 5.0
    assert wiring.voltage_drop(5.0, 6.0, 2.5e-6) == pytest.approx(2.0 * one_way)


def test_hot_copper_resists_more() -> None:
    assert np.all(np.diff(wiring.copper_resistivity(np.linspace(-40.0, 150.0, 20))) > 0)


@pytest.mark.parametrize("system", SYSTEMS)
def test_lists_rise(system: str) -> None:
    rows = wiring.conductor_sizes(system)
    assert np.all(np.diff([row["area"] for row in rows]) > 0)
    assert np.all(np.diff([row["ampacity"] for row in rows]) > 0)
    allowed = [row["allowed"] for row in rows]
    assert allowed == sorted(allowed)


def test_sae_is_smaller_than_awg_of_the_same_number() -> None:
    awg = {row["name"].split()[0]: row["area"] for row in wiring.conductor_sizes("awg")}
    for row in wiring.conductor_sizes("sae"):
        assert row["area"] < awg[row["name"].split()[0]]


@pytest.mark.parametrize("system", SYSTEMS)
def test_each_reason_can_decide(system: str) -> None:
    assert wiring.conductor_size(0.1, 0.5, 230.0, system=system).decided_by == "least size"
    assert wiring.conductor_size(30.0, 0.3, 230.0, system=system).decided_by == "current"
    long_run = wiring.conductor_size(5.0, 8.0, 12.0, system=system)
    assert long_run.decided_by == "voltage drop"
    assert 0.0 < long_run.drop_share <= 0.03
    assert long_run.voltage_drop == pytest.approx(12.0 * long_run.drop_share)
    assert long_run.ampacity >= 5.0


# NFPA 70, 240.6(A), and blade fuses of SAE J1284; standard ratings of IEC 60898-1, 5.3.2. From
# memory: check the current editions.
AMERICAN = {15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100} | {1, 2, 3, 4, 5, 7.5, 10}
IEC = {1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100}


def test_fuses_are_those_that_are_made() -> None:
    american, iec = wiring.STANDARD_FUSES
    assert set(american) <= AMERICAN
    assert set(iec) <= IEC
    for row in (american, iec):
        assert list(row) == sorted(set(row))
        # no gap that would skip a rating in common use: each at most two and a half of the last
        assert all(high <= 2.5 * low for low, high in pairwise(row))


def test_longer_hotter_or_stricter_never_gives_a_smaller_size() -> None:
    def area(**changed: float) -> float:
        inputs = {"current": 5.0, "cable_length": 6.0, "voltage": 12.0} | changed
        return wiring.conductor_size(**inputs).area

    assert area() <= area(cable_length=12.0)
    assert area() <= area(conductor_temperature=60.0)
    assert area(drop_share=0.10) <= area()
    assert area(voltage=24.0) <= area()


def test_scalar_equals_array() -> None:
    gauge = np.arange(0.0, 20.0)
    together = wiring.awg_area(gauge)
    alone = [wiring.awg_area(float(one)) for one in gauge]
    np.testing.assert_allclose(
        together, alone, rtol=1e-14
    )  # array powers may differ in the last bit
    assert isinstance(alone[0], float)


@pytest.mark.parametrize(
    "function, numbers",
    [
        (wiring.copper_resistivity, (300.0,)),
        (wiring.voltage_drop, (-1.0, 6.0, 2.5e-6)),
        (wiring.voltage_drop, (1.0, -6.0, 2.5e-6)),
        (wiring.voltage_drop, (1.0, 6.0, 0.0)),
        (wiring.area_for_drop, (1.0, 6.0, 0.0)),
        (wiring.area_for_drop, (1.0, 6.0, 12.0, 3.0)),
        (wiring.awg_area, (41.0,)),
        (wiring.conductor_size, (500.0, 6.0, 12.0)),
        (wiring.largest_fuse, (-1.0, 12.0)),
        (wiring.largest_fuse, (10.0, 0.0)),
        (wiring.conductor_size, (-1.0, 6.0, 12.0)),
    ],
)
def test_refusals(function: object, numbers: tuple[float, ...]) -> None:
    with pytest.raises(RangeError):
        function(*numbers)  # type: ignore[operator]


def test_unknown_list_is_named() -> None:
    with pytest.raises(KeyError, match="metric, awg, sae"):
        wiring.conductor_sizes("imperial")


def test_a_fuse_let_pass_lies_between_the_conductor_and_half_as_much_again() -> None:
    for ampacity in np.linspace(0.5, 90.0, 180):
        low = wiring.largest_fuse(float(ampacity), 12.0)
        high = wiring.largest_fuse(float(ampacity), 230.0)
        assert low == 1.5 * ampacity
        assert ampacity <= high <= low
        between = [one for row in wiring.STANDARD_FUSES for one in row if ampacity < one < high]
        assert len(between) <= 2  # no more than the first of the other row, and one beyond
