"""Nusselt numbers inside smooth tubes, straight or coiled.

The turbulent correlations come from the open library `ht`, one point at a time: a film is worked
out once for a boat, not inside the solver. It is imported where it is needed, since few boats
are described tube by tube.
"""

from __future__ import annotations

import numpy as np

from seaflow.base.arrays import Array, Number, elementwise
from seaflow.base.points import point_by_point
from seaflow.base.ranges import RangeError, require_not_negative, require_positive
from seaflow.base.sources import sourced

# Nusselt number of developed laminar flow with a wall at one temperature.
_LAMINAR_NUSSELT = 3.657
# Straight tubes: laminar below the first Reynolds number, turbulent above the second.
_LAMINAR, _TURBULENT = 2300.0, 4000.0
# Coils: fully turbulent from here on; the lower end depends on the curvature.
_COIL_TURBULENT = 22000.0
# Mori and Nakayama hold while Re (bore/coil diameter)^2 exceeds this.
_LEAST_CURVATURE = 0.1


@elementwise
@sourced(
    "gnielinski2013",
    where="Nusselt number of fully turbulent flow in a long tube",
    valid={"reynolds_number": (2300.0, 5e6), "prandtl": (0.5, 2000.0)},
)
def turbulent_nusselt(reynolds_number: Number, prandtl: Number, friction_factor: Number) -> Number:
    """Nusselt number of turbulent flow in a long straight tube of known friction.

    reynolds_number [-], prandtl [-], friction_factor [-]
    returns [-]: Nusselt number on the bore
    raises RangeError: the Reynolds number is below 1000, or another value not above zero

    >>> round(turbulent_nusselt(1e5, 1.2, 0.0185), 1)
    254.6
    """
    require_positive(prandtl=prandtl, friction_factor=friction_factor)
    if not np.all(np.asarray(reynolds_number) >= 1000.0):
        raise RangeError("turbulent flow needs a Reynolds number of 1000 or more")
    from ht import turbulent_Gnielinski

    return point_by_point(turbulent_Gnielinski, reynolds_number, prandtl, friction_factor)


@elementwise
@sourced(
    "gnielinski2013",
    where="turbulent tube, friction factor of Petukhov, straight blend from Re 2300 to 4000",
    valid={"reynolds_number": (0.0, 5e6), "prandtl": (0.5, 2000.0)},
)
def straight_nusselt(reynolds_number: Number, prandtl: Number) -> Number:
    """Nusselt number inside a long straight smooth tube.

    reynolds_number [-], prandtl [-]
    returns [-]: Nusselt number on the bore
    raises RangeError: the Reynolds number is negative or the Prandtl number not above zero

    Entrance effects are left out, so a short tube is a little better than this.

    >>> round(straight_nusselt(29744.0, 5.646), 1)
    192.2
    """
    require_not_negative(reynolds_number=reynolds_number)
    require_positive(prandtl=prandtl)
    fast = np.maximum(reynolds_number, _TURBULENT)
    turbulent = turbulent_nusselt(fast, prandtl, _petukhov(fast))
    share = np.clip((reynolds_number - _LAMINAR) / (_TURBULENT - _LAMINAR), 0.0, 1.0)
    return (1.0 - share) * _LAMINAR_NUSSELT + share * turbulent


@elementwise
@sourced(
    "mori1967",
    where="turbulent coil for a Prandtl number of one or more; laminar coil after Xin and Ebadian",
    valid={"reynolds_number": (0.0, 1.5e5), "prandtl": (1.0, 175.0), "curvature": (0.0, 0.1)},
)
def coil_nusselt(reynolds_number: Number, prandtl: Number, curvature: Number) -> Number:
    """Nusselt number inside a smooth tube wound to a coil.

    reynolds_number [-], prandtl [-]
    curvature [-]: bore over coil diameter, centre to centre; zero for a straight tube
    returns [-]: Nusselt number on the bore
    raises RangeError: the Reynolds number is negative, the Prandtl number below one or the
        curvature negative, one or more

    Laminar flow lasts longer in a coil, up to Schmidt's critical Reynolds number. From there to
    Re 22000 the value is a straight blend, as Gnielinski does for coils. A coil is never taken
    as worse than a straight tube, which also closes the gap to a curvature of zero. The last
    two are our own bridging choices.

    >>> round(coil_nusselt(29744.0, 5.646, 0.0635), 1)
    214.2
    """
    require_not_negative(reynolds_number=reynolds_number, curvature=curvature)
    if np.any(np.asarray(prandtl) < 1.0) or np.any(np.asarray(curvature) >= 1.0):
        raise RangeError("a coil needs a Prandtl number of one or more and a bore below its own")
    critical = _LAMINAR * (1.0 + 8.6 * np.power(curvature, 0.45))
    upper = np.maximum(critical, _COIL_TURBULENT)
    laminar = _coil_laminar(np.minimum(reynolds_number, critical), prandtl, curvature)
    turbulent = _coil_turbulent(np.maximum(reynolds_number, upper), prandtl, curvature)
    width = np.maximum(upper - critical, 1.0)
    share = np.clip((reynolds_number - critical) / width, 0.0, 1.0)
    coiled = (1.0 - share) * laminar + share * turbulent
    return np.maximum(coiled, straight_nusselt(reynolds_number, prandtl))


def _petukhov(reynolds_number: Number) -> Number:
    """Return the Darcy friction factor of a smooth tube in turbulent flow."""
    return np.square(1.0 / (0.79 * np.log(reynolds_number) - 1.64))


def _coil_laminar(reynolds_number: Number, prandtl: Number, curvature: Number) -> Array:
    """Return the laminar Nusselt number of Xin and Ebadian over the Dean number."""
    dean = reynolds_number * np.sqrt(curvature)
    return np.asarray((2.153 + 0.318 * np.power(dean, 0.643)) * np.power(prandtl, 0.177))


def _coil_turbulent(reynolds_number: Number, prandtl: Number, curvature: Number) -> Array:
    """Return the turbulent Nusselt number of Mori and Nakayama, zero outside their range."""
    from ht import helical_turbulent_Nu_Mori_Nakayama

    bent = reynolds_number * np.square(curvature) > _LEAST_CURVATURE
    ratio = np.where(bent, curvature, 1.0)
    nusselt = point_by_point(
        helical_turbulent_Nu_Mori_Nakayama, reynolds_number, prandtl, ratio, 1.0
    )
    return np.where(bent, nusselt, 0.0)


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

    volume_flow [m3/s]: volume flow through the one tube
    bore [m]: inside diameter of the tube
    coil_diameter [m]: diameter of the coil, centre to centre; infinity for a straight tube
    kinematic_viscosity [m2/s]: kinematic viscosity of the water
    thermal_conductivity [W/(m K)], prandtl [-]
    returns [W/(m2 K)]: film coefficient on the inside area
    raises RangeError: a size or property is not above zero, the flow is negative, or the coil is
        not wider than the bore

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

    bore [m]: inside diameter of the tube
    outside_diameter [m]
    length [m]: length of the tube
    wall_conductivity [W/(m K)]
    returns [K/W]: resistance of the wall
    raises RangeError: a value is not above zero or the tube has no wall

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

    film_coefficient [W/(m2 K)]: film coefficient on the inside area
    inside_area [m2], outside_coefficient [W/(m2 K)], outside_area [m2]
    wall_resistance [K/W]: resistance of the wall
    fouling_resistance [m2 K/W]: fouling resistance of the water side over one square metre
    returns [W/K]: conductance (UA)
    raises RangeError: an area or coefficient is not above zero or a resistance is negative

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
