"""Falling legs and the suction side: limits, monotone, balances, refusals."""

from __future__ import annotations

import numpy as np
import pytest

from seaflow.base.ranges import RangeError
from seaflow.physics.flow import runs, suction

EXACT = 1e-12
GRAVITY = 9.80665


def test_wider_bore_needs_more_flow_and_velocity() -> None:
    bore = np.array([0.013, 0.016, 0.019, 0.025, 0.032, 0.038])
    flow = runs.flow_to_run_full(bore)
    assert np.all(np.diff(flow) > 0)
    np.testing.assert_allclose(flow / bore**2.5, flow[0] / bore[0] ** 2.5, rtol=1e-12)


@pytest.mark.parametrize("bore", [0.013, 0.019, 0.038])
def test_flow_to_run_full_is_the_edge(bore: float) -> None:
    velocity = runs.flow_to_run_full(bore) / (0.25 * np.pi * bore**2)
    assert runs.runs_full(1.0001 * velocity, bore)
    assert not runs.runs_full(0.9999 * velocity, bore)


def test_steeper_leg_needs_no_less() -> None:
    angle = np.linspace(0.0, np.pi / 2, 50)
    assert np.all(np.diff(runs.clearing_froude_number(angle)) >= 0)


def test_froude_number_against_hand_sum() -> None:
    assert runs.froude_number(np.sqrt(GRAVITY * 0.02), 0.02) == pytest.approx(1.0, rel=EXACT)


def test_pressures_agree_with_each_other() -> None:
    # head over boiling at a point equals absolute pressure and speed over boiling
    density, atmosphere, vapour = 1021.7, 101325.0, 4167.5
    height, loss, velocity = 0.4, 0.25, 1.1
    gauge = suction.gauge_pressure(-loss, height, velocity, density)
    from_sea = suction.npsh_available(atmosphere, vapour, density, height, loss)
    from_gauge = suction.npsh_from_gauge(gauge, atmosphere, vapour, density, velocity, 0.0)
    assert from_gauge == pytest.approx(from_sea, rel=1e-12)
    margin = gauge + atmosphere - vapour
    assert margin + 0.5 * density * velocity**2 == pytest.approx(density * GRAVITY * from_sea)


def test_still_water_has_the_weight_of_its_depth() -> None:
    assert suction.gauge_pressure(0.0, -1.0, 0.0, 1025.0) == pytest.approx(1025.0 * GRAVITY)


def test_scalar_equals_array() -> None:
    velocity = np.linspace(0.1, 1.0, 7)
    together = runs.froude_number(velocity, 0.019)
    alone = [runs.froude_number(float(one), 0.019) for one in velocity]
    np.testing.assert_array_equal(together, alone)
    assert isinstance(alone[0], float)


@pytest.mark.parametrize(
    "function, numbers",
    [
        (runs.froude_number, (-0.1, 0.019)),
        (runs.froude_number, (0.1, 0.0)),
        (runs.clearing_froude_number, (-0.1,)),
        (runs.clearing_froude_number, (2.0,)),
        (runs.runs_full, (-1.0, 0.019)),
        (runs.flow_to_run_full, (0.0,)),
        (suction.npsh_available, (101325.0, -1.0, 1021.7, 0.0, 0.0)),
        (suction.npsh_available, (101325.0, 4000.0, 1021.7, 0.0, -0.1)),
        (suction.npsh_available, (101325.0, 4000.0, 0.0, 0.0, 0.1)),
        (suction.npsh_from_gauge, (0.0, 101325.0, 4000.0, 1021.7, -1.0, 0.0)),
        (suction.gauge_pressure, (0.0, 0.0, 0.0, -1.0)),
    ],
)
def test_refusals(function: object, numbers: tuple[float, ...]) -> None:
    with pytest.raises(RangeError):
        function(*numbers)  # type: ignore[operator]
