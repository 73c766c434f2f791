"""Properties of seawater at the surface, from fresh to salt and from freezing to 45 degC.

Pressure is one atmosphere: the standard counts it as zero (sea pressure), and a few metres of
head change none of these numbers by as much as their uncertainty. Salinity is absolute salinity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.base.arrays import Number, elementwise, unwrap
from seaflow.base.ranges import RangeError, require_between, require_not_negative
from seaflow.base.sources import sourced
from seaflow.physics.water import _water

HIGHEST_TEMPERATURE = 45.0  # degC; no sea is warmer
HIGHEST_SALINITY = 50.0  # g/kg; no sea a boat visits is saltier
FREEZING_MARGIN = 0.005  # K; the two seawater standards differ by this much


@dataclass(frozen=True, slots=True)
class Seawater:
    """All properties of one water, or of an array of waters.

    Those that a loop asks for are worked out once; those of a tube's film when they are asked for.
    """

    temperature: Number  # degC
    salinity: Number  # g/kg
    density: Number  # kg/m3
    heat_capacity: Number  # J/(kg K)
    dynamic_viscosity: Number  # Pa s
    kinematic_viscosity: Number  # m2/s
    vapour_pressure: Number  # Pa absolute

    @property
    def thermal_conductivity(self) -> Number:
        """Thermal conductivity [W/(m K)]."""
        temperature, salt = np.asarray(self.temperature, float), np.asarray(self.salinity, float)
        return unwrap(_water.conductivity(temperature, salt))

    @property
    def prandtl(self) -> Number:
        """Prandtl number [-]."""
        return self.heat_capacity * self.dynamic_viscosity / self.thermal_conductivity

    @property
    def volumetric_heat_capacity(self) -> Number:
        """Heat that warms one cubic metre by one kelvin [J/(m3 K)]."""
        return self.density * self.heat_capacity


@sourced("own", "bundle of the functions of this module", {"sea_temperature": (0.0, 45.0)})
def seawater(sea_temperature: Number, salinity: Number) -> Seawater:
    """All properties of seawater at once.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [record]: its fields have the units written beside them in the class
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    From 0 degC down to freezing, viscosity, conductivity and vapour pressure are extended beyond
    the range of their sources.

    >>> round(seawater(15.0, 35.16504).prandtl, 3)
    8.343
    """
    temperature, salt = np.asarray(sea_temperature, float), np.asarray(salinity, float)
    _refuse(temperature, salt)
    mass = _water.density(temperature, salt)
    capacity = _water.heat_capacity(temperature, salt)
    viscosity = _water.viscosity(temperature, salt)
    return Seawater(
        temperature=unwrap(temperature),
        salinity=unwrap(salt),
        density=unwrap(mass),
        heat_capacity=unwrap(capacity),
        dynamic_viscosity=unwrap(viscosity),
        kinematic_viscosity=unwrap(viscosity / mass),
        vapour_pressure=unwrap(_water.vapour_pressure(temperature, salt)),
    )


@elementwise
@sourced("iapws2008", "Gibbs function", {"sea_temperature": (-6.0, 80.0), "salinity": (0.0, 120.0)})
def density(sea_temperature: Number, salinity: Number) -> Number:
    """Density of seawater at one atmosphere.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [kg/m3]: mass of a cubic metre
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    >>> round(density(15.0, 35.16504), 3)
    1025.976
    """
    _refuse(sea_temperature, salinity)
    return _water.density(sea_temperature, salinity)


@elementwise
@sourced("iapws2008", "Gibbs function", {"sea_temperature": (-6.0, 80.0), "salinity": (0.0, 120.0)})
def heat_capacity(sea_temperature: Number, salinity: Number) -> Number:
    """Specific heat capacity of seawater at constant pressure.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [J/(kg K)]: heat that warms one kilogram by one kelvin
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    >>> round(heat_capacity(15.0, 35.16504), 1)
    3993.1
    """
    _refuse(sea_temperature, salinity)
    return _water.heat_capacity(sea_temperature, salinity)


@elementwise
@sourced(
    "sharqawy2010", "equations 22 and 23", {"sea_temperature": (0.0, 180.0), "salinity": (0, 150)}
)
def dynamic_viscosity(sea_temperature: Number, salinity: Number) -> Number:
    """Dynamic viscosity of seawater, within 1.5 % by its source.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [Pa s]: dynamic viscosity
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    >>> round(1e3 * dynamic_viscosity(15.0, 35.16504), 4)
    1.2203
    """
    _refuse(sea_temperature, salinity)
    return _water.viscosity(sea_temperature, salinity)


@elementwise
@sourced(
    "sharqawy2013",
    "pure water by IAPWS, salt by its equation; kept by Nayar et al. 2016",
    {"sea_temperature": (10.0, 90.0), "salinity": (0.0, 120.0)},
)
def thermal_conductivity(sea_temperature: Number, salinity: Number) -> Number:
    """Thermal conductivity of seawater, within 2.6 % by its source.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [W/(m K)]: thermal conductivity
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    The tests find it within 0.2 % of the guideline of IAPWS (2015) from 0 to 45 degC; the older
    formula of Jamieson and Tudhope (1970), often copied, is up to 2.7 % high in cold water.

    >>> round(thermal_conductivity(20.0, 35.0), 4)
    0.5933
    """
    _refuse(sea_temperature, salinity)
    return _water.conductivity(sea_temperature, salinity)


@elementwise
@sourced(
    "nayar2016", "vapour pressure", {"sea_temperature": (0.0, 180.0), "salinity": (0.0, 160.0)}
)
def vapour_pressure(sea_temperature: Number, salinity: Number) -> Number:
    """Absolute pressure at which seawater boils.

    sea_temperature [degC]
    salinity [g/kg]: absolute salinity
    returns [Pa]: vapour pressure, absolute
    raises RangeError: the water would be ice, is above 45 degC, or its salinity is outside 0 to 50
        g/kg

    >>> round(vapour_pressure(30.0, 35.165))
    4168
    """
    _refuse(sea_temperature, salinity)
    return _water.vapour_pressure(sea_temperature, salinity)


@elementwise
@sourced("ioc2010", "freezing temperature of air-saturated seawater", {"salinity": (0.0, 120.0)})
def freezing_temperature(salinity: Number) -> Number:
    """Temperature at which air-saturated seawater at the surface starts to freeze.

    salinity [g/kg]: absolute salinity
    returns [degC]: freezing temperature; dissolved air lowers it by about 0.002 K
    raises RangeError: the salinity is outside 0 to 50 g/kg

    >>> round(freezing_temperature(35.16504), 3)
    -1.921
    """
    require_between(0.0, HIGHEST_SALINITY, salinity=salinity)
    return _water.freezing(salinity)


def _refuse(sea_temperature: Number, salinity: Number) -> None:
    require_not_negative(salinity=salinity)
    require_between(0.0, HIGHEST_SALINITY, salinity=salinity)
    require_between(-5.0, HIGHEST_TEMPERATURE, sea_temperature=sea_temperature)
    if np.min(sea_temperature, initial=HIGHEST_TEMPERATURE) >= FREEZING_MARGIN:
        return  # spares the costly freezing point: it is never above zero
    temperature, limit = np.broadcast_arrays(sea_temperature, _water.freezing(salinity))
    ice = temperature < limit - FREEZING_MARGIN
    if np.any(ice):
        raise RangeError(
            f"sea temperature {temperature[ice].flat[0]:g} lies below freezing, "
            f"{limit[ice].flat[0]:.2f} at this salinity"
        )
