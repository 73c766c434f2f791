"""Where a pump runs at one corner, and each unit with it."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured


@dataclass(frozen=True, slots=True)
class UnitAt:
    """A unit at one corner with one pump."""

    name: str
    state: str
    flow: float = measured("m3/s")
    margin: float | None = measured("-", None)
    temperature_rise: float = measured("K", 0.0)
    outlet_temperature: float = measured("degC", 0.0)
    condensing_temperature: float | None = measured("degC", None)
    cut_out_margin: float | None = measured("K", None)
    coil_velocity: float | None = measured("m/s", None)


@dataclass(frozen=True, slots=True)
class PumpAt:
    """Where a pump runs at one corner."""

    corner: str
    words: str
    asks: str
    ending: str
    flow: float = measured("m3/s")
    head: float = measured("m")
    share_of_free_flow: float = measured("-")
    speed_ratio: float = measured("-")
    power: float = measured("W")
    voltage: float = measured("V")
    npsh_available: float | None = measured("m", None)
    inlet_gauge: float | None = measured("Pa", None)
    units: tuple[UnitAt, ...] = ()
