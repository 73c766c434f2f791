"""Pump against loop where the answer is known in closed form."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import hose, outlet, pump

from seaflow.base.constants import GRAVITY
from seaflow.model.conditions import Conditions
from seaflow.model.hydraulics import find_flows
from seaflow.model.loop import SEA, Link, Loop
from seaflow.physics.pumping.pump import curve_from_ends

CLOSE = 1e-8  # relative: heads balance to 1e-9 m, and the hose is too short to matter
NOW = Conditions(sea_temperature=20.0)
BORE = 0.02
NO_HOSE = 1e-12  # m


def _link(coefficient, height, head, free_flow, count=1):
    parts = (
        pump("pump", curve_from_ends(head, free_flow, 2.0), n=count),
        hose("hose", NO_HOSE, BORE, fittings_coefficient=coefficient),
        outlet("outlet", height, BORE),
    )
    return Loop("closed form", (Link(SEA, SEA, parts),))


def _quadratic(coefficient):
    """Head over flow squared, with one velocity head lost at the outlet."""
    return 8.0 * (coefficient + 1.0) / (np.pi**2 * GRAVITY * BORE**4)


@settings(deadline=None, max_examples=200)
@given(
    coefficient=st.floats(0.1, 300.0),
    height=st.floats(0.0, 2.0),
    head=st.floats(2.5, 15.0),
    free_flow=st.floats(1e-4, 3e-3),
)
def test_parabola_on_a_quadratic_loop(coefficient, height, head, free_flow):
    """a + b Q2 = c - d Q2 has Q = sqrt((c - a)/(b + d))."""
    found = find_flows(_link(coefficient, height, head, free_flow), NOW, 1e-6, 1)
    slope = _quadratic(coefficient) + head / free_flow**2
    expected = np.sqrt((head - height) / slope)
    assert found.flow[0, 0] == pytest.approx(expected, rel=CLOSE)


@pytest.mark.parametrize("count", [2, 3])
def test_equal_pumps_side_by_side(count):
    """Each carries its share, so the pump term falls by the square of their number."""
    found = find_flows(_link(20.0, 0.5, 6.0, 4e-4, count), NOW, 1e-6, 1)
    slope = _quadratic(20.0) + 6.0 / (count * 4e-4) ** 2
    assert found.flow[0, 0] == pytest.approx(np.sqrt(5.5 / slope), rel=CLOSE)


def test_branches_share_the_flow_by_the_root_of_their_losses():
    """Without losses in the trunk the branches see the same head: Qi = sqrt((h - zi)/bi)."""
    coefficients, heights = np.array([5.0, 20.0, 60.0]), np.array([0.0, 0.3, 0.6])
    trunk = (
        pump("pump", curve_from_ends(5.0, 1e-3, 2.0)),
        hose("trunk", NO_HOSE, BORE),
    )
    branches = [
        Link(
            "manifold",
            SEA,
            (
                hose(f"branch {i}", NO_HOSE, BORE, fittings_coefficient=k),
                outlet(f"outlet {i}", z, BORE),
            ),
        )
        for i, (k, z) in enumerate(zip(coefficients, heights, strict=True))
    ]
    loop = Loop("manifold", (Link(SEA, "manifold", trunk), *branches))
    found = find_flows(loop, NOW, 1e-6, 1)
    head = 5.0 * (1.0 - (found.flow[0, 0] / 1e-3) ** 2)
    shares = np.sqrt((head - heights) / _quadratic(coefficients))
    assert np.allclose(found.flow[1:, 0], shares, rtol=CLOSE)
    assert np.isclose(found.flow[0, 0], shares.sum(), rtol=CLOSE)
