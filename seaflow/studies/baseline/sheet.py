"""The commissioning sheet: what this boat should read today, healthy and clean, with bands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seaflow.base.arrays import Array
from seaflow.base.measured import measured
from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.model.operate import operate
from seaflow.model.pressures import pressures
from seaflow.studies.baseline.pillows import sound_at_pillows
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.diagnose.own_boat import Learnt, OwnBoat, healthy_boats
from seaflow.studies.diagnose.predict import margin, predicted, to_ice
from seaflow.studies.diagnose.readings import Readings, instruments
from seaflow.studies.diagnose.simulate import (
    Flotilla,
    Met,
    Setup,
    clean_shares,
    own_shares,
    run,
    supply_range,
)
from seaflow.studies.diagnose.written import BUCKET

N_BOATS = 2048
LEVELS = (0.05, 0.5, 0.95)
UNDER_WAY = 3.0  # m/s, about 6 kn
PILLOW = "sound at the pillow, pump alone"
AS_READ = {"suction": "gauge at the pump inlet", "delivery": "gauge after the pump"}


@dataclass(frozen=True, slots=True)
class Expected:
    """One line of the sheet in SI: nine healthy boats of ten read from low to high."""

    title: str
    place: str
    show: str
    unit: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class BaselineSheet:
    """The sheet of one loop."""

    boat: str
    loop: str
    pump: str
    why_pump: str
    sea_temperature: float = measured("degC")
    volts: float = measured("V")
    load: float = measured("-", 1.0)
    mode: str = "cooling"
    bucket: float = measured("m3", BUCKET)
    expected: tuple[Expected, ...] = ()
    blanks: tuple[str, ...] = ()
    learnt: tuple[Learnt, ...] = ()
    n_stored: int = 0
    steps: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()


def baseline(
    setup: Setup, readings: Readings, own: OwnBoat | None = None, seed: int = 20
) -> BaselineSheet:
    """Return what a healthy and clean boat should read; sea, volts, load and mode as in `readings`.

    `own` is what stored readings told of this boat.
    """
    sea = readings.of("sea")
    sea = setup.case.sea.warmest if sea is None else sea
    volts = readings.of("volts")
    volts = supply_range(setup)[1] if volts is None else volts
    shares = own_shares(setup, N_BOATS, seed) if own is None else own.drawn(N_BOATS, seed)
    flat = np.zeros(N_BOATS)
    met = Met(flat + sea, flat + volts, flat)
    hypotheses = healthy_boats(len(setup.faults), N_BOATS)
    flotilla = run(setup, hypotheses, met, clean_shares(setup, shares), readings)
    table = read_table("commissioning.toml")
    expected = tuple(_expected(flotilla, sea))
    known = {item.title for item in expected}
    return BaselineSheet(
        boat=setup.case.boat.name,
        loop=setup.built.network.name,
        pump=setup.part.name,
        why_pump=setup.why,
        sea_temperature=sea,
        volts=volts,
        load=readings.load,
        mode=readings.mode,
        expected=expected,
        blanks=tuple(row["title"] for row in table["field"] if row.get("unless") not in known),
        learnt=() if own is None else own.learnt,
        n_stored=0 if own is None else own.n_readings,
        steps=tuple(row["text"] for row in table["step"]),
        cautions=cautions("baseline"),
    )


def _expected(flotilla: Flotilla, sea: float) -> Iterator[Expected]:
    units, outlets = flotilla.setup.places.units, flotilla.setup.places.outlets
    for unit in units:
        warm = predicted(flotilla, "discharge", unit)
        if warm is None:  # a unit that heats, and no plate says how much
            continue
        yield from _line("discharge temperature", unit, "temperature", "degC", warm)
        if flotilla.boats.now.mode == "cooling":
            yield from _line("rise over the sea", unit, "rise", "K", warm - sea)
        else:
            yield from _line("fall below the sea", unit, "rise", "K", sea - warm)
    for outlet in outlets:
        flow = predicted(flotilla, "flow", outlet)
        assert flow is not None
        yield from _line("flow", outlet, "flow", "m3/s", flow)
        seconds = BUCKET / np.maximum(flow, 1e-9)
        yield from _line("seconds for a bucket of 10 L", outlet, "seconds", "s", seconds)
    yield from _line("total flow", "", "flow", "m3/s", flotilla.point.total_flow())
    yield from _electric(flotilla)
    yield from _gauges(flotilla)
    for unit in units:
        at = flotilla.point.units[unit]
        watts = predicted(flotilla, "watts", unit)
        if watts is not None:
            yield from _line("watts of the unit", unit, "power", "W", watts)
        yield from _line(
            "condensing temperature", unit, "temperature", "degC", at.condensing_temperature
        )
        pressure = predicted(flotilla, "high_side", unit)
        if pressure is not None:
            kind = instruments()["high_side"].show
            yield from _line("high-side pressure, gauge", unit, kind, "Pa", pressure)
    if flotilla.boats.now.mode == "cooling":
        yield from _line("distance to the cut-out", "", "rise", "K", margin(flotilla))
    else:
        yield from _line("distance to ice", "", "rise", "K", to_ice(flotilla))
    yield from _under_way(flotilla)
    for heard in sound_at_pillows(flotilla):
        low, high = heard.level - heard.half_width, heard.level + heard.half_width
        yield Expected(PILLOW, heard.berth, "sound", "dB", low, heard.level, high)


def _line(title: str, place: str, show: str, unit: str, values: Array) -> Iterator[Expected]:
    """Yield a line, or none where nothing is known."""
    known = values[np.isfinite(values)]
    if known.size:
        low, middle, high = (float(value) for value in np.quantile(known, LEVELS))
        yield Expected(title, place, show, unit, low, middle, high)


def _electric(flotilla: Flotilla) -> Iterator[Expected]:
    yield from _line("volts at the pump", "", "voltage", "V", flotilla.met.volts)
    amps = predicted(flotilla, "amps", "")
    assert amps is not None
    yield from _line("amps of the pump", "", "current", "A", amps)


def _gauges(flotilla: Flotilla) -> Iterator[Expected]:
    wanted = {item.name: "gauge at the strainer" for item in flotilla.point.loop.strainers}
    wanted |= {coil.unit: "gauge at the coil" for coil in flotilla.point.loop.coils}
    for point in pressures(flotilla.point):
        if point.label in wanted:
            yield from _line(wanted[point.label], point.label, "pressure", "Pa", point.gauge)
    for kind, title in AS_READ.items():
        seen = predicted(flotilla, kind, "")
        if seen is not None:
            yield from _line(title, "", "pressure", "Pa", seen)


def _under_way(flotilla: Flotilla) -> Iterator[Expected]:
    """Yield the weakest stream at 6 kn, upright and on the worse tack where points are known."""
    works_to = flotilla.setup.case.boat.works_to_heel or 0.0
    found: dict[str, list[Array]] = {}
    for heel in (0.0, works_to, -works_to) if works_to else (0.0,):
        now = replace(flotilla.boats.now, boat_speed=UNDER_WAY, heel=heel)
        try:
            point = operate(flotilla.boats.loop, now)
        except SeaflowError:  # a point that the case does not place: upright must do
            continue
        moved = replace(flotilla, point=point, boats=replace(flotilla.boats, now=now))
        for outlet in flotilla.setup.places.outlets:
            flow = predicted(moved, "flow", outlet)
            if flow is not None:
                found.setdefault(outlet, []).append(flow)
    for outlet, flows in found.items():
        yield from _line("lowest stream under way", outlet, "flow", "m3/s", np.min(flows, axis=0))
