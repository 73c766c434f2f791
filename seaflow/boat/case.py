"""The whole boat as one frozen record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from seaflow.boat.defaults import Assumption
from seaflow.boat.keys import key
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.reader.known import HowKnown
from seaflow.boat.reader.text import CaseText, Path
from seaflow.boat.seas import SEASONS
from seaflow.boat.tables.gap import Gap
from seaflow.boat.tables.recorded_hull import Manifold, SkinFitting, SkinHose
from seaflow.boat.tables.recorded_machines import BoatSeen
from seaflow.boat.tables.recorded_record import Followed, Visit
from seaflow.boat.tables.rooms import Compartment, IntakePlace, Partition, Placing, PumpPlace
from seaflow.boat.tables.supply import Supply, UnitSupply
from seaflow.boat.tables.things import (
    Fitting,
    Hose,
    Intake,
    Outlet,
    Pump,
    Seacock,
    Strainer,
    Thing,
    Unit,
)
from seaflow.boat.tables.use import Battery, Duty

MOST_DC = 60.0  # V; IEC 61140, from memory; check the current edition
HULLS = ("sailing monohull", "sailing multihull", "motor monohull", "motor multihull")


@dataclass(frozen=True, kw_only=True, eq=False)
class Boat:
    """The hull."""

    name: str = key(
        "Name of the boat, as the sheets show it.", example='"Demo ketch"', required=True
    )
    hull: str = key("Kind of hull.", choices=HULLS, example='"sailing monohull"', required=True)
    works_to_heel: float | None = key(
        "Heel up to which the cooling must work.", quantity="heel", example='"15 deg"'
    )
    works_to_trim: float | None = key(
        "Trim, bow or stern down, up to which the cooling must work.",
        quantity="trim",
        example='"2 deg"',
        least=0.0,
    )
    waterline_length: float | None = key("Waterline length.", quantity="length", example='"10.5 m"')
    beam: float | None = key("Beam amidships.", quantity="length", example='"3.6 m"')
    freeboard: float | None = key("Freeboard amidships.", quantity="length", example='"1.1 m"')


@dataclass(frozen=True, kw_only=True, eq=False)
class Sea:
    """The water the boat will lie in."""

    place: str | None = key(
        "Where she lies: a cruising ground, island or port; it fills what is left out here.",
        example='"Lesser Antilles"',
    )
    warmest: float = key(
        "Warmest sea, in the harbour.",
        quantity="sea_temperature",
        example='"30 degC"',
        required=True,
    )
    coldest: float = key(
        "Coldest sea in which cooling runs.",
        quantity="sea_temperature",
        example='"15 degC"',
        default="sea.coldest",
    )
    typical: float | None = key(
        "Typical sea of the season.", quantity="sea_temperature", example='"26 degC"'
    )
    months: tuple[float, ...] = key(
        "Sea of each month of the year, January first; those below the coldest are left out.",
        quantity="sea_temperature",
        many=True,
        example='["14 degC", "14 degC", "14 degC", "16 degC", "19 degC", "23 degC", "26 degC", '
        '"27 degC", "24 degC", "21 degC", "18 degC", "15 degC"]',
    )
    heating_from: float | None = key(
        "Coldest sea in which the units must heat.",
        quantity="sea_temperature",
        example='"7 degC"',
        least=-2.5,
        most=30.0,
    )
    season: str | None = key(
        "Shape of the season where neither typical nor months are given.",
        choices=SEASONS,
        example='"mediterranean"',
    )
    salinity: float = key(
        "Absolute salinity; fresh water is 0 g/kg.",
        quantity="salinity",
        example='"36 g/kg"',
        default="sea.salinity",
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Design:
    """What the design must hold to."""

    permitted_rise: float = key(
        "Permitted rise of the cooling water.",
        quantity="temperature_rise",
        example='"6 K"',
        default="design.permitted_rise",
    )
    blocked_share: float = key(
        "Share of the basket's open area lost before it is cleaned.",
        quantity="blockage",
        example='"50 %"',
        default="design.blocked_share",
    )
    growth: float = key(
        "Thickness of growth inside the hoses before they are cleaned.",
        quantity="growth",
        example='"1 mm"',
        default="design.growth",
    )
    cut_out_margin: float = key(
        "Least distance between condensing temperature and cut-out.",
        quantity="temperature_rise",
        example='"5 K"',
        default="design.cut_out_margin",
    )
    cleaning_interval: float | None = key(
        "Time between cleanings of the strainer.",
        quantity="cleaning_interval",
        example='"14 day"',
    )
    pumps: tuple[str, ...] = key(
        "Pumps to consider: rows of the pumps table; all that fit the supply if left out.",
        many=True,
        example='["demo-mag-medium-230"]',
    )


INTAKE_TABLES = ("through_hull", "sea_chest")
FITTING_TABLES = ("check_valve", "tee", "manifold", "reducer", "vented_loop", "flush_tee")
# Of all that a hose may start or end at, and the seacocks.
THING_TABLES = (*INTAKE_TABLES, "seacock", "strainer", "pump", *FITTING_TABLES, "unit", "outlet")


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Case:
    """Everything the case file says.

    `spreads` holds the half widths behind its values, by path; `typical` the paths of those that
    stand for what nobody looked at on this boat; `known` how facts are known where that is
    written, by table, name of the thing and key. `numbers` are those of rows along the water, by
    table and row (see numbering.py). `asked_pump` is a pump asked about beside the file, which is
    not said to be aboard.
    """

    text: CaseText
    schema: int = key("Version of this file format.", kind="number", example="1", required=True)
    meta: dict[str, object] = field(default_factory=dict)
    boat: Boat = key("The hull.", of=Boat, required=True)
    sea: Sea = key("The water.", of=Sea, required=True)
    supply: Supply = key("The electricity.", of=Supply, required=True)
    unit_supply: UnitSupply | None = key(
        "The electricity of the units, if other than the pump's.", of=UnitSupply
    )
    design: Design = key("What to hold to.", of=Design)
    through_hull: tuple[Intake, ...] = key(
        "Through-hulls that take water in.", of=Intake, many=True
    )
    sea_chest: tuple[Intake, ...] = key("Sea chests and shared intakes.", of=Intake, many=True)
    seacock: tuple[Seacock, ...] = key("Seacocks.", of=Seacock, many=True)
    strainer: tuple[Strainer, ...] = key("Strainers.", of=Strainer, many=True)
    pump: tuple[Pump, ...] = key("Pump places.", of=Pump, many=True)
    check_valve: tuple[Fitting, ...] = key("Check valves.", of=Fitting, many=True)
    tee: tuple[Fitting, ...] = key("Tees.", of=Fitting, many=True)
    manifold: tuple[Manifold, ...] = key("Manifolds.", of=Manifold, many=True)
    reducer: tuple[Fitting, ...] = key("Reducers.", of=Fitting, many=True)
    vented_loop: tuple[Fitting, ...] = key("Vented loops.", of=Fitting, many=True)
    flush_tee: tuple[Fitting, ...] = key("Tees for flushing.", of=Fitting, many=True)
    unit: tuple[Unit, ...] = key("Air conditioners.", of=Unit, many=True)
    outlet: tuple[Outlet, ...] = key("Outlets over the side.", of=Outlet, many=True)
    hose: tuple[Hose, ...] = key("Hoses.", of=Hose, many=True)
    skin_fitting: tuple[SkinFitting, ...] = key(
        "Other openings of the hull.", of=SkinFitting, many=True
    )
    skin_hose: tuple[SkinHose, ...] = key("Hoses on those openings.", of=SkinHose, many=True)
    duty: tuple[Duty, ...] = key("Duties of a day.", of=Duty, many=True)
    battery: Battery | None = key("The battery.", of=Battery)
    compartment: tuple[Compartment, ...] = key("Compartments.", of=Compartment, many=True)
    partition: tuple[Partition, ...] = key(
        "What stands between compartments.", of=Partition, many=True
    )
    pump_place: tuple[PumpPlace, ...] = key(
        "Places where a pump could go.", of=PumpPlace, many=True
    )
    intake_place: tuple[IntakePlace, ...] = key(
        "Places where an intake could go.", of=IntakePlace, many=True
    )
    placing: Placing | None = key("What holds for all places.", of=Placing)
    seen: BoatSeen | None = key("What a surveyor saw of the whole boat.", of=BoatSeen)
    visit: tuple[Visit, ...] = key("Visits whose findings stand in this file.", of=Visit, many=True)
    finding: tuple[Followed, ...] = key(
        "Findings of earlier visits, and what became of them.", of=Followed, many=True
    )
    assumptions: tuple[Assumption, ...] = ()
    catalogue: Catalogue = field(default_factory=Catalogue)
    spreads: Mapping[Path, float] = field(default_factory=dict)
    typical: frozenset[Path] = frozenset()
    gaps: tuple[Gap, ...] = ()
    known: Mapping[tuple[str, str, str], HowKnown] = field(default_factory=dict)
    numbers: Mapping[tuple[str, int], int] = field(default_factory=dict)
    asked_pump: str = ""

    def __repr__(self) -> str:
        """Return which boat it is; all that it holds would fill a screen."""
        return f"<Case: {self.boat.name}, {self.text.file}>"

    def numbered(self, path: Path) -> Path:
        """Return a path with the number of its row along the water in place of the row."""
        if len(path) < 2 or not isinstance(path[1], int):
            return path
        table, row = str(path[0]), path[1]
        return (table, self.numbers.get((table, row), row), *path[2:])

    @property
    def units_on(self) -> Supply | UnitSupply:
        """The supply that drives the units: that of the pump if no other is told."""
        return self.unit_supply or self.supply

    def on_supply_of(self, pump: Pump) -> Case:
        """Return the case as a pump sees it: `supply` is its own, where it has one.

        The units stay on theirs. Half widths and typical values of the supply go with it.
        """
        if pump.supply is None:
            return self
        units = self.unit_supply or UnitSupply(
            current=self.supply.current, voltage=self.supply.voltage
        )
        own = (pump.table, pump.row, "supply")

        def moved(path: Path) -> Path | None:
            if path[:1] == ("supply",):
                return None
            return ("supply", *path[3:]) if path[:3] == own else path

        spreads = {moved(path): width for path, width in self.spreads.items()}
        typical = {moved(path) for path in self.typical}
        return replace(
            self,
            supply=pump.supply,
            unit_supply=units,
            spreads={path: width for path, width in spreads.items() if path is not None},
            typical=frozenset(path for path in typical if path is not None),
        )

    @property
    def supplies(self) -> tuple[Supply | UnitSupply, ...]:
        """Every supply on board: that of the boat, of the units, and of each pump with its own."""
        own = (pump.supply for pump in self.pump if pump.supply is not None)
        return (self.supply, self.units_on, *own)

    @property
    def high_voltage(self) -> bool:
        """True if a supply is DC above what may be measured by hand."""
        return self.units_on.current == "dc" and self.units_on.voltage > MOST_DC

    @property
    def intakes(self) -> tuple[Intake, ...]:
        """Through-hulls and sea chests."""
        return self.through_hull + self.sea_chest

    @property
    def fittings(self) -> tuple[Fitting, ...]:
        """All things of the six fitting tables."""
        return tuple(thing for table in FITTING_TABLES for thing in getattr(self, table))

    @property
    def things(self) -> tuple[Thing, ...]:
        """Everything a hose may start or end at, and the seacocks."""
        return tuple(thing for table in THING_TABLES for thing in getattr(self, table))
