"""Suction side: net positive suction head, gauge and absolute pressure, boiling at high points.

Depends on: base, friction (for gravity).
"""

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

    Parameters
    ----------
    atmospheric_pressure : number or array
        Absolute pressure on the sea surface. [Pa]
    vapour_pressure : number or array
        Absolute pressure at which the water boils. [Pa]
    density : number or array
        Density of the water. [kg/m3]
    height : number or array
        Height of the point above the waterline; negative below. [m]
    suction_loss : number or array
        Head lost from the sea to the point. [m]

    Returns
    -------
    number or array
        Head above boiling. [m]

    Raises
    ------
    RangeError
        If a pressure or the loss is negative or the density is not above zero.

    Examples
    --------
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

    Parameters
    ----------
    gauge_pressure : number or array
        Reading of the gauge, negative for a vacuum. [Pa]
    atmospheric_pressure : number or array
        Absolute pressure on the sea surface. [Pa]
    vapour_pressure : number or array
        Absolute pressure at which the water boils. [Pa]
    density : number or array
        Density of the water. [kg/m3]
    velocity : number or array
        Velocity in the pipe at the gauge. [m/s]
    gauge_height : number or array
        Height of the gauge above the pump's centre line. [m]

    Returns
    -------
    number or array
        Head above boiling. [m]

    Raises
    ------
    RangeError
        If an absolute pressure or the velocity is negative or the density is not above zero.

    Examples
    --------
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

    Parameters
    ----------
    total_head : number or array
        Total head at the point, from the waterline: pressure, height and velocity. [m]
    height : number or array
        Height of the point above the waterline; negative below. [m]
    velocity : number or array
        Velocity at the point. [m/s]
    density : number or array
        Density of the water. [kg/m3]

    Returns
    -------
    number or array
        Pressure above the atmosphere; negative is a vacuum. [Pa]

    Raises
    ------
    RangeError
        If the density is not above zero.

    Examples
    --------
    >>> round(gauge_pressure(-0.25, -0.3, 0.7, 1021.7), 1)
    250.7
    """
    require_positive(density=density)
    return density * (GRAVITY * (total_head - height) - 0.5 * velocity**2)
