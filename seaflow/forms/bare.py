"""A bare number typed at a question: it takes the unit of the system asked for, if one is."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")
# By the unit inside the package: how a bare number is read, metric and US.
_UNITS = {
    "m": ("m", "ft"),
    "degC": ("degC", "degF"),
    "K": ("K", "delta degF"),
    "m3/s": ("L/min", "gpm"),
    "Pa": ("kPa", "psi"),
    "W": ("W", "W"),
    "V": ("V", "V"),
    "A": ("A", "A"),
    "Hz": ("Hz", "Hz"),
    "g/kg": ("g/kg", "g/kg"),
}
# By the quantity, where the trade has another unit for it.
_SMALL, _GAUGE, _PLATE = ("mm", "in"), ("bar", "psi"), ("kW", "BTU/h")
_OWN = {
    **dict.fromkeys(("bore", "growth", "wall", "hole", "gap", "coil_diameter"), _SMALL),
    **dict.fromkeys(("gauge_pressure", "condensing_pressure", "refrigerant_pressure"), _GAUGE),
    "heat_flow": _PLATE,
}


def bare_unit(quantity: str, inside: str, system: str) -> str | None:
    """Return the unit in which a bare number of a quantity is read; None if it has none.

    quantity: its name; inside: its unit in the package; system: "metric" or "us"
    """
    units = _OWN.get(quantity) or _UNITS.get(inside)
    return None if units is None else units[system == "us"]


def with_unit(typed: str, unit: str | None) -> str:
    """Return what was typed, a bare number with the unit behind it."""
    if unit is None or not _NUMBER.fullmatch(typed.strip()):
        return typed
    return f"{typed.strip()} {unit}"
