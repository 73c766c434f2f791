"""Film and conductance of a condenser of known tube. Depends on: base, nusselt."""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Number, elementwise
from seaflow.base.ranges import RangeError, require_not_negative, require_positive
from seaflow.base.sources import sourced
from seaflow.physics.heat.nusselt import coil_nusselt


@elementwise
@sourced("own", where="Nusselt number over bore; straight or coiled tube as cited there")
def film_coefficient(
    volume_flow: Number,
    bore: Number,
    coil_diameter: Number,
    kinematic_viscosity: Number,
    thermal_conductivity: Number,
    prandtl: Number,
) -> Number:
    """Heat transfer coefficient between water and the inside of a tube.

    Parameters
    ----------
    volume_flow : number or array
        Volume flow through the one tube. [m3/s]
    bore : number or array
        Inside diameter of the tube. [m]
    coil_diameter : number or array
        Diameter of the coil, centre to centre; infinity for a straight tube. [m]
    kinematic_viscosity : number or array
        Kinematic viscosity of the water. [m2/s]
    thermal_conductivity : number or array
        Thermal conductivity of the water. [W/(m K)]
    prandtl : number or array
        Prandtl number of the water. [-]

    Returns
    -------
    number or array
        Film coefficient on the inside area. [W/(m2 K)]

    Raises
    ------
    RangeError
        If a size or property is not above zero, the flow is negative, or the coil is not wider
        than the bore.

    Examples
    --------
    >>> round(film_coefficient(2.5e-4, 0.0127, float("inf"), 8.427e-7, 0.6103, 5.646), -1)
    9240.0
    """
    require_positive(
        bore=bore,
        kinematic_viscosity=kinematic_viscosity,
        thermal_conductivity=thermal_conductivity,
    )
    if not np.all(np.asarray(coil_diameter) > bore):
        raise RangeError("coil diameter must be larger than the bore")
    reynolds_number = 4.0 * volume_flow / (np.pi * bore * kinematic_viscosity)
    nusselt = coil_nusselt(reynolds_number, prandtl, bore / coil_diameter)
    return nusselt * thermal_conductivity / bore


@elementwise
@sourced("incropera", where="conduction through a cylindrical wall")
def wall_resistance(
    bore: Number, outside_diameter: Number, length: Number, wall_conductivity: Number
) -> Number:
    """Thermal resistance of a tube wall.

    Parameters
    ----------
    bore : number or array
        Inside diameter of the tube. [m]
    outside_diameter : number or array
        Outside diameter of the tube. [m]
    length : number or array
        Length of the tube. [m]
    wall_conductivity : number or array
        Thermal conductivity of the wall. [W/(m K)]

    Returns
    -------
    number or array
        Resistance of the wall. [K/W]

    Raises
    ------
    RangeError
        If a value is not above zero or the tube has no wall.

    Examples
    --------
    >>> round(wall_resistance(0.0127, 0.0147, 5.0, 40.0), 7)
    0.0001164
    """
    require_positive(bore=bore, length=length, wall_conductivity=wall_conductivity)
    if not np.all(np.asarray(outside_diameter) >= bore):
        raise RangeError("outside diameter must not be smaller than the bore")
    return np.log(outside_diameter / bore) / (2.0 * np.pi * wall_conductivity * length)


@elementwise
@sourced("incropera", where="overall coefficient of a tube from resistances in series")
def tube_conductance(
    film_coefficient: Number,
    inside_area: Number,
    outside_coefficient: Number,
    outside_area: Number,
    wall_resistance: Number,
    fouling_resistance: Number,
) -> Number:
    """Conductance from the water inside a tube to the refrigerant that condenses outside.

    Parameters
    ----------
    film_coefficient : number or array
        Film coefficient on the inside area. [W/(m2 K)]
    inside_area : number or array
        Inside surface of the tube. [m2]
    outside_coefficient : number or array
        Coefficient of the condensing refrigerant on the outside area. [W/(m2 K)]
    outside_area : number or array
        Outside surface of the tube, with fins if any. [m2]
    wall_resistance : number or array
        Resistance of the wall. [K/W]
    fouling_resistance : number or array
        Fouling resistance of the water side over one square metre. [m2 K/W]

    Returns
    -------
    number or array
        Conductance (UA). [W/K]

    Raises
    ------
    RangeError
        If an area or coefficient is not above zero or a resistance is negative.

    Examples
    --------
    >>> round(tube_conductance(9192.0, 0.2, 2500.0, 0.25, 1.2e-4, 9e-5), 1)
    368.5
    """
    require_positive(
        film_coefficient=film_coefficient,
        inside_area=inside_area,
        outside_coefficient=outside_coefficient,
        outside_area=outside_area,
    )
    require_not_negative(wall_resistance=wall_resistance, fouling_resistance=fouling_resistance)
    inside = (1.0 / film_coefficient + fouling_resistance) / inside_area
    return 1.0 / (inside + wall_resistance + 1.0 / (outside_coefficient * outside_area))
