"""Where an answer leaves the range in which the source of a formula vouches for it.

Looked at where the answer stands, once it is found: nothing here is part of a search.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.facts import Amount, Fact, amount, fact
from seaflow.base.glossary import glossary_entry
from seaflow.base.sources import Outside, citation, outside
from seaflow.boat.defaults import default
from seaflow.boat.tables.things import Unit
from seaflow.model.build import Built
from seaflow.model.losses import Pipe
from seaflow.model.point import OperatingPoint
from seaflow.physics.flow.fittings import velocity
from seaflow.physics.flow.friction import LAMINAR_END, darcy_friction_factor, reynolds_number
from seaflow.physics.heat import tubes
from seaflow.physics.water import seawater

Values = Mapping[str, Array]


def validity_notes(built: Built, *points: OperatingPoint) -> tuple[Fact, ...]:
    """Return one fact for each formula and quantity that leaves the range of its source.

    `points` are those of one loop that the answer shows.
    """
    found = [
        *_water(points),
        *_over(darcy_friction_factor, _pipes(points)),
        *_over(tubes.coil_nusselt, _tubes(built)),
    ]
    return tuple(dict.fromkeys(found))


def _over(function: Callable[..., Any], things: Mapping[str, Values]) -> Iterator[Fact]:
    """Yield each quantity of a function that leaves its range, at the thing farthest outside."""
    cited = citation(function)
    assert cited is not None
    for name in cited.valid:
        left = {
            thing: values[name]
            for thing, values in things.items()
            if name in values and outside(function, **{name: values[name]})
        }
        if left:
            together = np.concatenate([np.ravel(array) for array in left.values()])
            (farthest,) = outside(function, **{name: together})
            yield _left_by(tuple(left), farthest)


def _left_by(things: tuple[str, ...], farthest: Outside) -> Fact:
    return fact(
        "design.outside_range",
        things=things,
        formula=farthest.function,
        quantity=farthest.quantity,
        value=_sized(farthest.quantity, farthest.value),
        limit=_sized(farthest.quantity, farthest.limit),
        source=farthest.source,
    )


def _sized(name: str, value: float) -> Amount | float:
    """Return a value with its kind, or a bare number if it has no dimension."""
    return amount("temperature", value) if glossary_entry(name).unit == "degC" else value


def _water(points: tuple[OperatingPoint, ...]) -> Iterator[Fact]:
    seas = [np.ravel(np.asarray(point.water.temperature)) for point in points]
    at: dict[str, Values] = {"water": {"sea_temperature": np.concatenate(seas)}}
    for function in (seawater.dynamic_viscosity, seawater.vapour_pressure):
        yield from _over(function, at)


def _pipes(points: tuple[OperatingPoint, ...]) -> Mapping[str, Values]:
    """Return Reynolds number and roughness of every hose, and of each coil known by its tube."""
    found: dict[str, dict[str, list[Array]]] = {}
    for point in points:
        for number in sorted(range(len(point.loop.links)), key=lambda one: _first(point, one)):
            for element in point.loop.links[number].elements:
                for pipe in element.losses(point.conditions).pipes:
                    at = found.setdefault(element.name, {})
                    reynolds = _reynolds(pipe, point, point.flow[number])
                    # laminar friction is a law by itself and asks nothing of the source
                    at.setdefault("reynolds_number", []).append(reynolds[reynolds > LAMINAR_END])
                    rough = np.ravel(np.asarray(pipe.roughness / pipe.bore, dtype=float))
                    at.setdefault("relative_roughness", []).append(rough)
    return {
        thing: {name: np.concatenate(arrays) for name, arrays in values.items()}
        for thing, values in found.items()
    }


def _first(point: OperatingPoint, link: int) -> list[int]:
    return point.loop.things_along((link,))


def _reynolds(pipe: Pipe, point: OperatingPoint, flow: Array) -> Array:
    speed = velocity(flow / pipe.n_tubes, pipe.bore)
    return np.asarray(reynolds_number(speed, pipe.bore, point.water.kinematic_viscosity))


def _tubes(built: Built) -> Mapping[str, Values]:
    """Return what the water film was worked out from, of every unit known by its tube."""
    rated = {coil.unit: float(np.asarray(coil.rated_flow)) for coil in built.loop.coils}
    units = (unit for unit in built.network.units if unit.condensing is None and unit.tube)
    return {unit.name: _tube(unit, rated[unit.name]) for unit in units}


def _tube(unit: Unit, flow: float) -> Values:
    tube = unit.tube
    assert tube is not None
    water = seawater.seawater(default("unit.rating_water").value, 0.0)
    speed = velocity(flow / (tube.side_by_side or 1), tube.bore)
    curvature = tube.bore / tube.coil_diameter if tube.coil_diameter else 0.0
    return {
        "reynolds_number": np.atleast_1d(
            reynolds_number(speed, tube.bore, water.kinematic_viscosity)
        ),
        "prandtl": np.atleast_1d(water.prandtl),
        "curvature": np.atleast_1d(curvature),
    }
