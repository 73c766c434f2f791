"""Faulted boats by another hand than the diagnosis, and what their owners read.

Where the water goes and how warm it gets is worked out in other_loop.py, which shares no formula
with the model; how a fault changes a boat, how often and how bad faults are, coils, hoses, curves,
cabins, falling legs, and how people read is written here. Nothing may be drawn from the tables of
the diagnosis, and those may not be fitted to this. Only bands of healthy boats, which are no test
of faults, are run by `operate`, from figures that scatter by themselves.

Severities: baskets matted to a five-thousandth open or evenly covered, to a thirtieth; scale 4e-6
m2 K/W a day for a month to a year (J. Solar Energy Engineering 103, 1981); growth to 5 mm; pumps of
ISO 9906 grade 3;
falling legs by May, Allen and Nelson 2018, who saw small bores as large ones, and one boat in four
with a joint that lets air in or a leg that never empties; a pump loses its prime at 7 % of air and
a seventh of its head at 2 % (pump handbooks); a pump that turns backward makes about half of head
and flow (Stepanoff 1957). Where no source is named: our assumption.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from diagnosis_proof import GAUGE, THERMOMETER
from numpy.random import RandomState
from other_loop import LEAST_FLOW, Sailed, Ships, sail

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.network import upstream
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Coil, Entry, HoseRun
from seaflow.model.operate import operate
from seaflow.physics.heat.compressor import scaled
from seaflow.studies.diagnose.answer import setup_of
from seaflow.studies.diagnose.effects import Boats
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.simulate import Flotilla, Met

CASES = Path(__file__).resolve().parents[2] / "cases"
NOTHING = "nothing"
SHARES = (0.3, 0.55, 0.15)  # of boats with nothing, one fault and two
# How often each comes, in pages of a tally of owners' threads and of a technician's ranking, ours
# where neither names it.
OFTEN = {
    "strainer": 10,
    "intake_blocked": 5,
    "seacock_part_shut": 3,
    "seacock_shut": 1.5,
    "air_lock": 6,
    "air_drawn_in": 3,
    "pump_worn": 4,
    "pump_reversed": 0.3,
    "low_volts": 2,
    "other_frequency": 0.5,
    "not_commanded": 5,
    "pump_jammed": 4,
    "thermal_cut_out": 3,
    "motor_shorted": 1.5,
    "suction_kinked": 1.5,
    "delivery_kinked": 1,
    "branch_kinked": 1.5,
    "branch_shut": 1.5,
    "growth": 3,
    "coil_scaled": 6,
    "coil_blocked": 1.5,
    "units_in_series": 1,
    "recirculated": 3,
    "part_load": 3,
    "low_refrigerant": 2,
    "not_pumping": 2.5,
    "overcharge": 0.7,
    "filter": 3.5,
    "pressure_switch": 1,
    "set_point": 2,
    "aeration": 2,
    "scoop_reversed": 1,
    "shared_intake": 1.5,
    "branch_air": 2,
    "leak": 1.5,
    "thermometer": 1.5,
}


def _between(low, high):
    return lambda stream, n: stream.uniform(low, high, n)


def _open(most, least):
    """Blocked so that a share between these ends is left open, spread in logarithms."""
    return lambda stream, n: 1.0 - np.exp(stream.uniform(np.log(least), np.log(most), n))


def _about(middle, ratio):
    return lambda stream, n: middle * np.exp(np.log(ratio) * stream.standard_normal(n))


ONCE = _between(1.0, 1.0)
HOW_BAD = {
    "strainer": _open(0.3, 2e-4),
    "branch_shut": _between(1e5, 1e7),
    "intake_blocked": _open(0.3, 0.008),
    "seacock_part_shut": _open(0.5, 0.02),
    "seacock_shut": _between(0.2, 1.0),
    "air_lock": _between(0.075, 0.12),
    "air_drawn_in": _between(0.015, 0.07),
    "pump_worn": _between(0.15, 0.8),
    "pump_reversed": _between(0.4, 0.7),
    "low_volts": _between(0.07, 0.35),
    "pump_jammed": _between(3.0, 6.0),
    "suction_kinked": _about(150.0, 4.0),
    "delivery_kinked": _about(150.0, 4.0),
    "branch_kinked": _about(200.0, 4.0),
    "growth": lambda stream, n: np.minimum(_about(2.2e-3, 1.6)(stream, n), 5e-3),
    "coil_scaled": lambda stream, n: 4e-6 * np.exp(stream.uniform(*np.log((30.0, 400.0)), n)),
    "coil_blocked": _about(10.0, 2.5),
    "units_in_series": _between(3.0, 8.0),
    "recirculated": _between(0.15, 0.7),
    "part_load": _between(0.2, 0.6),
    "low_refrigerant": _between(0.15, 0.7),
    "not_pumping": _between(0.85, 1.0),
    "overcharge": _between(0.3, 0.75),
    "filter": _between(0.3, 0.85),
    "pressure_switch": _between(6.0, 30.0),
    "aeration": _between(0.02, 0.09),
    "scoop_reversed": _between(0.15, 1.0),
    "shared_intake": _between(0.3, 3.0),
    "branch_air": _between(0.15, 1.0),
    "leak": _between(0.1, 0.5),
    "thermometer": _between(2.0, 8.0),
}

FOURTH = """
[[unit]]
name = "fore cabin unit"
at = { aft = "2.6 m", starboard = "-0.60 m", height = "0.30 m" }
cooling = "6000 BTU/h"
input_power = "560 W"
refrigerant = "R-410A"
water_flow = { rated = "6 L/min", least = "4 L/min", most = "10 L/min" }
water_loss = [{ at = "6 L/min", head = "1.8 m" }]
alloy = "90-10 copper-nickel"
cut_out = { gauge_pressure = "41 bar" }

[[outlet]]
name = "forward outlet"
at = { aft = "2.4 m", starboard = "-1.40 m", height = "0.30 m" }
bore = "16 mm"

[[hose]]
from = "manifold"
to = "fore cabin unit"
bore = "16 mm"
length = "7.5 m"
fittings = ["hose barb", "swept bend", "swept bend", "hose barb"]

[[hose]]
from = "fore cabin unit"
to = "forward outlet"
bore = "16 mm"
length = "1.2 m"
fittings = ["hose barb", "hose barb"]
"""


@cache
def setup_with(units: int, folder: str = ""):
    """A shipped boat of one, two or three units; one of four is the third with one more."""
    names = {1: "ketch-one-unit", 2: "badly-arranged", 3: "motor-three-units"}
    path = CASES / f"{names.get(units, names[3])}.toml"
    if units == 4:
        text = path.read_text("utf-8")
        path = Path(folder) / "motor-four-units.toml"
        path.write_text(text + FOURTH, encoding="utf-8")
    case = load_case(str(path)).case
    return setup_of(case, network.loops(case)[0])


@dataclass(frozen=True)
class Fleet:
    """Boats of one loop, what is wrong with each, where they run, and how they were before."""

    setup: object
    sailed: Sailed
    sea: np.ndarray
    ships: Ships
    faults: tuple[tuple[str, ...], ...]
    before: Ships

    def causes(self, boat: int) -> set[str]:
        """Names of what is wrong with one boat."""
        return set(self.faults[boat]) or {NOTHING}


def fleet(setup, n_boats: int, seed: int, most_faults: int = 2) -> Fleet:
    """Boats with up to two faults, each her own."""
    stream = RandomState(seed)
    names = [fault.name for fault in setup.faults if fault.name in OFTEN]
    weights = np.array([OFTEN[name] for name in names], dtype=float)
    first, second = np.full((2, n_boats), -1)
    for boat in range(n_boats):
        count = min(int(np.searchsorted(np.cumsum(SHARES), stream.random_sample())), most_faults)
        drawn = stream.choice(len(names), count, replace=False, p=weights / weights.sum())
        first[boat], second[boat] = (*drawn, -1, -1)[:2]
    ships = before = _ships(setup, n_boats, stream)
    units = [coil.unit for coil in setup.built.loop.coils]
    for number, name in enumerate(names):
        has = (first == number) | (second == number)
        bad = np.where(has, HOW_BAD.get(name, ONCE)(stream, n_boats), 0.0)
        which = stream.randint(len(units), size=n_boats)
        by_unit = {unit: np.where(which == k, bad, 0.0) for k, unit in enumerate(units)}
        ships = HURTS[name](ships, Blow(bad, by_unit, stream.random_sample(n_boats)))
    sea = setup.case.sea.warmest - np.abs(stream.normal(0.0, 2.5, n_boats)) + 0.5
    told = tuple(
        tuple(names[k] for k in pair if k >= 0) for pair in zip(first, second, strict=True)
    )
    return Fleet(setup, sail(ships, sea), sea, ships, told, before)


@dataclass(frozen=True)
class Blow:
    """A fault as it strikes: how bad on each boat, at which unit, and a toss of a coin."""

    bad: np.ndarray
    by_unit: dict[str, np.ndarray]
    toss: np.ndarray


def _worse(name):
    return lambda ships, blow: ships.changed(**{name: np.maximum(ships[name], blow.bad)})


def _more(name):
    return lambda ships, blow: ships.changed(**{name: ships[name] + blow.bad})


def _less(name, by=1.0):
    return lambda ships, blow: ships.changed(**{name: ships[name] * (1.0 - by * blow.bad)})


def _at_unit(name, change):
    """A figure of the unit that is struck: `change` makes it of what it was and how bad it is."""

    def hurt(ships, blow):
        new = {unit: change(ships[name, unit], bad) for unit, bad in blow.by_unit.items()}
        return ships.with_units(name, new)

    return hurt


def _all(*hurts):
    def hurt(ships, blow):
        for one in hurts:
            ships = one(ships, blow)
        return ships

    return hurt


def _stop(ships, blow):
    return ships.changed(turns=np.where(blow.bad > 0, 0.0, ships["turns"]))


def _strainer(ships, blow):
    """Half of the baskets are matted, the others evenly covered, which shuts far sooner."""
    even = (blow.bad > 0) & (blow.toss < 0.5)
    covered = 1.0 - np.maximum(1.0 - blow.bad, 1e-9) ** 0.4
    shut = np.where(even, covered, blow.bad)
    matted = np.where(blow.bad > 0, ~even, ships["matted"])
    return ships.changed(strainer=np.maximum(ships["strainer"], shut), matted=matted)


def _shut(ships, blow):
    cock = np.where(blow.bad > 0, 1.0, ships["cock"])
    return ships.changed(cock=cock, shut_in=np.maximum(ships["shut_in"], blow.bad))


def _volts(ships, blow):
    """A motor of the mains keeps its speed until it stalls; one of a battery slows down."""
    left = 1.0 - blow.bad
    stalls = left < 0.6 + 0.3 * blow.toss
    turns = np.where((blow.bad > 0) & stalls, 0.0, ships["turns"])
    slows = left if ships.setup.case.supply.current == "dc" else 1.0 - 0.1 * blow.bad
    return ships.changed(turns=turns, speed=ships["speed"] * slows, volts=ships["volts"] * left)


def _frequency(ships, blow):
    rated = ships.setup.built.loop.rated_frequency
    speed = np.where(blow.bad > 0, (110.0 - rated) / rated, 1.0)
    return ships.changed(speed=ships["speed"] * speed)


def _backward(ships, blow):
    left = np.where(blow.bad > 0, 0.5, 1.0)
    return ships.changed(head=ships["head"] * left, free=ships["free"] * left)


def _scale(ships, blow):
    """All coils of half of the boats, of the others one."""
    mine = {u: np.where(blow.toss < 0.5, blow.bad, bad) for u, bad in blow.by_unit.items()}
    return ships.with_units("scale", {u: ships["scale", u] + bad for u, bad in mine.items()})


def _branch_shut(ships, blow):
    """The branch of the unit itself, or what leads to the outlet of it."""
    network, ends = ships.setup.built.network, {}
    for outlet in ships.setup.places.outlets:
        before = upstream(network, outlet)
        bad = sum(bad for unit, bad in blow.by_unit.items() if unit in before)
        ends[outlet] = ships["end", outlet] + np.where(blow.toss < 0.5, bad, 0.0)
    own = {unit: np.where(blow.toss < 0.5, 0.0, bad) for unit, bad in blow.by_unit.items()}
    ships = ships.with_units("end", ends)
    return _at_unit("branch", np.add)(ships, replace(blow, by_unit=own))


def _filter(ships, blow):
    """Half as much heat is lost as air, and nearly all where the evaporator is a slab of ice."""
    by = np.where((blow.bad > 0.5) & (blow.toss < 0.5), 0.9, 0.5)
    return _at_unit("heat", lambda heat, bad: heat * (1.0 - by * bad))(ships, blow)


def _idle(ships, blow):
    idle = {u: np.where(blow.bad > 0, 0.0, ships["calls", u]) for u in blow.by_unit}
    return _stop(ships, blow).with_units("calls", idle)


def _gulps(ships, blow):
    air = np.maximum(ships["air"], blow.bad)
    return ships.changed(air=air, pulses=ships["pulses"] | (blow.bad > 0))


def _reads(ships, blow):
    off = np.where(blow.toss < 0.5, blow.bad, -blow.bad)
    return ships.changed(reads_high=ships["reads_high"] + off)


_LESS_HEAT = _at_unit("heat", lambda heat, bad: heat * (1.0 - bad))
HURTS = {
    "strainer": _strainer,
    "intake_blocked": _worse("intake"),
    "seacock_part_shut": _worse("cock"),
    "seacock_shut": _shut,
    "air_lock": _worse("air"),
    "air_drawn_in": _gulps,
    "pump_worn": _worse("worn"),
    "pump_reversed": _backward,
    "low_volts": _volts,
    "other_frequency": _frequency,
    "not_commanded": _stop,
    "pump_jammed": _all(_stop, _worse("locked")),
    "thermal_cut_out": _stop,
    "motor_shorted": _stop,
    "suction_kinked": _more("suction_more"),
    "delivery_kinked": _more("delivery_more"),
    "branch_kinked": _at_unit("branch", np.add),
    "branch_shut": _branch_shut,
    "growth": _worse("growth"),
    "coil_scaled": _scale,
    "coil_blocked": _at_unit("coil", lambda coil, bad: coil * np.maximum(bad, 1.0)),
    "units_in_series": _at_unit("warmed", np.add),
    "recirculated": _worse("drawn_in"),
    "part_load": _LESS_HEAT,
    "low_refrigerant": _LESS_HEAT,
    "not_pumping": _LESS_HEAT,
    "overcharge": _at_unit("conductance", lambda sheet, bad: sheet * (1.0 - bad)),
    "filter": _filter,
    "pressure_switch": _at_unit("opens_early", np.add),
    "set_point": _idle,
    "aeration": _gulps,
    "scoop_reversed": _more("lost"),
    "shared_intake": _more("lost"),
    "branch_air": _at_unit("stands", np.add),
    "leak": _worse("leak"),
    "thermometer": _reads,
}


def _ships(setup, n: int, stream: RandomState) -> Ships:
    """Boats without a fault: each with her own pump, coils, hoses, dirt, cabins and leg."""

    def log(spread):
        return np.exp(spread * stream.standard_normal(n))

    ships = Ships(setup, n)
    leg = np.where(stream.random_sample(n) < 0.12, 50.0, stream.uniform(0.7, 1.2, n))
    leg = np.where(stream.random_sample(n) < 0.12, 0.0, leg)
    volts = setup.case.supply.voltage * (1.0 + 0.02 * stream.standard_normal(n))
    ships = ships.changed(
        head=log(0.04),
        free=log(0.05),
        hoses=log(0.1) * stream.uniform(0.9, 1.2, n),
        fittings=log(0.3),
        entries=log(0.3),
        screens=log(0.4),
        strainer=stream.uniform(0.0, 0.35, n),
        growth=stream.uniform(0.0, 5e-4, n),
        fills=leg,
        volts=volts,
        draws=stream.uniform(0.9, 1.1, n),
    )
    for coil in setup.built.loop.coils:
        own = {
            "coil": log(0.18),
            "conductance": log(0.12),
            "heat": log(0.05) * stream.uniform(0.82, 1.08, n),
            "scale": stream.uniform(0.0, 8e-5, n),
        }
        for name, values in own.items():
            ships = ships.with_units(name, {coil.unit: values})
    return ships


class _Nobody:
    """Stands in for hypotheses: these boats have none."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.healthy = np.zeros(size, dtype=bool)


def _own_boats(setup, n: int, stream: RandomState) -> Boats:
    """Healthy boats, each with her own coils, hoses, pump, cabins, leg and sea."""

    def log(spread, size=n):
        return np.exp(spread * stream.standard_normal(size))

    loop, case = setup.built.loop, setup.case
    for pump in loop.pumps:
        curve = pump.curve
        curve = replace(
            curve,
            shut_off_head=curve.shut_off_head * log(0.04),
            free_flow=curve.free_flow * log(0.05),
        )
        low = pump.drive.minimum_voltage
        drive = replace(pump.drive, minimum_voltage=None if low is None else 0.4 * low)
        loop = loop.changed(pump, curve=curve, drive=drive)
    for coil in loop.elements(Coil):
        factor = log(0.18)
        changes = {"conductance": coil.conductance * log(0.12)}
        changes["machine"] = scaled(coil.machine, log(0.05) * stream.uniform(0.82, 1.08, n))
        if coil.loss is not None:
            changes["loss"] = replace(coil.loss, head=coil.loss.head * factor)
        else:
            changes["pipe"] = replace(coil.pipe, multiplier=coil.pipe.multiplier * factor)
        loop = loop.changed(coil, **changes)
    for hose in loop.elements(HoseRun):
        loop = loop.changed(
            hose,
            bore=hose.bore * np.exp(0.015 * stream.standard_normal(n)),
            length=hose.length * stream.uniform(0.9, 1.2, n),
            fittings_factor=log(0.3),
        )
    for entry in loop.elements(Entry):
        loop = loop.changed(entry, loss_coefficient=entry.loss_coefficient * log(0.3))
    for basket in loop.elements(Basket):
        loop = loop.changed(basket, housing_coefficient=basket.housing_coefficient * log(0.4))
    leg = np.where(stream.random_sample(n) < 0.12, 50.0, stream.uniform(0.7, 1.2, n))
    leg = np.where(stream.random_sample(n) < 0.12, 0.0, leg)
    sea = case.sea
    now = Conditions(
        sea_temperature=sea.warmest - np.abs(stream.normal(0.0, 2.5, n)) + 0.5,
        salinity=sea.salinity,
        voltage=case.supply.voltage * (1.0 + 0.02 * stream.standard_normal(n)),
        frequency=case.supply.frequency,
        strainer_blockage=stream.uniform(0.0, 0.35, n),
        matted=stream.random_sample(n),
        growth=stream.uniform(0.0, 5e-4, n),
        coil_scale=stream.uniform(0.0, 8e-5, n),
        clearing=leg,
    )
    return Boats.sound(loop, now, n)


@dataclass(frozen=True)
class Healthy:
    """Clean boats without a fault, run in one sea."""

    flotilla: Flotilla

    def run(self, loop, now) -> Flotilla:
        """The same boats with another loop or other conditions."""
        boats = replace(self.flotilla.boats, loop=loop, now=now)
        return replace(self.flotilla, boats=boats, point=operate(loop, now))

    def as_read(self, kind: str, place: str, stream: RandomState) -> np.ndarray:
        """What the owners read: each instrument is off by a share and by a little more."""
        share, off = ERRORS[kind]
        seen = predicted(self.flotilla, kind, place)
        tails = np.array([_tail(stream) for _ in range(seen.size)])
        return seen + (off + share * np.abs(seen)) * tails


ERRORS = {
    "sea": (0.0, 0.2),
    "discharge": (0.0, 0.3),
    "flow": (0.035, 0.0),
    "amps": (0.04, 0.0),
    "suction": (0.0, 1200.0),
    "delivery": (0.0, 1200.0),
    "watts": (0.02, 15.0),
    "condensing": (0.0, 1.0),
}


def healthy_fleet(setup, n_boats: int, sea: float, seed: int) -> Healthy:
    """Boats just commissioned, in one sea and on the volts of the plate."""
    stream = RandomState(seed)
    boats = _own_boats(setup, n_boats, stream)
    volts = np.full(n_boats, setup.case.supply.voltage)
    clean = {"strainer_blockage": 0.0, "growth": 0.0, "coil_scale": 0.0, "voltage": volts}
    now = replace(boats.now, sea_temperature=np.full(n_boats, sea), **clean)
    boats = replace(boats, now=now)
    met = Met(np.asarray(now.sea_temperature), volts, np.zeros(n_boats))
    amps = stream.uniform(0.2, 0.8, (1, n_boats))
    nobody = _Nobody(n_boats)
    return Healthy(Flotilla(setup, nobody, boats, operate(boats.loop, now), met, amps))


def healthy_days(setup, n_days: int, coil_times: float, seed: int) -> tuple[Readings, ...]:
    """Readings of one healthy boat on some days; her first coil takes so many times its sheet."""
    one, plan = healthy_fleet(setup, 1, 24.0, seed), setup.built.loop.coils[0]
    loop = one.flotilla.boats.loop
    loop = loop.changed(loop.coils[0], loss=replace(plan.loss, head=plan.loss.head * coil_times))
    (days,) = _days(setup, replace(one.flotilla.boats, loop=loop), n_days, RandomState(seed))
    return days


def days_before(fleet: Fleet, n_days: int, seed: int) -> tuple[tuple[Readings, ...], ...]:
    """Readings of each boat on some days before anything was wrong, clean each time."""
    ships, stream = fleet.before, RandomState(seed)
    none = np.zeros(ships.size)
    ships = ships.changed(strainer=none, growth=none)
    units, days = fleet.setup.places.units, [[] for _ in range(ships.size)]
    for _ in range(n_days):
        heat = {unit: stream.uniform(0.82, 1.08, ships.size) for unit in units}
        ships = ships.with_units("heat", heat).with_units("scale", dict.fromkeys(units, none))
        sea = 24.0 + 2.0 * stream.standard_normal(ships.size)
        now = sail(ships, sea)
        seen = {("sea", ""): sea, ("suction", ""): now.suction, ("delivery", ""): now.delivery}
        seen |= {("discharge", unit): now.leaves[unit] for unit in units}
        seen |= {("flow", outlet): flow for outlet, flow in now.flow.items()}
        for boat, mine in enumerate(days):
            mine.append(
                Readings(
                    tuple(
                        Number(*spot, _misread(spot[0], float(values[boat]), stream))
                        for spot, values in seen.items()
                    )
                )
            )
    return tuple(tuple(mine) for mine in days)


def _misread(kind: str, value: float, stream: RandomState) -> float:
    share, off = ERRORS[kind]
    return value + (off + share * abs(value)) * _tail(stream)


def _days(setup, boats: Boats, n_days: int, stream: RandomState):
    """Yield the days of each boat: cabins, fans and the sea are others every day."""
    size = np.size(boats.now.sea_temperature)
    at = {"discharge": setup.places.units, "flow": setup.places.outlets}
    kinds = ("sea", "discharge", "flow", "suction", "delivery")
    spots = [(kind, place) for kind in kinds for place in at.get(kind, ("",))]
    days, loop = [[] for _ in range(size)], boats.loop
    for _ in range(n_days):
        for place, coil in enumerate(loop.coils):
            today = scaled(setup.built.loop.coils[place].machine, stream.uniform(0.82, 1.08, size))
            loop = loop.changed(coil, machine=today)
        sea = 24.0 + 2.0 * stream.standard_normal(size)
        now = replace(boats.now, sea_temperature=sea)
        met = Met(sea, np.asarray(now.voltage), np.zeros(size))
        held = replace(boats, loop=loop, now=now)
        amps = np.full((1, size), 0.5)
        here = Healthy(Flotilla(setup, _Nobody(size), held, operate(loop, now), met, amps))
        read = {spot: here.as_read(*spot, stream) for spot in spots}
        for boat, mine in enumerate(days):
            numbers = (Number(*spot, float(values[boat])) for spot, values in read.items())
            mine.append(Readings(tuple(numbers)))
    return tuple(tuple(mine) for mine in days)


def _tail(stream: RandomState) -> float:
    """An error with long tails: of Student with four degrees of freedom, made of unit variance."""
    return float(stream.standard_t(4.0)) / np.sqrt(2.0)


def readings_of(fleet: Fleet, boat: int, which: str, stream: RandomState) -> Readings:
    """What an owner reads on one boat, some of it wrongly."""
    now, places = fleet.sailed, fleet.setup.places
    flows = {outlet: float(flow[boat]) for outlet, flow in now.flow.items()}
    bias = 0.15 * stream.standard_normal()  # of the one thermometer
    numbers = [Number("sea", "", float(fleet.sea[boat]) + bias + 0.2 * _tail(stream))]
    if all(flow < 0.5 / 60000.0 for flow in flows.values()):
        signs = (("stream", "none"),)
    else:
        signs = ()
        for unit in places.units:
            found = _warm(fleet, boat, unit, stream)
            if found is not None:
                numbers.append(Number("discharge", unit, found + bias + 0.3 * _tail(stream)))
        if which != THERMOMETER:
            numbers += [_bucket(name, flow, stream) for name, flow in flows.items()]
    if which == GAUGE:
        amps, suction = float(now.amps[boat]), float(now.suction[boat])
        numbers.append(Number("amps", "", amps + (0.04 * amps + 0.03) * _tail(stream)))
        numbers.append(Number("suction", "", suction + 1200.0 * _tail(stream)))
    return Readings(tuple(numbers), signs)


def _warm(fleet: Fleet, boat: int, unit: str, stream: RandomState) -> float | None:
    """The discharge of a unit; just before a trip or some time after it; not where it is dry."""
    now = fleet.sailed
    if now.through[unit][boat] < LEAST_FLOW:
        return None
    warm = float(now.leaves[unit][boat])
    if now.trips[unit][boat] and stream.random_sample() < 0.5:
        warm = float(now.before_trip[unit][boat])
    warm += float(fleet.ships["reads_high"][boat])
    if stream.random_sample() < 0.02:  # not held in the stream
        warm = stream.uniform(warm - 6.0, warm + 2.0)
    return warm


def _bucket(outlet: str, flow: float, stream: RandomState) -> Number:
    """Whole seconds for ten litres; a bucket is seldom ten litres, and some are miscounted."""
    if flow < 0.3 / 60000.0:
        return Number("flow", outlet, 0.0)
    seconds = 0.010 / flow * np.exp(0.035 * _tail(stream))
    if stream.random_sample() < 0.02:
        seconds *= stream.choice((0.5, 0.8, 1.25, 2.0))
    return Number("flow", outlet, 0.010 / max(round(seconds), 1.0))
