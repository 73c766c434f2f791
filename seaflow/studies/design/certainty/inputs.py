"""The uncertain inputs of a loop, and how a draw of each changes the loop or its conditions.

Adding one is one place: a function that yields Inputs, named in SOURCES.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.things import Unit
from seaflow.model.build import Built
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Coil, Element, Entry, HoseRun, Pumping
from seaflow.model.loop import Loop
from seaflow.physics.flow.friction import GROWTH_ROUGHNESS
from seaflow.physics.heat.compressor import scaled
from seaflow.studies.design.certainty.by_path import drawn_paths, move_of, spread_of
from seaflow.studies.design.certainty.spreads import (
    GIVEN,
    Season,
    Shares,
    Spread,
    coil_loss_share,
    given,
    half_width,
    hose_shares,
    pump_share,
    season,
    spread,
    strainer_shares,
    triangular,
)
from seaflow.studies.design.supply import panel_volts

_AS_GIVEN: dict[str, Any] = {"shape": "range", "low": 0.0, "high": 1.0, "source": GIVEN}

Setting = tuple[Loop, Conditions]
Apply = Callable[[Loop, Conditions, Array], Setting]
Field = tuple[type[Element], str]  # of elements of one kind


@dataclass(frozen=True, slots=True)
class Input:
    """One uncertain input: a label, its spread, and how values of it are put into the loop.

    `path` leads to the value of the case, where it is one that is drawn by itself. A value of
    `still` leaves the loop as it is; by the shape of the spread where it is None.
    """

    label: str
    spread: Spread
    apply: Apply
    path: Path | None = None
    still: float | None = None

    def neutral(self, size: int) -> Array:
        """Return values that leave the loop as it is."""
        usual = {"factor": 1.0, "offset": 0.0}.get(self.spread.shape, 0.5)
        return np.full(size, usual if self.still is None else self.still)


def inputs_of(case: Case, built: Built) -> tuple[Input, ...]:
    """Return every uncertain input of a loop that is known on a usual boat, or typical of one."""
    return tuple(item for source in (*SOURCES, _by_path) for item in source(case, built))


def assumed_of(case: Case, built: Built) -> tuple[Input, ...]:
    """Return the inputs for which a value is assumed, beside those that are uncertain anyway."""
    return tuple(item for source in ASSUMED for item in source(case, built))


def _coils(case: Case, built: Built) -> Iterator[Input]:
    many = len(built.network.units) > 1
    for unit in built.network.units_by_size:
        tail = f" of {unit.name}" if many else ""
        yield _coil_loss(case, unit, tail)
        yield _coil_conductance(unit, tail)
        yield _plate_heat(case, unit, tail)


def _whose(meaning: str, tail: str) -> str:
    """Return what is uncertain with whose it is, before what stands behind a comma."""
    what, comma, more = meaning.partition(",")
    return f"{what}{tail}{comma}{more}"


def _coil_loss(case: Case, unit: Unit, tail: str) -> Input:
    found = spread("coil_given" if unit.water_loss else "coil_generic")
    found = given(found, coil_loss_share(case, unit), 1.0)

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        coil = _coil(loop, unit.name)
        if coil.loss is not None:
            loss = replace(coil.loss, head=coil.loss.head * values)
            return loop.changed(coil, loss=loss), now
        assert coil.pipe is not None  # a coil has one or the other
        pipe = replace(coil.pipe, multiplier=coil.pipe.multiplier * values)
        return loop.changed(coil, pipe=pipe), now

    return Input(_whose(found.meaning, tail), found, apply)


def _coil_conductance(unit: Unit, tail: str) -> Input:
    known = unit.condensing is not None or unit.tube is not None
    found = spread("conductance_given" if known else "conductance_generic")

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        coil = _coil(loop, unit.name)
        return loop.changed(coil, conductance=coil.conductance * values), now

    return Input(_whose(found.meaning, tail), found, apply)


def _plate_heat(case: Case, unit: Unit, tail: str) -> Input:
    half = half_width(case, ("unit", unit.row, "cooling"))
    usual = spread("plate_heat" if unit.input_power is not None else "plate_heat_generic")
    found = given(usual, half, unit.cooling)

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        coil = _coil(loop, unit.name)
        return loop.changed(coil, machine=scaled(coil.machine, values)), now

    return Input(_whose(found.meaning, tail), found, apply)


def _coil(loop: Loop, unit: str) -> Coil:
    return next(coil for coil in loop.coils if coil.unit == unit)


def _pumps(case: Case, built: Built) -> Iterator[Input]:
    for figure, field in (("head", "shut_off_head"), ("flow", "free_flow")):
        found = given(spread(f"pump_{figure}"), pump_share(built, figure), 1.0)
        yield Input(found.meaning, found, _of_the_curve(field))


def _of_the_curve(field: str) -> Apply:
    """Return what multiplies a figure of the curve of every pump."""

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        def change(pump: Pumping) -> Pumping:
            more: dict[str, Any] = {field: getattr(pump.curve, field) * values}
            return replace(pump, curve=replace(pump.curve, **more))

        return loop.each(Pumping, change), now

    return apply


def _hoses(case: Case, built: Built) -> Iterator[Input]:
    names = dict.fromkeys(hose.name for hose in built.loop.elements(HoseRun))
    yield from _factors("fittings", (HoseRun, "fittings_factor"), names)
    for name, field in (("roughness", "roughness"), ("bores", "bore"), ("lengths", "length")):
        yield from _factors(name, (HoseRun, field), hose_shares(case, built, field))


def _factors(name: str, field: Field, shares: Shares) -> Iterator[Input]:
    """Yield one factor for all elements of which nothing is given, and one for the others.

    Those others move together, each as far as its own half width goes: what is measured on one
    boat is measured with one tape.
    """
    usual = spread(name)
    rest = {thing: usual for thing, share in shares.items() if share is None}
    told = {thing: given(usual, share, 1.0) for thing, share in shares.items() if share is not None}
    if rest:
        yield Input(usual.meaning, usual, _times(field, rest, usual))
    if told:
        one = len(set(told.values())) == 1
        drawn = next(iter(told.values())) if one else replace(usual, **_AS_GIVEN)
        tail = ", as given" if rest else ""
        yield Input(usual.meaning + tail, drawn, _times(field, told, drawn))


def _times(field: Field, spreads: Mapping[str, Spread], drawn: Spread) -> Apply:
    """Return what multiplies a field of elements, each by its own spread where they differ."""

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        kind, key = field

        def change(element: Element) -> Element:
            own = spreads.get(element.name)
            if own is None:
                return element
            factor = own.at(values) if drawn.shape == "range" else values
            more: dict[str, Any] = {key: getattr(element, key) * factor}
            return replace(element, **more)

        return loop.each(kind, change), now

    return apply


def _suction(case: Case, built: Built) -> Iterator[Input]:
    def entry(loop: Loop, now: Conditions, values: Array) -> Setting:
        for item in loop.elements(Entry):
            loop = loop.changed(item, loss_coefficient=item.loss_coefficient * values)
        return loop, now

    found = spread("entry")
    yield Input(found.meaning, found, entry)
    if built.loop.strainers:
        yield from _strainers(case, built)


def _strainers(case: Case, built: Built) -> Iterator[Input]:
    def law(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, matted=values)

    def blockage(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, strainer_blockage=case.design.blocked_share * values)

    field = (Basket, "housing_coefficient")
    yield from _factors("strainer", field, strainer_shares(case, built))
    names: list[tuple[str, Apply]] = [("blockage", blockage)]
    if any(item.measured is None and item.basket_area is not None for item in built.loop.strainers):
        names.append(("blockage_law", law))
    for name, apply in names:
        found = spread(name)
        yield Input(found.meaning, found, apply)


def _dirt(case: Case, built: Built) -> Iterator[Input]:
    def growth(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, growth=case.design.growth * values)

    def rough(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, growth_roughness=GROWTH_ROUGHNESS * values)

    def scale(loop: Loop, now: Conditions, values: Array) -> Setting:
        most = float(read_table("spreads.toml")["coil_scale"]["most"])
        return loop, replace(now, coil_scale=most * values)

    for name, apply in (("growth", growth), ("growth_roughness", rough), ("coil_scale", scale)):
        found = spread(name)
        yield Input(found.meaning, found, apply)


def _heights(case: Case, built: Built) -> Iterator[Input]:
    found = spread("outlet_height")
    for row, outlet in enumerate(case.outlet):
        half = half_width(case, ("outlet", row, "height"))
        half = half_width(case, ("outlet", row, "at", "height")) or half
        if half is not None and outlet.name in built.network.things:
            found = given(found, half)

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        for link in loop.links:
            last = link.elements[-1]
            if link.to_sea and last.point is not None and last.point.height is not None:
                point = replace(last.point, height=last.point.height + values)
                loop = loop.changed(last, point=point)
        return loop, now

    yield Input(found.meaning, found, apply)


def _supply(case: Case, built: Built) -> Iterator[Input]:
    low, usual, high = panel_volts(case)

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        nominal = case.supply.voltage
        lost = 0.0 if now.voltage is None else 1.0 - np.asarray(now.voltage) / nominal  # in cable
        volts = triangular(values, low, usual, high)
        return loop, replace(now, voltage=volts * (1.0 - lost))

    found = spread("voltage")
    yield Input(found.meaning, found, apply)


def _sea(case: Case, built: Built) -> Iterator[Input]:
    temperatures: Season = season(case)
    found = replace(spread("season"), source=temperatures.source)

    def apply(loop: Loop, now: Conditions, values: Array) -> Setting:
        return loop, replace(now, sea_temperature=temperatures.at(values))

    yield Input(found.meaning, found, apply)


def _exponents(case: Case, built: Built) -> Iterator[Input]:
    """Yield the exponent of each coil whose loss is known at one flow or none."""
    many = len(built.network.units) > 1
    for unit in built.network.units_by_size:
        if len(unit.water_loss) > 1 or (unit.tube is not None and not unit.water_loss):
            continue

        def apply(loop: Loop, now: Conditions, values: Array, name: str = unit.name) -> Setting:
            coil = _coil(loop, name)
            assert coil.loss is not None  # as no tube stands in
            loss = replace(coil.loss, exponent=coil.loss.exponent * values)
            return loop.changed(coil, loss=loss), now

        found = spread("coil_exponent")
        yield Input(_whose(found.meaning, f" of {unit.name}" if many else ""), found, apply)


def _cut_outs(case: Case, built: Built) -> Iterator[Input]:
    """Yield the cut-out of each unit whose label was not read."""
    many = len(built.network.units) > 1
    for unit in built.network.units_by_size:
        if unit.cut_out is not None:
            continue

        def apply(loop: Loop, now: Conditions, values: Array, name: str = unit.name) -> Setting:
            coil = _coil(loop, name)
            return loop.changed(coil, cut_out_temperature=coil.cut_out_temperature + values), now

        found = spread("cut_out")
        yield Input(_whose(found.meaning, f" of {unit.name}" if many else ""), found, apply)


def _curves(case: Case, built: Built) -> Iterator[Input]:
    """Yield the shape of the pump's curve if only its ends are known."""
    usual = default("pump.exponent").value
    if any(pump.curve.knots is not None for pump in built.loop.pumps):
        return
    if any(pump.curve.exponent != usual for pump in built.loop.pumps):
        return

    found = spread("pump_exponent")
    yield Input(found.meaning, found, _of_the_curve("exponent"))


def _by_path(case: Case, built: Built) -> Iterator[Input]:
    """Yield each value that is drawn by itself, as far as it moves the loop or what that meets."""
    for path in drawn_paths(case):
        move = move_of(case, built.network, built.pumps, path)
        if move is not None:
            about = spread_of(case, path)
            yield Input(about.meaning, about, move.apply, path, still=0.0)


SOURCES = (_coils, _pumps, _hoses, _suction, _dirt, _heights, _supply, _sea)
ASSUMED = (_exponents, _cut_outs, _curves)
