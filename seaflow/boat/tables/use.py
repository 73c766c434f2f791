"""How the boat is used: the duties of a day, the battery, and the heating plate of a unit."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key

SOURCES = ("shore", "battery", "generator")
PUMP_RUNS = ("with the units", "always")


@dataclass(frozen=True, kw_only=True, eq=False)
class Duty:
    """One duty of a day: some hours of one use of the boat."""

    name: str = key("What the boat does.", example='"anchor at night"', required=True)
    hours: float = key("How long a day.", quantity="duration", example='"9 h"', required=True)
    load: float = key(
        "Cooling asked for, as a share of what the units give flat out.",
        quantity="load",
        example='"50 %"',
        required=True,
        least=0.0,
        most=1.0,
    )
    source: str = key(
        "Where the electricity comes from.", choices=SOURCES, example='"battery"', required=True
    )
    start: str | None = key(
        "Time of day at which it begins; left out, the duties follow one another.",
        example='"22:00"',
    )
    units: tuple[str, ...] = key(
        "The units that run then; all if left out.", many=True, example='["saloon unit"]'
    )
    sea: float | None = key(
        "Sea then; the warmest if left out.", quantity="sea_temperature", example='"27 degC"'
    )
    regeneration: float | None = key(
        "What sun, wind or a towed turbine charges meanwhile, on average.",
        quantity="regeneration",
        example='"150 W"',
    )
    boat_speed: float | None = key(
        "Speed through the water; a scoop that faces forward then helps.",
        quantity="boat_speed",
        example='"5 kn"',
        least=0.0,
        most=15.0,
    )
    pump: str | None = key(
        "When the pump runs: with the units if left out.",
        choices=PUMP_RUNS,
        example='"with the units"',
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Battery:
    """The battery that drives cooling away from shore."""

    voltage: float | None = key(
        "Voltage at which its charge is counted.", quantity="voltage", example='"12.8 V"'
    )
    capacity: float | None = key(
        "What may be drawn from it, not what is printed on it.",
        quantity="charge",
        example='"200 Ah"',
    )
    inverter_efficiency: float | None = key(
        "Efficiency of the inverter, where the units run on AC.",
        quantity="share",
        example='"90 %"',
        least=0.3,
        most=1.0,
    )
    inverter_power: float | None = key(
        "What the inverter gives all the time, on its plate.",
        quantity="device_power",
        example='"3000 W"',
    )
    inverter_idle: float | None = key(
        "What the inverter takes with nothing to drive.",
        quantity="device_power",
        example='"20 W"',
    )
    charger: float | None = key(
        "What the charger puts into it on shore power or a generator.",
        quantity="regeneration",
        example='"800 W"',
    )
    solar: float | None = key(
        "Solar panels, by their plates; what a duty regenerates comes on top.",
        quantity="regeneration",
        example='"600 W"',
    )
    house_load: float | None = key(
        "What else draws from it all day, such as a fridge and lights.",
        quantity="device_power",
        example='"60 W"',
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class HeatingPlate:
    """What the plate says of a unit as a heater."""

    capacity: float = key(
        "Heating capacity.", quantity="heat_flow", example='"17000 BTU/h"', required=True
    )
    input_power: float | None = key(
        "Electrical input of the compressor when heating.",
        quantity="input_power",
        example='"1.3 kW"',
    )
    water: float | None = key(
        "Temperature of the water going in at which the plate holds.",
        quantity="sea_temperature",
        example='"10 degC"',
    )
