"""What plate and manual of a unit say of its water, its coil and its refrigerant circuit."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key


@dataclass(frozen=True, kw_only=True, eq=False)
class WaterFlow:
    """The maker's figures for the water of a unit."""

    rated: float | None = key("At the rating point.", quantity="volume_flow", example='"15 L/min"')
    least: float | None = key("The least allowed.", quantity="volume_flow", example='"9 L/min"')
    most: float | None = key("The most allowed.", quantity="volume_flow", example='"24 L/min"')


@dataclass(frozen=True, kw_only=True, eq=False)
class CondensingPoint:
    """A stated condensing temperature or pressure at a stated water temperature and flow."""

    temperature: float | None = key(
        "Condensing temperature there.", quantity="condensing_temperature", example='"40 degC"'
    )
    gauge_pressure: float | None = key(
        "High-side gauge pressure there.", quantity="condensing_pressure", example='"24 bar"'
    )
    water: float = key(
        "Temperature of the water going in.",
        quantity="sea_temperature",
        example='"29 degC"',
        required=True,
    )
    flow: float | None = key(
        "Water flow there; the rated flow if left out.",
        quantity="volume_flow",
        example='"15 L/min"',
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class CutOut:
    """Where the high-pressure switch opens."""

    gauge_pressure: float | None = key(
        "As gauge pressure.", quantity="condensing_pressure", example='"42 bar"'
    )
    temperature: float | None = key(
        "As condensing temperature.", quantity="condensing_temperature", example='"63 degC"'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Compressor:
    """The ten-coefficient polynomials of the compressor, as AHRI 540 lays them out.

    Both hold for suction and discharge dew points in degrees Celsius and give watts.
    """

    capacity: tuple[float, ...] = key(
        "C1 to C10 of the capacity.",
        quantity="coefficient",
        many=True,
        example="[6089, 160, -56, 0, 0, 0, 0, 0, 0, 0]",
    )
    power: tuple[float, ...] = key(
        "C1 to C10 of the power.",
        quantity="coefficient",
        many=True,
        example="[-100, 0, 32, 0, 0, 0, 0, 0, 0, 0]",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class LossPoint:
    """One point of a coil's loss: a flow with the head or the pressure it costs."""

    at: float = key("The flow.", quantity="volume_flow", example='"15 L/min"', required=True)
    head: float | None = key(
        "The loss as head, or as a pressure.", quantity="head_loss", example='"2.4 m"'
    )
    pressure: float | None = key("The loss as pressure.", quantity="pressure", example='"24 kPa"')


@dataclass(frozen=True, kw_only=True, eq=False)
class CoilTube:
    """The water tube of a condenser coil."""

    bore: float = key("Inside diameter.", quantity="bore", example='"13 mm"', required=True)
    length: float = key(
        "Length of one tube.", quantity="length", example='"6 m"', required=True, least=0.01
    )
    coil_diameter: float | None = key(
        "Diameter of the coil.", quantity="coil_diameter", example='"200 mm"'
    )
    side_by_side: int | None = key(
        "Tubes in parallel.", kind="number", example="1", least=1, most=200
    )
    wall: float | None = key("Wall thickness.", quantity="wall", example='"1 mm"')


@dataclass(frozen=True, kw_only=True, eq=False)
class Zone:
    """An evaporator of a condensing unit, and the room it cools."""

    name: str = key("The room it cools.", example='"fore cabin"', required=True)
    cooling: float = key(
        "Cooling capacity of its evaporator.",
        quantity="heat_flow",
        example='"5000 BTU/h"',
        required=True,
    )
    calls: bool | None = key("False if it does not call now.", kind="flag", example="true")
