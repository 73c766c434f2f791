"""A bare number typed at a question: it takes the unit of the system asked for, if one is."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")
_FRACTION = re.compile(r"[+-]?(?:\d+[\s-]+)?\d+\s*/\s*[1-9]\d*")  # 5/8, 1 1/4, 1-1/4
_IN_FRACTIONS = {"in": "in", "mm": "in", "ft": "ft"}  # nobody writes one in millimetres
_CALLED = {"in": "inches", "ft": "feet"}
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
    """Return what was typed, a bare number or a bare fraction with the unit behind it."""
    plain = typed.strip()
    if unit is not None and _NUMBER.fullmatch(plain):
        return f"{plain} {unit}"
    if unit in _IN_FRACTIONS and _FRACTION.fullmatch(plain):
        return f"{plain} {_IN_FRACTIONS[unit]}"
    return typed


def bare_words(unit: str) -> str:
    """Return how the unit of a bare number is told to people."""
    more = ", a fraction in inches" if unit == "mm" else ""
    return f"A bare number is in {_CALLED.get(unit, unit)}{more}."
