"""From a hull and the facts to every table of the case: loops, hoses, units, rooms and places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_quantity
from seaflow.boat.checks.ways import MOST_UNITS
from seaflow.boat.defaults import default
from seaflow.boat.trade import row_upto
from seaflow.forms.typical.facts import (
    BatteryFacts,
    Facts,
    LossFacts,
    SeaFacts,
    SupplyFacts,
    UnitFacts,
)
from seaflow.forms.typical.figure import Figure, Usual, said
from seaflow.forms.typical.hull import Hull, hull_of
from seaflow.forms.typical.rooms import Zone, standings

Spot = tuple[Figure, Figure, Figure]
Row = dict[str, Any]
ASKED = "a pump of these figures"
AXES = ("aft", "starboard", "height")
STAYS_AS_SAID = ("access", "dry", "ventilated", "faces", "surface")


def raw_case(facts: Facts) -> dict[str, Any]:
    """Return the case as TOML data, in the order of a site visit.

    Raises
    ------
    KeyError
        If no layout bears the kind of boat.
    """
    hull = hull_of(facts)
    tables: dict[str, Any] = {"schema": 1, "boat": _boat(hull, facts), "sea": _sea(facts.sea)}
    tables["supply"] = _supply(hull, facts)
    if facts.unit_supply is not None:
        row = said_supply(facts.unit_supply)
        tables["unit_supply"] = {key: row[key] for key in ("current", "voltage")}
    if facts.battery is not None:
        tables["battery"] = said_battery(facts.battery)
    for table, row in _loops(hull, facts):
        tables.setdefault(table, []).append(row)
    tables["compartment"] = [_room(hull, room) for room in hull.row["rooms"]]
    tables["partition"] = [_wall(wall) for wall in hull.row["partitions"]]
    built = {pump["name"] for pump in tables["pump"]}
    places = hull.row["places"]
    tables["pump_place"] = [_place(hull, one) for one in places if _pump_name(one, hull) in built]
    tables["placing"] = {"panel": _at(hull.spot(hull.row["panel"]))}
    return tables


def _trade(name: str) -> Any:
    return read_table("typical/trade.toml")[name]


def _at(spot: Sequence[Figure]) -> Row:
    return {axis: one.text("m", "m", 2) for axis, one in zip(AXES, spot, strict=True)}


# --- the boat, the sea and the supply ---


def _boat(hull: Hull, facts: Facts) -> Row:
    name, said = (facts.boat.name, facts.boat.said) if facts.boat else (None, "")
    heel, half = hull.row["works_to_heel"]
    return {
        "name": name or Usual(", ".join(filter(None, (f"Typical {hull.kind}", said)))),
        "hull": hull.row["hull"] if facts.boat else Usual(hull.row["hull"]),
        "works_to_heel": f"{heel} typical +/- {half}",
        "waterline_length": hull.waterline.text("m", "m", 2),
        "beam": hull.beam.text("m", "m", 2),
        "freeboard": hull.freeboard.text("m", "m", 2),
    }


def _sea(sea: SeaFacts | None) -> Row:
    usual = _trade("sea")
    if sea is None:
        half = read_quantity(usual["spread"], "K")
        warmest = Figure(read_quantity(usual["warmest"], "degC"), half)
        return {"warmest": warmest.text("degC", "degC", 1)}
    return said_sea(sea)


def said_sea(sea: SeaFacts) -> Row:
    """Return the keys of the sea that were said."""
    row: Row = {"place": sea.place} if sea.place else {}
    if sea.warmest is not None:
        wide = "" if sea.warmest_spread is None else f" +/- {sea.warmest_spread:g} K"
        row["warmest"] = f"{said(sea.warmest, 'degC')}{wide}"
    for key, unit in (("typical", "degC"), ("coldest", "degC"), ("salinity", "g/kg")):
        value = getattr(sea, key)
        if value is not None:
            row[key] = said(value, unit)
    return row


def _supply(hull: Hull, facts: Facts) -> Row:
    supply, usual = facts.supply, _trade("supply")
    if supply is None and facts.unit_supply is not None:
        length, rows = hull.length.value, usual["beside"]
        volts = next(text for upto, text in rows if length < read_quantity(upto, "m"))
        return {"current": Usual("dc"), "voltage": Usual(volts)}
    if supply is None:
        return {key: Usual(usual[key]) for key in ("current", "voltage", "frequency")}
    return said_supply(supply)


def said_supply(supply: SupplyFacts) -> Row:
    """Return the keys of the supply that were said, and its frequency."""
    row: Row = {"current": supply.current, "voltage": said(supply.voltage, "V")}
    if supply.frequency is not None:
        row["frequency"] = said(supply.frequency, "Hz")
    elif supply.current == "ac":
        usual = _trade("supply")["frequencies"]
        row["frequency"] = next(
            Usual(text) for upto, text in usual if supply.voltage <= read_quantity(upto, "V")
        )
    return row


def said_battery(battery: BatteryFacts) -> Row:
    """Return the keys of the battery that were said; energy is counted as charge at its volts."""
    volts, charge = battery.voltage or default("battery.voltage").value, battery.charge
    if charge is None:
        charge = (battery.energy or 0.0) / volts
    row: Row = {"capacity": said(charge, "A s")}
    if battery.voltage is not None:
        row["voltage"] = said(battery.voltage, "V")
    return row


# --- the loops ---


def _loops(hull: Hull, facts: Facts) -> Iterator[tuple[str, Row]]:
    """Yield every thing and hose, with the name of its table."""
    zoned = [(one.zone, one.unit) for one in standings(hull, units_of(hull, facts))]
    for loop in hull.row["loops"]:
        mine = [(zone, unit) for zone, unit in zoned if zone.get("loop") == loop.get("name")]
        if len(mine) > MOST_UNITS:
            raise SeaflowError([_too_many(len(mine), len(zoned))])
        if mine:
            yield from _Loop(hull, facts, loop).tables(mine)


def _too_many(on_one: int, told: int) -> Problem:
    """Return the problem that a loop of the boat would have more units than a pump is asked of."""
    said = f"{told} units" if told == on_one else f"{on_one} of the {told} units"
    return Problem(
        "T02",
        f"one pump would feed {said}, and {MOST_UNITS} are the most",
        why="With more, one pump seldom gives every branch its share.",
        write="Name fewer with --unit, or write the boat as a case file with a pump for each loop: "
        "seaflow new boat.toml.",
    )


def units_of(hull: Hull, facts: Facts) -> tuple[UnitFacts, ...]:
    """Return the units, the largest first; usual ones for the boat if none was told."""
    if facts.units:
        return tuple(sorted(facts.units, key=lambda unit: -unit.cooling))
    many: int = max(number for start, number in hull.row["units"] if start <= hull.length.value)
    return (UnitFacts(usual_plate(hull, many)),) * many


def usual_plate(hull: Hull, many: int) -> float:
    """Return the plate that comes nearest to what such a boat needs, shared among units [W]."""
    sizes = [read_quantity(f"{size} BTU/h", "W") for size in _trade("plates")["cooling"]]
    each = usual_cooling(hull) / many
    return min(sizes, key=lambda size: abs(size - each))


def usual_cooling(hull: Hull) -> float:
    """Return the cooling that such a boat is fitted with, all units together [W]."""
    volume = hull.row["volume"] * hull.length.value * hull.beam.value
    return float(volume * read_quantity(f"{_trade('plates')['load']} BTU/h", "W"))


def _bore(text: str) -> str:
    size = Figure(read_quantity(text, "m"))
    return Figure(size.value, _trade("hose")["bore_spread"] * size.value).text("m", "mm", 0)


class _Loop:
    """One loop being written: names, bores and the fittings of its runs."""

    def __init__(self, hull: Hull, facts: Facts, loop: Mapping[str, Any]) -> None:
        self.hull, self.facts, self.loop = hull, facts, loop
        self.word = loop.get("word", "")
        place = next(one for one in hull.row["places"] if one.get("loop") == loop.get("name"))
        self.spots: dict[str, Spot] = {
            self.word + name: hull.spot(spot, "suction")
            for name, spot in (
                ("intake", loop["intake"]),
                ("strainer", loop["strainer"]),
                ("pump", place["at"]),
            )
        } | {f"{self.word}manifold": hull.spot(loop["manifold"])}

    def tables(self, zoned: list[tuple[Zone, UnitFacts]]) -> Iterator[tuple[str, Row]]:
        """Yield the tables of the loop with these units."""
        bores = row_upto("bores", sum(unit.cooling for _, unit in zoned))
        word, suction, trunk = self.word, _bore(bores["suction"]), _bore(bores["trunk"])
        yield "through_hull", self._thing("intake", bore=suction, loop=self.loop.get("name"))
        yield "seacock", {"name": f"{word}seacock", "on": f"{word}intake", "bore": suction}
        yield "strainer", self._thing("strainer", port=suction)
        yield "pump", self._pump()
        yield "hose", self._hose((f"{word}intake", f"{word}strainer"), suction, "intake")
        yield "hose", self._hose((f"{word}strainer", f"{word}pump"), suction, "suction")
        start = f"{word}pump"
        if len(zoned) > 1:
            yield "manifold", self._thing("manifold", bore=trunk)
            yield "hose", self._hose((start, f"{word}manifold"), trunk, "trunk")
            start = f"{word}manifold"
        for zone, unit in zoned:
            branch = row_upto("branch", unit.cooling)["bore"]
            bore = trunk if len(zoned) == 1 else _bore(branch)
            yield from self._branch(start, zone, unit, bore)

    def _thing(self, name: str, **more: Any) -> Row:
        given = {key: value for key, value in more.items() if value is not None}
        return {"name": self.word + name, "at": _at(self.spots[self.word + name])} | given

    def _pump(self) -> Row:
        cable = _trade("cable")
        way = _way([self.hull.spot(self.hull.row["panel"]), self.spots[f"{self.word}pump"]])
        length = cable["slack"] * way + read_quantity(cable["ends"], "m")
        row = self._thing("pump", fitted=pump_name(self.facts))
        return row | {
            "cable": {"length": Figure(length, cable["spread"] * length).text("m", "m", 1)}
        }

    def _branch(
        self, start: str, zone: Zone, unit: UnitFacts, bore: str
    ) -> Iterator[tuple[str, Row]]:
        name = unit.name or zone["name"]
        outlet = f"{name} outlet"
        self.spots |= {name: self.hull.spot(zone["at"]), outlet: self.hull.spot(zone["outlet"])}
        at = _at(self.spots[name])
        plate = self._plate(unit) | _evaporators(zone, unit)
        yield "unit", {"name": unit.name or Usual(name), "at": at} | plate
        yield "outlet", {"name": outlet, "at": _at(self.spots[outlet]), "bore": bore}
        yield "seacock", {"name": f"{outlet} seacock", "on": outlet, "bore": bore}
        run = "branch" if start.endswith("manifold") else "unit"
        yield "hose", self._hose((start, name), bore, run)
        crest = self._crest(name, outlet)
        yield "hose", self._hose((name, outlet), bore, "outlet", crest)

    def _crest(self, unit: str, outlet: str) -> tuple[Spot, ...]:
        """Return the highest point of the run behind a unit, if it lies over the outlet."""
        aft, starboard, height = self.spots[unit]
        over = height.value + read_quantity(_trade("hose")["crest"], "m")
        if over <= self.spots[outlet][2].value:
            return ()
        return ((aft, starboard, Figure(over, height.half)),)

    def _plate(self, unit: UnitFacts) -> Row:
        told = bool(self.facts.units)
        spread = None if told else _trade("plates")["spread"] * unit.cooling
        row: Row = {"cooling": Figure(unit.cooling, spread).text("W", "BTU/h", 0)}
        if unit.input_power is not None:
            row["input_power"] = said(unit.input_power, "W")
        if unit.heating is not None:
            row["heating"] = {"capacity": said(unit.heating, "W")}
        elif unit.heats:
            share, half = _trade("plates")["heating"]
            warm = Figure(share * unit.cooling, half * unit.cooling)
            row["heating"] = {"capacity": warm.text("W", "BTU/h", 0)}
        if unit.losses:
            row["water_loss"] = [said_loss(one) for one in unit.losses]
        built = self.facts.boat.built if self.facts.boat else None
        if unit.refrigerant is not None:
            row["refrigerant"] = unit.refrigerant
        elif built is not None:
            rows = _trade("refrigerant")
            row["refrigerant"] = Usual(next(one["name"] for one in rows if one["from"] <= built))
        return row

    def _hose(self, ends: tuple[str, str], bore: str, run: str, via: tuple[Spot, ...] = ()) -> Row:
        how = _trade("hose")
        way = _way([self.spots[ends[0]], *via, self.spots[ends[1]]])
        length = how["slack"] * way + read_quantity(how["ends"], "m")
        row: Row = {"from": ends[0], "to": ends[1], "bore": bore}
        row["length"] = Figure(length, how["spread"] * length).text("m", "m", 2)
        row["fittings"] = _trade("fittings")[run]
        if via:
            row["via"] = [_at(spot) for spot in via]
        return row


def said_loss(loss: LossFacts) -> Row:
    """Return the keys of one point of a coil's loss, as it was typed."""
    flow, lost = loss.typed
    return {"at": flow, "head" if loss.head is not None else "pressure": lost}


def _evaporators(zone: Zone, unit: UnitFacts) -> Row:
    """Return the zones of a condensing unit that serves several rooms."""
    how = _trade("zones")
    together = how["together"] * unit.cooling
    rooms = zone.get("serves", ())[: int(together / read_quantity(how["least"], "W"))]
    if len(rooms) < 2:
        return {}
    each = together / len(rooms)
    cooling = Figure(each, how["spread"] * each).text("W", "BTU/h", 0)
    return {"zone": [{"name": room, "cooling": cooling} for room in rooms]}


def _way(spots: Iterable[Spot]) -> float:
    """Return the way along, across and up through some places [m]."""
    found = [[figure.value for figure in spot] for spot in spots]
    return sum(
        abs(one - other)
        for first, second in pairwise(found)
        for one, other in zip(first, second, strict=True)
    )


def pump_name(facts: Facts) -> str | None:
    """Return what the case calls the pump that was told of, or None."""
    if facts.pump is None:
        return None
    return facts.pump.fitted or ASKED


# --- rooms and places ---


def _room(hull: Hull, room: Mapping[str, Any]) -> Row:
    row: Row = {key: room[key] for key in ("name", "use", "sleeps") if key in room}
    row["aft"] = [hull.aft(share).text("m", "m", 2) for share in room["aft"]]
    row["starboard"] = [hull.starboard(share).text("m", "m", 2) for share in room["starboard"]]
    row["height"] = [hull.height(text).text("m", "m", 2) for text in room["height"]]
    if "pillow" in room:
        row["pillow"] = _at(hull.spot(room["pillow"]))
    return row


def _wall(wall: Sequence[Any]) -> Row:
    one, other, material, *rest = wall
    row: Row = {"between": [one, other], "material": material}
    for key, value in zip(("opening", "area"), rest, strict=False):
        row[key] = f"{value:g} m2 typical +/- {0.4 * value:g} m2" if key == "area" else value
    return row


def _pump_name(place: Mapping[str, Any], hull: Hull) -> str:
    loops = hull.row["loops"]
    word = next(loop.get("word", "") for loop in loops if loop.get("name") == place.get("loop"))
    return f"{word}pump"


def _place(hull: Hull, place: Mapping[str, Any]) -> Row:
    row: Row = {"name": place["name"], "at": _at(hull.spot(place["at"], "suction"))}
    row |= {"compartment": place["room"], "pump": _pump_name(place, hull)}
    return row | {key: place[key] for key in STAYS_AS_SAID if key in place}
