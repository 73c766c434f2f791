"""Suction side: net positive suction head, gauge and absolute pressure, boiling at high points."""

from __future__ import annotations

from seaflow.base.arrays import Number, elementwise
from seaflow.base.constants import GRAVITY
from seaflow.base.ranges import require_not_negative, require_positive
from seaflow.base.sources import sourced


@elementwise
@sourced("pumping_handbook", where="page 82, net positive suction head available")
def npsh_available(
    atmospheric_pressure: Number,
    vapour_pressure: Number,
    density: Number,
    height: Number,
    suction_loss: Number,
) -> Number:
    """Net positive suction head available at a point, from the waterline.

    atmospheric_pressure [Pa], vapour_pressure [Pa]
    density [kg/m3]: density of the water
    height [m]: height of the point above the waterline; negative below
    suction_loss [m]: head lost from the sea to the point
    returns [m]: head above boiling
    raises RangeError: a pressure or the loss is negative or the density is not above zero

    >>> round(npsh_available(101325.0, 4167.5, 1021.726, -0.3, 0.25), 4)
    9.7466
    """
    require_not_negative(
        atmospheric_pressure=atmospheric_pressure,
        vapour_pressure=vapour_pressure,
        suction_loss=suction_loss,
    )
    require_positive(density=density)
    return (atmospheric_pressure - vapour_pressure) / (density * GRAVITY) - height - suction_loss


@elementwise
@sourced("best_practice_25", where="net positive suction head from a gauge reading")
def npsh_from_gauge(
    gauge_pressure: Number,
    atmospheric_pressure: Number,
    vapour_pressure: Number,
    density: Number,
    velocity: Number,
    gauge_height: Number,
) -> Number:
    """Net positive suction head available, from a gauge on the suction pipe.

    gauge_pressure [Pa]: reading of the gauge, negative for a vacuum
    atmospheric_pressure [Pa], vapour_pressure [Pa]
    density [kg/m3]: density of the water
    velocity [m/s]: velocity in the pipe at the gauge
    gauge_height [m]
    returns [m]: head above boiling
    raises RangeError: an absolute pressure or the velocity is negative or the density is not above
        zero

    >>> round(npsh_from_gauge(-5000.0, 101325.0, 4167.5, 1021.7, 1.0, 0.1), 3)
    9.349
    """
    require_not_negative(
        atmospheric_pressure=atmospheric_pressure,
        vapour_pressure=vapour_pressure,
        velocity=velocity,
    )
    require_positive(density=density)
    above_boiling = gauge_pressure + atmospheric_pressure - vapour_pressure
    return above_boiling / (density * GRAVITY) + velocity**2 / (2.0 * GRAVITY) + gauge_height


@elementwise
@sourced("own", where="energy equation")
def gauge_pressure(total_head: Number, height: Number, velocity: Number, density: Number) -> Number:
    """Gauge pressure at a point of the loop.

    total_head [m]: total head at the point, from the waterline: pressure, height and velocity
    height [m]: height of the point above the waterline; negative below
    velocity [m/s]: velocity at the point
    density [kg/m3]: density of the water
    returns [Pa]: pressure above the atmosphere; negative is a vacuum
    raises RangeError: the density is not above zero

    >>> round(gauge_pressure(-0.25, -0.3, 0.7, 1021.7), 1)
    250.7
    """
    require_positive(density=density)
    return density * (GRAVITY * (total_head - height) - 0.5 * velocity**2)
