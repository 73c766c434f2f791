"""The bare formulas behind `seawater`, over temperature [degC] and absolute salinity [g/kg]."""

from __future__ import annotations

import gsw
import numpy as np

from seaflow.base.arrays import Number
from seaflow.base.constants import KELVIN

SURFACE = 0.0  # dbar of sea pressure: one atmosphere counts as zero
AIR_SATURATED = 1.0  # water that a boat draws has been in touch with air


def freezing(salinity: Number) -> Number:
    """Freezing point [degC] of air-saturated water."""
    answer: Number = gsw.t_freezing(salinity, SURFACE, AIR_SATURATED)
    return answer


def density(temperature: Number, salinity: Number) -> Number:
    """Density [kg/m3]."""
    answer: Number = gsw.rho_t_exact(salinity, temperature, SURFACE)
    return answer


def heat_capacity(temperature: Number, salinity: Number) -> Number:
    """Specific heat capacity [J/(kg K)]."""
    answer: Number = gsw.cp_t_exact(salinity, temperature, SURFACE)
    return answer


def viscosity(temperature: Number, salinity: Number) -> Number:
    """Dynamic viscosity [Pa s], Sharqawy et al. 2010."""
    s = salinity * 1e-3  # kg/kg
    pure = 4.2844324477e-5 + 1.0 / (
        1.5700386464e-1 * (temperature + 64.992620050) ** 2 - 91.296496657
    )
    a = 1.5409136040 + (1.9981117208e-2 - 9.5203865864e-5 * temperature) * temperature
    b = 7.9739318223 + (-7.5614568881e-2 + 4.7237011074e-4 * temperature) * temperature
    return pure * (1.0 + (a + b * s) * s)


def conductivity(temperature: Number, salinity: Number) -> Number:
    """Thermal conductivity [W/(m K)], Sharqawy 2013."""
    t = (temperature + KELVIN) / 300.0
    pure = (
        0.797015135 * t**-0.193823894
        - 0.251242021 * t**-4.7166384
        + 0.0964365893 * t**-6.38463554
        - 0.0326956491 * t**-2.13362102
    )
    return pure / (1.0 + 0.00022 * salinity)


def vapour_pressure(temperature: Number, salinity: Number) -> Number:
    """Absolute vapour pressure [Pa], Nayar et al. 2016."""
    t = temperature + KELVIN
    pure = (
        -5800.2206 / t
        + 1.3914993
        + (-0.048640239 + (4.1764768e-5 - 1.4452093e-8 * t) * t) * t
        + 6.5459673 * np.log(t)
    )
    salt = -(4.5818e-4 + 2.0443e-6 * salinity) * salinity
    answer: Number = np.exp(pure + salt)
    return answer
