"""Pump: never rising, smooth, finite, passive at rest; wear, parallel, air, power; refusals."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seaflow.base.ranges import RangeError
from seaflow.base.tables import read_table
from seaflow.physics.pumping import pump
from seaflow.physics.pumping.pump_power import share_at_speed

EXACT = 1e-12
POINTS = pump.curve_from_points(
    np.array([0.0, 1e-4, 2e-4, 3e-4, 4e-4]), np.array([4.0, 3.9, 3.0, 1.9, 0.0])
)
CURVES = [
    pump.curve_from_ends(4.0, 4e-4),
    pump.curve_from_ends(4.0, 4e-4, 1.0),
    pump.curve_from_ends(4.0, 4e-4, 6.0),
    POINTS,
    pump.curve_from_points(np.array([1e-4, 3e-4]), np.array([3.0, 1.0])),
]
SPEEDS = [0.0, 1e-9, 1e-3, 0.2, 0.83, 1.0, 1.2]


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("speed", SPEEDS)
def test_head_never_rises_and_is_finite(curve: pump.PumpCurve, speed: float) -> None:
    flow = np.linspace(-1e-3, 2e-3, 20001)
    value, slope = pump.head_and_slope(curve, flow, speed)
    assert np.all(np.isfinite(value))
    assert np.all(np.isfinite(slope))
    assert np.all(np.diff(value) <= 1e-14)
    assert np.all(slope <= 1e-9)


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("speed", [1e-3, 0.2, 1.0])
def test_no_kink_at_free_flow_or_at_no_flow(curve: pump.PumpCurve, speed: float) -> None:
    for place in (0.0, speed * float(curve.free_flow)):
        step = 1e-9 * speed * float(curve.free_flow)
        sides = np.array([place - step, place + step])
        value, slope = pump.head_and_slope(curve, sides, speed)
        scale = float(curve.shut_off_head) / float(curve.free_flow) * speed
        assert value[0] == pytest.approx(value[1], abs=1e-7 * speed**2 * 4.0)
        assert slope[0] == pytest.approx(slope[1], abs=1e-6 * scale)


@pytest.mark.parametrize("curve", CURVES)
def test_pump_at_rest_is_a_plain_resistance(curve: pump.PumpCurve) -> None:
    flow = np.array([-2e-4, 0.0, 1e-4, 2e-4, 4e-4])
    value = pump.head_and_slope(curve, flow, 0.0)[0]
    resistance = -value[-1] / flow[-1] ** 2
    assert resistance > 0
    np.testing.assert_allclose(value, -resistance * flow * np.abs(flow), atol=EXACT)


@pytest.mark.parametrize("curve", CURVES)
def test_ends(curve: pump.PumpCurve) -> None:
    for speed in (0.5, 1.0):
        assert pump.head(curve, 0.0, speed) == pytest.approx(curve.shut_off_head * speed**2)
        assert pump.head(curve, curve.free_flow * speed, speed) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("curve", CURVES)
def test_scalar_equals_array(curve: pump.PumpCurve) -> None:
    flow, speed = np.linspace(0.0, 5e-4, 11), np.linspace(0.1, 1.1, 11)
    together = pump.head(curve, flow, speed)
    alone = [pump.head(curve, float(q), float(s)) for q, s in zip(flow, speed, strict=True)]
    np.testing.assert_array_equal(together, alone)
    assert isinstance(alone[0], float)


def test_scales_may_be_arrays_over_conditions() -> None:
    wear = np.array([0.0, 0.15, 0.3])
    for curve in CURVES:
        together = pump.head_and_slope(pump.worn(curve, wear), np.full(3, 1e-4), np.ones(3))[0]
        alone = [
            float(pump.head_and_slope(pump.worn(curve, float(part)), 1e-4, 1.0)[0]) for part in wear
        ]
        np.testing.assert_allclose(together, alone, rtol=EXACT)


def test_points_are_met_and_order_does_not_matter() -> None:
    flows, heads = np.array([3e-4, 0.0, 4e-4, 1e-4, 2e-4]), np.array([1.9, 4.0, 0.0, 3.9, 3.0])
    shuffled = pump.curve_from_points(flows, heads)
    np.testing.assert_allclose(pump.head(shuffled, flows, 1.0), heads, atol=EXACT)
    assert shuffled.note == ""


def test_missing_ends_are_said() -> None:
    inside = pump.curve_from_points(np.array([1e-4, 2e-4, 3e-4]), np.array([3.9, 3.0, 1.9]))
    assert "flow at no head extrapolated" in inside.note
    assert "head at no flow extrapolated" in inside.note
    assert inside.shut_off_head > 3.9
    assert inside.free_flow > 3e-4
    two = pump.curve_from_points(np.array([0.0, 3e-4]), np.array([4.0, 1.0]), 2.0)
    assert two.free_flow == pytest.approx(3e-4 * np.sqrt(4.0 / 3.0))
    assert "head at no flow" not in two.note
    assert "two points: exponent 2 " in two.note


@pytest.mark.parametrize("exponent", [1.0, 1.8, 3.0])
@pytest.mark.parametrize("at", [(0.0, 4e-4), (1e-4, 4e-4), (0.0, 2e-4), (1e-4, 3e-4)])
def test_two_points_are_the_curve_between_its_ends(exponent, at) -> None:
    ends = pump.curve_from_ends(4.0, 4e-4, exponent)
    flows = np.array(at)
    two = pump.curve_from_points(flows, pump.head(ends, flows, 1.0), exponent)
    everywhere = np.linspace(0.0, 5e-4, 51)
    np.testing.assert_allclose(
        pump.head(two, everywhere, 1.0), pump.head(ends, everywhere, 1.0), atol=1e-12
    )


def test_small_hump_is_flattened_and_said() -> None:
    flows = np.array([0.0, 1e-4, 2e-4, 3e-4])
    curve = pump.curve_from_points(flows, np.array([4.0, 4.08, 3.0, 0.0]))
    assert curve.note == "hump of 2.0% in the pump curve flattened"
    assert pump.head(curve, 1e-4, 1.0) == pytest.approx(4.0)


@pytest.mark.parametrize(
    "flows, heads",
    [
        ([0.0, 1e-4, 2e-4], [4.0, 4.2, 3.0]),  # hump of 5 %
        ([0.0], [4.0]),
        ([0.0, 1e-4], [4.0]),
        ([1e-4, 1e-4], [4.0, 3.0]),
        ([0.0, -1e-4], [4.0, 3.0]),
        ([0.0, 1e-4], [4.0, -3.0]),
        ([0.0, 1e-4], [3.0, 4.0]),
        ([0.0, 1e-4, 2e-4], [3.0, 0.0, 0.0]),
        ([0.0, np.nan], [3.0, 0.0]),
    ],
)
def test_impossible_points_are_refused(flows: list[float], heads: list[float]) -> None:
    with pytest.raises(RangeError):
        pump.curve_from_points(np.array(flows), np.array(heads))


REFUSED: list[Callable[[], object]] = [
    lambda: pump.curve_from_ends(0.0, 4e-4),
    lambda: pump.curve_from_ends(4.0, -4e-4),
    lambda: pump.curve_from_ends(4.0, 4e-4, 0.9),
    lambda: pump.head(POINTS, -1e-4, 1.0),
    lambda: pump.head(POINTS, 1e-4, -1.0),
    lambda: pump.worn(POINTS, -0.1),
    lambda: pump.worn(POINTS, 1.0),
    lambda: pump.in_parallel(POINTS, 0),
    lambda: pump.air_factor(1.1),
    lambda: pump.air_factor(-0.01),
    lambda: pump.hydraulic_power(-1e-4, 3.0, 1022.0),
    lambda: pump.hydraulic_power(1e-4, 3.0, 0.0),
    lambda: pump.electric_power(-1.0, 1.0, 0.5),
    lambda: pump.electric_power(100.0, 1.0, 0.5, 0.0),
    lambda: pump.electric_power_from_points(1e-4, 1.0, [2e-4, 1e-4], [60.0, 80.0]),
    lambda: pump.electric_power_from_points(1e-4, 1.0, [2e-4], [60.0, 80.0]),
    lambda: pump.share_of_free_flow(POINTS, -1e-4, 1.0),
]


@pytest.mark.parametrize("call", REFUSED)
def test_refusals(call: Callable[[], object]) -> None:
    with pytest.raises(RangeError):
        call()


def test_worn_pump_gives_less_everywhere_and_two_give_more() -> None:
    flow = np.linspace(1e-5, 5e-4, 50)
    for curve in CURVES:
        new = pump.head(curve, flow, 1.0)
        assert np.all(pump.head(pump.worn(curve, 0.15), flow, 1.0) < new)
        assert np.all(pump.head(pump.in_parallel(curve, 2), flow, 1.0) >= new)
        np.testing.assert_allclose(
            pump.head(pump.in_parallel(curve, 3), 3 * flow, 1.0), new, rtol=1e-9, atol=1e-9
        )


def test_air_takes_head_steadily() -> None:
    air = np.linspace(0.0, 0.2, 401)
    factor = pump.air_factor(air)
    assert factor[0] == 1.0
    assert np.all(np.diff(factor) <= 0)
    assert np.all(factor[air >= 0.07] <= EXACT)


def test_electric_power() -> None:
    assert pump.electric_power(110.0, 1.0, 0.6) == pytest.approx(110.0)
    share = np.linspace(0.0, 1.5, 31)
    assert np.all(np.diff(pump.electric_power(110.0, 1.0, share)) >= 0)
    slow, kept = pump.electric_power(110.0, 0.5, share), float(share_at_speed(0.5))
    np.testing.assert_allclose(slow, pump.electric_power(110.0, 1.0, share) * kept, rtol=EXACT)
    flows, powers = [0.0, 2e-4, 4e-4], [60.0, 90.0, 100.0]
    for flow, power in zip(flows, powers, strict=True):
        assert pump.electric_power_from_points(flow, 1.0, flows, powers) == pytest.approx(power)
        slow = pump.electric_power_from_points(0.5 * flow, 0.5, flows, powers)
        assert slow == pytest.approx(power * kept)
    assert pump.electric_power_from_points(1e-4, 0.0, flows, powers) == 0.0


def test_power_falls_with_speed_but_not_to_nothing() -> None:
    speed = np.linspace(1e-6, 1.2, 121)
    share = share_at_speed(speed)
    assert np.all(np.diff(share) > 0.0)
    assert share_at_speed(1.0) == pytest.approx(1.0)
    assert share_at_speed(0.0) == 0.0
    # about 5 W at least (trade page, read), 3 to 5 W of 40 to 60 W (from memory)
    assert 3.0 / 60.0 < share_at_speed(0.05) < 5.0 / 40.0


def test_electric_power_exceeds_water_power_for_the_invented_shape() -> None:
    # 110 W at 4.6 m and 38 L/min: wire to water stays below one half at every flow
    curve = pump.curve_from_ends(4.6, 38 / 60000)
    flow = np.linspace(0.0, 38 / 60000, 50)
    water = pump.hydraulic_power(flow, pump.head(curve, flow, 1.0), 1022.0)
    electric = pump.electric_power(110.0, 1.0, pump.share_of_free_flow(curve, flow, 1.0))
    assert np.all(water < 0.5 * electric)


def test_share_of_free_flow() -> None:
    assert pump.share_of_free_flow(POINTS, 2e-4, 1.0) == pytest.approx(0.5)
    assert pump.share_of_free_flow(POINTS, 2e-4, 0.5) == pytest.approx(1.0)
    np.testing.assert_array_equal(pump.share_of_free_flow(POINTS, [0.0, 1e-4], 0.0), [0.0, 0.0])


@settings(max_examples=150, deadline=None)
@given(
    drops=st.lists(st.floats(0.01, 1.0), min_size=2, max_size=8),
    steps=st.lists(st.floats(0.01, 1.0), min_size=8, max_size=8),
    speed=st.floats(0.0, 1.3),
    first=st.floats(0.0, 0.5),
)
def test_any_falling_points_make_a_falling_curve(
    drops: list[float], steps: list[float], speed: float, first: float
) -> None:
    heads = np.cumsum(drops)[::-1] * 2.0
    flows = (first + np.cumsum(steps[: len(drops)]) - steps[0]) * 3e-4
    curve = pump.curve_from_points(flows, heads)
    flow = np.linspace(-1.0, 3.0, 2001) * curve.free_flow
    value, slope = pump.head_and_slope(curve, flow, speed)
    assert np.all(np.isfinite(value))
    assert np.all(np.diff(value) <= 1e-9)
    assert np.all(slope <= 1e-6 * curve.shut_off_head / curve.free_flow)


def _si(text: str) -> float:
    number, unit = text.split()
    return float(number) * {"m": 1.0, "L/min": 1.0 / 60000.0, "W": 1.0}[unit]


@pytest.mark.parametrize("name", read_table("parts/pumps.toml"))
def test_every_shipped_pump_can_be_used(name: str) -> None:
    row = read_table("parts/pumps.toml")[name]
    assert row["invented"] is True
    if "points" in row:
        flows = np.array([_si(point["flow"]) for point in row["points"]])
        heads = np.array([_si(point["head"]) for point in row["points"]])
        curve = pump.curve_from_points(flows, heads)
    else:
        ends = _si(row["shut_off_head"]), _si(row["free_flow"])
        curve = pump.curve_from_ends(*ends, row["exponent"])
    assert curve.note == ""
    # a shipped pump must not put out more power than it takes, even at its best point
    flow = np.linspace(0.0, 1.0, 101) * curve.free_flow
    water = pump.hydraulic_power(flow, pump.head(curve, flow, 1.0), 1025.0)
    power = row.get("power") or row["power_points"][0]["power"]
    assert np.max(water) < 0.6 * _si(power)
    assert row["motor"] in tuple(read_table("motors.toml"))
    assert row["supply"].split()[0] == ("ac" if "power_factor" in row else "dc")


@pytest.mark.parametrize(("air", "left"), [(0.02, 0.88), (0.04, 0.60)])
def test_air_takes_of_the_head_what_the_trade_page_says(air: float, left: float) -> None:
    """The two figures of trade_air: 12 % of the head is lost at 2 % of air, 40 % at 4 %."""
    assert pump.air_factor(air) == pytest.approx(left, abs=0.01)
