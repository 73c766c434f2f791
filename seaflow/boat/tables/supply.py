"""The electricity on board: what drives the pumps, their cables, and what drives the units."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key, same


@dataclass(frozen=True, kw_only=True, eq=False)
class Supply:
    """The electricity that drives the pump."""

    current: str = key("Kind of current.", choices=("ac", "dc"), example='"ac"', required=True)
    voltage: float = key("Nominal voltage.", quantity="voltage", example='"230 V"', required=True)
    frequency: float | None = key("Frequency of AC.", quantity="frequency", example='"50 Hz"')
    lowest_voltage: float | None = key(
        "Lowest voltage at the panel in use.", quantity="voltage", example='"207 V"'
    )
    highest_voltage: float | None = key(
        "Highest voltage at the panel in use.", quantity="voltage", example='"240 V"'
    )
    other_frequency: float | None = key(
        "Another frequency it may be plugged into.", quantity="frequency", example='"60 Hz"'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class UnitSupply:
    """The electricity that drives the units, where it is not that of the pump."""

    current: str = same(Supply, "current")
    voltage: float = same(Supply, "voltage", quantity="unit_voltage", example='"400 V"')


@dataclass(frozen=True, kw_only=True, eq=False)
class Cable:
    """The wires from the panel to the pump."""

    length: float = key(
        "One-way length from the panel to the pump.",
        quantity="length",
        example='"6 m"',
        required=True,
    )
    conductor: float | None = key(
        "Cross-section of each conductor fitted, or its gauge, such as 14 AWG.",
        quantity="conductor_area",
        example='"2.5 mm2"',
    )
    hot_space: bool | None = key(
        "True if it runs through an engine space.", kind="flag", example="true"
    )
