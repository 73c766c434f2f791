"""The commissioning sheet: what this boat should read today, healthy and clean, with bands."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.random import RandomState

from seaflow.base.arrays import Array
from seaflow.base.facts import AMOUNTS, Fact, amount, fact
from seaflow.base.measured import measured
from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.boat.case import Case
from seaflow.boat.tables.rooms import PumpPlace
from seaflow.boat.tables.things import Pump, apart
from seaflow.model.operate import operate
from seaflow.model.pressures import pressures
from seaflow.studies.design.cautions import Caution, cautions
from seaflow.studies.design.certainty.find_out import FindOut, next_of
from seaflow.studies.design.certainty.sample import quantiles
from seaflow.studies.design.judge import Judgement
from seaflow.studies.design.start import first_start, on_tacks, told
from seaflow.studies.design.which_pump import AskedPump, full_supply, judged_with
from seaflow.studies.diagnose.answer import stands_still
from seaflow.studies.diagnose.impossible import question
from seaflow.studies.diagnose.own_boat import Learnt, OwnBoat, coils_apart
from seaflow.studies.diagnose.predict import margin, predicted, to_ice
from seaflow.studies.diagnose.read_number import error_of
from seaflow.studies.diagnose.readings import BUCKET, Readings, instruments
from seaflow.studies.diagnose.simulate import (
    Flotilla,
    Setup,
    clean_boats,
    own_shares,
    supply_range,
    told_by,
)
from seaflow.studies.diagnose.trend import Trend
from seaflow.studies.place.pump_sound import sound_of
from seaflow.studies.place.rooms import rooms_of
from seaflow.studies.place.routes import places_offered
from seaflow.studies.place.sound import SoundAt, heard

N_BOATS = 2048
UNDER_WAY = 3.0  # m/s, about 6 kn
SAME_PLACE = 0.25  # m from the pump to a place of the case that is taken for its own; own choice
UNITS = {**AMOUNTS, "seconds": "s", "sound": "dB"}


@dataclass(frozen=True, slots=True)
class Expected:
    """One line of the sheet in SI: nine healthy boats of ten read from low to high.

    `show` is the kind of amount, or "seconds" or "sound".
    """

    what: Fact
    place: str
    show: str
    unit: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Astray:
    """A reading outside its band as it is seen, and where to look."""

    sees: str
    look: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BaselineSheet:
    """The sheet of one loop.

    `judgement` is what `size` holds against the pump: one that will not do has its readings too.
    """

    boat: str
    loop: str
    pump: str
    why_pump: Fact
    judgement: Judgement
    sea_temperature: float = measured("degC")
    volts: float = measured("V")
    load: float = measured("-")
    mode: str
    bucket: float = measured("m3", BUCKET)
    expected: tuple[Expected, ...]
    blanks: tuple[str, ...]
    learnt: tuple[Learnt, ...]
    n_stored: int
    basis: tuple[Fact, ...]
    steps: tuple[str, ...]
    astray: tuple[Astray, ...]
    first_fill: tuple[Fact, ...]
    find_out: tuple[FindOut, ...]
    cautions: tuple[Caution, ...]
    trends: tuple[Trend, ...] = ()


def _require_running(setup: Setup, readings: Readings) -> None:
    """Refuse volts that were read and at which the pump stands still.

    Raises
    ------
    SeaflowError
        If the pump stands still at them.
    """
    volts = readings.of("volts")
    if volts is not None and stands_still(setup, volts):
        raise question(
            f"{volts:g} V, at which this pump stands still",
            "A healthy boat is not read so: no water comes. Read the volts again at its terminals "
            "while it runs.",
        )


def baseline(
    setup: Setup,
    readings: Readings,
    own: OwnBoat | None = None,
    seed: int = 20,
    bucket: float = BUCKET,
    asked: AskedPump | None = None,
) -> BaselineSheet:
    """Return what a healthy and clean boat should read; sea, volts, load and mode as in `readings`.

    `own` is what stored readings told of this boat. Times are those of the bucket that was read, or
    else of this one [m3]. `asked` is the pump of the setup where it is judged already.

    Raises
    ------
    SeaflowError
        If at these volts the pump stands still.
    """
    _require_running(setup, readings)
    sea, volts = told_by(setup, readings)
    shares = own_shares(setup, N_BOATS, seed) if own is None else own.drawn(N_BOATS, seed)
    flotilla = clean_boats(setup, readings, shares)
    table = read_table("commissioning.toml")
    bucket = next((item.bucket for item in readings.numbers if item.bucket > 0.0), bucket)
    expected = tuple(_expected(flotilla, sea, bucket))
    known = {item.what.kind for item in expected}
    judged = asked.item if asked else judged_with(setup.case, setup.built.network, setup.part)
    return BaselineSheet(
        boat=setup.case.boat.name,
        loop=setup.built.network.name,
        pump=setup.part.name,
        why_pump=setup.why,
        judgement=judged.result.judgement,
        sea_temperature=sea,
        volts=volts,
        load=readings.load,
        mode=readings.mode,
        bucket=bucket,
        expected=expected,
        blanks=tuple(row["title"] for row in table["field"] if row.get("unless") not in known),
        learnt=() if own is None else own.learnt,
        n_stored=0 if own is None else own.n_readings,
        basis=tuple(_basis(expected, own)),
        steps=tuple(row["text"] for row in table["step"]),
        astray=tuple(_astray(table["astray"], known, len(setup.places.units) > 1)),
        first_fill=_first_fill(setup),
        find_out=next_of(judged.unseen) if setup.case.typical else (),
        cautions=cautions("baseline", [setup.part.kind], setup.case.high_voltage),
    )


def _astray(rows: list[dict[str, Any]], known: set[str], several: bool) -> Iterator[Astray]:
    """Yield what to look at where lines that the sheet has lie outside their bands."""
    for row in rows:
        if known & {f"baseline.{kind}" for kind in row["of"]} and several >= row.get("several", 0):
            yield Astray(row["sees"], row["look"])


def _first_fill(setup: Setup) -> tuple[Fact, ...]:
    """Return how the first start goes, where to bleed in the order of the water, what to move."""
    case, built = setup.case, setup.built
    now = full_supply(case, built.network, setup.part)
    start = first_start(case, built, setup.part, now, operate(built.loop, now))
    rows = tuple(
        fact("baseline.bleed", place=number, thing=thing)
        for number, thing in enumerate(start.bleed_at, 1)
    )
    return (*told(start), *rows, *on_tacks(start))


def _basis(expected: tuple[Expected, ...], own: OwnBoat | None) -> Iterator[Fact]:
    """Yield what the sheet rests on."""
    if any(item.show == "sound" for item in expected):
        yield fact("baseline.sound")
    if own is None:
        yield fact("baseline.nothing_stored")
        return
    coils = tuple(coils_apart(own))
    yield from coils
    if not coils and not own.by_gauge:
        yield fact("baseline.no_gauge")
    yield fact("baseline.stored", count=own.n_readings)
    told = [item for item in own.learnt if item.told]
    rest = tuple(item.label for item in own.learnt if not item.told)
    for item in told:
        (before_low, _, before_high), (low, middle, high) = item.before, item.after
        before = {"before_low": before_low, "before_high": before_high}
        yield fact("baseline.learnt", label=item.label, low=low, middle=middle, high=high, **before)
    if told and rest:
        yield fact("baseline.not_narrowed", labels=rest)
    if not told:
        yield fact("baseline.nothing_learnt")


def _as_read(flotilla: Flotilla, kind: str, place: str) -> Array | None:
    """Return what people would read on these boats: with what the instrument and the model are off.

    The same on every call, whatever the place is called.
    """
    seen = predicted(flotilla, kind, place)
    if seen is None:
        return None
    number = zlib.crc32(f"{kind} {_which(flotilla.setup, place)}".encode())
    noise = RandomState(number).standard_normal(seen.size)
    return np.asarray(seen + error_of(flotilla, kind, seen) * noise)


def _which(setup: Setup, place: str) -> str:
    """Return which thing of its kind a place is as the water meets it; nothing for the loop."""
    thing = setup.built.network.things.get(place)
    return "" if thing is None else "{} {}".format(*setup.case.numbered((thing.table, thing.row)))


def _expected(flotilla: Flotilla, sea: float, bucket: float) -> Iterator[Expected]:
    units = flotilla.setup.places.units
    for unit in units:
        warm = _as_read(flotilla, "discharge", unit)
        if warm is None:  # a unit that heats, and no plate says how much
            continue
        yield from _line("baseline.discharge", unit, "temperature", warm)
        if flotilla.boats.now.mode == "cooling":
            yield from _line("baseline.rise", unit, "rise", warm - sea)
        else:
            yield from _line("baseline.fall", unit, "rise", sea - warm)
    yield from _flows(flotilla, bucket)
    yield from _electric(flotilla)
    yield from _gauges(flotilla)
    for unit in units:
        at = flotilla.point.units[unit]
        watts = _as_read(flotilla, "watts", unit)
        if watts is not None:
            yield from _line("baseline.watts", unit, "power", watts)
        warm = _as_read(flotilla, "condensing", unit)
        hot = at.condensing_temperature if warm is None else warm  # in heating it is in the cabin
        yield from _line("baseline.condensing", unit, "temperature", hot)
        pressure = _as_read(flotilla, "high_side", unit)
        if pressure is not None:
            kind = instruments()["high_side"].show
            yield from _line("baseline.high_side", unit, kind, pressure)
    if flotilla.boats.now.mode == "cooling":
        yield from _line("baseline.to_cut_out", "", "rise", margin(flotilla))
    else:
        yield from _line("baseline.to_ice", "", "rise", to_ice(flotilla))
    yield from _under_way(flotilla)
    for berth in _sound_at_pillows(flotilla):
        low, high = berth.level - berth.half_width, berth.level + berth.half_width
        yield Expected(fact("baseline.pillow"), berth.berth, "sound", "dB", low, berth.level, high)


def _flows(flotilla: Flotilla, bucket: float) -> Iterator[Expected]:
    outlets = flotilla.setup.places.outlets
    for outlet in outlets:
        flow = _as_read(flotilla, "flow", outlet)
        assert flow is not None
        yield from _line("baseline.flow", outlet, "flow", flow)
        yield from _seconds(flow, outlet, bucket)
    if len(outlets) > 1:  # else it is that of the outlet
        yield from _line("baseline.total_flow", "", "flow", flotilla.point.total_flow())


def _seconds(flow: Array, outlet: str, bucket: float) -> Iterator[Expected]:
    seconds = bucket / np.maximum(flow, 1e-9)
    what = fact("baseline.bucket", bucket=amount("bucket", bucket))
    yield from _line(what, outlet, "seconds", seconds)


def _line(what: str | Fact, place: str, show: str, values: Array) -> Iterator[Expected]:
    """Yield a line, or none where nothing is known."""
    low, middle, high = quantiles(values)
    if np.isfinite(middle):
        yield Expected(
            fact(what) if isinstance(what, str) else what,
            place,
            show,
            UNITS[show],
            low,
            middle,
            high,
        )


def _electric(flotilla: Flotilla) -> Iterator[Expected]:
    low, _, high = supply_range(flotilla.setup)  # every boat of the flotilla meets the same volts
    volts = float(np.median(flotilla.met.volts))
    yield Expected(fact("baseline.volts"), "", "voltage", UNITS["voltage"], low, volts, high)
    for place in flotilla.setup.places.at(instruments()["amps"].where):
        amps = _as_read(flotilla, "amps", place)
        assert amps is not None
        yield from _line(_of_pumps(flotilla.setup, place), place, "current", amps)


def _of_pumps(setup: Setup, place: str) -> Fact:
    """Return of what amps are: of the pump, of one of several, or of all on the cable of one."""
    pumps = setup.built.loop.pumps
    here = next((pump for pump in pumps if pump.name == place), pumps[0])
    if here.n_pumps > 1:
        kind = "baseline.amps_together_at" if len(pumps) > 1 else "baseline.amps_together"
        return fact(kind, pumps=here.n_pumps, pump=place)
    return fact("baseline.amps" if len(pumps) == 1 else "baseline.amps_of_one")


def _gauges(flotilla: Flotilla) -> Iterator[Expected]:
    wanted = {item.name: "baseline.at_strainer" for item in flotilla.point.loop.strainers}
    wanted |= {coil.unit: "baseline.at_coil" for coil in flotilla.point.loop.coils}
    for point in pressures(flotilla.point):
        if point.label in wanted:
            yield from _line(wanted[point.label], point.label, "pressure", point.gauge)
    for kind, what in (("suction", "baseline.suction"), ("delivery", "baseline.delivery")):
        seen = _as_read(flotilla, kind, "")
        if seen is not None:
            yield from _line(what, "", "pressure", seen)


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
        yield from _line("baseline.under_way", outlet, "flow", np.min(flows, axis=0))


def _sound_at_pillows(flotilla: Flotilla) -> Iterator[SoundAt]:
    """Yield the level at each berth with the pump where it stands, or nothing."""
    case, pump = flotilla.setup.case, flotilla.setup.place
    place = _where_it_stands(case, pump)
    if place is None or not case.compartment:
        return
    running = flotilla.point.pumps[pump.name].speed_ratio
    sound = sound_of(flotilla.setup.part, case.supply.frequency, float(np.median(running)))
    yield from heard(rooms_of(case), place, sound)


def _where_it_stands(case: Case, pump: Pump) -> PumpPlace | None:
    """Return the place of the case at which the pump stands, or None."""
    if pump.at is None:
        return None
    places = [candidate.place for candidate in places_offered(case, pump.name)]
    near = [(way, place) for place in places if (way := apart(pump.at, place.at)) is not None]
    near = [(way, place) for way, place in near if way <= SAME_PLACE]
    return min(near, key=lambda item: item[0])[1] if near else None
