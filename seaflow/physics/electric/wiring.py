"""Cable to the pump: standard conductor sizes.

Depends on: base, copper.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from seaflow.base.measured import measured
from seaflow.base.ranges import RangeError
from seaflow.base.sources import sourced
from seaflow.base.tables import read_table
from seaflow.physics.electric.copper import (
    CIRCULAR_MIL,
    USUAL_DROP,
    area_for_drop,
    awg_area,
    copper_resistivity,
    voltage_drop,
)

__all__ = [
    "ConductorSize",
    "area_for_drop",
    "awg_area",
    "conductor_size",
    "conductor_sizes",
    "copper_resistivity",
    "voltage_drop",
]


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """A standard conductor, why it was chosen, and the drop it gives."""

    name: str
    decided_by: str
    area: float = measured("m2")
    voltage_drop: float = measured("V")
    drop_share: float = measured("-")
    ampacity: float = measured("A")


@sourced("trade_wiring", where="larger of the size for drop, for current and the least allowed")
def conductor_size(
    current: float,
    cable_length: float,
    voltage: float,
    drop_share: float = USUAL_DROP,
    conductor_temperature: float = 30.0,
    system: str = "metric",
) -> ConductorSize:
    """Smallest standard conductor for a pump: drop, current and least size all kept.

    Parameters
    ----------
    current : number
        Current. [A]
    cable_length : number
        Length of the cable one way. [m]
    voltage : number
        Volts at the supply. [V]
    drop_share : number
        Voltage drop over supply volts. [-]
    conductor_temperature : number
        Temperature of the copper: 30 degC in the open, 60 degC in an engine space. [degC]
    system : text
        List of sizes: "metric", "awg" or "sae". [text]

    Returns
    -------
    ConductorSize
        Size, area, what decided it, and its drop. [text]

    Raises
    ------
    RangeError
        If a number is out of range, or no size in the list is large enough.
    KeyError
        If there is no such list of sizes.

    Notes
    -----
    The currents allowed are the lower columns of older tables; check the current edition of
    ISO 13297 or ABYC E-11, and lower them for bundles.

    Examples
    --------
    >>> conductor_size(5.0, 6.0, 12.0).name
    '4 mm2'
    """
    needed = float(area_for_drop(current, cable_length, voltage, drop_share, conductor_temperature))
    rows = conductor_sizes(system)
    least = _first(rows, lambda row: row["allowed"])
    for_current = _first(rows, lambda row: row["ampacity"] >= current)
    for_drop = _first(rows, lambda row: row["area"] >= needed)
    index, decided = max(
        (least, "least size"),
        (for_current, "current"),
        (for_drop, "voltage drop"),
        key=lambda pair: pair[0],
    )
    if index == len(rows):
        raise RangeError(f"no {system} conductor in the list is large enough; a shorter run is due")
    row = rows[index]
    drop = float(voltage_drop(current, cable_length, row["area"], conductor_temperature))
    return ConductorSize(
        row["name"], decided, row["area"], drop, drop / voltage, float(row["ampacity"])
    )


def _first(rows: list[dict[str, Any]], fits: Callable[[dict[str, Any]], bool]) -> int:
    return next((index for index, row in enumerate(rows) if fits(row)), len(rows))


def conductor_sizes(system: str) -> list[dict[str, Any]]:
    """Standard conductors, smallest first: name, area, ampacity, and whether a pump may use it.

    Parameters
    ----------
    system : text
        List of sizes: "metric", "awg" or "sae". [text]

    Returns
    -------
    list of dict
        One row a size. [text]

    Raises
    ------
    KeyError
        If there is no such list of sizes.

    Examples
    --------
    >>> conductor_sizes("awg")[0]["name"]
    '18 AWG'
    """
    table = read_table("conductors.toml")
    if system not in table:
        raise KeyError(f"no list of conductor sizes {system!r}; there are {', '.join(table)}")
    return [dict(row, area=_area(row)) for row in table[system]["size"]]


def _area(row: dict[str, Any]) -> float:
    if "square_millimetres" in row:
        return float(row["square_millimetres"]) / 1e6  # exact for 2.5; times 1e-6 is not
    if "circular_mils" in row:
        return float(row["circular_mils"]) * CIRCULAR_MIL
    return float(awg_area(row["gauge"]))
