"""Nusselt numbers inside smooth tubes, straight or coiled.

The turbulent correlations come from the open library `ht`, one point at a time: a film is worked
out once for a boat, not inside the solver. It is imported where it is needed, since few boats
are described tube by tube.
Depends on: base.
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

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore, 1000 or more. [-]
    prandtl : number or array
        Prandtl number of the water. [-]
    friction_factor : number or array
        Darcy friction factor. [-]

    Returns
    -------
    number or array
        Nusselt number on the bore. [-]

    Raises
    ------
    RangeError
        If the Reynolds number is below 1000, or another value not above zero.

    Examples
    --------
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

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore. [-]
    prandtl : number or array
        Prandtl number of the water. [-]

    Returns
    -------
    number or array
        Nusselt number on the bore. [-]

    Raises
    ------
    RangeError
        If the Reynolds number is negative or the Prandtl number not above zero.

    Notes
    -----
    Entrance effects are left out, so a short tube is a little better than this.

    Examples
    --------
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

    Parameters
    ----------
    reynolds_number : number or array
        Reynolds number on the bore. [-]
    prandtl : number or array
        Prandtl number of the water, one or more. [-]
    curvature : number or array
        Bore over coil diameter, centre to centre; zero for a straight tube. [-]

    Returns
    -------
    number or array
        Nusselt number on the bore. [-]

    Raises
    ------
    RangeError
        If the Reynolds number is negative, the Prandtl number below one or the curvature
        negative, one or more.

    Notes
    -----
    Laminar flow lasts longer in a coil, up to Schmidt's critical Reynolds number. From there to
    Re 22000 the value is a straight blend, as Gnielinski does for coils. A coil is never taken
    as worse than a straight tube, which also closes the gap to a curvature of zero. The last
    two are our own bridging choices.

    Examples
    --------
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
