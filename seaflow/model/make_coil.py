"""From what a case knows of a unit to its coil: machine, conductance, cut-out and water loss."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from seaflow.base.alike import Alike, alike
from seaflow.base.constants import ATMOSPHERE
from seaflow.boat.defaults import Assumption, default, has_default
from seaflow.boat.tables.plates import CoilTube
from seaflow.boat.tables.things import Unit
from seaflow.model.elements import Coil
from seaflow.model.heating import heating_coil
from seaflow.model.losses import Pipe, Power
from seaflow.model.make_elements import MOST_KEPT, Maker, Notes, point_of
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.friction import coil_friction_multiplier, reynolds_number
from seaflow.physics.heat.compressor import Machine, Polynomials
from seaflow.physics.heat.exchanger import effectiveness, ntu_from_effectiveness, rated_conductance
from seaflow.physics.heat.refrigerant import cycle_of, find, record, saturation_temperature
from seaflow.physics.heat.tubes import film_coefficient, tube_conductance, wall_resistance
from seaflow.physics.hull.openings import head_of_pressure
from seaflow.physics.water.seawater import Seawater, seawater

TUBE_ROUGHNESS = 1.5e-6  # m, drawn tube
OUTSIDE_COEFFICIENT = 2500.0  # W/(m2 K), refrigerant condensing in a coaxial coil; own choice
WALL_CONDUCTIVITY = 50.0  # W/(m K), 90-10 copper-nickel
USUAL_WALL = 1.0e-3  # m
MOST_WATER_SHARE = 0.9  # a stated conductance above that of the film belongs to another tube
STRAIGHT = 1e3  # m, coil diameter that stands for a straight tube


@dataclass(frozen=True, slots=True)
class _Rating:
    """The point at which the plate of a unit holds."""

    flow: float
    water: float
    heat: float
    rate: float
    sea: Seawater


_ASIDE = ("at", "height", "heating")  # of a unit that cools: it may stand anywhere
_Made = tuple[Coil, tuple[Assumption, ...]]


def make_coil(unit: Unit, maker: Maker) -> Coil:
    """Return the coil of a unit; what the case leaves open is noted by the maker."""
    bore = unit.tube.bore if unit.tube else maker.hose_bore(unit.name)
    coil, noted = _coil_there(unit, bore)
    maker.note(*noted)
    return coil


@lru_cache(MOST_KEPT)
def _coil_there(unit: Unit, bore: float) -> _Made:
    coil, noted = _coil(alike(unit, _ASIDE))
    as_condenser = (float(coil.conductance), float(coil.water_share))
    heating = heating_coil(unit, float(coil.rated_flow), as_condenser)
    return replace(coil, bore=bore, point=point_of(unit), heating=heating), noted


@lru_cache(MOST_KEPT)
def _coil(anywhere: Alike[Unit]) -> _Made:
    """Return a coil that cools, without its place and bore, and what was assumed of it."""
    notes = Notes()
    return _coil_of(anywhere.record, notes), notes.assumptions


def _coil_of(unit: Unit, notes: Notes) -> Coil:
    power = unit.input_power or unit.cooling * notes.assume("unit.power_share", unit.name)
    refrigerant = find(unit.refrigerant or notes.assume_text("unit.refrigerant", unit.name))
    limits = record(refrigerant)
    rating = _rating(unit, unit.cooling + power, notes)
    condensing, conductance = _condenser(unit, rating, refrigerant, notes)
    machine = Machine(
        rated_capacity=unit.cooling,
        rated_power=power,
        rated_condensing_temperature=condensing,
        evaporating_temperature=notes.assume("unit.evaporating", unit.name),
        no_load_share=_no_load_share(unit, notes),
        cycle=cycle_of(refrigerant),
        polynomials=_polynomials(unit),
    )
    flow = unit.water_flow
    return Coil(
        name=unit.name,
        item="coil",
        bore=0.0,
        unit=unit.name,
        machine=machine,
        conductance=conductance,
        rated_flow=rating.flow,
        water_share=_water_share(unit, rating, conductance, notes),
        area=_area(unit, conductance, notes),
        cut_out_temperature=_cut_out(unit, refrigerant, notes),
        critical_temperature=limits.critical_temperature,
        branch_shut=bool(unit.branch_shut),
        switched_on=unit.switched_on is not False,
        loss=_loss(unit, notes),
        pipe=_pipe(unit, rating),
        flow_limits=(flow.least if flow else None, flow.most if flow else None),
        velocity_bore=unit.tube.bore if unit.tube else None,
        n_tubes=(unit.tube.side_by_side or 1) if unit.tube else 1,
    )


def _no_load_share(unit: Unit, notes: Notes) -> float:
    """Return the share that a compressor whose speed varies takes near no load; else none."""
    if unit.least_load is None or unit.least_load >= 1.0:
        return 0.0
    return notes.assume("unit.no_load_share", unit.name)


def _polynomials(unit: Unit) -> Polynomials | None:
    known = unit.compressor
    return None if known is None else Polynomials(known.capacity, known.power)


def _rating(unit: Unit, heat: float, notes: Notes) -> _Rating:
    flow = unit.rated_flow
    if flow is None:
        per_kilowatt = notes.assume("unit.flow_per_cooling", unit.name)
        flow = per_kilowatt * unit.cooling / 1000.0
    water = default("unit.rating_water").value
    sea = seawater(water, 0.0)
    return _Rating(flow, water, heat, float(sea.volumetric_heat_capacity) * flow, sea)


def _condenser(unit: Unit, rating: _Rating, refrigerant: str, notes: Notes) -> tuple[float, float]:
    """Return the condensing temperature at the rating point and the conductance there."""
    known = unit.condensing
    if known is not None:
        condensing = known.temperature
        if condensing is None:
            assert known.gauge_pressure is not None
            condensing = float(
                saturation_temperature(known.gauge_pressure + ATMOSPHERE, refrigerant)
            )
        rate = rating.rate * (known.flow or rating.flow) / rating.flow
        return condensing, float(rated_conductance(rating.heat, condensing, known.water, rate))
    if unit.tube is not None:
        conductance = _from_tube(unit.tube, rating)
        share = float(effectiveness(conductance / rating.rate))
    else:
        share = notes.assume("unit.effectiveness", unit.name)
        notes.assume("unit.rating_water", unit.name)
        conductance = rating.rate * float(ntu_from_effectiveness(share))
    return rating.water + rating.heat / (share * rating.rate), conductance


def _film(tube: CoilTube, rating: _Rating) -> float:
    """Return the conductance of the water film of all tubes at the rated flow."""
    film = film_coefficient(
        rating.flow / (tube.side_by_side or 1),
        tube.bore,
        tube.coil_diameter or STRAIGHT,
        rating.sea.kinematic_viscosity,
        rating.sea.thermal_conductivity,
        rating.sea.prandtl,
    )
    return float(film) * _inside(tube)


def _inside(tube: CoilTube) -> float:
    return math.pi * tube.bore * tube.length * (tube.side_by_side or 1)


def _from_tube(tube: CoilTube, rating: _Rating) -> float:
    n_tubes = tube.side_by_side or 1
    outside = tube.bore + 2.0 * (tube.wall or USUAL_WALL)
    wall = wall_resistance(tube.bore, outside, tube.length, WALL_CONDUCTIVITY) / n_tubes
    area, inside = math.pi * outside * tube.length * n_tubes, _inside(tube)
    film = _film(tube, rating) / inside
    return float(tube_conductance(film, inside, OUTSIDE_COEFFICIENT, area, wall, 0.0))


def _water_share(unit: Unit, rating: _Rating, conductance: float, notes: Notes) -> float:
    """Return the share of the water film in the resistance: by the tube where it is known."""
    if unit.tube is None:
        return notes.assume("unit.water_share", unit.name)
    return min(conductance / _film(unit.tube, rating), MOST_WATER_SHARE)


def _area(unit: Unit, conductance: float, notes: Notes) -> float:
    if unit.tube is not None:
        return _inside(unit.tube)
    return conductance / notes.assume("unit.overall_coefficient", unit.name)


def _cut_out(unit: Unit, refrigerant: str, notes: Notes) -> float:
    """Return the condensing temperature of the switch [degC]; most refrigerants share one."""
    if unit.cut_out is not None and unit.cut_out.temperature is not None:
        return unit.cut_out.temperature
    if unit.cut_out is not None and unit.cut_out.gauge_pressure is not None:
        return float(saturation_temperature(unit.cut_out.gauge_pressure + ATMOSPHERE, refrigerant))
    usual = "unit.cut_out_temperature"
    own = f"{usual}.{refrigerant}"
    return notes.assume(own if has_default(own) else usual, unit.name)


def _loss(unit: Unit, notes: Notes) -> Power | None:
    if unit.water_loss:
        density = float(seawater(default("unit.rating_water").value, 0.0).density)
        points = sorted(
            (
                point.at,
                point.head
                if point.head is not None
                else float(head_of_pressure(point.pressure or 0.0, density)),
            )
            for point in unit.water_loss
        )
        flow, head = points[-1]
        return Power(flow, head, _exponent(points, unit, notes))
    if unit.tube is not None:
        return None
    per_kilowatt = default("unit.flow_per_cooling").value
    head = notes.assume("unit.coil_loss", unit.name)
    return Power(
        per_kilowatt * unit.cooling / 1000.0, head, notes.assume("unit.coil_exponent", unit.name)
    )


def _exponent(points: list[tuple[float, float]], unit: Unit, notes: Notes) -> float:
    """Return the slope of the points in logarithms, kept between laminar and fully rough."""
    if len(points) < 2:
        return notes.assume("unit.coil_exponent", unit.name)
    flows, heads = np.log(np.asarray(points)).T
    return float(np.clip(np.polyfit(flows, heads, 1)[0], 1.0, 2.0))


def _pipe(unit: Unit, rating: _Rating) -> Pipe | None:
    tube = unit.tube
    if tube is None or unit.water_loss:
        return None
    n_tubes = tube.side_by_side or 1
    speed = velocity(rating.flow / n_tubes, tube.bore)
    reynolds = reynolds_number(speed, tube.bore, rating.sea.kinematic_viscosity)
    curved = 1.0
    if tube.coil_diameter is not None:
        curved = float(coil_friction_multiplier(reynolds, tube.bore, tube.coil_diameter))
    return Pipe(tube.bore, tube.length, TUBE_ROUGHNESS, curved, n_tubes)
