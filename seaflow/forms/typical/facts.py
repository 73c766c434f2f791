"""The few facts that somebody knows of a boat; what is None is taken as on a typical boat."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.measured import measured


@dataclass(frozen=True, slots=True)
class BoatFacts:
    """The hull. `kind` names a typical boat or a family of them, such as "sailing monohull".

    `said` is her length as it was typed.
    """

    kind: str
    length: float = measured("m")
    beam: float | None = measured("m", None)
    built: int | None = None
    name: str | None = None
    displacement: float | None = measured("kg", None)
    said: str = ""


@dataclass(frozen=True, slots=True)
class LossFacts:
    """What the coil of a unit loses at one flow, as a head or as a pressure.

    `typed` are the flow and the loss as they were typed.
    """

    flow: float = measured("m3/s")
    head: float | None = measured("m", None)
    pressure: float | None = measured("Pa", None)
    typed: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """One air conditioner, from its plate; `heats` where only that was told and no heating."""

    cooling: float = measured("W")
    input_power: float | None = measured("W", None)
    refrigerant: str | None = None
    name: str | None = None
    heating: float | None = measured("W", None)
    heats: bool = False
    losses: tuple[LossFacts, ...] = ()


@dataclass(frozen=True, slots=True)
class SupplyFacts:
    """The electricity that drives the pump; `current` is "ac" or "dc".

    `called` are the volts that were said, where mains so called have others.
    """

    current: str
    voltage: float = measured("V")
    frequency: float | None = measured("Hz", None)
    called: float | None = measured("V", None)


@dataclass(frozen=True, slots=True)
class SeaFacts:
    """The water she lies in: its warmest, a `place` that tells the rest, or both.

    A half width holds nine boats, or nine summers, in ten. `called` is the place as it was said.
    """

    warmest: float | None = measured("degC", None)
    typical: float | None = measured("degC", None)
    coldest: float | None = measured("degC", None)
    salinity: float | None = measured("g/kg", None)
    place: str | None = None
    warmest_spread: float | None = measured("K", None)
    called: str | None = None


@dataclass(frozen=True, slots=True)
class PumpFacts:
    """A pump as its sheet or its plate tells it; `points` are pairs of a flow and a head."""

    shut_off_head: float | None = measured("m", None)
    open_flow: float | None = measured("m3/s", None)
    power: float | None = measured("W", None)
    points: tuple[tuple[float, float], ...] = ()
    fitted: str | None = None  # a row of the pumps table, in place of figures
    current: float | None = measured("A", None)


@dataclass(frozen=True, slots=True)
class BatteryFacts:
    """What may be drawn from a battery, as charge or as energy, and its voltage if told."""

    charge: float | None = measured("A s", None)
    energy: float | None = measured("J", None)
    voltage: float | None = measured("V", None)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that was said of a boat."""

    boat: BoatFacts | None = None
    units: tuple[UnitFacts, ...] = ()
    supply: SupplyFacts | None = None
    unit_supply: SupplyFacts | None = None  # if other than the pump's
    sea: SeaFacts | None = None
    pump: PumpFacts | None = None
    battery: BatteryFacts | None = None
