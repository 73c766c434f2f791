"""The things on the boat and the hoses between them, as a case file names them.

Heights are from the waterline, boat upright, loaded, afloat: + up. `aft` is metres aft of the
stem, `starboard` metres to starboard of the centreline. A value of None means "not recorded".
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from seaflow.boat.keys import key
from seaflow.boat.tables.balancing import Adapter, BalancingValve, MeasuredSuction
from seaflow.boat.tables.plates import (
    CoilTube,
    Compressor,
    CondensingPoint,
    CutOut,
    LossPoint,
    WaterFlow,
    Zone,
)
from seaflow.boat.tables.recorded import HoseSeen, IntakeSeen, OutletSeen, SeacockSeen, StrainerSeen
from seaflow.boat.tables.recorded_machines import PumpSeen, UnitSeen
from seaflow.boat.tables.supply import Cable, Supply
from seaflow.boat.tables.use import HeatingPlate

Spot = tuple[float, float, float]  # metres aft, to starboard and up


@dataclass(frozen=True, kw_only=True, eq=False)
class Place:
    """A point on the boat."""

    aft: float | None = key("Distance aft of the stem.", quantity="aft", example='"4.2 m"')
    starboard: float | None = key(
        "Distance to starboard of the centreline; port is negative.",
        quantity="starboard",
        example='"0.3 m"',
    )
    height: float | None = key(
        "Height above the waterline afloat and loaded; below it is negative.",
        quantity="height",
        example='"-0.55 m"',
        required=True,
    )

    @property
    def point(self) -> Spot | None:
        """Metres aft, to starboard and up, or None if one of them is not recorded."""
        if self.aft is None or self.starboard is None or self.height is None:
            return None
        return (self.aft, self.starboard, self.height)


def apart(one: Place | None, other: Place | None) -> float | None:
    """Return how far apart two places are [m], or None if one is not known all three ways."""
    if one is None or other is None or one.point is None or other.point is None:
        return None
    return math.dist(one.point, other.point)


@dataclass(frozen=True, kw_only=True, eq=False)
class Thing:
    """What every thing has: a name, a place, and the row of the file that names it."""

    row: int = -1
    table: str = ""
    name: str = key("The name that hoses and findings use.", example='"strainer"', required=True)
    at: Place | None = key("Where it is on the boat.", of=Place, example='{ height = "-0.4 m" }')
    height: float | None = key(
        "Height above the waterline, if only that is known; below it is negative.",
        quantity="height",
        example='"-0.4 m"',
    )

    @property
    def point(self) -> Spot | None:
        """Where it is, or None if that is not recorded all three ways."""
        return None if self.at is None else self.at.point

    @property
    def level(self) -> float | None:
        """Height above the waterline [m], or None if the case does not record it."""
        return self.at.height if self.at is not None else self.height


@dataclass(frozen=True, kw_only=True, eq=False)
class OtherUser:
    """Something else that draws through a shared intake."""

    name: str = key("What it is.", example='"engine"', required=True)
    flow: float | None = key(
        "What it draws at the same time.", quantity="volume_flow", example='"40 L/min"'
    )
    bore: float | None = key(
        "Bore of the hose it draws through.", quantity="bore", example='"25 mm"'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Intake(Thing):
    """A through-hull or a sea chest: where the water comes in."""

    loop: str | None = key("A name for the loop it feeds.", example='"port hull"')
    bore: float = key(
        "Clear bore of the fitting.", quantity="bore", example='"25 mm"', required=True
    )
    entry: str = key(
        "What the water meets outside: a row of the entries table.",
        example='"grilled scoop, facing forward"',
        default="through_hull.entry",
    )
    recovery: float | None = key(
        "Share of the speed head that a scoop turns into pressure; "
        "negative for one that faces aft.",
        quantity="share",
        example='"50 %"',
        least=-1.0,
        most=1.0,
    )
    also_feeds: tuple[OtherUser, ...] = key(
        "Other users of the same opening.",
        of=OtherUser,
        many=True,
        example='[{ name = "engine", flow = "40 L/min" }]',
    )
    dry_by_design: bool | None = key(
        "True if the opening is above the water on purpose, as for a test ashore.",
        kind="flag",
        example="false",
    )
    seen: IntakeSeen | None = key("What was seen of it on board.", of=IntakeSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class Seacock(Thing):
    """A valve at the hull, threaded on a through-hull or an outlet."""

    on: str = key("The intake or outlet it sits on.", example='"cooling intake"', required=True)
    bore: float = key("Clear bore of the valve.", quantity="bore", example='"25 mm"', required=True)
    type: str = key(
        "Kind of valve: a row of the seacocks table.",
        example='"flanged full-bore ball seacock"',
        default="seacock.type",
    )
    seen: SeacockSeen | None = key("What was seen of it on board.", of=SeacockSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class Strainer(Thing):
    """The basket between seacock and pump."""

    model: str | None = key("A row of the strainers table.", example='"demo-strainer-25"')
    port: float | None = key("Bore of its ports.", quantity="bore", example='"25 mm"')
    basket_area: float | None = key(
        "Gross area of the basket wall.", quantity="area", example='"20000 mm2"'
    )
    open_share: float | None = key(
        "Share of the basket wall that is holes.",
        quantity="open_area_ratio",
        example='"40 %"',
    )
    clean_loss: float | None = key(
        "Loss coefficient of the clean strainer on the velocity in its ports.",
        quantity="loss_coefficient",
        example='"4.5"',
    )
    seen: StrainerSeen | None = key("What was seen of it on board.", of=StrainerSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class Pump(Thing):
    """The place of a pump: which one is fitted there, or none yet."""

    fitted: str | None = key(
        "The pump fitted now: a row of the pumps table.", example='"demo-mag-medium-230"'
    )
    in_parallel: int | None = key(
        "How many equal pumps stand side by side here.", kind="number", example="1", least=1, most=4
    )
    port: float | None = key("Bore of the suction port.", quantity="bore", example='"19 mm"')
    supply: Supply | None = key(
        "The electricity of this pump, if other than that of the boat's supply.",
        of=Supply,
        example='{ current = "dc", voltage = "12 V" }',
    )
    cable: Cable | None = key("The supply cable.", of=Cable, example='{ length = "6 m" }')
    measured_suction: MeasuredSuction | None = key(
        "A suction reading with the strainer dirty; it overrules every table of strainer loss.",
        of=MeasuredSuction,
        example='{ gauge_pressure = "-6 kPa", flow = "14 L/min" }',
    )
    check_valve: bool | None = key(
        "True if a check valve on its delivery stops water running back.",
        kind="flag",
        example="true",
    )
    seen: PumpSeen | None = key("What was seen of it on board.", of=PumpSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class Fitting(Thing):
    """A check valve, tee, manifold, reducer, vented loop or flush tee in the run."""

    bore: float = key("Clear bore.", quantity="bore", example='"19 mm"', required=True)
    second_bore: float | None = key(
        "Bore of the other end of a reducer.", quantity="bore", example='"16 mm"'
    )
    loss: float | None = key(
        "Loss coefficient on its bore, if known.", quantity="loss_coefficient", example='"1.5"'
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Unit(Thing):
    """An air conditioner: its plate, its coil and its water."""

    model: str | None = key(
        "A unit of a file of own parts, whose sheet supplies what is left open here.",
        example='"my-unit"',
    )
    coil: str | None = key(
        "A coil of a file of own parts, whose sheet supplies what is left open here.",
        example='"my-coil"',
    )
    cooling: float = key(
        "Cooling capacity on the plate.",
        quantity="heat_flow",
        example='"16000 BTU/h"',
        required=True,
    )
    input_power: float | None = key(
        "Electrical input of the compressor on the plate.",
        quantity="input_power",
        example='"1.4 kW"',
    )
    refrigerant: str | None = key("Refrigerant on the plate.", example='"R-410A"')
    water_flow: WaterFlow | None = key(
        "The maker's water flow.", of=WaterFlow, example='{ rated = "15 L/min", least = "9 L/min" }'
    )
    water_loss: tuple[LossPoint, ...] = key(
        "The maker's points of coil loss.",
        of=LossPoint,
        many=True,
        example='[{ at = "15 L/min", head = "2.4 m" }]',
    )
    tube: CoilTube | None = key(
        "Tube of the coil: for the speed of its water, and for its loss if no point is known.",
        of=CoilTube,
        example='{ bore = "13 mm", length = "6 m" }',
    )
    alloy: str | None = key(
        "Alloy of the tube: a row of the alloys table.", example='"90-10 copper-nickel"'
    )
    condensing: CondensingPoint | None = key(
        "A known condensing point.",
        of=CondensingPoint,
        example='{ temperature = "42 degC", water = "29 degC" }',
    )
    compressor: Compressor | None = key(
        "The maker's compressor polynomials, if you have them; they take the place of the plate.",
        of=Compressor,
        example="{ capacity = [6089, 160, -56, 0, 0, 0, 0, 0, 0, 0], "
        "power = [-100, 0, 32, 0, 0, 0, 0, 0, 0, 0] }",
    )
    cut_out: CutOut | None = key(
        "The high-pressure switch.", of=CutOut, example='{ gauge_pressure = "42 bar" }'
    )
    permitted_rise: float | None = key(
        "Permitted rise of this unit's water, if other than the design rise.",
        quantity="temperature_rise",
        example='"6 K"',
    )
    least_load: float | None = key(
        "Least share of full output of a compressor whose speed varies; left out, it is switched "
        "on and off.",
        quantity="load",
        example='"33 %"',
        least=0.05,
        most=1.0,
    )
    fan_power: float | None = key(
        "Electrical input of its fan, beside that of the compressor.",
        quantity="device_power",
        example='"60 W"',
    )
    thermostat: str | None = key(
        "What units that are switched by one thermostat share; its own if left out.",
        example='"saloon"',
    )
    heating: HeatingPlate | None = key(
        "The plate of a unit that also heats.",
        of=HeatingPlate,
        example='{ capacity = "17000 BTU/h", input_power = "1.3 kW", water = "10 degC" }',
    )
    zone: tuple[Zone, ...] = key(
        "The evaporators, if one condensing unit serves several: its load is that of the zones "
        "that call.",
        of=Zone,
        many=True,
        example='[{ name = "fore cabin", cooling = "5000 BTU/h" }]',
    )
    switched_on: bool | None = key(
        "False if it is off; a loop with all of them off is left out.", kind="flag", example="true"
    )
    branch_shut: bool | None = key(
        "True if its branch valve is shut.", kind="flag", example="false"
    )
    seen: UnitSeen | None = key("What was seen of it on board.", of=UnitSeen)

    @property
    def called(self) -> float:
        """Share of its cooling for which zones call now; all of it where none is told."""
        if not self.zone:
            return 1.0
        calling = sum(zone.cooling for zone in self.zone if zone.calls is not False)
        return min(calling / self.cooling, 1.0)

    @property
    def rated_flow(self) -> float | None:
        """The water flow it is rated for [m3/s], or None if the case does not tell it."""
        rated = self.water_flow.rated if self.water_flow else None
        return rated or (self.condensing.flow if self.condensing else None)


@dataclass(frozen=True, kw_only=True, eq=False)
class Outlet(Thing):
    """Where the water goes back over the side."""

    bore: float = key(
        "Clear bore of the outlet.", quantity="bore", example='"19 mm"', required=True
    )
    seen: OutletSeen | None = key("What was seen of it on board.", of=OutletSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class Hose(Thing):
    """A hose from one thing to the next, in the direction the water flows."""

    name: str = key("A name; else it is called by its ends.", example='"suction hose"')
    from_: str = key("The thing it starts at.", spelled="from", example='"strainer"', required=True)
    to: str = key("The thing it ends at.", example='"pump"', required=True)
    bore: float = key("Inside diameter.", quantity="bore", example='"25 mm"', required=True)
    length: float = key(
        "Length along the hose.", quantity="length", example='"0.8 m"', required=True
    )
    kind: str = key(
        "Kind of hose: a row of the hoses table.",
        example='"smooth-bore rubber"',
        default="hose.kind",
    )
    roughness: float | None = key("Roughness, if known.", quantity="roughness", example='"0.01 mm"')
    fittings: tuple[str, ...] = key(
        "What is on it: rows of the fittings table, one for each piece.",
        many=True,
        example='["hose barb", "swept bend", "hose barb"]',
    )
    barb_bore: float | None = key(
        "Clear bore of its barbs; else the usual one for this hose.",
        quantity="bore",
        example='"20 mm"',
    )
    barb_bore_from: float | None = key(
        "Clear bore of the barb at its start, if another.", quantity="bore", example='"15 mm"'
    )
    barb_bore_to: float | None = key(
        "Clear bore of the barb at its end, if another.", quantity="bore", example='"15 mm"'
    )
    adapter_from: Adapter | None = key(
        "An adapter at its start to another tail.", of=Adapter, example='{ bore = "19 mm" }'
    )
    adapter_to: Adapter | None = key(
        "An adapter at its end to another tail.", of=Adapter, example='{ bore = "19 mm" }'
    )
    via: tuple[Place, ...] = key(
        "Points it passes, in order; name at least its highest and lowest.",
        of=Place,
        many=True,
        example='[{ height = "0.9 m" }]',
    )
    balancing_valve: BalancingValve | None = key(
        "A valve that throttles this branch, with its maker's curve.",
        of=BalancingValve,
        example='{ bore = "16 mm", points = [{ turns = "0.5", loss = "60" }] }',
    )
    seen: HoseSeen | None = key("What was seen of it on board.", of=HoseSeen)

    @property
    def label(self) -> str:
        """The name of the hose, or its two ends."""
        return self.name or f"hose {self.from_} to {self.to}"

    def barb_at(self, arrives: bool) -> float | None:
        """Return the clear bore of the barb at its end or its start; None for the usual one."""
        return (self.barb_bore_to if arrives else self.barb_bore_from) or self.barb_bore

    def adapter_at(self, arrives: bool) -> Adapter | None:
        """Return the adapter at its end or its start."""
        return self.adapter_to if arrives else self.adapter_from
